import type { Concept, Route } from "../../api/types.ts";

/** Slots a concept may use, in the order of the page; [yards to the offense's left of the ball, yards past the line]. */
export const SLOTS = {
  L1: [21, -0.6],
  L2: [12, -1.2],
  L3: [7, -1.2],
  R3: [-7, -1.2],
  R2: [-12, -1.2],
  R1: [-21, -0.6],
  B: [-2, -5.5],
} as const;
export type Slot = keyof typeof SLOTS;
export const slots = Object.keys(SLOTS) as Slot[];

/** A place on the drawing: yards to the offense's left of the ball, yards past the line. */
export type Place = [number, number];

const middle = (r: Route) => (r.depth[0]! + r.depth[1]!) / 2;

/** Depth of a slot's break, yd: as the concept asks, else the route's usual one. */
export function depthOf(c: Concept, slot: string, route: Route): number {
  return c.depths?.[slot] ?? middle(route);
}

/** A break that is asked for ever shallower stays this far downfield, yd. */
const LEAST_STEM = 0.5;

/** A slot's way, from where he lines up. Asked for another depth, its stem is longer or shorter; a route that only runs on ends
 * there. A back's depths count from the line. */
export function wayOf(c: Concept, slot: Slot, routes: readonly Route[]): Place[] {
  const route = routes.find((r) => r.id === c.routes[slot]);
  const start = SLOTS[slot] as unknown as Place;
  if (!route) return [start];
  const stem = depthOf(c, slot, route) - middle(route);
  const last = route.waypoints.length - 1;
  const runsOn = route.toward === "up" && route.depth[0]! >= 15;
  const longer = (k: number, down: number) =>
    k === 0 || (runsOn && k < last) ? down : Math.max(down + stem, Math.min(down, LEAST_STEM));
  const outward = start[0] >= 0 ? 1 : -1;
  const from = slot === "B" ? 0 : start[1];
  const way = route.waypoints.map(([down, out], k): Place => [start[0] + outward * out!, from + longer(k, down!)]);
  return slot === "B" ? [start, ...way] : way;
}

/** Where the break of a slot's route is drawn: the corner of its way nearest to the depth that is told. */
export function breakOf(c: Concept, slot: Slot, routes: readonly Route[]): Place {
  const way = wayOf(c, slot, routes);
  const route = routes.find((r) => r.id === c.routes[slot]);
  const depth = route ? depthOf(c, slot, route) : 0;
  const off = (p: Place) => Math.abs(p[1] - depth);
  return way.slice(1).reduce((best, p) => (off(p) < off(best) - 1e-6 ? p : best), way[1] ?? way[0]!);
}

/** A slot seen from the other side: L and R change places. */
export function turned(slot: string): string {
  return slot.startsWith("L") ? `R${slot.slice(1)}` : slot.startsWith("R") ? `L${slot.slice(1)}` : slot;
}
