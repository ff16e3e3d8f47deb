import { calls } from "../../api/calls.ts";
import type {
  Chart,
  ChartWords,
  ConceptSummary,
  MomentKind,
  Recognised,
  Suggestion,
  ViewName,
} from "../../api/types.ts";
import { edits } from "../../state/edits.svelte.ts";
import { notices, tried } from "../../state/notices.svelte.ts";
import {
  EMPTY,
  type FieldName,
  type Offer,
  changeOf,
  conceptNamed,
  isEmpty,
  offerFor,
  ORDER,
  withConcept,
} from "./fields.ts";

/** The chart of one play while it is written. */
export class Charting {
  chart: Chart = $state.raw(EMPTY);
  carried: Suggestion | null = $state.raw(null);
  seen: Recognised | null = $state.raw(null);
  words: ChartWords | null = $state.raw(null);
  concepts: ConceptSummary[] = $state.raw([]);
  moments: { moment: MomentKind; view: ViewName; frame: number }[] = $state.raw([]);
  ready = $state(false);
  /** Fields whose offer was taken out; it is not offered again while the play is open. */
  private declined: ReadonlySet<FieldName> = $state.raw(new Set<FieldName>());
  private storing: Promise<unknown> = Promise.resolve();
  private waiting = 0;

  constructor(readonly play: string) {}

  async load() {
    if (this.waiting) return;
    await tried(async () => {
      const [detail, carried, words, book] = await Promise.all([
        calls.play(this.play),
        this.carried ?? calls.suggest(this.play),
        this.words ?? calls.words(),
        this.concepts.length ? { concepts: this.concepts, findings: [] } : calls.concepts(),
      ]);
      if (this.waiting) return;
      this.chart = detail.chart;
      this.moments = detail.marks.moments;
      this.carried = carried;
      this.words = words;
      this.concepts = book.concepts;
      for (const f of book.findings) notices.say(f.message);
      this.ready = true;
    });
    await this.look();
  }
  /** What the tracks show, if there are any by now; typing does not wait for it. */
  private async look() {
    const seen = await tried(() => calls.recognised(this.play));
    if (seen && !this.waiting) this.seen = seen;
  }
  get concept(): ConceptSummary | undefined {
    return conceptNamed(this.chart.concept || (this.offer("concept")?.change.concept ?? ""), this.concepts);
  }
  offer(field: FieldName): Offer | null {
    return this.declined.has(field) ? null : offerFor(this.chart, field, this);
  }
  /** Fields with something offered that is not confirmed. */
  get offered(): FieldName[] {
    return ORDER.filter((f) => this.offer(f) !== null);
  }
  /** Takes what was typed into a field; false when it cannot be. */
  type(field: FieldName, text: string): boolean {
    const change = changeOf(field, text);
    if (typeof change === "string") {
      notices.say(change);
      return false;
    }
    if (!text.trim()) this.declined = new Set([...this.declined, field]);
    this.put(change);
    return true;
  }
  route(slot: string, route: string) {
    const now = this.chart.routes.length ? this.chart.routes : (this.offer("routes")?.change.routes ?? []);
    const has = now.some((r) => r.slot === slot);
    const routes = has ? now.map((r) => (r.slot === slot ? { slot, route } : r)) : [...now, { slot, route }];
    this.put({ routes: routes.filter((r) => r.route !== "") });
  }
  confirm(field: FieldName) {
    const offer = this.offer(field);
    if (offer) this.put(offer.change);
  }
  /** Confirms every offer, in order: what follows from one may offer the next. */
  confirmAll() {
    let c = this.chart;
    for (const field of ORDER) {
      if (this.declined.has(field)) continue;
      const offer = offerFor(c, field, this);
      if (offer) c = { ...c, ...this.complete(c, offer.change) };
    }
    this.put(c);
  }
  put(change: Partial<Chart>) {
    const next = { ...this.chart, ...this.complete(this.chart, change) };
    if (JSON.stringify(next) === JSON.stringify(this.chart)) return;
    this.chart = next;
    this.waiting++;
    this.storing = this.storing.then(async () => {
      await edits.made(() => calls.putChart(this.play, next));
      this.waiting--;
      await this.load();
    });
  }
  firstOpen(): FieldName {
    return ORDER.find((f) => isEmpty(this.chart, f)) ?? "formation";
  }
  private complete(c: Chart, change: Partial<Chart>): Partial<Chart> {
    const whole = Object.keys(change).length > 3;
    if (change.concept === undefined || whole) return change;
    return { ...change, ...withConcept(c, change.concept, this) };
  }
}
