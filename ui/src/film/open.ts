import { calls } from "../api/calls.ts";
import { proxyRange } from "../api/client.ts";
import type { Clip, FilmFrames } from "../api/types.ts";
import type { Player, ViewOfPlay } from "./player.svelte.ts";

const asked = new Map<string, Promise<FilmFrames>>();

/** Frame table and proxy index of a film; asked for once. */
function framesOf(film: string): Promise<FilmFrames> {
  let frames = asked.get(film);
  if (!frames) {
    frames = calls.frames(film);
    asked.set(film, frames);
    frames.catch(() => asked.delete(film));
  }
  return frames;
}

/** What the player needs of a clip. */
async function viewOf(clip: Clip): Promise<ViewOfPlay> {
  const frames = await framesOf(clip.film);
  return {
    name: clip.view ?? null,
    clip: clip.id,
    film: clip.film,
    frames,
    first: clip.first,
    end: clip.end,
    snapFrame: clip.snap_frame ?? null,
  };
}

/** Puts `clips` into the player unless something newer was asked for meanwhile. */
export async function open(player: Player, clips: Clip[], still: () => boolean) {
  const views = await Promise.all(clips.map(viewOf));
  if (still()) player.load(views, (film) => (first, end, signal) => proxyRange(film, first, end, signal));
}
