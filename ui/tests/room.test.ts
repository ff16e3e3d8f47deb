/** The room by keyboard and to assistive technology: every screen in both themes, and what it takes to use it without a mouse. */
import assert from "node:assert/strict";
import { mkdir, mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import type { Browser, Page } from "playwright-core";
import { screens } from "../src/screens/index.ts";
import { App, makeCounterFilms, ROOT } from "./app.ts";
import { assertAccessible } from "./axe.ts";
import { openPage, startBrowser } from "./chromium.ts";
import { readShown } from "./counter.ts";

let app: App;
let browser: Browser;
let films: string;
const SHOTS = join(ROOT, "target", "screens");

before(async () => {
  films = await mkdtemp(join(tmpdir(), "tapemeasure-films-"));
  await makeCounterFilms(films, [
    ["h264", "30000/1001", 90, "sideline 1.mp4"],
    ["h264", "60", 180, "end zone 1.mp4"],
    ["h264", "25", 50, "sideline 2.mp4"],
  ]);
  app = await App.start();
  await app.gameOf(films, { whole: true });
  await mkdir(SHOTS, { recursive: true });
  browser = await startBrowser();
});
after(async () => {
  await browser?.close();
  await app?.stop();
  await rm(films, { recursive: true, force: true });
});

async function at(page: Page, screen: string) {
  const play = await app.call<{ id: string }[]>("GET", "/plays");
  await page.goto(`${new URL(app.url).origin}/#/${screen}/${play[0]!.id}`);
  await page.getByRole("navigation", { name: "Screens" }).waitFor();
  await page.waitForTimeout(700);
}

for (const theme of ["light", "dark"] as const)
  for (const [screen, entry] of Object.entries(screens).filter(([, e]) => e.load))
    test(`${entry.name} is accessible, ${theme}`, async () => {
      const { page, complaints } = await openPage(browser, app.url, theme);
      await at(page, screen);
      await page.screenshot({ path: join(SHOTS, `${screen}-${theme}.png`) });
      await assertAccessible(page, `${entry.name}, ${theme}`);
      await page.keyboard.press("?");
      await page.getByRole("dialog", { name: "Keys" }).waitFor();
      await assertAccessible(page, `${entry.name} with its keys, ${theme}`);
      assert.deepEqual(complaints, []);
      await page.context().close();
    });

test("the screens, plays and the sheet of keys are reached by keys alone", async () => {
  const { page, complaints } = await openPage(browser, app.url);
  await at(page, "load");
  await page.keyboard.press("g");
  await page.keyboard.press("u");
  await page.getByRole("heading", { level: 1, name: "Line up" }).waitFor({ state: "attached" });
  const play = () => page.locator(".rail [aria-current]").innerText();
  assert.match(await play(), /1/);
  await page.keyboard.press("]");
  assert.match(await play(), /2/);
  await page.keyboard.press("[");
  await page.keyboard.press("?");
  const sheet = page.getByRole("dialog", { name: "Keys" });
  assert.match(await sheet.innerText(), /find the field from the marks/);
  await page.keyboard.press("Escape");
  await sheet.waitFor({ state: "hidden" });
  await page.keyboard.press("/");
  await page.keyboard.type("no such play");
  await page.getByText("No play matches.").waitFor();
  assert.deepEqual(complaints, []);
  await page.context().close();
});

test("a mark is placed with the cross-hair, undone and redone, without a mouse", async () => {
  const { page, complaints } = await openPage(browser, app.url);
  await at(page, "line-up");
  await page.keyboard.press("m"); // leave the mark where it is put: a counter film has no chalk
  await page.keyboard.press("x");
  for (const key of ["Shift+ArrowLeft", "ArrowUp", "Enter"]) await page.keyboard.press(key);
  const marks = page.getByRole("group", { name: "Marks in this frame" });
  await marks.getByText("left 30 × near hash row").waitFor();
  await page.keyboard.press("Escape");
  await page.keyboard.press("Control+z");
  await marks.getByText("Four crossings or more").waitFor();
  await page.keyboard.press("Control+Shift+z");
  await marks.getByText("left 30 × near hash row").waitFor();
  assert.deepEqual(complaints, []);
  await page.context().close();
});

test("a click marks the point of the original under the pointer, also close up", async () => {
  const { page } = await openPage(browser, app.url);
  await at(page, "line-up");
  await page.keyboard.press("m");
  const box = (await page.locator("canvas[data-frame]").boundingBox())!;
  const size = { width: 320, height: 180 }; // of a counter film
  const unit = Math.max(size.width / box.width, size.height / box.height);
  const aim: [number, number] = [200.25, 100.5];
  const spot = [
    box.x + box.width / 2 + (aim[0] - size.width / 2) / unit,
    box.y + box.height / 2 + (aim[1] - size.height / 2) / unit,
  ] as const;
  await page.mouse.move(...spot);
  for (let i = 0; i < 4; i++) await page.keyboard.press("+"); // closer, about the pointer, which so stays on its point
  const [shown] = await readShown(page);
  await page.mouse.click(...spot);
  const clips = await app.call<{ id: string; view: string; first: number }[]>("GET", "/clips");
  const clip = clips.find((c) => c.view === "sideline")!;
  await page.waitForTimeout(300);
  const marks = await app.call<{ pixel: [number, number]; frame: number }[]>("GET", `/clips/${clip.id}/field-marks`);
  const made = marks.at(-1)!;
  assert.equal(made.frame, shown?.named);
  // The mouse reports whole CSS px; close up one of them is a small part of the picture's.
  for (const i of [0, 1] as const) assert.ok(Math.abs(made.pixel[i] - aim[i]) <= unit, `${made.pixel} for ${aim}`);
  await page.context().close();
});
