import { calls } from "../../api/calls.ts";
import type { BlindSet, Consistency, Outcome, StudyComparison } from "../../api/types.ts";
import { edits } from "../../state/edits.svelte.ts";
import { tried } from "../../state/notices.svelte.ts";

/** Decisions of one evening's blind set. */
const DECISIONS = 12;

/** Decisions called again without seeing the first call, and another evaluator's study. */
export class Blind {
  known: Consistency | null = $state.raw(null);
  compared: StudyComparison | null = $state.raw(null);
  /** The set is being called; nothing of the verdict is shown meanwhile. */
  calling = $state(false);

  async load() {
    await tried(async () => {
      this.known = await calls.consistency();
      if (!this.open) this.calling = false;
    });
  }
  /** The set that is not finished. */
  get open(): BlindSet | undefined {
    return this.known?.sets.find((s) => !s.finished);
  }
  /** The next decision to call. */
  get next() {
    return this.open?.items.find((i) => i.again == null);
  }
  /** Goes on with the open set, or picks one. */
  async begin() {
    if (!this.open) await edits.made(() => calls.pickBlindSet(DECISIONS));
    await this.load();
    this.calling = this.open !== undefined;
  }
  async call(outcome: Outcome) {
    const [set, item] = [this.open, this.next];
    if (!set || !item) return;
    await edits.made(() => calls.callAgain(set.id, item.play, outcome));
    await this.load();
  }
  async compare(path: string) {
    await tried(async () => {
      this.compared = await calls.compareStudies(path);
    });
  }
}
