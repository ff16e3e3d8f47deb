import type { Judgement, Measurement, Person, RouteCall, WindowCell } from "../../api/types.ts";
import type { Theme } from "../../state/theme.svelte.ts";
import { HALF_90, plusMinus } from "../../parts/plusminus.ts";

/** A receiver's row of the strip. */
export interface StripRow {
  receiver: string;
  route: string;
  thrown: boolean;
  cells: WindowCell[];
  /** The plan's looks at him, numbered in the plan's order. */
  looks: { place: number; at: number; applies: boolean }[];
}

/** Rows in the order in which the plan looks; receivers it never looks at come after, as they were. */
export function rowsOf(
  m: Measurement,
  judgement: Judgement | undefined,
  routes: readonly RouteCall[],
  target: string | null | undefined,
): StripRow[] {
  const looks = (judgement?.looks ?? []).map((l, i) => ({
    slot: l.slot,
    place: i + 1,
    at: l.at_s,
    applies: l.applies,
  }));
  const place = (id: string) => looks.find((l) => l.slot === id)?.place ?? Infinity;
  return m.windows
    .map(({ receiver, cells }) => ({
      receiver,
      cells,
      route: routes.find((r) => r.slot === receiver)?.route ?? "",
      thrown: receiver === target,
      looks: looks.filter((l) => l.slot === receiver),
    }))
    .sort((a, b) => (place(a.receiver) === place(b.receiver) ? 0 : place(a.receiver) - place(b.receiver)));
}

/** First and last instant of the strip, s from the snap; null when there are no cells. */
export function spanOf(rows: readonly StripRow[]): [number, number] | null {
  const times = rows.flatMap((r) => r.cells.map((c) => c.release_s));
  if (!times.length) return null;
  const [first, last] = [Math.min(0, ...times), Math.max(...times)];
  return last > first ? [first, last] : null;
}

/** The cell nearest to an instant. */
export function nearest(cells: readonly WindowCell[], t: number): WindowCell | undefined {
  let best: WindowCell | undefined;
  for (const c of cells) if (!best || Math.abs(c.release_s - t) < Math.abs(best.release_s - t)) best = c;
  return best;
}

/** Row with the widest margin of a ball the arm can throw at an instant; null when nobody can be reached. */
export function mostOpen(rows: readonly StripRow[], t: number): string | null {
  const able = rows
    .map((r) => ({ receiver: r.receiver, cell: nearest(r.cells, t) }))
    .filter((r) => r.cell?.ball)
    .sort((a, b) => b.cell!.margin_s.value - a.cell!.margin_s.value);
  return able[0]?.receiver ?? null;
}

/** Whether the 90% interval of the margin leaves its sign in no doubt. */
export function sure(c: WindowCell): boolean {
  return Math.abs(c.margin_s.value) > HALF_90 * c.margin_s.se;
}

/** Margins beyond this are shaded alike, s. */
export const SATURATED_S = 0.6;
type Shade = [number, number, number];
const SHADES: Record<Theme, { closed: Shade; middle: Shade; open: Shade }> = {
  light: { closed: [178, 84, 38], middle: [238, 232, 216], open: [18, 110, 122] },
  dark: { closed: [214, 110, 60], middle: [50, 60, 62], open: [66, 178, 190] },
};
/** Shade of a margin, the scale of the report's strip: rust (defender first) through neutral to blue-green (receiver first). */
export function shade(margin: number, theme: Theme): string {
  const u = Math.max(-1, Math.min(1, margin / SATURATED_S));
  const { closed, middle, open } = SHADES[theme];
  const end = u < 0 ? closed : open;
  return `rgb(${middle.map((m, k) => Math.round(m + (end[k]! - m) * Math.abs(u))).join(" ")})`;
}

/** What the trade calls somebody of the play: his own name, else his place. */
export function calledPerson(people: readonly Person[], id: string | null | undefined): string {
  if (!id) return "nobody";
  const p = people.find((q) => q.id === id);
  if (!p) return id;
  const shirt = p.shirt == null ? "" : ` (${p.shirt})`;
  return `${p.name || p.id.replace("-", " ")}${shirt}`;
}

/** A share as a percentage. */
export const percentOf = (e: { value: number; se: number }) => ({ value: 100 * e.value, se: 100 * e.se });

/** A cell's figures, label and value. */
export function figuresOf(c: WindowCell, people: readonly Person[]): [string, string][] {
  if (!c.ball) return [["Ball", "out of the arm's reach at this instant"]];
  return [
    ["Margin", `${plusMinus(c.margin_s, "s", true)} (${plusMinus(c.margin_yd, "yd", true)})`],
    ["Completion", plusMinus(percentOf(c.complete), "%")],
    ["Interception", plusMinus(percentOf(c.intercept), "%")],
    [
      "Best ball",
      `${c.ball.arc}, ${c.ball.speed_mph.toFixed(0)} mph, ${c.ball.launch_deg.toFixed(0)}° up, ${c.ball.flight_s.toFixed(2)} s, caught at ${c.ball.height_ft.toFixed(1)} ft`,
    ],
    ["First defender", c.defender ? calledPerson(people, c.defender) : "none in reach"],
  ];
}

/** The same in one breath, for a screen reader. */
export function toldCell(c: WindowCell, people: readonly Person[]): string {
  const figures = figuresOf(c, people).map(([label, value]) => `${label} ${value}`);
  return `released at ${c.release_s.toFixed(2)} s: ${figures.join("; ")}`;
}
