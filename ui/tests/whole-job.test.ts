/**
 * The whole job in the real page, from raw video files to the finished report: load, pair, line up, chart, measure, judge, state,
 * print. Every step is done by keys and clicks; the program's calls are only read, to know that each step is stored.
 */
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { after, before, test } from "node:test";
import type { Browser, Page } from "playwright-core";
import type { Chart, ConceptSummary, Judged, Measurement, PlayDetail, Situation, ViewName } from "../src/api/types.ts";
import { yardLine } from "../src/parts/words.ts";
import { App } from "./app.ts";
import { openPage, startBrowser } from "./chromium.ts";
import { filmedPlay, handsOf } from "./hands.ts";
import { pagesOf } from "./pdf.ts";
import { chart } from "./tasks/chart.ts";
import { stemOf, THROWN } from "./tasks/entered.ts";
import { FIRST, lineUp } from "./tasks/line-up.ts";
import { measureThrow, type Sheet } from "./tasks/measure.ts";

let app: App;
let browser: Browser;
let folder: string;
let stem: string;
before(async () => {
  folder = await filmedPlay(THROWN);
  stem = stemOf(folder);
  app = await App.start();
  browser = await startBrowser();
});
after(async () => {
  await browser?.close();
  await app?.stop();
});

async function load(page: Page) {
  await page.getByLabel("Game", { exact: true }).fill("Week 1");
  await page.keyboard.press("Enter");
  await page.getByText("Field painted by college rules.").waitFor();
  await page.keyboard.press("Escape");
  await page.locator("main").click({ position: { x: 5, y: 5 } });
  await page.keyboard.press("f");
  await page.keyboard.type(join(folder, "film"));
  await page.keyboard.press("Enter");
  await page.getByLabel(`${stem}-sideline.mp4`).waitFor();
  await page.keyboard.press("Escape");
  await page.keyboard.press("i");
  for (let waited = 0; (await app.call<unknown[]>("GET", "/clips")).length < 2; waited++) {
    assert.ok(waited < 600, "the films did not come in within two minutes");
    await page.waitForTimeout(200);
  }
  await page.waitForTimeout(1000);
  await page.keyboard.press("p");
  await page.getByRole("complementary", { name: "Plays" }).getByRole("link").first().waitFor();
}

async function lineUpView(page: Page, view: ViewName) {
  await page.reload(); // what a click marks is then what Line up offers first
  await page.waitForSelector("canvas[data-frame]");
  if (view === "end-zone") await page.keyboard.press("v");
  await page.waitForSelector(`canvas[data-view="${view}"][data-frame]`);
  const { frame, clicks } = handsOf(folder, stem).find((h) => h.view === view)!.lined_up[0]!;
  await page.keyboard.press("Home");
  for (let f = 0; f < frame; f++) await page.keyboard.press("ArrowRight");
  await page.waitForSelector(`canvas[data-frame="${frame}"]`);
  await lineUp(page, view, clicks, FIRST);
}

async function writeSituation(page: Page, s: Situation) {
  await page.keyboard.press("s");
  const put = async (label: string, text: string) => {
    await page.getByLabel(label, { exact: true }).fill(text);
    await page.keyboard.press("Enter");
  };
  await put("Down", String(s.down));
  await put("To go, yd", String(s.distance_yd));
  await put("Ball on", yardLine(s.line_x!));
  await page.getByLabel(/^Hash/).selectOption(s.hash!);
  await page.getByLabel(/^Going/).selectOption(s.direction!);
  await page.waitForTimeout(600);
  await page.keyboard.press("Escape");
}

