import type { Field } from "../../api/types.ts";

/** Round marks of an axis from `low` to `high`: at most `most`, at 1, 2 or 5 times a power of ten. */
export function ticksOf(low: number, high: number, most = 6): number[] {
  const rough = (high - low) / most;
  if (!(rough > 0)) return [low];
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map((k) => k * power).find((s) => (high - low) / s <= most) ?? 10 * power;
  const marks: number[] = [];
  for (let k = Math.ceil(low / step - 1e-9); k * step <= high + 1e-9 * step; k++) marks.push(k * step);
  return marks;
}

/** A mark's label on the axis of a field; shares and chances as hundredths. */
export function markOf(f: Field, v: number): string {
  const share = f.kind !== "value" || f.unit === "100";
  const shown = share ? 100 * v : v;
  const text = Number(Math.abs(shown).toFixed(Math.abs(shown) < 1 ? 2 : 1)).toString();
  return `${shown < 0 && Number(text) !== 0 ? "−" : ""}${text}${share ? "%" : f.unit === "°" ? "°" : ""}`;
}

/** The unit under an axis. */
export function axisUnit(f: Field): string {
  if (f.kind !== "value" || f.unit === "100" || f.unit === "°") return "";
  return f.unit === "pt" ? "points" : f.unit;
}

/** From the least to the greatest with a little room. */
export function spanOf(values: number[], room = 0.06): [number, number] {
  const low = Math.min(...values);
  const high = Math.max(...values);
  if (!Number.isFinite(low)) return [0, 1];
  const pad = high > low ? room * (high - low) : 0.5 * Math.max(1, Math.abs(high));
  return [low - pad, high + pad];
}

/** How far a bar with nothing in its middle must reach to either side to hold all these intervals. */
export function reachOf(intervals: { low: number; high: number }[]): number {
  return 1.1 * Math.max(1e-9, ...intervals.flatMap((i) => [Math.abs(i.low), Math.abs(i.high)]));
}
