/**
 * Three charted games to a report with film in the real program: statements tied to figures and a pattern, contrary clips taken by one
 * key, the film session, and the HTML whose clips play. What was really pressed is counted beside its budget. Then the decisions are
 * called again, blind.
 */
import assert from "node:assert/strict";
import { readFile, rename } from "node:fs/promises";
import { after, before, test } from "node:test";
import type { Browser, Page } from "playwright-core";
import type { BlindSet, Consistency, Game, WeighedClaim } from "../src/api/types.ts";
import { assertAccessible } from "./axe.ts";
import { openPage, startBrowser } from "./chromium.ts";
import { Counter, report } from "./klm.ts";
import { THROWN, type Entered, entered } from "./tasks/entered.ts";

/** Budget of docs: three charted games to a report with a cut-up, s. */
const BUDGET_S = 15 * 60;

let study: Entered;
let browser: Browser;

/** Two more games, charted without film: pressured throws miss, clean ones are caught, with one of each the other way. */
async function chartTwoMoreGames() {
  const { call } = study.app;
  const at = call.bind(study.app);
  const team = { name: "", shirt: null };
  for (const name of ["Second game", "Third game"]) {
    const game = await at<Game>("POST", "/games", {
      name,
      rule_book: "college",
      offense: team,
      defense: team,
      air: { altitude_m: 0, temperature_c: 15, wind: null },
      crown: null,
    });
    for (let k = 0; k < 16; k++) {
      const pressured = k % 2 === 1;
      const complete = pressured === (k === 5 || k === 8);
      const play = await at<{ id: string }>("POST", "/plays", { game: game.id, situation: { down: 1 + (k % 3) } });
      await at("PUT", `/plays/${play.id}/chart`, {
        pocket: pressured ? "hurried" : "clean",
        result: complete ? "complete" : "incomplete",
        miss: complete ? "" : "high",
        concept: "smash",
      });
      await at("PUT", `/plays/${play.id}/calls/smash-key`, {
        plan: "smash-key",
        outcome: complete ? "in-rhythm" : "behind",
        why: "",
      });
    }
  }
}

before(async () => {
  study = await entered(THROWN);
  await study.app.call("GET", `/plays/${study.play}/judged`);
  await chartTwoMoreGames();
  browser = await startBrowser();
});
after(async () => {
  await browser?.close();
  await study?.stop();
});
const claims = () => study.app.call<WeighedClaim[]>("GET", "/claims");

/** Chooses in the figure menu by typing the first letters of what it offers. */
async function restOn(page: Page, letters: string) {
  await page.keyboard.press("m");
  await page.keyboard.type(letters);
  await page.keyboard.press("Enter");
  await page.keyboard.press("Escape");
}
async function until(page: Page, holds: (c: WeighedClaim[]) => boolean, what: string) {
  for (let waited = 0; !holds(await claims()); waited++) {
    assert.ok(waited < 150, `${what}: ${JSON.stringify(await claims())}`);
    await page.waitForTimeout(100);
  }
}
async function downloaded(page: Page, key: string): Promise<string> {
  const coming = page.waitForEvent("download", { timeout: 120_000 });
  await page.keyboard.press(key);
  return (await (await coming).path())!;
}

