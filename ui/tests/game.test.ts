/** A game lined up without a click, its yard lines confirmed, moved and taken back, in the real program on an invented play. */
import assert from "node:assert/strict";
import { join } from "node:path";
import { after, before, test } from "node:test";
import type { Browser } from "playwright-core";
import type { GameLineUp } from "../src/api/types.ts";
import { App } from "./app.ts";
import { assertAccessible } from "./axe.ts";
import { openPage, startBrowser } from "./chromium.ts";
import { filmedPlay } from "./hands.ts";
import { THROWN } from "./tasks/entered.ts";

let app: App;
let browser: Browser;
before(async () => {
  const folder = await filmedPlay(THROWN);
  app = await App.start();
  await app.gameOf(join(folder, "film"));
  browser = await startBrowser();
});
after(async () => {
  await browser?.close();
  await app?.stop();
});

interface Place {
  point: [number, number];
}

test("a game is lined up in the background, and one key confirms or moves its yard lines", async () => {
  const { page, complaints } = await openPage(browser, app.url);
  const [play] = await app.call<{ id: string; game: string; clips: Record<string, string> }[]>("GET", "/plays");
  const clip = play!.clips["sideline"]!;
  const overview = () => app.call<GameLineUp>("GET", `/games/${play!.game}/line-up`);
  const standing = async () => (await overview()).clips.find((c) => c.clip === clip)!;
  await page.goto(`${new URL(app.url).origin}/#/line-up/${play!.id}`);
  await page.waitForSelector('canvas[data-view="sideline"][data-frame]');
  await page.getByText("0 of 2 clips sound").waitFor();
  assert.equal((await standing()).standing, "waiting");
  await assertAccessible(page, "Line up before anything is lined up");

  await page.keyboard.press("u");
  const progress = page.getByRole("progressbar", { name: "Lining up the game" });
  await progress.waitFor();
  await progress.waitFor({ state: "detached", timeout: 120_000 });
  await page
    .getByText(/^\d of 2 clips sound/)
    .first()
    .waitFor();
  const found = await standing();
  assert.ok(found.held > 0.9, `the chalk is held in ${found.held} of the frames`);
  // Whatever the pictures told: the page shows what the program says.
  const row = page.getByRole("group", { name: "Clips of the game" }).locator('[aria-current="true"]');
  const words = { sound: "sound", doubtful: "look at it", "not-found": "no field found", waiting: "not tried yet" };
  assert.ok((await row.innerText()).includes(words[found.standing]), await row.innerText());
  for (const doubt of found.doubts) await page.getByText(doubt, { exact: true }).waitFor();

  await page.keyboard.press("a");
  await page.getByText("Confirmed. The game was settled again.").waitFor({ timeout: 30_000 });
  assert.ok((await standing()).confirmed);
  assert.ok((await standing()).trusted > 0.9, "what the evaluator confirmed is trusted");
  const frame = Number(await page.getAttribute("canvas[data-frame]", "data-frame"));
  const ground = () => app.call<Place>("POST", `/clips/${clip}/ground`, { frame, pixel: [400, 500] });
  const before = (await ground()).point;

  await page.keyboard.press("Shift+ArrowUp");
  await page.getByText("Moved 5 yd. The game was settled again.").waitFor({ timeout: 30_000 });
  const moved = (await ground()).point;
  assert.ok(
    Math.abs(moved[0] - before[0] - 5) < 1e-6 && Math.abs(moved[1] - before[1]) < 1e-6,
    `${before} to ${moved}`,
  );
  const [grid] = await app.call<{ lines: { points: [number, number][] }[] }[]>(
    "GET",
    `/clips/${clip}/grid?from=${frame}&to=${frame + 1}`,
  );
  const expected = grid!.lines.map((l) => l.points.map((p) => p.join(",")).join(" "));
  await page.waitForFunction(
    (lines) => {
      const drawn = [...document.querySelectorAll("svg .grid polyline")].map((l) => l.getAttribute("points"));
      return JSON.stringify(drawn) === JSON.stringify(lines);
    },
    expected,
    { timeout: 10_000 },
  );

  await page.keyboard.press("ControlOrMeta+z");
  await page.waitForTimeout(1500);
  await overview();
  const back = (await ground()).point;
  assert.ok(Math.abs(back[0] - before[0]) < 1e-6, `${before} back from ${moved}: ${back}`);

  await assertAccessible(page, "Line up with a game's clips");
  if (process.env["SHOTS"]) await page.screenshot({ path: join(process.env["SHOTS"], "game-light.png") });
  await page.keyboard.press("Shift+T");
  await page.waitForTimeout(300);
  await assertAccessible(page, "Line up with a game's clips, the other theme");
  if (process.env["SHOTS"]) await page.screenshot({ path: join(process.env["SHOTS"], "game-dark.png") });
  assert.deepEqual(complaints, []);
  await page.context().close();
});
