import { calls } from "../../api/calls.ts";
import type { Concept, DrawnConcept, Look, OpenPlaybook, Plan } from "../../api/types.ts";
import { edits } from "../../state/edits.svelte.ts";
import { tried } from "../../state/notices.svelte.ts";

/** The playbook as it is drawn: which concept and plan are open, and every change kept at once. */
export class Drawing {
  book: OpenPlaybook | null = $state.raw(null);
  id: string | null = $state(null);
  planAt = $state(0);
  private storing: Promise<unknown> = Promise.resolve();
  private unstored = 0;

  get open(): DrawnConcept | undefined {
    return this.book?.concepts.find((c) => c.concept.id === this.id) ?? this.book?.concepts[0];
  }
  get plan(): Plan | undefined {
    const plans = this.open?.concept.plans ?? [];
    return plans[Math.min(this.planAt, plans.length - 1)];
  }
  async load() {
    if (this.unstored) return;
    const book = await tried(() => calls.openPlaybook());
    if (book && !this.unstored) this.book = book;
  }
  choose(id: string) {
    this.id = id;
    this.planAt = 0;
  }
  /** Changes the open concept; what the program refuses is said and does not stay. */
  change(how: (c: Concept) => void) {
    const open = this.open;
    if (!open || !this.book) return;
    const concept = structuredClone(open.concept);
    how(concept);
    this.put(concept);
  }
  changePlan(how: (p: Plan) => void) {
    const at = this.open?.concept.plans.indexOf(this.plan!) ?? -1;
    if (at >= 0) this.change((c) => how(c.plans[at]!));
  }
  changeLook(k: number, how: (l: Look) => void) {
    this.changePlan((p) => how(p.looks[k]!));
  }
  addPlan() {
    const open = this.open?.concept;
    const first = open && Object.keys(open.routes).find((s) => open.routes[s] !== "block");
    if (!open || !first) return;
    const taken = new Set(open.plans.map((p) => p.id));
    let n = open.plans.length + 1;
    while (taken.has(`own-${n}`)) n++;
    const look = { slot: first, when: "always" as const, rhythm_s: 0.2, against: null };
    this.change((c) =>
      c.plans.push({ id: `own-${n}`, name: "Own plan", kind: "progression", looks: [look], hot: null }),
    );
    this.planAt = open.plans.length;
  }
  dropPlan() {
    const at = this.open?.concept.plans.indexOf(this.plan!) ?? -1;
    if (at < 0) return;
    this.change((c) => c.plans.splice(at, 1));
    this.planAt = 0;
  }
  /** A new concept from the open one. */
  copy() {
    const open = this.open?.concept;
    if (!open || !this.book) return;
    const taken = new Set(this.book.concepts.map((c) => c.concept.id));
    let n = 2;
    while (taken.has(`${open.id}-${n}`)) n++;
    const made = { ...structuredClone(open), id: `${open.id}-${n}`, name: `${open.name} (own)`, also: [] };
    this.put(made);
    this.choose(made.id);
  }
  /** Takes the drawing of the open concept back. */
  back() {
    const open = this.open;
    if (!open?.own) return;
    this.store(() => calls.undrawConcept(open.concept.id));
  }
  private put(concept: Concept) {
    const known = this.book!.concepts.some((c) => c.concept.id === concept.id);
    const drawn = {
      concept,
      own: true,
      known: this.book!.concepts.find((c) => c.concept.id === concept.id)?.known ?? false,
    };
    const concepts = known
      ? this.book!.concepts.map((c) => (c.concept.id === concept.id ? drawn : c))
      : [...this.book!.concepts, drawn];
    this.book = { ...this.book!, concepts };
    this.store(() => calls.drawConcept(concept));
  }
  private store(work: () => Promise<unknown>) {
    this.unstored++;
    this.storing = this.storing.then(async () => {
      await edits.made(work, this.unstored === 1);
      this.unstored--;
      await this.load();
    });
  }
}
