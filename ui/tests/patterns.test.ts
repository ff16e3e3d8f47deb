/** Patterns in the real program: questions, clips behind every mark, the same picture again, results taken apart, passers, the verdict. */
import assert from "node:assert/strict";
import { execFile } from "node:child_process";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { promisify } from "node:util";
import type { Browser, Page } from "playwright-core";
import type {
  Answer,
  Apart,
  Learned,
  PassersCompared,
  Several,
  Pattern,
  PlaySummary,
  SeenAgain,
  WeighedClaim,
} from "../src/api/types.ts";
import { App, makeTables, program } from "./app.ts";
import { assertAccessible } from "./axe.ts";
import { openPage, startBrowser } from "./chromium.ts";

const run = promisify(execFile);
let place: string;
let app: App;
let browser: Browser;
let plays: PlaySummary[];
let games: { id: string; name: string }[];

/** A study out of tables of positions: one game for each seed. */
async function studyOf(name: string, passer: string, seeds: number[], each: number): Promise<string> {
  const study = join(place, `${name}.tape`);
  const say = (...words: string[]) => run(program(), words, { maxBuffer: 1 << 26 });
  await say("new", name, study, "--passer", passer, "--evaluator", "a tester");
  for (const [k, seed] of seeds.entries()) {
    const tables = join(place, `${name}-${seed}`);
    await makeTables(tables, seed, each);
    const made = await say("game", study, `Game ${k + 1}`, "--rule-book", "college");
    const game = ["--game", made.stdout.trim()];
    await say("table", study, join(tables, "positions.csv"), "--plays", join(tables, "plays.csv"), ...game);
  }
  return study;
}

before(async () => {
  place = await mkdtemp(join(tmpdir(), "tapemeasure-patterns-"));
  const study = await studyOf("patterns", "the passer", [3, 5], 24);
  await studyOf("other", "another passer", [9], 16);
  app = await App.start(study);
  plays = await app.call<PlaySummary[]>("GET", "/plays");
  games = (await app.call<{ games: { id: string; name: string }[] }>("GET", "/study")).games;
  await app.call("GET", "/patterns");
  browser = await startBrowser();
});
after(async () => {
  await browser?.close();
  await app?.stop();
  await rm(place, { recursive: true, force: true });
});

const flat = (s: string) => s.replace(/\s+/g, " ").trim();
const nameOf = (game: string) => games.find((g) => g.id === game)!.name;
const numberOf = (id: string) => {
  const p = plays.find((q) => q.id === id)!;
  return `Play ${p.number}, ${nameOf(p.game)}`;
};
const clipsOf = (page: Page) => page.locator("section[aria-labelledby=clips-title] li button");
async function opened(theme: "light" | "dark" = "light") {
  const { page, complaints } = await openPage(browser, app.url, theme);
  await page.goto(`${new URL(app.url).origin}/#/patterns/${plays[0]!.id}`);
  await page.locator("article.sheet").waitFor({ timeout: 60_000 });
  return { page, complaints };
}

test("ready questions are answered with what they can carry, and a mark's clips play here", async () => {
  const { page, complaints } = await opened();
  const all = await app.call<Pattern[]>("GET", "/patterns");
  const list = page.getByRole("group", { name: "Questions", exact: true });
  for (const p of all) assert.ok(flat(await list.innerText()).includes(p.asks), p.asks);
  const depth = all.find((p) => p.id === "depth")!.answer;
  await list.getByRole("button", { name: /^.?\s*By depth/ }).click();
  const sheet = page.getByRole("article", { name: depth.title });
  await sheet.waitFor();
  const said = flat(await sheet.innerText());
  for (const g of depth.groups)
    if (g.difference) assert.ok(said.includes(flat(g.difference.words)), g.difference.words);
  for (const l of depth.left) assert.ok(said.includes(`${l.plays.length} not seen ${l.field}: ${l.why}`), said);

  const group = depth.groups.find((g) => g.n > 3)!;
  await sheet.getByRole("button", { name: `${group.word}: ${group.words}; open its plays` }).click();
  assert.deepEqual(
    (await clipsOf(page).allInnerTexts()).map((t) => flat(t).match(/Play \d+, Game \d/)![0]),
    group.plays.map(numberOf),
  );
  const clock = page.locator(".right .film");
  await clipsOf(page).nth(1).click();
  await page.waitForFunction((id) => location.hash.endsWith(id), `#/patterns/${group.plays[1]}`);
  const begun = await clock.innerText();
  await page.waitForFunction((t) => (document.querySelector(".right .film") as HTMLElement).innerText !== t, begun);
  await page.keyboard.press("c");
  await page.waitForFunction((id) => location.hash.endsWith(id), `#/patterns/${group.plays[2 % group.n]}`);
  // The sheet's keys: from group to group.
  await page.keyboard.press("n");
  assert.notEqual(await page.locator("#clips-title").innerText(), `${depth.of.label}, ${group.word}`);
  // Over one game only.
  await page.getByLabel("Game 2").uncheck();
  const one = (await app.call<Pattern[]>("GET", `/patterns?games=${games[0]!.id}`)).find(
    (p) => p.id === "depth",
  )!.answer;
  await page.waitForFunction(
    (w) => document.querySelector("article.sheet")?.textContent?.replace(/\s+/g, " ").includes(w),
    `${one.whole.yes} of ${one.whole.n}`,
  );
  assert.deepEqual(complaints, []);
  await page.context().close();
});

