import type { FoundPath, FoundPeople, MomentKind, Proposals } from "../../api/types.ts";
import { MOMENTS } from "./moments.ts";

/** What can be confirmed next, and what to say of it. */
export interface Stage {
  next: "moments" | "people" | "ball" | null;
  says: string;
}
const wordOf = (kind: MomentKind) => MOMENTS.find((m) => m.kind === kind)!.says.toLowerCase();
const many = (n: number, one: string, more: string) => `${n} ${n === 1 ? one : more}`;

/** People who can be taken over: proposed, and nobody has said who they are. */
function proposedPeople(people: FoundPeople | null): FoundPath[] {
  const held = new Set(people?.tracks.map((t) => t.person?.id).filter(Boolean));
  return (people?.tracks ?? []).filter((t) => !t.labelled && t.proposal && !held.has(t.proposal.person.id));
}

/** Moments come first, since everything else is told by them; then people, who help to find the ball. */
export function stageOf(people: FoundPeople | null, proposals: Proposals | null): Stage {
  if (proposals?.moments.length) {
    const kinds = [...new Set(proposals.moments.map((m) => wordOf(m.moment)))];
    return { next: "moments", says: kinds.join(", ") };
  }
  const men = proposedPeople(people);
  if (men.length) return { next: "people", says: many(men.length, "person", "people") };
  if (proposals?.flight.state === "seen" && proposals.flight.content.balls.length)
    return { next: "ball", says: `the ball in ${many(proposals.flight.content.balls.length, "frame", "frames")}` };
  if (!people || !proposals || (people.state === "not-looked" && proposals.state === "not-watched"))
    return { next: null, says: "nothing was looked for in this film yet" };
  if (proposals.flight.state === "not-seen") return { next: null, says: `no ball: ${proposals.flight.content}` };
  return { next: null, says: "everything found is confirmed" };
}

/** A path in a picture cut into stretches that were seen and stretches that are guesses. */
export function stretches<P extends { frame: number; seen: boolean }>(
  points: readonly P[],
): { seen: boolean; points: P[] }[] {
  const out: { seen: boolean; points: P[] }[] = [];
  for (const p of points) {
    const last = out.at(-1);
    if (last && last.seen === p.seen) last.points.push(p);
    else out.push({ seen: p.seen, points: last ? [last.points.at(-1)!, p] : [p] });
  }
  return out;
}
