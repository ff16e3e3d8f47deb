import type { ViewName } from "../../api/types.ts";

/** A longer gap than this is a ball that was out of sight, not a stride, frames. */
const LONGEST = 5;

/** How many frames to go on after marking the ball in `frame`: as many as since the mark before, one after a first mark. */
export function strideOf(marks: readonly { view: ViewName; frame: number }[], view: ViewName, frame: number): number {
  const before = marks.filter((m) => m.view === view && m.frame < frame).map((m) => m.frame);
  const gap = frame - Math.max(...before, -Infinity);
  return gap <= LONGEST ? gap : 1;
}
