/** The verdict in the real program: statements with figures and clips, their weight, order and undo; the report as a file. */
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { after, before, test } from "node:test";
import type { Browser } from "playwright-core";
import type { MeasureRow, WeighedClaim } from "../src/api/types.ts";
import { assertAccessible } from "./axe.ts";
import { openPage, startBrowser } from "./chromium.ts";
import { THROWN, type Entered, entered } from "./tasks/entered.ts";

let study: Entered;
let browser: Browser;
before(async () => {
  study = await entered(THROWN);
  await study.app.call("GET", `/plays/${study.play}/judged`);
  browser = await startBrowser();
});
after(async () => {
  await browser?.close();
  await study?.stop();
});
const claims = () => study.app.call<WeighedClaim[]>("GET", "/claims");
const texts = async () => (await claims()).map((c) => c.claim.text);

test("a statement is written, rested on figures and clips, weighed, moved, undone and printed", async () => {
  const { page, complaints } = await openPage(browser, study.app.url);
  await page.goto(`${new URL(study.app.url).origin}/#/verdict/${study.play}`);
  await page.getByText("Nothing is stated yet.").waitFor({ timeout: 60_000 });
  assert.deepEqual(await claims(), []);

  // Every measure is on the page with its figure and number of plays.
  const rows = await study.app.call<MeasureRow[]>("GET", "/measures");
  const table = page.getByRole("table", { name: "Measures over all plays" });
  for (const r of rows) {
    const said = (
      await table
        .getByRole("row")
        .filter({ has: page.getByRole("rowheader", { name: r.label, exact: true }) })
        .innerText()
    ).replace(/\s+/g, " ");
    if (r.value == null) assert.ok(said.includes(r.words), `${said} for ${r.words}`);
    else {
      const value = r.unit ? Math.abs(r.value).toFixed(1) : `${Math.round(100 * r.value)}%`;
      assert.ok(said.includes(value), `${said} for ${value}`);
    }
  }

  await page.keyboard.press("n");
  await page.keyboard.type("Gets the ball out when the plan asks for it.");
  await page.keyboard.press("Escape");
  await page.keyboard.press("1");
  const card = page.getByRole("article", { name: "Statement 1, chosen" });
  await card.getByText("Unsupported.").waitFor({ timeout: 10_000 });
  await card.getByLabel("Rest it on a measure").selectOption("time-to-throw");
  await page.keyboard.press("Escape");
  await page.keyboard.press("f");
  await page.waitForTimeout(1500);
  let [one] = await claims();
  assert.equal(one!.claim.text, "Gets the ball out when the plan asks for it.");
  assert.equal(one!.claim.leaning, "strength");
  assert.deepEqual(one!.claim.evidence, { supporting: [study.play], against: [] });
  assert.deepEqual(one!.claim.strands, [{ measure: "time-to-throw", plays: [] }]);
  await page.waitForFunction((w) => document.querySelector(".worth")?.textContent?.includes(w), one!.strength);
  const said = await card.innerText();
  for (const f of one!.figures) assert.ok(said.includes(f), `${f} in ${said}`);

  // The same clip against it is no longer for it.
  await page.keyboard.press("a");
  await page.waitForTimeout(900);
  assert.deepEqual((await claims())[0]!.claim.evidence, { supporting: [], against: [study.play] });
  await page.keyboard.press("f");
  await page.keyboard.press("i");
  await page.waitForTimeout(900);
  [one] = await claims();
  assert.equal(one!.claim.impression, true);
  assert.equal(await card.getByText("Unsupported.").count(), 0, "an impression is said to be one, not faulted");

  // A second statement; down and up among each other; one undo puts both back.
  await page.keyboard.press("n");
  await page.keyboard.type("Keeps his eyes up against five rushers.");
  await page.keyboard.press("Escape");
  await page.keyboard.press("1");
  await page.waitForTimeout(1800);
  const [first, second] = await texts();
  await page.keyboard.press("Shift+ArrowUp");
  await page.waitForTimeout(900);
  assert.deepEqual(await texts(), [second, first]);
  assert.deepEqual(
    (await claims()).map((c) => c.claim.order),
    [1, 2],
  );
  await page.getByRole("article", { name: "Statement 1, chosen" }).getByText("my impression").waitFor();
  await page.keyboard.press("Control+z");
  await page.waitForTimeout(900);
  assert.deepEqual(await texts(), [first, second]);
  await page.keyboard.press("Control+Shift+z");
  await page.waitForTimeout(900);
  assert.deepEqual(await texts(), [second, first]);
  await page.keyboard.press("Delete");
  await page.waitForTimeout(900);
  assert.deepEqual(await texts(), [first]);
  await page.keyboard.press("Control+z");
  await page.waitForTimeout(900);
  assert.deepEqual(await texts(), [second, first]);
  await assertAccessible(page, "Verdict with statements");

  // The report comes as a file that needs nothing else, with the words and the cautions in it.
  const coming = page.waitForEvent("download", { timeout: 120_000 });
  await page.keyboard.press("h");
  const file = await coming;
  assert.match(file.suggestedFilename(), /^A game report\.html$/);
  const html = await readFile((await file.path())!, "utf8");
  assert.match(html, /^<!doctype html>/i);
  assert.ok(html.includes(first!) && html.includes("Before you use this") && html.includes("<svg"));
  assert.ok(!/(src|href)="https?:/.test(html), "it asks for nothing from elsewhere");

  // A clip opens and runs here.
  await page.keyboard.press("ArrowDown");
  await page
    .getByRole("article", { name: "Statement 2, chosen" })
    .getByRole("button", { name: /^Play \d/ })
    .first()
    .click();
  await page.waitForSelector('canvas[data-view="sideline"][data-frame]');
  assert.ok(page.url().endsWith(`#/verdict/${study.play}`));
  const begun = await page.locator("canvas[data-frame]").first().getAttribute("data-frame");
  await page.waitForFunction(
    (f) => document.querySelector("canvas[data-frame]")?.getAttribute("data-frame") !== f,
    begun,
    { timeout: 10_000 },
  );
  assert.deepEqual(complaints, []);
  await page.context().close();
});
