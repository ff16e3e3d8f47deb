import { calls } from "../../api/calls.ts";
import type { ClipStanding, GameLineUp } from "../../api/types.ts";
import { edits } from "../../state/edits.svelte.ts";
import { notices, tried } from "../../state/notices.svelte.ts";

/** How the clips of one game are lined up. */
export class GameField {
  overview: GameLineUp | null = $state.raw(null);
  /** The game is being settled again after the evaluator's word. */
  busy = $state(false);

  async load(game: string) {
    const answer = await tried(() => calls.gameLineUp(game));
    if (answer) this.overview = answer;
  }
  standing(clip: string | undefined): ClipStanding | undefined {
    return this.overview?.clips.find((c) => c.clip === clip);
  }
  /** Confirms a clip's yard lines (0 yards, not turned) or moves them; all clips are settled again. */
  async read(clip: string, yards: number, turned: boolean) {
    this.busy = true;
    const answer = await edits.made(() => calls.readField(clip, yards, turned));
    this.busy = false;
    if (!answer) return;
    this.overview = answer;
    const said = turned ? "Turned round." : yards ? `Moved ${Math.abs(yards)} yd.` : "Confirmed.";
    notices.say(`${said} The game was settled again.`);
  }
  /** The clip after `clip` that wants a look, going round. */
  nextDoubtful(clip: string | undefined): ClipStanding | undefined {
    const all = this.overview?.clips ?? [];
    const open = all.filter((c) => c.standing !== "sound");
    const at = open.findIndex((c) => c.clip === clip);
    return open[(at + 1) % Math.max(1, open.length)];
  }
}

export const STANDING_WORDS: Record<ClipStanding["standing"], string> = {
  sound: "sound",
  doubtful: "look at it",
  "not-found": "no field found",
  waiting: "not tried yet",
};
