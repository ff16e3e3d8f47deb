import { calls } from "../api/calls.ts";
import type { Clip, FilmSummary, Game, PlaySummary, Study } from "../api/types.ts";
import { route } from "./route.svelte.ts";

/** The study's lists, as the program last gave them. */
class StudyLists {
  study: Study | null = $state.raw(null);
  games: Game[] = $state.raw([]);
  plays: PlaySummary[] = $state.raw([]);
  films: FilmSummary[] = $state.raw([]);
  clips: Clip[] = $state.raw([]);
  loaded = $state(false);
  /** Grows with every edit anywhere; what depends on the study's content reads it. */
  revision = $state(0);

  async reload() {
    const [all, plays, films, clips] = await Promise.all([calls.study(), calls.plays(), calls.films(), calls.clips()]);
    this.study = all.study;
    this.games = all.games;
    this.plays = plays;
    this.films = films;
    this.clips = clips;
    this.loaded = true;
    this.revision++;
    if (!route.play || !plays.some((p) => p.id === route.play)) {
      const first = plays[0];
      if (first) route.play = first.id;
    }
  }
  get play(): PlaySummary | undefined {
    return this.plays.find((p) => p.id === route.play);
  }
  /** A play as one speaks of it: by its number, and its game where there are several. */
  nameOf(id: string): string {
    const p = this.plays.find((q) => q.id === id);
    if (!p) return "a play no longer here";
    const game = this.games.length > 1 ? this.gameOf(p.game)?.name : undefined;
    return game ? `Play ${p.number}, ${game}` : `Play ${p.number}`;
  }
  gameOf(id: string): Game | undefined {
    return this.games.find((g) => g.id === id);
  }
  clip(id: string | undefined): Clip | undefined {
    return this.clips.find((c) => c.id === id);
  }
  film(id: string | undefined): FilmSummary | undefined {
    return this.films.find((f) => f.id === id);
  }
  turnPlay(way: 1 | -1, among = this.plays) {
    const at = among.findIndex((p) => p.id === route.play);
    const next = among[at + way] ?? (at < 0 ? among[0] : undefined);
    if (next) route.go(route.screen, next.id);
  }
}
export const lists = new StudyLists();
