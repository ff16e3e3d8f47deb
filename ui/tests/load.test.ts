/** Film in, by hand: a folder named, films chosen and brought in, views paired, a clip edited, a play list read. */
import assert from "node:assert/strict";
import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import type { Browser } from "playwright-core";
import { App, makeCounterFilms, makeTables } from "./app.ts";
import { assertAccessible } from "./axe.ts";
import { openPage, startBrowser } from "./chromium.ts";

let app: App;
let browser: Browser;
let films: string;
before(async () => {
  films = await mkdtemp(join(tmpdir(), "tapemeasure-films-"));
  await makeCounterFilms(films, [
    ["h264", "30000/1001", 12, "sideline 1.mp4"],
    ["h264", "60", 14, "end zone 1.mp4"],
  ]);
  await writeFile(join(films, "renamed text.mp4"), "this is no film\n");
  app = await App.start();
  browser = await startBrowser();
});
after(async () => {
  await browser?.close();
  await app?.stop();
  await rm(films, { recursive: true, force: true });
});

test("from a folder's name to paired views, by keyboard", async () => {
  const { page } = await openPage(browser, app.url);
  await page.getByLabel("Game", { exact: true }).fill("Week 1");
  await page.keyboard.press("Enter");
  await page.getByText("Field painted by college rules.").waitFor();
  await page.keyboard.press("Escape");
  await page.locator("main").click({ position: { x: 5, y: 5 } });
  await page.keyboard.press("f");
  await page.keyboard.type(join(films, "not there"));
  await page.keyboard.press("Enter");
  const messages = page.getByRole("region", { name: "Messages" });
  await messages.getByText("not there").waitFor();
  await page.getByLabel("Folder of film").fill(films);
  await page.keyboard.press("Enter");
  await page.getByLabel("renamed text.mp4").waitFor();
  await page.keyboard.press("Escape");
  await page.keyboard.press("i");

  // The file that is no film is named with the reason; the others come in.
  await page
    .getByRole("status")
    .getByText(/renamed text\.mp4/)
    .waitFor({ timeout: 30_000 });
  await page.getByRole("cell", { name: "29.97" }).waitFor();
  assert.equal((await app.call<unknown[]>("GET", "/films")).length, 2);

  await page.keyboard.press("p");
  await page.getByRole("complementary", { name: "Plays" }).getByRole("link").first().waitFor();
  const plays = await app.call<{ clips: Record<string, string> }[]>("GET", "/plays");
  assert.deepEqual(Object.keys(plays[0]!.clips).sort(), ["end-zone", "sideline"]);

  const snap = page.getByLabel(/^Snap of sideline 1\.mp4/);
  await snap.fill("3.5");
  await page.keyboard.press("Tab");
  await page.waitForTimeout(400);
  const clips = await app.call<{ id: string; snap_frame: number | null }[]>("GET", "/clips");
  assert.equal(clips.find((c) => c.id === plays[0]!.clips["sideline"])!.snap_frame, 3.5);
  await snap.fill("900");
  await page.keyboard.press("Tab");
  await messages.getByText(/900/).waitFor();

  const list = join(films, "plays.csv");
  await writeFile(list, "quarter,clock,down,distance,hash\n2,4:31,3,7,near\n");
  await page.getByLabel("Play list file").setInputFiles(list);
  await page.getByRole("link", { name: /3rd & 7/ }).waitFor();
  await page.keyboard.press("Control+z");
  await page.getByRole("link", { name: /3rd & 7/ }).waitFor({ state: "detached" });
  await page.context().close();
});

test("films that are picked or dropped are copied into the study and brought in", async () => {
  const { page } = await openPage(browser, app.url);
  await page.locator("button:enabled", { hasText: "Pick films" }).waitFor();
  await makeCounterFilms(films, [
    ["h264", "25", 8, "picked.mp4"],
    ["h264", "25", 9, "dropped.mp4"],
  ]);
  const before = (await app.call<unknown[]>("GET", "/films")).length;
  await page
    .getByLabel("Films to copy into the study")
    .setInputFiles([join(films, "picked.mp4"), join(films, "plays.csv")]);
  await page.getByText("One file is no film and was left.").waitFor();
  await page.getByRole("cell", { name: "picked.mp4" }).first().waitFor({ timeout: 30_000 });

  const bytes = [...(await readFile(join(films, "dropped.mp4")))];
  await page.evaluate((bytes) => {
    const carried = new DataTransfer();
    carried.items.add(new File([new Uint8Array(bytes)], "dropped.mp4"));
    for (const kind of ["dragover", "drop"])
      window.dispatchEvent(new DragEvent(kind, { dataTransfer: carried, bubbles: true, cancelable: true }));
  }, bytes);
  await page.getByRole("cell", { name: "dropped.mp4" }).first().waitFor({ timeout: 30_000 });

  const had = await app.call<{ name: string; path: string }[]>("GET", "/films");
  assert.equal(had.length, before + 2);
  // The study holds them itself: they come whole when the folder they came from is gone.
  for (const name of ["picked.mp4", "dropped.mp4"]) {
    const film = had.find((f) => f.name === name)!;
    assert.match(film.path, /handed-over/);
  }
  await page.context().close();
});

test("plays come out of a table of positions, read as proposed", async () => {
  const tables = await mkdtemp(join(tmpdir(), "tapemeasure-tables-"));
  await makeTables(tables, 77, 3);
  const { page } = await openPage(browser, app.url);
  await page.locator("button:enabled", { hasText: "Pick films" }).waitFor();
  const before = (await app.call<unknown[]>("GET", "/plays")).length;
  await page.getByLabel("Table of positions").setInputFiles([join(tables, "plays.csv"), join(tables, "positions.csv")]);
  const dialog = page.getByRole("dialog", { name: "How this table is read" });
  await dialog.waitFor();
  assert.equal(await dialog.getByLabel("along the field").inputValue(), "x");
  assert.equal(await dialog.getByLabel("counted from").inputValue(), "end-line");
  await assertAccessible(page, "a table's reading");
  await dialog.getByRole("button", { name: "Import the plays" }).click();
  await page.getByText("3 plays came out of the table.").waitFor({ timeout: 30_000 });
  await dialog.waitFor({ state: "detached" });
  const plays = await app.call<{ id: string; tracked: boolean }[]>("GET", "/plays");
  assert.equal(plays.length, before + 3);
  const last = plays.at(-1)!;
  assert.ok(last.tracked);
  const m = await app.call<{ tracks: unknown[]; windows: unknown[] }>("GET", `/plays/${last.id}/measurement`);
  assert.equal(m.tracks.length, 22);
  assert.ok(m.windows.length >= 3);
  await page.context().close();
  await rm(tables, { recursive: true, force: true });
});