test("a question of one's own is asked, and its group is put under a statement of the verdict", async () => {
  const { page, complaints } = await opened();
  const form = page.getByRole("form", { name: "A question of your own" });
  await form.getByLabel("measure").selectOption("time-to-throw");
  await form.getByLabel("split by").selectOption("man-zone");
  await form.getByLabel("only where").selectOption("down");
  await form.getByLabel("Its word").selectOption("1st");
  await form.getByRole("button", { name: "Ask" }).click();
  const question = { of: "time-to-throw", by: "man-zone", only: [{ field: "down", words: ["1st"] }] };
  const answer = await app.call<Answer>("POST", "/patterns/ask", question);
  const sheet = page.getByRole("article", { name: answer.title });
  await sheet.waitFor();
  const man = answer.groups[0]!;
  await sheet.getByRole("button", { name: `${man.word}: ${man.words}; open its plays` }).click();
  // Nothing goes into the verdict without the evaluator's sentence.
  await page.keyboard.press("e");
  await page.keyboard.press("Enter");
  await page.getByText("Write the sentence first").waitFor();
  assert.deepEqual(await app.call("GET", "/claims"), []);
  await page.keyboard.type("Holds the ball against man.");
  await page.keyboard.press("Enter");
  await page.getByText("The statement is in the verdict").waitFor();
  const [claim] = await app.call<WeighedClaim[]>("GET", "/claims");
  const { measure, by, group, only } = claim!.claim.strands[0]!;
  assert.deepEqual(
    { measure, by, group, only },
    { measure: "time-to-throw", by: "man-zone", group: man.word, only: question.only },
  );
  assert.equal(claim!.claim.text, "Holds the ball against man.");
  assert.ok(claim!.figures[0]!.includes(man.words), claim!.figures[0]);

  // One measure against another is drawn as dots, each of which plays.
  await form.getByLabel("split by").selectOption("target-depth");
  await form.getByRole("button", { name: "Ask" }).click();
  const dots = await app.call<Answer>("POST", "/patterns/ask", { ...question, by: "target-depth" });
  const plot = page.getByRole("figure", { name: dots.title });
  await plot.waitFor();
  assert.equal(await plot.getByRole("button").count(), dots.dots.length);
  assert.ok(flat(await page.getByRole("article", { name: dots.title }).innerText()).includes(flat(dots.slope!.words)));
  const leftmost = [...dots.dots].sort((a, b) => a.x.value - b.x.value)[0]!;
  await plot.getByRole("button").first().focus();
  await page.keyboard.press("Enter");
  await page.waitForFunction((id) => location.hash.endsWith(id), `/${leftmost.play}`);
  await page.keyboard.press("ArrowRight");
  assert.deepEqual(complaints, []);
  await page.context().close();
});

test("the same picture again in the order of time, and whether he learned", async () => {
  const { page, complaints } = await opened();
  await page.keyboard.press("2");
  const near = page.getByRole("group", { name: "Nearest plays" });
  const found = await app.call<SeenAgain[]>("GET", `/plays/${plays[0]!.id}/again`);
  assert.ok(found.length > 2);
  await near.getByText(found[0]!.did).first().waitFor({ timeout: 30_000 });
  const told = flat(await near.innerText());
  for (const f of found)
    assert.ok(told.includes(`${numberOf(f.play)} ${f.did}`) && told.includes(f.likeness.words), told);
  // Playing a neighbour keeps the list of the play one came from.
  await near.getByRole("button", { name: numberOf(found[1]!.play), exact: true }).click();
  await page.waitForFunction((id) => location.hash.endsWith(id), `/${found[1]!.play}`);
  await near.getByRole("button", { name: `open all ${found.length + 1} as clips` }).click();
  assert.equal(await clipsOf(page).count(), found.length + 1);

  const learn = page.getByRole("group", { name: "Did he learn" });
  await learn.getByLabel("told by").selectOption("completions");
  const learned = await app.call<Learned>("GET", "/patterns/learned?of=completions");
  assert.ok(learned.pictures.length > 0);
  await learn.getByText(learned.pictures[0]!.words).first().waitFor();
  const text = flat(await learn.innerText());
  for (const p of learned.pictures) assert.ok(text.includes(p.name) && text.includes(p.words), p.name);
  for (const g of learned.answer.groups) assert.ok(text.includes(`${g.yes} of ${g.n}`), text);
  const showing = learned.pictures[0]!.showings[1]!;
  await learn
    .getByRole("button", { name: new RegExp(`${numberOf(showing.play)}\\s?:`) })
    .first()
    .click();
  await page.waitForFunction((id) => location.hash.endsWith(id), `/${showing.play}`);
  assert.deepEqual(complaints, []);
  await page.context().close();
});

