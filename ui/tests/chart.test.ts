/** Charting by keyboard in the real program: type-ahead, what is carried, routes from the playbook, undo, film meanwhile. */
import assert from "node:assert/strict";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import type { Browser } from "playwright-core";
import type { Chart, ConceptSummary, Recognised } from "../src/api/types.ts";
import { needless, EMPTY, offerFor, withConcept } from "../src/screens/chart/fields.ts";
import { likeness, rank } from "../src/screens/chart/rank.ts";
import { clockFrom, yardFrom } from "../src/screens/chart/situation.ts";
import { App, makeCounterFilms } from "./app.ts";
import { assertAccessible } from "./axe.ts";
import { openPage, startBrowser } from "./chromium.ts";
import { chart, focused } from "./tasks/chart.ts";

let app: App;
let browser: Browser;
let films: string;
let plays: { id: string }[];
before(async () => {
  films = await mkdtemp(join(tmpdir(), "tapemeasure-films-"));
  await makeCounterFilms(films, [
    ["h264", "30", 60, "sideline 1.mp4"],
    ["h264", "30", 50, "sideline 2.mp4"],
  ]);
  app = await App.start();
  await app.gameOf(films, { whole: true });
  plays = await app.call("GET", "/plays");
  browser = await startBrowser();
});
after(async () => {
  await browser?.close();
  await app?.stop();
  await rm(films, { recursive: true, force: true });
});
const chartOf = async (k: number) => (await app.call<{ chart: Chart }>("GET", `/plays/${plays[k]!.id}`)).chart;
const at = (k: number) => `${new URL(app.url).origin}/#/chart/${plays[k]!.id}`;

test("words are found by beginnings, initials and letters within, the likeliest first", () => {
  const words = ["Cover 3 sky", "Cover 3 cloud", "Quarters", "Quarter-quarter-half", "Four verticals"].map((value) => ({
    value,
  }));
  const first = (typed: string) => rank(typed, words)[0]?.value;
  assert.equal(first("q"), "Quarters");
  assert.equal(first("quarter-"), "Quarter-quarter-half");
  assert.equal(first("c3c"), "Cover 3 cloud");
  assert.equal(first("c 3 s"), "Cover 3 sky");
  assert.equal(first("cloud"), "Cover 3 cloud");
  assert.equal(first("fv"), "Four verticals");
  assert.equal(first("xyz"), undefined);
  assert.equal(likeness("Quarters", "quarters"), 0);
});

test("ball and clock are read as they are said", () => {
  assert.deepEqual(["left 34", "r20", "50", "", "34", "l 60"].map(yardFrom), [34, 80, 50, null, undefined, undefined]);
  assert.deepEqual(["4:31", "45", "", "x"].map(clockFrom), [271, 45, null, undefined]);
});

test("offers follow from what is charted, and are none where something is charted", () => {
  const from = { chart: { ...EMPTY, formation: "2x2", concept: "Stick", drop: "Three steps" }, from: "p1" };
  const book = [
    { id: "smash", name: "Smash", drop: "Five steps", plans: [{ id: "key" }], routes: [] },
  ] as unknown as ConceptSummary[];
  const last = { carried: from, seen: null, concepts: book };
  const nothing = { carried: null, seen: null, concepts: [] };
  assert.equal(offerFor(EMPTY, "formation", last)?.change.formation, "2x2");
  assert.equal(offerFor({ ...EMPTY, formation: "Empty" }, "formation", last), null);
  const other = { ...EMPTY, concept: "Smash" };
  assert.deepEqual(offerFor(other, "drop", last), { change: { drop: "Five steps" }, from: "playbook" });
  assert.deepEqual(offerFor(other, "plans", last), { change: { plans: ["key"] }, from: "playbook" });
  assert.equal(offerFor({ ...EMPTY, protection: "Six-man" }, "blockers", nothing)?.change.blockers, 6);
  assert.equal(offerFor({ ...EMPTY, result: "incomplete" }, "gain_yd", nothing)?.change.gain_yd, 0);
  const ran = [{ slot: "L1", route: "Corner" }];
  const seen = { chart: { ...EMPTY, formation: "3x1 left", concept: "Smash", routes: ran } } as unknown as Recognised;
  const looked = { ...last, seen };
  assert.deepEqual(offerFor(EMPTY, "formation", looked), { change: { formation: "3x1 left" }, from: "seen" });
  assert.equal(offerFor(EMPTY, "drop", looked)?.from, "carried", "what is not seen is carried");
  assert.deepEqual(withConcept(EMPTY, "Smash", looked).routes, ran, "the routes that were run, not the playbook's");
  assert.deepEqual(withConcept(EMPTY, "Stick", looked).routes, [], "the evaluator's concept is another");
  assert.ok(
    needless({ ...EMPTY, result: "complete" }, "miss") && !needless({ ...EMPTY, result: "incomplete" }, "miss"),
  );
});