test("three charted games become a report whose film opens", async () => {
  const { page, complaints } = await openPage(browser, study.app.url);
  await page.goto(`${new URL(study.app.url).origin}/#/verdict/${study.play}`);
  await page.getByText("Nothing is stated yet.").waitFor({ timeout: 60_000 });
  const counter = await Counter.on(page);

  // A strength on a plain measure, with the open play's clip and the first two contrary ones.
  counter.decide();
  await page.keyboard.press("n");
  await page.keyboard.type("Completes most of what he throws.");
  await page.keyboard.press("Escape");
  await page.keyboard.press("1");
  counter.decide();
  await restOn(page, "Throws comp");
  counter.decide();
  await page.keyboard.press("f");
  await until(page, (c) => (c[0]?.contrary.length ?? 0) > 1, "contrary clips are proposed");
  const [first] = await claims();
  assert.equal(first!.claim.strands[0]!.measure, "completions");
  assert.match(first!.one_sided, /^Only clips in favour are chosen; 16 plays/);
  await page.getByText("Only clips in favour are chosen").first().waitFor({ timeout: 10_000 });
  const telling = first!.contrary.map((c) => c.play);
  await assertAccessible(page, "Verdict with contrary clips");
  counter.decide();
  await page.keyboard.press("r");
  await page.keyboard.press("r");
  await until(page, (c) => c[0]?.claim.evidence.against.length === 2, "two contrary clips are taken");
  assert.deepEqual((await claims())[0]!.claim.evidence.against, telling.slice(0, 2), "the most telling first");
  assert.equal((await claims())[0]!.one_sided, "", "the warning goes");

  // What to work on, on a group of a pattern's answer.
  counter.decide();
  await page.keyboard.press("n");
  await page.keyboard.type("Give him an answer to pressure.");
  await page.keyboard.press("Escape");
  await page.keyboard.press("3");
  counter.decide();
  await restOn(page, "pressured:");
  await until(page, (c) => c.some((x) => x.claim.strands[0]?.group === "pressured"), "it rests on the pattern");
  counter.decide();
  await page.keyboard.press("t");
  await until(page, (c) => c.some((x) => x.claim.stage === "feet"), "the stage is the evaluator's");
  const work = (await claims()).find((c) => c.claim.leaning === "work")!;
  assert.match(work.figures[0]!, /by pocket, “pressured”: \d+ of \d+.*against/);
  assert.ok(work.unsupported, "no clip shows it yet");

  // Undo takes the stage back.
  await page.keyboard.press("Control+z");
  await until(page, (c) => c.every((x) => x.claim.stage == null), "undone");
  await page.keyboard.press("Control+Shift+z");
  await until(page, (c) => c.some((x) => x.claim.stage === "feet"), "redone");

  // A fault on another measure, and the first question that the film leaves open.
  counter.decide();
  await page.keyboard.press("n");
  await page.keyboard.type("What he misses, he misses high.");
  await page.keyboard.press("Escape");
  await page.keyboard.press("2");
  counter.decide();
  await restOn(page, "Misses that");
  counter.decide();
  await page.keyboard.press("f");
  await until(page, (c) => c.some((x) => x.claim.leaning === "fault" && x.claim.strands.length === 1), "a fault");
  counter.decide();
  await page.keyboard.press("q");
  await until(page, (c) => c.some((x) => x.claim.leaning === "open"), "an open question is taken");
  const open = (await claims()).find((c) => c.claim.leaning === "open")!;
  assert.ok(open.claim.strands[0]!.by && open.needed.length > 0 && !open.unsupported, "with what film would answer it");

  // The report of the whole study with film, and the film session.
  counter.decide();
  await page.keyboard.press("w");
  const one = await readFile(await downloaded(page, "h"));
  counter.decide();
  const session = await readFile(await downloaded(page, "s"));
  await report("room.report_from_three_games", counter, BUDGET_S, "4 statements, HTML with film, film session");
  assert.equal(session.subarray(4, 8).toString("latin1"), "ftyp", "an MP4 (ISO/IEC 14496-12, 4.3)");

  // The same study gives the same bytes, film and all.
  await page.waitForTimeout(300);
  const path = await downloaded(page, "h");
  const html = await readFile(path);
  assert.ok(one.equals(html), "byte for byte");
  assert.ok(!/(src|href)="https?:|<script/.test(html.toString("latin1")), "it asks for nothing and runs nothing");
  for (const said of [
    "Strengths",
    "What to work on first",
    "Unsupported",
    "fingerprint",
    "seed 1",
    "Before you use this",
  ])
    assert.ok(html.includes(said), said);

  // Opened from disk, a sentence's clip plays in place.
  await rename(path, `${path}.html`);
  const reader = await browser.newPage({ viewport: { width: 1280, height: 720 } });
  await reader.goto(`file://${path}.html`);
  await reader
    .getByRole("link", { name: /^▶ A game, play 1/ })
    .first()
    .click();
  const video = reader.locator("section.film:target video");
  await video.waitFor({ state: "visible" });
  const played = await video.evaluate(async (v: HTMLVideoElement) => {
    v.muted = true;
    await v.play();
    await new Promise((done) => setTimeout(done, 700));
    return [v.videoWidth, v.videoHeight, v.currentTime];
  });
  assert.deepEqual(played.slice(0, 2), [640, 360]);
  assert.ok(played[2]! > 0.2, "it runs");
  await assertAccessible(reader, "Report with film");
  await reader.getByRole("link", { name: "Close" }).first().click();
  await video.waitFor({ state: "hidden" });
  await reader.close();
  assert.deepEqual(complaints, []);
  await page.context().close();
});

test("decisions are called again by keys, and the first calls show only at the end", async () => {
  const { page, complaints } = await openPage(browser, study.app.url);
  await page.goto(`${new URL(study.app.url).origin}/#/verdict/${study.play}`);
  await page.getByText("No decision was called a second time yet.").waitFor({ timeout: 60_000 });
  await page.keyboard.press("y");
  await page.getByRole("heading", { name: "Call it again" }).waitFor();
  assert.equal(await page.getByRole("heading", { name: "Statements" }).count(), 0, "what was said of plays is hidden");
  const set = async () => (await study.app.call<Consistency>("GET", "/consistency")).sets[0] as BlindSet;
  const n = (await set()).items.length;
  await assertAccessible(page, "Calling again");
  for (let k = 0; k < n; k++) {
    assert.ok((await set()).items.every((i) => i.earlier == null));
    await page.keyboard.press("1");
    for (let waited = 0; (await set()).items.filter((i) => i.again != null).length <= k; waited++) {
      assert.ok(waited < 100, `call ${k + 1} is not stored`);
      await page.waitForTimeout(50);
    }
    if (k < n - 1) await page.getByText(`${k + 2} of ${n};`).waitFor();
  }
  const over = await set();
  assert.ok(over.finished && over.items.every((i) => i.earlier != null));
  const same = over.items.filter((i) => i.earlier === "in-rhythm").length;
  assert.equal(over.agreement!.same, same);
  await page.getByText(`With yourself: ${over.agreement!.words}`).waitFor();
  assert.deepEqual(complaints, []);
  await page.context().close();
});
