import type { Answer, Field, Group, Ranged, Strand, Worth } from "../../api/types.ts";

/** What may be said of an answer: a sign, a word, and what it means. */
export const WORTHS: Record<Worth, { sign: string; says: string; means: string }> = {
  carried: {
    sign: "●",
    says: "differs",
    means: "the data carry the difference, with all that was compared accounted for",
  },
  leans: { sign: "◐", says: "leans", means: "no difference that the data can carry: they lean this way, no more" },
  "cannot-tell": { sign: "○", says: "cannot tell", means: "the data cannot tell" },
};

export const GROUP_NAMES: Record<Field["group"], string> = {
  result: "Result",
  decision: "Decision",
  situation: "Situation",
  call: "Call",
  defense: "Defense",
  pressure: "Pressure",
  throw: "Throw",
  feet: "Feet",
  placement: "Placement",
  expected: "Against expectation",
};

/** A group of an answer as what a statement can rest on. */
export function strandOf(a: Answer, g: Group): Strand {
  const q = a.question;
  return {
    measure: a.of.id,
    plays: q.plays ?? [],
    ...(a.word ? { word: a.word } : {}),
    ...(a.by ? { by: a.by.id } : {}),
    ...(q.only?.length ? { only: q.only } : {}),
    ...(q.games?.length ? { games: q.games } : {}),
    ...(a.by && g.word !== a.whole.word ? { group: g.word } : {}),
  };
}

/** A published rating with its interval, as a table shows it. */
export function rated(r: Ranged | null | undefined): string {
  if (!r) return "–";
  const whole = (v: number) => v.toFixed(0).replace("-", "−");
  return `${r.value.toFixed(1).replace("-", "−")}${r.interval ? ` (${whole(r.interval.low)} to ${whole(r.interval.high)})` : ""}`;
}
