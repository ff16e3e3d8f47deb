/** Measuring by hand in the real program on an invented play: marks, figures with intervals, moving, deleting, undo. */
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import type { Browser } from "playwright-core";
import type { Chart, FoundPeople, Measurement, PlayDetail, Proposals } from "../src/api/types.ts";
import { EMPTY } from "../src/screens/chart/fields.ts";
import { stageOf, stretches } from "../src/screens/measure/found.ts";
import { strideOf } from "../src/screens/measure/ball.ts";
import { FEET, repeatsIn } from "../src/screens/measure/feet.ts";
import { groupsOf } from "../src/screens/measure/figures.ts";
import { widestGap } from "../src/screens/measure/moments.ts";
import { following, rosterOf } from "../src/screens/measure/roster.ts";
import { App } from "./app.ts";
import { assertAccessible } from "./axe.ts";
import { openPage, startBrowser } from "./chromium.ts";
import { filmedPlay, onPage } from "./hands.ts";
import { stemOf, THROWN } from "./tasks/entered.ts";
import { linedUpAndCharted } from "./tasks/ready.ts";
import { ballsToMark, framesToMark, goTo, measureThrow, type Sheet } from "./tasks/measure.ts";

let app: App;
let browser: Browser;
let sheet: Sheet;
let play: string;
before(async () => {
  const folder = await filmedPlay(THROWN);
  sheet = JSON.parse(readFileSync(join(folder, "hands", `${stemOf(folder)}.json`), "utf8")) as Sheet;
  app = await App.start();
  play = await linedUpAndCharted(app, folder, stemOf(folder));
  browser = await startBrowser();
});
after(async () => {
  await browser?.close();
  await app?.stop();
});
const detail = () => app.call<PlayDetail>("GET", `/plays/${play}`);

test("the list has everybody of the chart, then eleven defenders", () => {
  const chart: Chart = { ...EMPTY, rushers: 5, routes: ["R1", "L2", "B", "L1"].map((slot) => ({ slot, route: "go" })) };
  const passer = { id: "passer", unit: "offense", role: { role: "passer" }, name: "" } as const;
  const list = rosterOf([passer], chart);
  assert.deepEqual(
    list.slice(0, 5).map((p) => p.id),
    ["passer", "L1", "L2", "R1", "B"],
  );
  assert.equal(list.filter((p) => p.unit === "defense").length, 11);
  assert.equal(list.filter((p) => p.role.role === "rusher").length, 5);
  assert.equal(
    following(list, "B", (p) => p.id.startsWith("rusher")),
    "rusher-1",
  );
  assert.equal(
    following(list, "rusher-5", () => true),
    "passer",
  );
});

test("the widest stretch without marks is found", () => {
  assert.equal(widestGap(0, 2, []), 1);
  assert.equal(widestGap(0, 2, [1]), 0.5);
  assert.equal(widestGap(0, 2, [0.5, 3]), 1.25);
});

test("the ball's film goes on by the stride of the last two marks", () => {
  const at = (...frames: number[]) => frames.map((frame) => ({ view: "sideline" as const, frame }));
  assert.equal(strideOf([], "sideline", 10), 1);
  assert.equal(strideOf(at(10), "sideline", 12), 2);
  assert.equal(strideOf(at(10, 12), "sideline", 40), 1, "it was out of sight");
  assert.equal(strideOf(at(10), "end-zone", 12), 1);
});

test("what is found is confirmed in the order in which it helps, and guesses are cut from what was seen", () => {
  const flight = { balls: [{ view: "sideline", frame: 9, pixel: [1, 2] }], rms_px: 0.4 };
  const proposals = {
    state: "ready",
    moments: [{ moment: "release", view: "sideline", frame: 8.2, sd_frames: 0.5 }],
    flight: { state: "seen", content: flight },
  } as unknown as Proposals;
  const person = { id: "passer", unit: "offense", role: { role: "passer" }, name: "" };
  const track = { id: "t1", labelled: false, person: null, proposal: { person, side: 0.9, role: 0.9 } };
  const people = { state: "ready", tracks: [track], repairs: [], findings: [] } as unknown as FoundPeople;
  assert.deepEqual(stageOf(people, proposals), { next: "moments", says: "release" });
  const marked = { ...proposals, moments: [] };
  assert.deepEqual(stageOf(people, marked), { next: "people", says: "1 person" });
  const taken = { ...people, tracks: [{ ...track, labelled: true, person }] } as unknown as FoundPeople;
  assert.deepEqual(stageOf(taken, marked), { next: "ball", says: "the ball in 1 frame" });
  const lost = { ...marked, flight: { state: "not-seen", content: "out of the picture" } } as unknown as Proposals;
  assert.deepEqual(stageOf(taken, lost), { next: null, says: "no ball: out of the picture" });
  const points = [true, true, false, true].map((seen, frame) => ({ frame, seen }));
  assert.deepEqual(
    stretches(points).map((s) => [s.seen, s.points.map((p) => p.frame)]),
    [
      [true, [0, 1]],
      [false, [1, 2]],
      [true, [2, 3]],
    ],
  );
});

