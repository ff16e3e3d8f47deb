import { calls } from "../../api/calls.ts";
import type {
  Judged,
  Measurement,
  Outcome,
  OwnCall,
  PlayDetail,
  Recognised,
  Seen,
  ThrowMade,
} from "../../api/types.ts";
import { edits } from "../../state/edits.svelte.ts";
import { tried } from "../../state/notices.svelte.ts";

/** After an edit, figures are asked for again when nothing was edited for this long. */
const PAUSE_MS = 300;

/** One play as it is judged: what was measured, what the program says, what the evaluator says. */
export class Judging {
  detail: PlayDetail | null = $state.raw(null);
  measurement: Measurement | null = $state.raw(null);
  judged: Judged | null = $state.raw(null);
  /** The ball that was thrown against the best. */
  made: Seen<ThrowMade> | null = $state.raw(null);
  /** What the tracks look like. */
  picture: Recognised | null = $state.raw(null);
  /** The evaluator's calls as they stand on the page; they reach the study in the order in which they were made. */
  own: OwnCall[] = $state.raw([]);
  busy = $state(false);
  /** Grows when the figures may have changed, so that drawings are made anew. */
  revision = $state(0);
  private storing: Promise<unknown> = Promise.resolve();
  private unstored = 0;
  private timer: ReturnType<typeof setTimeout> | undefined;
  private closed = false;

  constructor(readonly play: string) {}

  close() {
    this.closed = true;
    clearTimeout(this.timer);
  }
  async load() {
    const detail = await tried(() => calls.play(this.play));
    if (!detail || this.closed) return;
    this.detail = detail;
    if (!this.unstored) this.own = detail.calls;
    clearTimeout(this.timer);
    this.timer = setTimeout(() => void this.figures(), this.judged ? PAUSE_MS : 0);
  }
  private async figures() {
    this.busy = true;
    await tried(async () => {
      const [measurement, judged, picture] = await Promise.all([
        calls.measurement(this.play),
        calls.judged(this.play),
        calls.recognised(this.play),
      ]);
      if (this.closed) return;
      this.picture = picture;
      const same = JSON.stringify([measurement, judged]) === JSON.stringify([this.measurement, this.judged]);
      if (same && this.made) return;
      this.measurement = measurement;
      this.judged = judged;
      if (!same) this.revision++;
      this.busy = false;
      // After the rest: it needs the repeats, which a stored measurement lacks.
      const made = await calls.throwMade(this.play);
      if (!this.closed) this.made = made;
    });
    this.busy = false;
  }

  /** Charts what the tracks show surely enough where nothing is charted. */
  takePicture() {
    this.store(() => calls.takeRecognised(this.play));
  }
  callOf(plan: string): OwnCall | undefined {
    return this.own.find((c) => c.plan === plan);
  }
  call(plan: string, outcome: Outcome) {
    this.put({ plan, outcome, why: this.callOf(plan)?.why ?? "" });
  }
  why(plan: string, why: string) {
    const call = this.callOf(plan);
    if (call) this.put({ ...call, why });
  }
  withdraw(plan: string) {
    if (!this.callOf(plan)) return;
    this.own = this.own.filter((c) => c.plan !== plan);
    this.store(() => calls.dropCall(this.play, plan));
  }
  private put(call: OwnCall) {
    this.own = [...this.own.filter((c) => c.plan !== call.plan), call];
    this.store(() => calls.putCall(this.play, call));
  }
  private store(work: () => Promise<unknown>) {
    this.unstored++;
    this.storing = this.storing.then(async () => {
      // The last of several edits under way brings the lists up to date.
      await edits.made(work, this.unstored === 1);
      this.unstored--;
      if (!this.unstored) await this.load();
    });
  }
}
