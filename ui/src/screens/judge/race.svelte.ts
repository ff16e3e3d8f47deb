import { calls } from "../../api/calls.ts";
import type { Race } from "../../api/types.ts";
import type { LookedAt } from "../../film/diagram.svelte.ts";
import { Newest } from "../../state/newest.ts";

/** Races kept: a sweep along a row forth and back. */
const KEPT = 200;

/** The race to the ball of the cell that is looked at, in the frames on screen. */
export class RaceFeed {
  race: Race | null = $state.raw(null);
  private kept = new Map<string, Race | null>();
  private newest = new Newest<{ cell: LookedAt; t: number } | null>((wish, still) => this.ask(wish, still));

  constructor(private readonly play: string) {}

  want(cell: LookedAt | null, t: number) {
    this.newest.want(cell && { cell, t });
  }
  close() {
    this.newest.close();
  }
  private async ask(wish: { cell: LookedAt; t: number } | null, still: () => boolean) {
    if (!wish) {
      this.race = null;
      return;
    }
    const { cell, t } = wish;
    const key = `${cell.receiver} ${cell.release_s.toFixed(3)} ${t.toFixed(3)}`;
    if (!this.kept.has(key)) {
      // Where nobody is seen there is no race to draw; the strip and the findings say so.
      const made = await calls.race(this.play, cell.receiver, cell.release_s, t).catch(() => null);
      if (this.kept.size >= KEPT) this.kept.clear();
      this.kept.set(key, made ?? null);
    }
    if (still()) this.race = this.kept.get(key) ?? null;
  }
}
