import type { Situation } from "../../api/types.ts";
import { downAndDistance, gameClock, yardLine } from "../../parts/words.ts";

/** A yard line as one types it, as x of the field: `left 34`, `r20`, `50`; undefined when it names none. */
export function yardFrom(text: string): number | null | undefined {
  const said = text.trim().toLowerCase();
  if (!said) return null;
  const [, side, digits] = /^(l|left|r|right)?\s*(\d+(?:[.,]\d+)?)$/.exec(said) ?? [];
  if (digits === undefined) return undefined;
  const n = Number(digits.replace(",", "."));
  if (!side) return n === 50 ? 50 : undefined;
  if (n > 50) return undefined;
  return side.startsWith("l") ? n : 100 - n;
}

/** Seconds from `4:31`, or from plain seconds. */
export function clockFrom(text: string): number | null | undefined {
  const said = text.trim();
  if (!said) return null;
  const [, minutes, seconds] = /^(?:(\d{1,2}):)?(\d{1,3})$/.exec(said) ?? [];
  return seconds === undefined ? undefined : Number(minutes ?? 0) * 60 + Number(seconds);
}

export function numberFrom(text: string): number | null | undefined {
  const said = text.trim().replace("−", "-").replace(",", ".");
  if (!said) return null;
  const n = Number(said);
  return Number.isFinite(n) ? n : undefined;
}

/** The situation in one line, as it would be called out. */
export function situationLine(s: Situation): string {
  const parts = [
    downAndDistance(s),
    s.line_x == null ? "" : `at the ${yardLine(s.line_x)}`,
    s.hash ? (s.hash === "middle" ? "middle of the field" : `${s.hash} hash`) : "",
    s.direction ? `going ${s.direction === "up" ? "right" : "left"}` : "",
    gameClock(s),
    s.margin == null ? "" : s.margin === 0 ? "level" : `${Math.abs(s.margin)} ${s.margin > 0 ? "ahead" : "behind"}`,
  ];
  return parts.filter(Boolean).join(" · ") || "no situation yet";
}
