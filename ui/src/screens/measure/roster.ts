import type { Chart, Person, Role } from "../../api/types.ts";

/** A person of the play, or one who is only planned: he is added when he is first marked. */
export interface Listed extends Person {
  planned: boolean;
}

const RUSHERS_USUAL = 4;
const DEFENDERS = 11;

/** Everybody of the play in the order of the list: passer, receivers across the field, back, other offense, defense. */
export function rosterOf(people: readonly Person[], chart: Chart): Listed[] {
  const here: Listed[] = people.map((p) => ({ ...p, planned: false }));
  const has = (id: string) => here.some((p) => p.id === id);
  const slots = chart.routes.map((r) => r.slot);
  for (const slot of slots.length ? slots : ["L1", "L2", "R2", "R1", "B"]) {
    const role = roleOfSlot(slot);
    if (role && !has(slot)) here.push({ id: slot, unit: "offense", role, shirt: null, name: "", planned: true });
  }
  const defense = people.filter((p) => p.unit === "defense");
  const rushers = chart.rushers ?? RUSHERS_USUAL;
  const plan = (role: "rusher" | "cover", count: number) => {
    const missing = count - defense.filter((p) => p.role.role === role).length;
    for (let n = 1, left = missing; left > 0; n++) {
      const id = `${role}-${n}`;
      if (has(id)) continue;
      here.push({ id, unit: "defense", role: { role }, shirt: null, name: "", planned: true });
      left--;
    }
  };
  plan("cover", DEFENDERS - rushers);
  plan("rusher", rushers);
  return here.sort((a, b) => place(a) - place(b) || a.id.localeCompare(b.id, "en", { numeric: true }));
}

/** The role that a slot of the chart names: `L1`, `R2`, `B`. */
function roleOfSlot(slot: string): Role | null {
  if (slot === "B") return { role: "back" };
  const [, flank, number] = /^([LR])(\d)$/.exec(slot) ?? [];
  return flank ? { role: "receiver", flank: flank === "L" ? "left" : "right", number: Number(number) } : null;
}

function place(p: Person): number {
  const r = p.role;
  if (r.role === "receiver") return r.flank === "left" ? 10 + r.number : 40 - r.number;
  return { passer: 0, back: 50, blocker: 60, cover: 70, rusher: 80 }[r.role];
}

/** What he is called on the screen. */
export function called(p: Person): string {
  return p.name?.trim() || p.id.replaceAll("-", " ");
}

/** Whoever follows `now` in `list` and satisfies `wanted`; `now` himself when nobody does. */
export function following(list: readonly Listed[], now: string, wanted: (p: Listed) => boolean): string {
  const at = list.findIndex((p) => p.id === now);
  const turned = [...list.slice(at + 1), ...list.slice(0, at)];
  return turned.find(wanted)?.id ?? now;
}
