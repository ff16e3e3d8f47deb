import { fetchRaw } from "../api/client.ts";
import { Newest } from "../state/newest.ts";
import type { Theme } from "../state/theme.svelte.ts";

/** The diagram is drawn for steps of the clock this long, s: a runner goes less than half a yard in one. */
const STEP_S = 0.05;
/** Drawings kept, enough for a play forth and back. */
const KEPT = 240;

/** A throw that is looked at: to whom, and when it would leave the hand, s from the snap. */
export interface LookedAt {
  receiver: string;
  release_s: number;
}

interface Wish {
  t: number;
  theme: Theme;
  race: LookedAt | null;
}

/** The play's diagram at an instant: drawn by the program, kept, one asked for at a time, the newest wish first. */
export class DiagramFeed {
  /** Address of the drawing nearest to what was wanted last; empty before the first. */
  url = $state("");
  /** The instant that it shows, s from the snap. */
  at = $state(0);
  refused = $state("");
  private kept = new Map<string, string>();
  private newest = new Newest<Wish>((wish, still) => this.draw(wish, still));

  constructor(private readonly play: string) {}

  want(clock: number, theme: Theme, race: LookedAt | null) {
    this.newest.want({ t: Math.round(clock / STEP_S) * STEP_S, theme, race });
  }
  close() {
    this.newest.close();
    for (const url of this.kept.values()) URL.revokeObjectURL(url);
    this.kept.clear();
  }
  private async draw({ t, theme, race }: Wish, still: () => boolean) {
    const query = new URLSearchParams({ theme, t: t.toFixed(2) });
    if (race) {
      query.set("receiver", race.receiver);
      query.set("release_s", race.release_s.toFixed(4));
    }
    const key = query.toString();
    const had = this.kept.get(key);
    if (had) return this.show(had, t);
    try {
      const path = `/plays/${encodeURIComponent(this.play)}/figures/diagram.svg?${key}`;
      const url = URL.createObjectURL(await (await fetchRaw(path)).blob());
      if (!still()) return URL.revokeObjectURL(url);
      this.keep(key, url);
      this.show(url, t);
    } catch (e) {
      this.refused = e instanceof Error ? e.message : String(e);
      this.url = "";
    }
  }
  private show(url: string, t: number) {
    this.url = url;
    this.at = t;
    this.refused = "";
  }
  private keep(key: string, url: string) {
    this.kept.set(key, url);
    for (const [old, gone] of this.kept) {
      if (this.kept.size <= KEPT) break;
      if (gone === this.url) continue;
      URL.revokeObjectURL(gone);
      this.kept.delete(old);
    }
  }
}
