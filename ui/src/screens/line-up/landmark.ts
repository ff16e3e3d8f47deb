import type { Landmark, Side } from "../../api/types.ts";
import { yardLine } from "../../parts/words.ts";

export const KINDS = [
  "line-at-sideline",
  "line-at-hash",
  "hash-mark",
  "number",
  "on-yard-line",
  "on-sideline",
  "on-hash-row",
] as const;
export type Kind = (typeof KINDS)[number];

export const KIND_WORDS: Record<Kind, { says: string; command: string }> = {
  "line-at-sideline": { says: "line × sideline", command: "mark-line-sideline" },
  "line-at-hash": { says: "line × hash row", command: "mark-line-hash" },
  "hash-mark": { says: "hash mark end", command: "mark-hash-end" },
  number: { says: "number corner", command: "mark-number" },
  "on-yard-line": { says: "on a yard line", command: "mark-on-line" },
  "on-sideline": { says: "on a sideline", command: "mark-on-sideline" },
  "on-hash-row": { says: "on a hash row", command: "mark-on-hash-row" },
};

export const CORNERS = ["bottom-left", "bottom-right", "top-left", "top-right"] as const;
const ENDS = ["inner", "outer"] as const;

/** What the next click marks. */
export interface Choice {
  kind: Kind;
  x: number;
  side: Side;
  end: (typeof ENDS)[number];
  corner: (typeof CORNERS)[number];
}

/** Whether the kind names a yard line, and a side. */
export const hasX = (k: Kind) => k !== "on-sideline" && k !== "on-hash-row";
export const hasSide = (k: Kind) => k !== "on-yard-line";

/** Yards between neighbours of the kind. */
export function stepOf(kind: Kind): number {
  return kind === "number" ? 10 : kind === "hash-mark" ? 1 : 5;
}

/** The nearest yard at which the kind is painted, going `way` when in between. */
export function painted(kind: Kind, x: number, way: 1 | -1): number {
  const step = stepOf(kind);
  if (kind === "hash-mark") {
    const at = Math.max(1, Math.min(99, x));
    return at % 5 === 0 ? at + way : at;
  }
  const round = way > 0 ? Math.ceil : Math.floor;
  const [low, high] = kind === "number" ? [10, 90] : [-10, 110];
  const at = Math.max(low, Math.min(high, round(x / step) * step));
  return at === -5 ? (way > 0 ? 0 : -10) : at === 105 ? (way > 0 ? 110 : 100) : at;
}

export function landmarkOf(c: Choice): Landmark {
  switch (c.kind) {
    case "line-at-sideline":
    case "line-at-hash":
      return { kind: c.kind, x: c.x, side: c.side };
    case "hash-mark":
      return { kind: c.kind, x: c.x, side: c.side, end: c.end };
    case "number":
      return { kind: c.kind, x: c.x, side: c.side, corner: c.corner };
    case "on-yard-line":
      return { kind: c.kind, x: c.x };
    case "on-sideline":
    case "on-hash-row":
      return { kind: c.kind, side: c.side };
  }
}

/** A landmark in words. */
export function says(l: Landmark): string {
  switch (l.kind) {
    case "line-at-sideline":
      return `${yardLine(l.x)} × ${l.side} sideline`;
    case "line-at-hash":
      return `${yardLine(l.x)} × ${l.side} hash row`;
    case "hash-mark":
      return `${l.side} hash mark at ${yardLine(l.x)}, ${l.end} end`;
    case "number":
      return `number ${yardLine(l.x)} ${l.side}, ${l.corner.replace("-", " ")}`;
    case "on-yard-line":
      return `on the ${yardLine(l.x)}`;
    case "on-sideline":
      return `on the ${l.side} sideline`;
    case "on-hash-row":
      return `on the ${l.side} hash row`;
  }
}

/**
 * What one most likely marks next: the same thing on the other side, then on the next line. So four crossings take four
 * clicks and no key.
 */
export function after(c: Choice): Choice {
  if (c.kind === "number") {
    const next = CORNERS[(CORNERS.indexOf(c.corner) + 1) % CORNERS.length]!;
    return { ...c, corner: next };
  }
  if (!hasX(c.kind)) return { ...c, side: c.side === "near" ? "far" : "near" };
  if (hasSide(c.kind) && c.side === "near") return { ...c, side: "far" };
  const x = painted(c.kind, c.x + stepOf(c.kind), 1);
  return { ...c, x, side: "near" };
}
