/** Judging in the real program on an invented play: the strip and its figures, the clock, the evaluator's call and its undo. */
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import type { Browser, Page } from "playwright-core";
import type {
  Judged,
  Judgement,
  Measurement,
  PlayDetail,
  Race,
  Seen,
  ThrowMade,
  WindowCell,
} from "../src/api/types.ts";
import { FrameTable, type FilmFrames } from "../src/film/frames.ts";
import { plusMinus } from "../src/parts/plusminus.ts";
import { OUTCOMES, percent, standing, wordOf } from "../src/screens/judge/outcomes.ts";
import { figuresOf, mostOpen, nearest, rowsOf, shade, spanOf, sure } from "../src/screens/judge/strip.ts";
import { assertAccessible } from "./axe.ts";
import { openPage, startBrowser } from "./chromium.ts";
import { THROWN, type Entered, entered } from "./tasks/entered.ts";

let study: Entered;
let browser: Browser;
before(async () => {
  study = await entered(THROWN);
  browser = await startBrowser();
});
after(async () => {
  await browser?.close();
  await study?.stop();
});

const cell = (release_s: number, margin: number, se = 0.1, thrown = true): WindowCell => ({
  release_s,
  margin_s: { value: margin, se },
  margin_yd: { value: margin * 6, se },
  complete: { value: 0.7, se: 0.05 },
  intercept: { value: 0.02, se: 0.01 },
  ball: thrown ? { target: [1, 2], height_ft: 4.5, speed_mph: 48, launch_deg: 12, flight_s: 0.9, arc: "driven" } : null,
  defender: "cover-1",
});

test("± has the digits that its interval supports, as the report's own examples have it", () => {
  assert.equal(plusMinus({ value: 43.218, se: 0.21 }, "mph"), "43.2 ± 0.3 mph");
  assert.equal(plusMinus({ value: -12.4, se: 5 }, "°"), "−12 ± 8°");
  assert.equal(plusMinus({ value: -0.001, se: 0.02 }, "yd", true), "0.00 ± 0.03 yd");
  assert.equal(plusMinus({ value: 0.31, se: 0.07 }, "s", true), "+0.3 ± 0.1 s");
});

test("rows follow the plan's looks; a ball out of reach is never the most open", () => {
  const windows = ["L1", "L2", "R1", "B"].map((receiver, k) => ({
    receiver,
    cells: [cell(0, k), cell(1, -k, 0.1, receiver !== "L1")],
  }));
  const m = { windows } as unknown as Measurement;
  const look = (slot: string, at_s: number) => ({ slot, at_s, applies: true });
  const j = { looks: [look("R1", 1.2), look("L2", 1.6), look("R1", 2.4)] } as unknown as Judgement;
  const rows = rowsOf(m, j, [{ slot: "R1", route: "dig" }], "L2");
  assert.deepEqual(
    rows.map((r) => r.receiver),
    ["R1", "L2", "L1", "B"],
  );
  assert.deepEqual(
    rows[0]!.looks.map((l) => [l.place, l.at]),
    [
      [1, 1.2],
      [3, 2.4],
    ],
  );
  assert.deepEqual([rows[0]!.route, rows[1]!.thrown, rows[2]!.thrown], ["dig", true, false]);
  assert.equal(mostOpen(rows, 0.1), "B");
  assert.equal(mostOpen(rows, 0.9), "L2", "L1 has the wider margin of a ball that no arm can throw");
  assert.deepEqual(spanOf(rows), [0, 1]);
  assert.equal(spanOf([]), null);
});

test("shade, sureness and words leave no doubt to hue", () => {
  assert.notEqual(shade(0.6, "light"), shade(-0.6, "light"));
  assert.equal(shade(2, "dark"), shade(0.6, "dark"));
  assert.ok(sure(cell(0, 0.2, 0.1)) && !sure(cell(0, 0.15, 0.1)) && sure(cell(0, -0.2, 0.1)));
  assert.deepEqual([1, 0.999, 0.5, 0.004].map(percent), ["over 99%", "over 99%", "50%", "under 1%"]);
  const j = { plan: "a", outcomes: [{ outcome: "behind", probability: 1 }] } as unknown as Judgement;
  assert.equal(standing(j, undefined), "open");
  assert.equal(standing(j, { plan: "a", outcome: "behind" }), "agreed");
  assert.equal(standing(j, { plan: "a", outcome: "ahead" }), "overruled");
});

