import type { Foot, FootPart, Marks, ViewName } from "../../api/types.ts";

/** Points of the feet in the order in which they are clicked, again and again. */
export const FEET: { foot: Foot; part: FootPart; says: string }[] = [
  { foot: "back", part: "toe", says: "back toe" },
  { foot: "back", part: "heel", says: "back heel" },
  { foot: "front", part: "toe", says: "front toe" },
  { foot: "front", part: "heel", says: "front heel" },
];

/** How often each point is marked in a frame of a view. */
export function repeatsIn(marks: Marks, view: ViewName, frame: number): number[] {
  return FEET.map(
    (p) =>
      marks.feet.filter((m) => m.foot === p.foot && m.part === p.part && m.view === view && m.frame === frame).length,
  );
}
