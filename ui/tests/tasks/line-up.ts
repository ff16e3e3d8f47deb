import type { Page } from "playwright-core";
import type { ViewName } from "../../src/api/types.ts";
import { after, type Choice } from "../../src/screens/line-up/landmark.ts";
import { type Click, keysTo, onPage } from "../hands.ts";
import type { Counter } from "../klm.ts";

/** What Line up offers first; `x` is the full line nearest to the ball, 30 while its spot is not known. */
export const FIRST: Choice = { kind: "line-at-hash", x: 30, side: "near", end: "inner", corner: "bottom-left" };

/** In the order in which a person would go over the picture: like with like, line by line. */
export function inOrder(clicks: Click[]): Click[] {
  const rank = ({ landmark: l }: Click) =>
    [l.kind, "x" in l ? String(l.x + 100) : "", "side" in l ? l.side : ""].join();
  return [...clicks].sort((a, b) => rank(a).localeCompare(rank(b)));
}

/** Marks `clicks` in the frame on screen, until the field is found and carried through the clip. */
export async function lineUp(page: Page, view: ViewName, clicks: Click[], first: Choice, counter?: Counter) {
  let choice = first;
  const marked = page.getByRole("group", { name: "Marks in this frame" }).getByRole("button", { name: /^Take away/ });
  const before = await marked.count();
  let placed = 0;
  for (const click of inOrder(clicks)) {
    const { keys, then } = keysTo(choice, click.landmark);
    if (keys.length) counter?.decide();
    for (const key of keys) await page.keyboard.press(key);
    // Choosing which piece of paint to click is a thought of its own; finding it is the pointing.
    counter?.decide();
    await page.mouse.click(...(await onPage(page, view, click.pixel)));
    choice = after(then);
    // One sees the mark appear before one goes on.
    await marked.nth(before + placed++).waitFor();
    await page.getByText(/^Finding the field/).waitFor({ state: "detached" });
    await page.waitForTimeout(150);
  }
  await page.getByText("Found.").waitFor({ timeout: 20_000 });
  counter?.decide();
  await page.keyboard.press("Shift+Enter");
  await page.getByText("The field was carried through the clip.").waitFor({ timeout: 120_000 });
}