const detail = () => study.app.call<PlayDetail>("GET", `/plays/${study.play}`);
const measured = () => study.app.call<Measurement>("GET", `/plays/${study.play}/measurement`);
const judged = () => study.app.call<Judged>("GET", `/plays/${study.play}/judged`);
async function openJudge(theme: "light" | "dark" = "light") {
  await judged();
  const opened = await openPage(browser, study.app.url, theme);
  await opened.page.goto(`${new URL(study.app.url).origin}/#/judge/${study.play}`);
  for (const view of ["sideline", "end-zone"])
    await opened.page.waitForSelector(`canvas[data-view="${view}"][data-frame]`);
  await opened.page.locator(".strip [role=slider]").first().waitFor();
  return opened;
}
const receivers = (page: Page) =>
  page
    .locator(".strip [role=slider]")
    .evaluateAll((list) => list.map((e) => /^Window of (\w+)/.exec(e.getAttribute("aria-label")!)![1]!));
const clock = async (page: Page) =>
  Number(await page.getByRole("slider", { name: "Play's clock" }).getAttribute("aria-valuenow"));

test("a click on a cell takes the film there and says that cell's figures", async () => {
  const { page, complaints } = await openJudge();
  const [m, j, d] = await Promise.all([measured(), judged(), detail()]);
  assert.ok(j.judgements.length > 0, `nothing is judged: ${JSON.stringify(j.findings)}`);
  const expected = rowsOf(m, j.judgements[0], d.chart.routes, d.chart.target);
  assert.deepEqual(
    await receivers(page),
    expected.map((r) => r.receiver),
  );

  const [from, to] = spanOf(expected)!;
  const row = expected.find((r) => r.thrown) ?? expected[0]!;
  const slider = page.locator(".strip [role=slider]").nth(expected.indexOf(row));
  const box = (await slider.boundingBox())!;
  // Places on the strip are read from its own ticks: 0 s and the last whole half second.
  const ticks = await page
    .locator(".strip svg text.tick")
    .evaluateAll((list) => list.map((t) => ({ x: Number(t.getAttribute("x")), t: Number.parseFloat(t.textContent!) })));
  const [a, b] = [ticks[0]!, ticks.at(-1)!];
  const xOf = (t: number) => a.x + ((t - a.t) / (b.t - a.t)) * (b.x - a.x);
  const figures = page.getByRole("group", { name: "Figures of the chosen cell" });
  for (const share of [0.3, 0.55, 0.8]) {
    const t = from + share * (to - from);
    await page.mouse.click(box.x + xOf(t), box.y + box.height / 2);
    await page.waitForTimeout(400);
    const step = (to - from) / (row.cells.length - 1);
    const now = await clock(page);
    assert.ok(Math.abs(now - t) <= step, `clicked ${t} s, the clock says ${now} s`);
    const there = nearest(row.cells, now)!;
    const said = (await figures.innerText()).replace(/\s+/g, " ");
    assert.ok(said.includes(`${there.release_s.toFixed(2)} s`), said);
    for (const [label, value] of figuresOf(there, d.people))
      assert.ok(said.includes(`${label} ${value}`), `${label} ${value} in: ${said}`);
    const hand = Number(await page.locator(".strip .hand line").getAttribute("x1"));
    assert.ok(Math.abs(hand - xOf(now)) < 1, "the hand stands at the clock");
    // The picture is the last not after the instant, in both views.
    for (const c of d.clips) {
      const table = new FrameTable(await study.app.call<FilmFrames>("GET", `/films/${c.film}/frames`));
      const shown = Number(await page.getAttribute(`canvas[data-view="${c.view}"]`, "data-frame"));
      const zero = table.secondsAt(c.snap_frame!);
      assert.ok(table.seconds(shown) - zero <= now + 2e-3 && table.seconds(shown + 1) - zero > now - 2e-3, `${shown}`);
    }
  }
  const before = await page.locator("figure[aria-label='From above'] img").getAttribute("src");
  await slider.focus();
  const at = await clock(page);
  await page.keyboard.press("ArrowRight");
  await page.waitForTimeout(500);
  const cells = row.cells.map((c) => c.release_s);
  assert.ok(Math.abs((await clock(page)) - cells[cells.indexOf(nearest(row.cells, at)!.release_s) + 1]!) < 1e-3);
  await page.keyboard.press("Home");
  await page.waitForTimeout(700);
  const img = page.locator("figure[aria-label='From above'] img");
  assert.notEqual(await img.getAttribute("src"), before, "the diagram moves with the clock");
  const shownAt = Number(/at (-?[\d.]+) s/.exec((await img.getAttribute("alt"))!)![1]);
  assert.ok(Math.abs(shownAt - (await clock(page))) <= 0.05);
  assert.ok(await img.evaluate((i: HTMLImageElement) => i.complete && i.naturalWidth > 100));
  await assertAccessible(page, "Judge with figures");
  assert.deepEqual(complaints, []);
  await page.context().close();
});

