import type { Situation } from "../api/types.ts";

/** Film time, `m:ss.mmm` or `h:mm:ss.mmm`. */
export function filmTime(seconds: number): string {
  const ms = Math.round(Math.abs(seconds) * 1000);
  const [h, m, s] = [Math.floor(ms / 3_600_000), Math.floor(ms / 60_000) % 60, Math.floor(ms / 1000) % 60];
  const rest = `${String(s).padStart(2, "0")}.${String(ms % 1000).padStart(3, "0")}`;
  return `${seconds < 0 ? "−" : ""}${h ? `${h}:${String(m).padStart(2, "0")}` : m}:${rest}`;
}

/** `+1.267`, `−0.400`; a true minus, so that columns keep still. */
export function signedSeconds(seconds: number, digits = 3): string {
  const text = Math.abs(seconds).toFixed(digits);
  if (Number(text) === 0) return `0.${"0".repeat(digits)}`;
  return `${seconds < 0 ? "−" : "+"}${text}`;
}

/** `12 s`, `3 min 20 s`, `1 h 5 min`. */
export function duration(seconds: number): string {
  const s = Math.ceil(seconds);
  if (s < 60) return `${s} s`;
  if (s < 3600) return s % 60 ? `${Math.floor(s / 60)} min ${s % 60} s` : `${s / 60} min`;
  return `${Math.floor(s / 3600)} h ${Math.floor((s % 3600) / 60)} min`;
}

export function size(bytes: number): string {
  if (bytes < 1e6) return `${Math.max(1, Math.round(bytes / 1e3))} kB`;
  return bytes < 1e9 ? `${(bytes / 1e6).toFixed(bytes < 1e7 ? 1 : 0)} MB` : `${(bytes / 1e9).toFixed(1)} GB`;
}

/** `1 play`, `3 plays`. */
export const counted = (n: number, what: string) => `${n} ${what}${n === 1 ? "" : "s"}`;

/** A standard error, yd, as finely as it means anything. */
export function errorYd(se: number): string {
  return se < 0.01 ? "under 0.01 yd" : `${se.toFixed(2)} yd`;
}

/** Frames per second as the trade writes them: 29.97, 30, 59.94. */
export function rate(r: { numerator: number; denominator: number }): string {
  return (r.numerator / r.denominator).toFixed(2).replace(/\.?0+$/, "");
}

const ORDINALS = ["", "1st", "2nd", "3rd", "4th"];

/** `2nd & 7`. */
export function downAndDistance(s: Situation): string {
  if (s.down == null) return "";
  const down = ORDINALS[s.down] ?? `${s.down}th`;
  return s.distance_yd == null ? down : `${down} & ${Number(s.distance_yd.toFixed(1))}`;
}

/** `Q2 4:31`. */
export function gameClock(s: Situation): string {
  const q = s.quarter == null ? "" : s.quarter > 4 ? "OT" : `Q${s.quarter}`;
  if (s.clock_s == null) return q;
  const whole = Math.round(s.clock_s);
  return `${q} ${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`.trim();
}

/** A yard line as it is painted, to a tenth where the ball lay between two: x = 30 is the left 30, x = 70 the right one. */
export function yardLine(x: number): string {
  if (x === 50) return "50";
  if (x === 0 || x === 100) return x === 0 ? "left goal line" : "right goal line";
  if (x < 0) return "left end line";
  if (x > 100) return "right end line";
  const yards = Number((x < 50 ? x : 100 - x).toFixed(1));
  return `${x < 50 ? "left" : "right"} ${yards}`;
}
