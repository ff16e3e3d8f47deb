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

/** A slot's way, from where he lines up. The break scales with the depth asked for; a back's depths count from the line. */
export function wayOf(c: Concept, slot: Slot, routes: readonly Route[]): Place[] {
  const route = routes.find((r) => r.id === c.routes[slot]);
  const start = SLOTS[slot] as unknown as Place;
  if (!route) return [start];
  const usual = middle(route);
  const scale = Math.abs(usual) > 0.5 ? depthOf(c, slot, route) / usual : 1;
  const outward = start[0] >= 0 ? 1 : -1;
  const from = slot === "B" ? 0 : start[1];
  const way = route.waypoints.map(([down, out]): Place => [start[0] + outward * out!, from + down! * scale]);
  return slot === "B" ? [start, ...way] : way;
}

/** What is left of a concept that one looks at from the other side: L and R change places. */
export function turned(slot: string): string {
  return slot.startsWith("L") ? `R${slot.slice(1)}` : slot.startsWith("R") ? `L${slot.slice(1)}` : slot;
}
