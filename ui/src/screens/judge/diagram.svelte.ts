import { fetchRaw } from "../../api/client.ts";
import type { Theme } from "../../state/theme.svelte.ts";

/** The diagram is drawn for steps of the clock this long, s: a runner goes less than half a yard in one. */
const STEP_S = 0.05;
/** Drawings kept, enough for a play forth and back. */
const KEPT = 240;

/** The play's diagram at an instant: drawn by the program, kept, one asked for at a time, the newest wish first. */
export class DiagramFeed {
  /** Address of the drawing nearest to what was wanted last; empty before the first. */
  url = $state("");
  /** The instant that it shows, s from the snap. */
  at = $state(0);
  refused = $state("");
  private kept = new Map<string, string>();
  private wanted: { t: number; theme: Theme } | null = null;
  private asking = false;
  private closed = false;

  constructor(private readonly play: string) {}

  want(clock: number, theme: Theme) {
    this.wanted = { t: Math.round(clock / STEP_S) * STEP_S, theme };
    void this.work();
  }
  close() {
    this.closed = true;
    for (const url of this.kept.values()) URL.revokeObjectURL(url);
    this.kept.clear();
  }
  private async work() {
    if (this.asking) return;
    this.asking = true;
    while (this.wanted && !this.closed) {
      const { t, theme } = this.wanted;
      this.wanted = null;
      const key = `${theme} ${t.toFixed(2)}`;
      const had = this.kept.get(key);
      if (had) {
        this.show(had, t);
        continue;
      }
      try {
        const path = `/plays/${encodeURIComponent(this.play)}/figures/diagram.svg?theme=${theme}&t=${t.toFixed(2)}`;
        const url = URL.createObjectURL(await (await fetchRaw(path)).blob());
        if (this.closed) return URL.revokeObjectURL(url);
        this.keep(key, url);
        this.show(url, t);
      } catch (e) {
        this.refused = e instanceof Error ? e.message : String(e);
        this.url = "";
        break;
      }
    }
    this.asking = false;
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
