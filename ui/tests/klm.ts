/**
 * Keystroke-level model: how long a practised person needs for a task, from what was really pressed, clicked and dragged.
 *
 * Card, S. K., Moran, T. P. & Newell, A. (1980), "The keystroke-level model for user performance time with interactive
 * systems", Communications of the ACM 23(7): K, P, H and M and where M is placed. That paper counts a mouse button as a
 * keystroke; B, 0.1 s for pressing or letting go of a button, is Kieras's later refinement (1993).
 *
 * The page reports trusted events only, so a script cannot claim a shorter path than it took.
 */
import type { Page } from "playwright-core";

/** Seconds. `K` is the average non-secretary typist; `fast` the average skilled one (the paper's 55 words a minute). */
export const OPERATORS = { K: 0.28, fast: 0.2, P: 1.1, H: 0.4, M: 1.35, B: 0.1 } as const;

export interface Counts {
  keys: number;
  clicks: number;
  drags: number;
  homings: number;
  decisions: number;
}

interface Seen {
  what: "key" | "click" | "drag";
}

declare global {
  interface Window {
    klmSeen?: Seen[];
  }
}

/** A press that travels farther than this is a drag, CSS px. */
const DRAG_PX = 4;

export class Counter {
  private decisions = 0;
  private constructor(private readonly page: Page) {}

  /** Begins to count on `page`, at once. */
  static async on(page: Page): Promise<Counter> {
    await page.evaluate((far) => {
      const seen: Seen[] = (window.klmSeen = []);
      let at: [number, number] | null = null;
      const watch = { capture: true, passive: true } as const;
      // Shift, Control and the like cost a keystroke of their own: they are pressed.
      addEventListener("keydown", (e) => void (e.isTrusted && !e.repeat && seen.push({ what: "key" })), watch);
      addEventListener("pointerdown", (e) => void (e.isTrusted && (at = [e.clientX, e.clientY])), watch);
      addEventListener(
        "pointerup",
        (e) => {
          if (!e.isTrusted || !at) return;
          const moved = Math.hypot(e.clientX - at[0], e.clientY - at[1]) > far;
          seen.push({ what: moved ? "drag" : "click" });
          at = null;
        },
        watch,
      );
    }, DRAG_PX);
    return new Counter(page);
  }
  /**
   * One mental preparation. By the paper's rules: before each command that is not part of one thought with the step before it,
   * and none before arguments of a command or before pointing that a command already led to.
   */
  decide() {
    this.decisions++;
  }
  async counts(): Promise<Counts> {
    const seen = await this.page.evaluate(() => window.klmSeen ?? []);
    // Between tasks the hands rest on the keys, as in the paper's worked examples.
    let hand: "keys" | "mouse" = "keys";
    const counts: Counts = { keys: 0, clicks: 0, drags: 0, homings: 0, decisions: this.decisions };
    for (const { what } of seen) {
      const now = what === "key" ? "keys" : "mouse";
      if (now !== hand) counts.homings++;
      hand = now;
      if (what === "key") counts.keys++;
      else if (what === "click") counts.clicks++;
      else counts.drags++;
    }
    return counts;
  }
}

/** Model time, s: a click is a pointing, a press and a release; a drag points twice. */
export function modelTime(c: Counts, key: number = OPERATORS.K): number {
  const { P, H, M, B } = OPERATORS;
  return c.keys * key + c.clicks * (P + 2 * B) + c.drags * (2 * P + 2 * B) + c.homings * H + c.decisions * M;
}

/** A figure as `make bench` gathers it, one JSON line. */
export function figure(name: string, value: number, unit: string, goal: number, note: string) {
  const line = { name, value: Number(value.toFixed(3)), unit, goal, better: "lower", holds: value <= goal, note };
  console.log(JSON.stringify(line));
}

/** Prints the model time of a task beside its budget. */
export async function report(name: string, counter: Counter, budget: number, note = "") {
  const c = await counter.counts();
  const said =
    `${c.keys} keys, ${c.clicks} clicks, ${c.drags} drags, ${c.homings} homings, ${c.decisions} decisions; ` +
    `${modelTime(c, OPERATORS.fast).toFixed(1)} s for a skilled typist${note ? `; ${note}` : ""}`;
  figure(name, modelTime(c), "s", budget, said);
  return c;
}
