/** From clicks to a grid that stays with the picture, in the real program on an invented play. */
import assert from "node:assert/strict";
import { join } from "node:path";
import { after, before, test } from "node:test";
import type { Browser } from "playwright-core";
import { App } from "./app.ts";
import { assertAccessible } from "./axe.ts";
import { openPage, startBrowser } from "./chromium.ts";
import { filmedPlay, handsOf, type HandsOfView } from "./hands.ts";
import { stemOf, THROWN } from "./tasks/entered.ts";
import { FIRST, lineUp } from "./tasks/line-up.ts";

let app: App;
let browser: Browser;
let hands: HandsOfView[];
before(async () => {
  const folder = await filmedPlay(THROWN);
  hands = handsOf(folder, stemOf(folder));
  app = await App.start();
  await app.gameOf(join(folder, "film"));
  browser = await startBrowser();
});
after(async () => {
  await browser?.close();
  await app?.stop();
});

interface Grid {
  lines: { points: [number, number][] }[];
}

test("six clicks line a clip up, and the grid drawn is that of the frame shown", async () => {
  const { page, complaints } = await openPage(browser, app.url);
  const [play] = await app.call<{ id: string; clips: Record<string, string> }[]>("GET", "/plays");
  await page.goto(`${new URL(app.url).origin}/#/line-up/${play!.id}`);
  await page.waitForSelector('canvas[data-view="sideline"][data-frame]');
  const seen = hands.find((h) => h.view === "sideline")!;
  const { frame, clicks } = seen.lined_up[0]!;
  for (let f = 0; f < frame; f++) await page.keyboard.press("ArrowRight");
  await page.waitForSelector(`canvas[data-frame="${frame}"]`);
  await lineUp(page, "sideline", clicks.slice(0, 6), FIRST);

  const clip = play!.clips["sideline"]!;
  const { frames } = await app.call<{ frames: { trusted: boolean }[] }>("GET", `/clips/${clip}/cameras`);
  const sound = frames.filter((f) => f.trusted).length;
  const lane = page.getByRole("img", { name: /^Field found/ });
  assert.equal(await lane.getAttribute("aria-label"), `Field found: sound in ${sound} of ${frames.length} frames`);

  for (const key of ["Home", "End", "ArrowLeft", "w", "w"]) {
    await page.keyboard.press(key);
    await page.waitForTimeout(400);
    const shown = Number(await page.getAttribute("canvas[data-frame]", "data-frame"));
    const [grid] = await app.call<Grid[]>("GET", `/clips/${clip}/grid?from=${shown}&to=${shown + 1}`);
    const drawn = await page.$$eval("svg .grid polyline", (lines) => lines.map((l) => l.getAttribute("points")));
    const expected = (grid?.lines ?? []).map((l) => l.points.map((p) => p.join(",")).join(" "));
    assert.deepEqual(drawn, expected, `after ${key}, frame ${shown}`);
    assert.ok(drawn.length > 4 || !frames[shown]?.trusted, "a sound frame has a grid");
  }
  await assertAccessible(page, "Line up with a field");
  assert.deepEqual(complaints, []);
  await page.context().close();
});

test("clicks that contradict each other are refused in words, and nothing is drawn", async () => {
  const { page } = await openPage(browser, app.url);
  const [play] = await app.call<{ id: string }[]>("GET", "/plays");
  await page.goto(`${new URL(app.url).origin}/#/line-up/${play!.id}`);
  await page.waitForSelector("canvas[data-frame]");
  await page.keyboard.press("v");
  await page.waitForSelector('canvas[data-view="end-zone"][data-frame]');
  await page.keyboard.press("m"); // no pull to the chalk
  const box = (await page.locator("canvas[data-frame]").boundingBox())!;
  // Four crossings of two lines, all on one straight line of the picture.
  for (let i = 0; i < 4; i++) {
    await page.mouse.click(box.x + 120 + 60 * i, box.y + box.height / 2);
    await page.waitForTimeout(400);
  }
  await page.getByText("Not found.").waitFor();
  assert.equal(await page.locator("svg .grid polyline").count(), 0);
  await page.context().close();
});
