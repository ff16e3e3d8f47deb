import type { Judgement, Outcome, OwnCall } from "../../api/types.ts";

/** What a decision can have been under a plan, in the order of the keys that say it; words and meanings of docs/glossary.md. */
export const OUTCOMES: readonly { outcome: Outcome; says: string; means: string }[] = [
  { outcome: "in-rhythm", says: "in rhythm", means: "the plan's answer, when its rhythm called for it" },
  { outcome: "behind", says: "behind", means: "the plan's answer, later" },
  { outcome: "ahead", says: "ahead", means: "the plan's answer, before it could have been known" },
  { outcome: "bettered", says: "bettered", means: "another throw, better than the plan's answer" },
  { outcome: "traded", says: "traded", means: "another throw, as good within what can be told" },
  { outcome: "passed", says: "passed over", means: "another throw, worse than the plan's answer" },
  { outcome: "forced", says: "forced", means: "into a window that was not there while another was" },
  { outcome: "bare", says: "bare", means: "no throw was there" },
  { outcome: "untold", says: "untold", means: "the measurements do not tell" },
];

export function wordOf(outcome: Outcome): string {
  return OUTCOMES.find((o) => o.outcome === outcome)!.says;
}

/** What the evaluator's call is to the program's most likely outcome. */
export function standing(judgement: Judgement, call: OwnCall | undefined): "open" | "agreed" | "overruled" {
  if (!call) return "open";
  return call.outcome === judgement.outcomes[0]?.outcome ? "agreed" : "overruled";
}

/** A probability in whole percent. It comes from repeats, which never show that something is certain or cannot be. */
export function percent(probability: number): string {
  if (probability < 0.005) return "under 1%";
  if (probability >= 0.995) return "over 99%";
  return `${Math.round(100 * probability)}%`;
}