test("a result is taken apart, each step opens its plays, and passers are compared with intervals", async () => {
  const { page, complaints } = await opened();
  await page.keyboard.press("3");
  const apart = await app.call<Apart>("GET", "/patterns/apart?by=depth");
  const table = page.getByRole("table", { name: "Taken apart by depth" });
  await table.waitFor({ timeout: 30_000 });
  for (const g of [...apart.groups, apart.whole]) {
    const row = table.getByRole("row").filter({ has: page.getByRole("rowheader", { name: g.word, exact: true }) });
    const said = flat(await row.innerText());
    for (const s of g.chance?.steps ?? [])
      assert.ok(said.includes(s.words.split(" points")[0]!), `${s.words} in ${said}`);
    assert.ok(
      said.includes(g.rated.professional!.value.toFixed(1)) && said.includes(g.rated.college!.value.toFixed(1)),
      said,
    );
  }
  const timing = apart.whole.chance!.steps[1]!;
  await page.getByRole("button", { name: `Timing: ${timing.words}` }).click();
  assert.equal(
    flat(await clipsOf(page).first().innerText()).match(/Play \d+, Game \d/)![0],
    numberOf(timing.plays[0]!),
  );
  await page.keyboard.press("s");
  await page.getByText(flat(apart.whole.points!.words)).waitFor();

  await page.keyboard.press("4");
  await page.getByRole("button", { name: "Ask" }).click();
  const by = ["pressure", "air-distance"];
  const several = await app.call<Several>("POST", "/patterns/several", { of: "completions", by, only: [], games: [] });
  await page.getByText(flat(several.said)).waitFor({ timeout: 60_000 });
  for (const t of several.terms)
    await page
      .getByText(flat(t.words.slice(t.words.indexOf(": ") + 2)))
      .first()
      .waitFor();

  await page.keyboard.press("5");
  await page.getByLabel("Folder of another passer's study").fill(join(place, "other.tape"));
  await page.keyboard.press("Enter");
  const compared = await app.call<PassersCompared>("POST", "/patterns/passers", { path: join(place, "other.tape") });
  const both = page.getByRole("table", { name: "the passer and another passer" });
  await both.waitFor({ timeout: 60_000 });
  const told = flat(await both.innerText());
  for (const r of compared.rows)
    assert.ok(told.includes(r.of.label) && told.includes(r.one.words) && told.includes(r.other.words), r.of.label);
  for (const c of compared.cautions) await page.getByText(c).waitFor();
  const first = compared.rows[0]!;
  await both.getByRole("button", { name: first.one.words }).first().click();
  assert.equal(await clipsOf(page).count(), first.one.n);
  assert.deepEqual(complaints, []);
  await page.context().close();
});

test("every part is accessible in both themes", async () => {
  for (const theme of ["light", "dark"] as const) {
    const { page } = await opened(theme);
    await page.keyboard.press("n");
    await assertAccessible(page, `questions, ${theme}`);
    await page.keyboard.press("2");
    await page.getByRole("group", { name: "Nearest plays" }).getByRole("listitem").first().waitFor({ timeout: 30_000 });
    await page.locator(".showings").first().waitFor();
    await assertAccessible(page, `the same picture, ${theme}`);
    await page.keyboard.press("3");
    await page.getByRole("table").waitFor({ timeout: 30_000 });
    await assertAccessible(page, `taken apart, ${theme}`);
    await page.keyboard.press("4");
    await page.getByRole("button", { name: "Ask" }).click();
    await page.getByRole("table", { name: /^Effects on/ }).waitFor({ timeout: 60_000 });
    await assertAccessible(page, `several at once, ${theme}`);
    await page.keyboard.press("5");
    await page.getByLabel("Folder of another passer's study").fill(join(place, "other.tape"));
    await page.keyboard.press("Enter");
    await page.getByRole("table").waitFor({ timeout: 60_000 });
    await assertAccessible(page, `passers, ${theme}`);
    await page.context().close();
  }
});
