import { calls } from "../../api/calls.ts";
import type {
  ClaimEdit,
  Leaning,
  MeasureRow,
  Draft,
  OpenQuestion,
  ProposedClip,
  Schemas,
  Stage,
  Strand,
  WeighedClaim,
} from "../../api/types.ts";
import { edits } from "../../state/edits.svelte.ts";
import { notices, tried } from "../../state/notices.svelte.ts";
import { STAGES } from "./leanings.ts";

/** After an edit, evidence is weighed again when nothing was edited for this long. */
const PAUSE_MS = 400;

/** A statement on the page. One that was just begun has no id until its first words are in the study. */
export interface Statement {
  key: string;
  id: string | null;
  text: string;
  leaning: Leaning;
  /** When what it asks to work on is taught, as the evaluator set it; null: by its figures. */
  stage: Stage | null;
  /** The same with the program's word where he set none. */
  taught: Stage;
  /** Figures it rests on. */
  strands: Strand[];
  supporting: string[];
  against: string[];
  impression: boolean;
  figures: string[];
  strength: string;
  unsupported: boolean;
  /** What an unsupported sentence lacks. */
  lacks: string;
  /** Clips against it that the program proposes, most telling first. */
  contrary: ProposedClip[];
  /** Clips for it that the program proposes, most telling first. */
  showing: ProposedClip[];
  oneSided: string;
  needed: string[];
}

/** Two strands that ask the same. */
export const sameStrand = (a: Strand, b: Strand) =>
  a.measure === b.measure &&
  (a.by ?? null) === (b.by ?? null) &&
  (a.group ?? null) === (b.group ?? null) &&
  (a.word ?? null) === (b.word ?? null) &&
  JSON.stringify([a.only ?? [], a.games ?? []]) === JSON.stringify([b.only ?? [], b.games ?? []]);

function taken(w: WeighedClaim, key: string): Statement {
  const { claim } = w;
  return {
    key,
    id: claim.id,
    text: claim.text,
    leaning: claim.leaning,
    stage: claim.stage ?? null,
    taught: w.stage,
    strands: claim.strands,
    supporting: claim.evidence.supporting,
    against: claim.evidence.against,
    impression: claim.impression,
    figures: w.figures,
    strength: w.strength,
    unsupported: w.unsupported,
    lacks: w.lacks,
    contrary: w.contrary,
    showing: w.showing,
    oneSided: w.one_sided,
    needed: w.needed,
  };
}

/** The verdict's statements and the measures that they can rest on. */
export class Statements {
  list: Statement[] = $state([]);
  measures: MeasureRow[] = $state.raw([]);
  /** The ready questions' answers, whose groups a statement can rest on. */
  patterns: Schemas["Pattern"][] = $state.raw([]);
  /** Statements that the figures carry by themselves. */
  drafts: Draft[] = $state.raw([]);
  /** Questions that the film leaves open. */
  open: OpenQuestion[] = $state.raw([]);
  loaded = $state(false);
  chosen: string | null = $state(null);
  private storing: Promise<unknown> = Promise.resolve();
  private unstored = 0;
  private begun = 0;
  private loading = false;
  private stale = false;
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
  /** Weighing takes seconds on a long study: one at a time, and once more when something changed meanwhile. */
  private async load() {
    if (this.loading) {
      this.stale = true;
      return;
    }
    this.loading = true;
    await this.ask();
    this.loading = false;
    if (this.stale) {
      this.stale = false;
      this.schedule();
    }
  }
  private async ask() {
    await tried(async () => {
      const [claims, measures, patterns, drafts, open] = await Promise.all([
        calls.claims(),
        calls.measures(),
        calls.readyAnswers(),
        calls.drafts(),
        calls.openQuestions(),
      ]);
      if (this.unstored) return;
      const begun = this.list.filter((s) => s.id === null);
      const keyOf = new Map(this.list.map((s) => [s.id, s.key]));
      this.list = [...claims.map((w) => taken(w, keyOf.get(w.claim.id) ?? w.claim.id)), ...begun];
      this.measures = measures;
      this.patterns = patterns;
      this.drafts = drafts;
      this.open = open;
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
        stage: null,
        taught: "decisions",
        strands: [],
        supporting: [],
        against: [],
        impression: false,
        figures: [],
        strength: "",
        unsupported: false,
        lacks: "",
        contrary: [],
        showing: [],
        oneSided: "",
        needed: [],
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
      stage: s.stage,
      strands: s.strands,
      evidence: { supporting: s.supporting, against: s.against },
      impression: s.impression,
      ...(place === undefined ? {} : { order: place }),
    };
  }
  /** Adds a figure, or takes it away when the statement has it. */
  turnStrand(s: Statement, strand: Strand) {
    const without = s.strands.filter((x) => !sameStrand(x, strand));
    this.change(s.key, { strands: without.length < s.strands.length ? without : [...s.strands, strand] });
  }
  /** The next stage of teaching, counted from the one in force. */
  turnStage(s: Statement) {
    const at = STAGES.findIndex((x) => x.stage === s.taught);
    const stage = STAGES[(at + 1) % STAGES.length]!.stage;
    this.change(s.key, { stage, taught: stage });
  }
  /** Takes a clip that the program proposes for the statement or against it. */
  takeProposed(s: Statement, side: "supporting" | "against", play: string) {
    s.contrary = s.contrary.filter((c) => c.play !== play);
    s.showing = s.showing.filter((c) => c.play !== play);
    if (!s[side].includes(play)) this.turnClip(s, side, play);
  }
  /** Writes what the figures carry into the verdict, to be put in the evaluator's words. */
  takeDraft(d: Draft) {
    this.drafts = this.drafts.filter((o) => o !== d);
    this.begin();
    const { text, leaning, strand, supporting, against } = d;
    this.change(this.chosen!, { text, leaning, strands: [strand], supporting, against });
  }
  /** Writes a question that the film leaves open into the verdict, with the answer it rests on. */
  takeOpen(q: OpenQuestion) {
    this.open = this.open.filter((o) => o !== q);
    this.begin();
    this.change(this.chosen!, { text: q.text, leaning: "open", strands: [q.strand] });
  }
  /** Adds a play as a clip for or against, or takes it away; a clip is never both. */
  turnClip(s: Statement, side: "supporting" | "against", play: string) {
    const other = side === "supporting" ? "against" : "supporting";
    this.change(s.key, { [side]: toggled(s[side], play), [other]: s[other].filter((p) => p !== play) });
  }
  /** Moves the chosen statement within its part of the verdict. */
  move(way: 1 | -1) {
    const at = this.list.findIndex((s) => s.key === this.chosen);
    const [s, other] = [this.list[at], this.list[at + way]];
    if (!s?.id || !other?.id || other.leaning !== s.leaning) return;
    if (s.leaning === "work" && other.taught !== s.taught) {
      notices.say("What to work on stands in the order it is taught; T sets another stage.");
      return;
    }
    this.list.splice(at, 1);
    this.list.splice(at + way, 0, s);
    this.change(s.key, {}, at + way + 1);
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
