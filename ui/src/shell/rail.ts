import type { PlaySummary, ViewName } from "../api/types.ts";
import { downAndDistance, gameClock } from "../parts/words.ts";

export const STATES = {
  all: "all",
  "line-up": "to line up",
  chart: "to chart",
  measure: "to measure",
  judge: "to judge",
} as const;

/** Share of a clip's frames with a camera to be trusted from which the clip counts as done. */
const LINED_UP = 0.95;

export interface Step {
  letter: string;
  state: "open" | "part" | "done";
  says: string;
}

/** How far a play has come, step by step. */
export function stepsOf(p: PlaySummary): Step[] {
  const shares = Object.keys(p.clips).map((v) => p.lined_up[v as ViewName] ?? 0);
  const step = (letter: string, done: boolean, word: string): Step => ({
    letter,
    state: done ? "done" : "open",
    says: done ? word : `not ${word}`,
  });
  if (!shares.length && p.tracked)
    return [
      { letter: "L", state: "done", says: "positions from a table" },
      step("C", p.charted, "charted"),
      step("M", p.measured, "measured"),
      step("J", p.judged, "judged"),
    ];
  const worst = shares.length ? Math.min(...shares) : 0;
  const linedUp: Step =
    worst < LINED_UP && shares.some((x) => x > 0)
      ? { letter: "L", state: "part", says: "partly lined up" }
      : step("L", worst >= LINED_UP, "lined up");
  return [linedUp, step("C", p.charted, "charted"), step("M", p.measured, "measured"), step("J", p.judged, "judged")];
}

/** Whether a play has all words of `text` and still waits for what `left` says. */
export function matches(p: PlaySummary, text: string, left: keyof typeof STATES): boolean {
  const place = { "line-up": 0, chart: 1, measure: 2, judge: 3 };
  if (left !== "all" && stepsOf(p)[place[left]]?.state === "done") return false;
  const s = p.situation;
  const all = `${p.number} ${downAndDistance(s)} ${gameClock(s)} ${s.hash ?? ""}`.toLowerCase();
  return text
    .toLowerCase()
    .split(/\s+/)
    .every((word) => all.includes(word));
}
