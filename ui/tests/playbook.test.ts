/** Concepts drawn and changed in the real program: kept at once, undoable, refused with the reason, and judged by. */
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import type { Browser } from "playwright-core";
import type { Concept, OpenPlaybook } from "../src/api/types.ts";
import { wayOf } from "../src/screens/playbook/field.ts";
import { App } from "./app.ts";
import { assertAccessible } from "./axe.ts";
import { openPage, startBrowser } from "./chromium.ts";

let app: App;
let browser: Browser;
before(async () => {
  app = await App.start();
  browser = await startBrowser();
});
after(async () => {
  await browser?.close();
  await app?.stop();
});

const book = () => app.call<OpenPlaybook>("GET", "/playbook");
const concept = async (id: string) => (await book()).concepts.find((c) => c.concept.id === id);

test("a route's stem is as long as the depth that the concept asks for, its break to his own side as drawn", async () => {
  const { routes } = await book();
  const out = routes.find((r) => r.id === "speed-out")!;
  const c = { routes: { L1: "speed-out", R1: "speed-out" }, depths: { L1: 16 } } as unknown as Concept;
  const usual = (out.depth[0]! + out.depth[1]!) / 2;
  const [left, right] = [wayOf(c, "L1", routes).at(-1)!, wayOf(c, "R1", routes).at(-1)!];
  const last = out.waypoints.at(-1)!;
  assert.ok(Math.abs(left[1] + 0.6 - (last[0]! + 16 - usual)) < 1e-9, "deeper by what is asked for more");
  assert.ok(Math.abs(left[0] - 21 - last[1]!) < 1e-9, "as wide as drawn");
  assert.ok(left[0] > 21 && right[0] < -21, "both break to their own sideline");
});

test("what is changed is kept at once, undone by one key, and the program's own comes back", async () => {
  for (const theme of ["light", "dark"] as const) {
    const { page, complaints } = await openPage(browser, app.url, theme);
    await page.goto(`${new URL(app.url).origin}/#/playbook`);
    await page.getByRole("searchbox", { name: "Find a concept" }).fill("smash");
    await page
      .getByRole("button", { name: /^Smash/ })
      .first()
      .click();
    const before = (await concept("smash"))!;
    assert.ok(!before.own);
    await page.getByLabel("Look 1, seconds").fill("0.95");
    await page.getByLabel("Look 1, seconds").press("Tab");
    await page.waitForTimeout(900);
    const after = (await concept("smash"))!;
    assert.ok(after.own && after.known);
    assert.equal(after.concept.plans[0]!.looks[0]!.rhythm_s, 0.95);
    assert.deepEqual(after.concept.routes, before.concept.routes, "the rest stands");

    await page.getByLabel("Look 1, seconds").fill("9");
    await page.getByLabel("Look 1, seconds").press("Tab");
    await page.getByText("rhythm_s is 9 s, outside 0 to 4").first().waitFor();
    await page.waitForTimeout(600);
    assert.equal((await concept("smash"))!.concept.plans[0]!.looks[0]!.rhythm_s, 0.95, "what is refused does not stay");
    assert.equal(await page.getByLabel("Look 1, seconds").inputValue(), "0.95");

    await page.locator(".field h1").click();
    await page.keyboard.press("Control+z");
    await page.waitForTimeout(900);
    assert.ok(!(await concept("smash"))!.own, "undone");

    await page.keyboard.press("n");
    await page.getByRole("heading", { name: /^Smash.*\(own\)$/ }).waitFor();
    await page.waitForTimeout(700);
    const made = (await book()).concepts.find((c) => c.own)!;
    assert.ok(!made.known);
    await assertAccessible(page, `Playbook, ${theme}`);
    await page.keyboard.press("Delete");
    await page.waitForTimeout(900);
    assert.ok(!(await book()).concepts.some((c) => c.own), "dropped");
    // The refusal is an answer, which the console tells as well.
    assert.deepEqual(
      complaints.filter((c) => !c.includes("422") && !c.includes("400")),
      [],
    );
    await page.context().close();
  }
});
