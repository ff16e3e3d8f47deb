import type { Leaning, Stage } from "../../api/types.ts";

/** What a statement can be, in the order of the keys that say it; each with a sign beside its word and its part of the verdict. */
export const LEANINGS: readonly { leaning: Leaning; says: string; sign: string; part: string }[] = [
  { leaning: "strength", says: "strength", sign: "▲", part: "Strengths" },
  { leaning: "fault", says: "fault", sign: "▼", part: "Faults" },
  { leaning: "work", says: "work on", sign: "◆", part: "What to work on first" },
  { leaning: "open", says: "open", sign: "?", part: "Open questions" },
];

/** When something is taught, in that order. */
export const STAGES: readonly { stage: Stage; says: string }[] = [
  { stage: "feet", says: "feet and base" },
  { stage: "body", says: "body and arm" },
  { stage: "timing", says: "timing" },
  { stage: "decisions", says: "decisions" },
];
