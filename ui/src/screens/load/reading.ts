/** The words of a table's reading, for its dialog. */
import type { TableMapping } from "../../api/types.ts";

type Key = Exclude<keyof TableMapping["columns"], "play">;

/** Use of a column, how it is called, and whether a table may do without. */
export const USES: [Key, string, boolean][] = [
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
];
export const UNITS = { yards: "yards", metres: "metres", feet: "feet" };
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