test("a play is charted by keys alone; the next starts from it", async () => {
  const { page, complaints } = await openPage(browser, app.url);
  const { concepts } = await app.call<{ concepts: ConceptSummary[] }>("GET", "/concepts");
  await page.goto(at(0));
  await page.waitForSelector("#chart-formation");
  await chart(page, [
    { field: "formation", keys: "2x2" },
    { field: "motion", keys: "none" },
    { field: "protection", keys: "six" },
    { field: "rushers", keys: "5" },
    { field: "coverage_before", keys: "two h" },
    { field: "coverage_after", keys: "quarters" },
    { field: "concept", keys: "smash" },
    { field: "plans", keys: "2" },
    { field: "pocket", keys: "h" },
    { field: "target", keys: "l1" },
    { field: "result", keys: "inc" },
    { field: "miss", keys: "hi" },
    { field: "notes", keys: "late with his eyes" },
  ]);
  assert.equal(await focused(page), "", "after the last field the film has the keys");
  await page.waitForTimeout(500);
  const smash = concepts.find((c) => c.name.startsWith("Smash"))!;
  const made = await chartOf(0);
  assert.deepEqual(made, {
    formation: "2x2",
    motion: "None",
    protection: "Six-man",
    blockers: 6,
    rushers: 5,
    coverage_before: "Two high",
    coverage_after: "Quarters",
    concept: smash.name,
    routes: smash.routes,
    plans: [smash.plans[1]!.id],
    drop: smash.drop,
    pocket: "Hurried",
    target: "L1",
    result: "incomplete",
    miss: "High",
    gain_yd: 0,
    notes: "late with his eyes",
  });

  // Film keys do not type, and Alt with them moves the film while one types.
  await page.keyboard.press("Enter");
  const before = await page.getAttribute("canvas[data-frame]", "data-frame");
  await page.keyboard.press("Alt+ArrowRight");
  await page.waitForSelector(`canvas[data-frame="${Number(before) + 1}"]`);
  await page.keyboard.press("Escape");
  await page.keyboard.press("ArrowRight");
  await page.waitForSelector(`canvas[data-frame="${Number(before) + 2}"]`);
  await page.getByText("Keys move the film.").waitFor();

  // The next play: offered, not charted, until it is confirmed.
  await page.keyboard.press("PageDown");
  await page.waitForFunction(() => document.querySelector<HTMLInputElement>("#chart-formation")?.value === "2x2");
  assert.equal((await chartOf(1)).formation, "");
  assert.equal(await page.locator("#chart-formation-from").innerText(), "carried");
  await assertAccessible(page, "Chart with what is carried");
  await page.keyboard.press("Shift+Enter");
  await page.waitForTimeout(500);
  const carried = await chartOf(1);
  assert.deepEqual([carried.formation, carried.routes, carried.plans], ["2x2", smash.routes, made.plans]);
  assert.deepEqual(
    [carried.target, carried.result, carried.pocket],
    [null, null, ""],
    "facts of the throw are not carried",
  );
  assert.equal(await focused(page), "chart-pocket");

  // One route differs; own words are kept; undo takes the last edit back.
  await page.locator("#chart-route-L2").focus();
  await page.keyboard.type("post");
  await page.keyboard.press("Enter");
  await page.waitForTimeout(1800);
  assert.equal((await chartOf(1)).routes.find((r) => r.slot === "L2")!.route.toLowerCase(), "post");
  await page.locator("#chart-pocket").focus();
  await page.keyboard.type("spun out");
  await page.keyboard.press("Enter");
  await page.waitForTimeout(500);
  assert.equal((await chartOf(1)).pocket, "spun out");
  await page.keyboard.press("Escape");
  await page.keyboard.press("Control+z");
  await page.waitForFunction(() => document.querySelector<HTMLInputElement>("#chart-pocket")?.value === "");
  assert.equal((await chartOf(1)).pocket, "");

  // What cannot be is refused in words and the field is as before.
  await page.locator("#chart-result").focus();
  await page.keyboard.type("perhaps");
  await page.keyboard.press("Enter");
  await page.getByText("“perhaps” is no result.").waitFor();
  assert.equal((await chartOf(1)).result, null);
  assert.deepEqual(complaints, []);
  await page.context().close();
});
