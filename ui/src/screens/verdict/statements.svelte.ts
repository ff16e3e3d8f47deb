import { calls } from "../../api/calls.ts";
import type { ClaimEdit, Leaning, MeasureRow, WeighedClaim } from "../../api/types.ts";
import { edits } from "../../state/edits.svelte.ts";
import { tried } from "../../state/notices.svelte.ts";

/** After an edit, evidence is weighed again when nothing was edited for this long. */
const PAUSE_MS = 400;

/** A statement on the page. One that was just begun has no id until its first words are in the study. */
export interface Statement {
  key: string;
  id: string | null;
  text: string;
  leaning: Leaning;
  measures: string[];
  /** Plays each measure is taken over; all when empty. Kept as it came. */
  over: Record<string, string[]>;
  supporting: string[];
  against: string[];
  impression: boolean;
  figures: string[];
  strength: string;
  unsupported: boolean;
}

function taken(w: WeighedClaim, key: string): Statement {
  const { claim } = w;
  return {
    key,
    id: claim.id,
    text: claim.text,
    leaning: claim.leaning,
    measures: claim.strands.map((s) => s.measure),
    over: Object.fromEntries(claim.strands.map((s) => [s.measure, s.plays])),
    supporting: claim.evidence.supporting,
    against: claim.evidence.against,
    impression: claim.impression,
    figures: w.figures,
    strength: w.strength,
    unsupported: w.unsupported,
  };
}

/** The verdict's statements and the measures that they can rest on. */
export class Statements {
  list: Statement[] = $state([]);
  measures: MeasureRow[] = $state.raw([]);
  loaded = $state(false);
  chosen: string | null = $state(null);
  private storing: Promise<unknown> = Promise.resolve();
  private unstored = 0;
  private begun = 0;
  private timer: ReturnType<typeof setTimeout> | undefined;

  get now(): Statement | undefined {
    return this.list.find((s) => s.key === this.chosen);
  }
  /** Asks again, after a pause; what is being written is left alone. */
  schedule() {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => void this.load(), this.loaded ? PAUSE_MS : 0);
  }
  close() {
    clearTimeout(this.timer);
  }
  private async load() {
    await tried(async () => {
      const [claims, measures] = await Promise.all([calls.claims(), calls.measures()]);
      if (this.unstored) return;
      const drafts = this.list.filter((s) => s.id === null);
      const keyOf = new Map(this.list.map((s) => [s.id, s.key]));
      this.list = [...claims.map((w) => taken(w, keyOf.get(w.claim.id) ?? w.claim.id)), ...drafts];
      this.measures = measures;
      this.loaded = true;
      if (!this.now) this.chosen = this.list[0]?.key ?? null;
    });
  }

  /** Begins a statement and chooses it; one that is still empty is taken up again. */
  begin() {
    const empty = this.list.find((s) => s.id === null && !s.text);
    const key = empty?.key ?? `new ${++this.begun}`;
    if (!empty)
      this.list.push({
        key,
        id: null,
        text: "",
        leaning: "open",
        measures: [],
        over: {},
        supporting: [],
        against: [],
        impression: false,
        figures: [],
        strength: "",
        unsupported: false,
      });
    this.chosen = key;
  }
  /** Changes the chosen statement, here at once and in the study in the order of the changes. */
  change(key: string, how: Partial<Statement>, place?: number) {
    const s = this.list.find((x) => x.key === key);
    if (!s) return;
    Object.assign(s, how);
    this.store(async () => {
      const live = this.list.find((x) => x.key === key);
      // The program keeps no empty sentence: the words before stay until there are others.
      if (!live?.text.trim()) return;
      const edit = this.edit(live, place);
      if (live.id === null) live.id = (await calls.addClaim(edit)).id;
      else await calls.putClaim(live.id, edit);
    });
  }
  private edit(s: Statement, place?: number): ClaimEdit {
    return {
      text: s.text,
      leaning: s.leaning,
      strands: s.measures.map((measure) => ({ measure, plays: s.over[measure] ?? [] })),
      evidence: { supporting: s.supporting, against: s.against },
      impression: s.impression,
      ...(place === undefined ? {} : { order: place }),
    };
  }
  /** Adds a measure, or takes it away when the statement has it. */
  turnMeasure(s: Statement, measure: string) {
    this.change(s.key, { measures: toggled(s.measures, measure) });
  }
  /** Adds a play as a clip for or against, or takes it away; a clip is never both. */
  turnClip(s: Statement, side: "supporting" | "against", play: string) {
    const other = side === "supporting" ? "against" : "supporting";
    this.change(s.key, { [side]: toggled(s[side], play), [other]: s[other].filter((p) => p !== play) });
  }
  move(way: 1 | -1) {
    const at = this.list.findIndex((s) => s.key === this.chosen);
    const to = at + way;
    const s = this.list[at];
    if (!s?.id || !this.list[to]?.id) return;
    this.list.splice(at, 1);
    this.list.splice(to, 0, s);
    this.change(s.key, {}, to + 1);
  }
  drop(key: string) {
    const at = this.list.findIndex((s) => s.key === key);
    const s = this.list[at];
    if (!s) return;
    this.list.splice(at, 1);
    this.chosen = (this.list[at] ?? this.list[at - 1])?.key ?? null;
    this.store(async () => {
      if (s.id) await calls.dropClaim(s.id);
    });
  }
  turn(way: 1 | -1) {
    const at = this.list.findIndex((s) => s.key === this.chosen);
    this.chosen = (this.list[at + way] ?? this.list[at] ?? this.list[0])?.key ?? null;
  }
  private store(work: () => Promise<unknown>) {
    this.unstored++;
    this.storing = this.storing.then(async () => {
      await edits.made(work, false);
      this.unstored--;
      if (!this.unstored) this.schedule();
    });
  }
}

function toggled(list: string[], one: string): string[] {
  return list.includes(one) ? list.filter((x) => x !== one) : [...list, one];
}
