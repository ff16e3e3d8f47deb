import { calls } from "../../api/calls.ts";
import type { Answer, Askable, Pattern, Question } from "../../api/types.ts";
import { tried } from "../../state/notices.svelte.ts";

/** After an edit, questions are asked again when nothing was edited for this long. */
const PAUSE_MS = 400;

/** The ready questions and the evaluator's own, with their answers. */
export class Asking {
  askable: Askable | null = $state.raw(null);
  ready: Pattern[] = $state.raw([]);
  own: Answer | null = $state.raw(null);
  /** Games asked over; empty: all. */
  games: string[] = $state.raw([]);
  /** Id of the ready question that is open; null: the evaluator's own. */
  chosen: string | null = $state(null);
  loaded = $state(false);
  busy = $state(false);
  private asked: Partial<Question> | null = null;
  private loading = false;
  private stale = false;
  private timer: ReturnType<typeof setTimeout> | undefined;

  get answer(): Answer | null {
    if (this.chosen === null) return this.own;
    return this.ready.find((p) => p.id === this.chosen)?.answer ?? null;
  }
  schedule() {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => void this.load(), this.loaded ? PAUSE_MS : 0);
  }
  close() {
    clearTimeout(this.timer);
  }
  overGames(games: string[]) {
    this.games = games;
    this.schedule();
  }
  /** Asks a question of his own and opens it. */
  async ask(q: Partial<Question>) {
    this.asked = q;
    this.busy = true;
    const answered = await tried(() => this.answerAsked());
    this.busy = false;
    if (answered) this.chosen = null;
  }
  /** Answers what was asked last. False: another question was asked meanwhile, and its answer stays. */
  private async answerAsked(): Promise<boolean> {
    const asked = this.asked;
    if (!asked) return false;
    const own = await calls.ask({ ...asked, games: this.games });
    if (this.asked !== asked) return false;
    this.own = own;
    return true;
  }
  /** Words to keep plays by. */
  async wordsOf(field: string): Promise<string[]> {
    const known = this.askable?.fields.find((f) => f.id === field);
    if (known?.kind === "yes-no") return ["yes", "no"];
    return (await tried(() => calls.ask({ of: field })))?.words ?? [];
  }
  turn(way: 1 | -1) {
    const ids = this.ready.map((p) => p.id);
    const at = this.chosen === null ? (way > 0 ? -1 : ids.length) : ids.indexOf(this.chosen);
    this.chosen = ids[Math.max(0, Math.min(ids.length - 1, at + way))] ?? this.chosen;
  }
  private async load() {
    if (this.loading) {
      this.stale = true;
      return;
    }
    this.loading = true;
    this.busy = true;
    await tried(async () => {
      this.askable ??= await calls.askable();
      this.ready = await calls.readyAnswers(this.games);
      await this.answerAsked();
      if (!this.loaded) this.chosen = this.ready.find((p) => p.answer.whole.n > 0)?.id ?? this.ready[0]?.id ?? null;
      this.loaded = true;
    });
    this.busy = false;
    this.loading = false;
    if (this.stale) {
      this.stale = false;
      this.schedule();
    }
  }
}
