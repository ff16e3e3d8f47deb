import type { Marks, MomentKind } from "../../api/types.ts";
import type { Player, Stop } from "../../film/player.svelte.ts";

export const MOMENTS: { kind: MomentKind; says: string; command: string }[] = [
  { kind: "snap", says: "Snap", command: "moment-snap" },
  { kind: "set", says: "Set", command: "moment-set" },
  { kind: "release", says: "Release", command: "moment-release" },
  { kind: "arrival", says: "Arrival", command: "moment-arrival" },
  { kind: "first-contact", says: "Contact", command: "moment-contact" },
];

/** Moments on the clock: each by the first view in which it is marked. */
export function stopsOf(player: Player, marks: Marks): Stop[] {
  return MOMENTS.flatMap(({ kind, says }) => {
    for (const view of player.views) {
      const mark = marks.moments.find((m) => m.moment === kind && m.view === view.of.name);
      if (mark) return [{ name: says.toLowerCase(), at: view.clockOf(mark.frame) }];
    }
    return [];
  });
}

/** Middle of the longest stretch of `from..to` in which none of `marked` lies; all on one clock, s. */
export function widestGap(from: number, to: number, marked: readonly number[]): number {
  const ends = [from, ...marked.filter((t) => t > from && t < to), to].sort((a, b) => a - b);
  let best = { at: (from + to) / 2, length: -1 };
  for (const [i, t] of ends.slice(1).entries()) {
    const length = t - ends[i]!;
    if (length > best.length + 1e-9) best = { at: ends[i]! + length / 2, length };
  }
  return best.at;
}