test("from raw film to the finished PDF", async () => {
  const { page, complaints } = await openPage(browser, app.url);
  const origin = new URL(app.url).origin;
  const sheet = JSON.parse(readFileSync(join(folder, "hands", `${stem}.json`), "utf8")) as Sheet & {
    chart: Chart & Situation;
  };
  await load(page);
  const [play] = await app.call<{ id: string; clips: Record<string, string> }[]>("GET", "/plays");
  assert.deepEqual(Object.keys(play!.clips).sort(), ["end-zone", "sideline"]);

  await page.goto(`${origin}/#/line-up/${play!.id}`);
  for (const view of ["sideline", "end-zone"] as const) {
    await lineUpView(page, view);
    const { trusted } = await app.call<{ trusted: number }>("GET", `/clips/${play!.clips[view]}/cameras`);
    assert.ok(trusted > 0.5, `${view}: ${trusted} of the frames are lined up with trust`);
  }

  await page.goto(`${origin}/#/chart/${play!.id}`);
  await page.waitForSelector("#chart-formation");
  await writeSituation(page, sheet.chart);
  const { concepts } = await app.call<{ concepts: ConceptSummary[] }>("GET", "/concepts");
  const concept = concepts.find((c) => c.name.toLowerCase() === sheet.chart.concept || c.id === sheet.chart.concept)!;
  assert.ok(concept, `the playbook has ${sheet.chart.concept}`);
  const rushers = new Set(sheet.people.filter((p) => p.position === "rusher").map((p) => p.person));
  await chart(page, [
    { field: "formation", keys: sheet.chart.formation },
    { field: "rushers", keys: String(rushers.size) },
    { field: "concept", keys: concept.name.toLowerCase() },
    { field: "target", keys: sheet.chart.target!.toLowerCase() },
    { field: "result", keys: sheet.chart.result!.slice(0, 4) },
  ]);
  await page.waitForTimeout(800);
  const detail = () => app.call<PlayDetail>("GET", `/plays/${play!.id}`);
  const charted = await detail();
  assert.equal(charted.chart.concept, concept.name);
  assert.equal(charted.chart.target, sheet.chart.target);
  const { line_x, hash, direction } = charted.play.situation;
  assert.deepEqual(
    { line_x, hash, direction },
    { line_x: sheet.chart.line_x, hash: sheet.chart.hash, direction: sheet.chart.direction },
  );

  await page.goto(`${origin}/#/measure/${play!.id}`);
  for (const view of ["sideline", "end-zone"]) await page.waitForSelector(`canvas[data-view="${view}"][data-frame]`);
  await measureThrow(page, sheet);
  await page.waitForTimeout(1500);
  const m = await app.call<Measurement>("GET", `/plays/${play!.id}/measurement`);
  assert.equal(m.throw.state, "seen", JSON.stringify(m.throw));
  assert.ok(m.windows.length > 0, JSON.stringify(m.findings));

  const { judgements, findings } = await app.call<Judged>("GET", `/plays/${play!.id}/judged`);
  assert.ok(judgements.length > 0, JSON.stringify(findings));
  await page.keyboard.press("Escape");
  await page.keyboard.press("g");
  await page.keyboard.press("j");
  await page.locator(".strip [role=slider]").first().waitFor({ timeout: 60_000 });
  await page.keyboard.press("a");
  await page.getByRole("complementary", { name: "Judgement" }).getByText("agreed").waitFor();
  await page.waitForTimeout(500);
  assert.equal((await detail()).calls[0]?.outcome, judgements[0]!.outcomes[0]!.outcome);

  const sentence = "Knew where his answer was before the ball was snapped.";
  await page.keyboard.press("g");
  await page.keyboard.press("v");
  await page.getByText("Nothing is stated yet.").waitFor({ timeout: 60_000 });
  await page.keyboard.press("n");
  await page.keyboard.type(sentence);
  await page.keyboard.press("Escape");
  await page.keyboard.press("f");
  await page.getByLabel("Rest it on a measure").selectOption("time-to-throw");
  await page
    .locator(".figures")
    .getByText(/^Time to throw: [\d.]+ s/)
    .first()
    .waitFor();
  await page.waitForTimeout(800);
  const coming = page.waitForEvent("download", { timeout: 180_000 });
  await page.keyboard.press("Escape");
  await page.keyboard.press("p");
  const file = await coming;
  assert.equal(file.suggestedFilename(), "Week 1 report.pdf");
  const bytes = await readFile((await file.path())!);
  assert.equal(bytes.subarray(0, 5).toString("latin1"), "%PDF-");
  assert.match(bytes.subarray(-32).toString("latin1"), /%%EOF\s*$/);
  assert.ok(pagesOf(bytes) >= 2, `${pagesOf(bytes)} pages`);
  assert.deepEqual(complaints, []);
  await page.context().close();
});