test("a throw is measured by keys and clicks, and every figure on the page is the program's", async () => {
  const { page, complaints } = await openPage(browser, app.url);
  await page.goto(`${new URL(app.url).origin}/#/measure/${play}`);
  await page.waitForSelector('canvas[data-view="end-zone"][data-frame]');
  await page.waitForSelector('canvas[data-view="sideline"][data-frame]');
  await measureThrow(page, sheet);
  await page.getByText("± holds the truth in 90 of 100").waitFor({ timeout: 60_000 });

  const made = await detail();
  const wanted = framesToMark(sheet, "sideline");
  const expected = sheet.people.filter((p) => p.view === "sideline" && wanted.includes(p.frame));
  assert.equal(made.marks.people.length, expected.length, "one mark for each click");
  for (const m of made.marks.people) {
    const near = expected.filter((p) => p.frame === m.frame);
    const off = Math.min(...near.map((p) => Math.hypot(p.pixel[0] - m.pixel[0]!, p.pixel[1] - m.pixel[1]!)));
    assert.ok(off < 1, `${m.person} in frame ${m.frame}: ${off} px from where was clicked`);
  }
  const feetFrame = sheet.feet.find((f) => f.view === "sideline")!.frame;
  assert.deepEqual(
    repeatsIn(made.marks, "sideline", feetFrame),
    FEET.map((f) => {
      const seen = sheet.feet.filter((x) => x.foot === f.foot && x.part === f.part && x.view === "sideline");
      return Math.min(2, seen.length);
    }),
  );
  assert.equal(made.marks.ball.length, ballsToMark(sheet, "sideline").length + ballsToMark(sheet, "end-zone").length);

  const m = await app.call<Measurement>("GET", `/plays/${play}/measurement`);
  assert.equal(m.throw.state, "seen");
  assert.equal(m.feet.state, "seen");
  const panel = await page.getByRole("group", { name: "Measured figures" }).innerText();
  const plain = panel.replace(/\s+/g, " ");
  for (const g of groupsOf(m))
    for (const r of g.rows)
      assert.ok(
        plain.includes(r.why ? `${r.label} not seen: ${r.why}` : `${r.label} ${r.text}`),
        `${r.label} in: ${plain}`,
      );
  // A finding that only repeats why a figure was not seen is told once, at the figure.
  for (const f of m.findings) {
    const message = f.message.replace(/\s+/g, " ");
    const why = message.slice(message.indexOf(": ") + 2);
    assert.ok(plain.includes(message) || plain.includes(`not seen: ${why}`), f.message);
  }
  const feet = page.getByRole("img", { name: /^Feet at release/ });
  await feet.waitFor();
  assert.ok(await feet.evaluate((i: HTMLImageElement) => i.complete && i.naturalWidth > 100), "the figure is drawn");
  assert.ok((await page.locator(".trails polyline").count()) >= 10, "paths lie over the film");
  await assertAccessible(page, "Measure with figures");

  // A mark is dragged, the drag is undone, the mark is taken away, that is undone.
  const mark = made.marks.people.find((k) => k.person === "passer" && k.frame === wanted.at(-1))!;
  await page.keyboard.press("p");
  await goTo(page, "sideline", mark.frame);
  const from = await onPage(page, "sideline", [mark.pixel[0]!, mark.pixel[1]!]);
  await page.mouse.move(...from);
  await page.mouse.down();
  await page.mouse.move(from[0] + 15, from[1] + 10, { steps: 4 });
  await page.mouse.up();
  await page.waitForTimeout(500);
  const at = async () => (await detail()).marks.people.find((k) => k.id === mark.id)?.pixel;
  const moved = (await at())!;
  assert.ok(Math.hypot(moved[0]! - mark.pixel[0]!, moved[1]! - mark.pixel[1]!) > 5, "the mark went along");
  await page.keyboard.press("Delete");
  await page.waitForTimeout(500);
  assert.equal(await at(), undefined);
  await page.keyboard.press("Control+z");
  await page.waitForTimeout(500);
  assert.deepEqual(await at(), moved);
  await page.keyboard.press("Control+z");
  await page.waitForTimeout(500);
  assert.deepEqual(await at(), mark.pixel);
  assert.deepEqual(complaints, []);
  await page.context().close();
});
