/** The words of a table's reading, for its dialog. */
import type { TableMapping } from "../../api/types.ts";

type Key = Exclude<keyof TableMapping["columns"], "play">;

/** Use of a column, how it is called, and whether a table may do without. */
export const USES: [Key, string, boolean][] = [
  ["game", "which game", true],
  ["person", "who", false],
  ["time", "when", false],
  ["x", "along the field", false],
  ["y", "across the field", false],
  ["side", "side or team", true],
  ["event", "what happened", true],
  ["going", "which way", true],
  ["position", "position", true],
  ["shirt", "number", true],
  ["name", "name", true],
  ["speed", "speed", true],
  ["course", "running toward", true],
];
export const UNITS = { yards: "yards", metres: "metres", feet: "feet" };
export const SPEEDS = {
  "yards-per-second": "yards a second",
  "metres-per-second": "metres a second",
  "miles-per-hour": "miles an hour",
  "kilometres-per-hour": "kilometres an hour",
  "feet-per-second": "feet a second",
};
/** Where a course is 0 and how it grows. */
export const COURSES: Record<string, { zero: "x" | "y"; clockwise: boolean }> = {
  "clockwise from the way y grows": { zero: "y", clockwise: true },
  "counter-clockwise from the way x grows": { zero: "x", clockwise: false },
  "clockwise from the way x grows": { zero: "x", clockwise: true },
  "counter-clockwise from the way y grows": { zero: "y", clockwise: false },
};
export const ORIGINS = {
  "end-line": "end line and near sideline",
  "goal-line": "goal line and near sideline",
  middle: "the middle of the field",
};
export const EVENTS = {
  snap: "the snap",
  release: "the ball leaves his hand",
  arrival: "the ball arrives",
  caught: "caught",
  incomplete: "incomplete",
  intercepted: "intercepted",
  sack: "sacked",
  run: "the passer runs",
  over: "the play is over",
  handoff: "handed off: no pass",
  kick: "a kick: no pass",
  foul: "a flag",
  nothing: "of no concern",
};
export const RESULTS = {
  complete: "complete",
  incomplete: "incomplete",
  intercepted: "intercepted",
  sacked: "sacked",
  scrambled: "scrambled",
  "thrown-away": "thrown away",
  batted: "batted",
};
