import type { Page } from "playwright-core";
import type { Counter } from "../klm.ts";

/** What differs from the last similar play, as an evaluator would type it: a field's name and the fewest letters. */
export interface Typed {
  field: string;
  keys: string;
}

/**
 * Charts a play by keys alone: goes to the first field that differs, types it, and so on. Between two fields that differ,
 * Enter confirms what is carried. `first` is the field in which typing begins.
 */
export async function chart(page: Page, typed: Typed[], counter?: Counter) {
  counter?.decide();
  await page.keyboard.press("Enter");
  for (const { field, keys } of typed) {
    // Each fact that is told is looked for on the film or remembered: one thought.
    counter?.decide();
    for (let i = 0; (await focused(page)) !== `chart-${field}`; i++) {
      if (i > 20) throw new Error(`Enter never comes to ${field}; it stays at ${await focused(page)}`);
      await page.keyboard.press("Enter");
      await settle(page);
    }
    await page.keyboard.type(keys);
    await page.keyboard.press("Enter");
    await settle(page);
  }
}
export function focused(page: Page): Promise<string> {
  return page.evaluate(() => document.activeElement?.id ?? "");
}
/** Focus moves on after the page has drawn what was charted. */
async function settle(page: Page) {
  await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
}
