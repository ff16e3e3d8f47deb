import type { Leaning } from "../../api/types.ts";

/** What a statement can be, in the order of the keys that say it; each with a sign beside its word. */
export const LEANINGS: readonly { leaning: Leaning; says: string; sign: string }[] = [
  { leaning: "strength", says: "strength", sign: "▲" },
  { leaning: "fault", says: "to work on", sign: "▼" },
  { leaning: "open", says: "open question", sign: "?" },
];