test("a cell that is pointed at draws its throw and the race on film and diagram; the throw made says what it lost", async () => {
  const { page, complaints } = await openJudge("dark");
  const [m, d] = await Promise.all([measured(), detail()]);
  const row = m.windows.find((w) => w.receiver === d.chart.target)!;
  const release = m.moments.find((x) => x.kind === "release")!.at_s.value;
  const cell = nearest(row.cells, release)!;
  const race = (await study.app.call<Race>(
    "GET",
    `/plays/${study.play}/race?receiver=${row.receiver}&release_s=${cell.release_s}&t=${release}`,
  ))!;
  // Stored figures went through text, which keeps all but the last digit.
  const digits = (b: unknown) => JSON.stringify(b, (_, v) => (typeof v === "number" ? Number(v.toPrecision(9)) : v));
  assert.equal(digits(race.ball), digits(cell.ball), "what is drawn is what was counted");
  assert.equal(race.racers[1]!.person, cell.defender);
  assert.deepEqual(race.views.map((v) => v.view).sort(), ["end-zone", "sideline"]);

  const still = await page.locator("figure[aria-label='From above'] img").getAttribute("src");
  const at = await receivers(page);
  const box = (await page.locator(".strip [role=slider]").nth(at.indexOf(row.receiver)).boundingBox())!;
  assert.equal(await page.locator(".race").count(), 0);
  await page.mouse.move(box.x + box.width * 0.6, box.y + box.height / 2);
  await page.locator(".race .ball").first().waitFor();
  await page.waitForTimeout(700);
  assert.equal(await page.locator(".race").count(), 2, "both films");
  for (const points of await page.locator(".race .ball").evaluateAll((l) => l.map((e) => e.getAttribute("points")!)))
    assert.ok(points.split(" ").length > 4, points);
  assert.notEqual(
    await page.locator("figure[aria-label='From above'] img").getAttribute("src"),
    still,
    "the diagram has it too",
  );
  await page.mouse.move(box.x + 10, box.y - 200);
  await page.locator(".race").first().waitFor({ state: "detached" });

  const made = page.getByRole("region", { name: "The throw that was made" });
  await made.waitFor();
  const said = (await made.innerText()).replace(/\s+/g, " ");
  const told = await study.app.call<Seen<ThrowMade>>("GET", `/plays/${study.play}/throw-made`);
  assert.equal(told.state, "seen");
  if (told.state === "seen") assert.ok(said.includes(plusMinus(told.content.placement_s, "s")), said);
  await assertAccessible(page, "Judge with the throw made");
  assert.deepEqual(complaints, []);
  await page.context().close();
});

test("the evaluator agrees by one key, overrules by another, says why, and both calls stand", async () => {
  const { page, complaints } = await openJudge("dark");
  const { judgements } = await judged();
  const plan = judgements[0]!;
  const own = async () => (await detail()).calls.find((c) => c.plan === plan.plan);
  await page.keyboard.press("Delete"); // whatever the hand sheet had called
  await page.waitForTimeout(600);
  assert.equal(await own(), undefined);
  const panel = page.getByRole("complementary", { name: "Judgement" });
  assert.ok((await panel.innerText()).replace(/\s+/g, " ").includes(plan.reason.replace(/\s+/g, " ")));

  await page.keyboard.press("a");
  await panel.getByText("agreed").waitFor();
  await page.waitForTimeout(500);
  assert.equal((await own())?.outcome, plan.outcomes[0]!.outcome);

  const other = OUTCOMES.findIndex((o) => o.outcome === "traded") + 1;
  const place = plan.outcomes[0]!.outcome === "traded" ? 1 : other;
  await page.keyboard.press(String(place));
  await panel.getByText("overruled").waitFor();
  await page.keyboard.press("w");
  await page.keyboard.type("the man underneath was his answer");
  await page.keyboard.press("Escape");
  for (let k = 0; k < 40 && !(await own())?.why?.endsWith("answer"); k++) await page.waitForTimeout(250);
  const stands = OUTCOMES[place - 1]!;
  assert.deepEqual(await own(), { plan: plan.plan, outcome: stands.outcome, why: "the man underneath was his answer" });
  const both = (await panel.locator(".two").innerText()).replace(/\s+/g, " ");
  assert.ok(both.includes(`program ${wordOf(plan.outcomes[0]!.outcome)}`) && both.includes(`you ${stands.says}`), both);
  assert.deepEqual((await judged()).judgements[0], plan, "the program's own judgement stands as it was");

  await page.waitForTimeout(1600); // a later edit is a step of its own
  await page.keyboard.press("Delete");
  await panel.getByText("not yet").waitFor();
  await page.waitForTimeout(400);
  assert.equal(await own(), undefined);
  await page.keyboard.press("Control+z");
  await panel.getByText("overruled").waitFor();
  assert.equal((await own())?.why, "the man underneath was his answer");
  if (judgements.length > 1) {
    await page.keyboard.press("p");
    await panel.locator(`section[aria-label="The program under ${judgements[1]!.plan_name}"]`).waitFor();
  }
  await assertAccessible(page, "Judge with a call");
  assert.deepEqual(complaints, []);
  await page.context().close();
});
