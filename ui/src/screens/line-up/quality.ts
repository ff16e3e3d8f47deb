import { errorYd } from "../../parts/words.ts";
import type { FrameCamera } from "../../api/types.ts";
import type { Lane } from "../../film/Tape.svelte";
import type { PlayerView } from "../../film/player.svelte.ts";

type Level = Lane["spans"][number]["level"];

export function levelOf(camera: FrameCamera | undefined): Level {
  if (!camera) return "lost";
  return camera.trusted ? "sound" : "weak";
}

export const LEVEL_WORDS: Record<Level, string> = {
  sound: "sound",
  weak: "look at it",
  lost: "no field found",
};

/** Full height of the strip, yd of standard error on the ground. */
const FULL_YD = 0.5;

/** The clip's frames as bars of standard error on the play's clock, with the level of each. */
export function laneOf(view: PlayerView, cameras: Map<number, FrameCamera>): Lane {
  const spans: Lane["spans"] = [];
  for (let f = view.of.first; f < view.of.end; f++) {
    const level = levelOf(cameras.get(f));
    const from = view.clockOf(f);
    const to = f + 1 < view.table.count ? view.clockOf(f + 1) : from + view.table.interval;
    const sd = cameras.get(f)?.ground_sd_yd ?? null;
    const figure = sd === null ? "" : `, standard error ${errorYd(sd)}`;
    const share = level === "lost" ? 0.14 : sd === null ? 0.08 : Math.max(0.08, Math.min(1, sd / FULL_YD));
    const last = spans.at(-1);
    if (level === "lost" && last?.level === level) last.to = to;
    else spans.push({ from, to, level, share, says: `frame ${f}: ${LEVEL_WORDS[level]}${figure}` });
  }
  const frames = view.of.end - view.of.first;
  const sound = [...cameras.values()].filter((c) => c.trusted).length;
  return {
    label: `Field found: sound in ${sound} of ${frames} frames`,
    caption: cameras.size
      ? `standard error on the ground, up to ${FULL_YD} yd · ${sound} of ${frames} frames sound`
      : "no field found in this clip yet",
    height: 52,
    spans,
  };
}

/** Frames that want a look, the least certain first. */
export function worstFirst(view: PlayerView, cameras: Map<number, FrameCamera>): number[] {
  const rank = (f: number): number => {
    const c = cameras.get(f);
    if (!c) return 1e6;
    return (c.trusted ? 0 : 1e3) + (c.ground_sd_yd ?? c.rms_px);
  };
  const frames = Array.from({ length: view.of.end - view.of.first }, (_, i) => view.of.first + i);
  return frames.sort((a, b) => rank(b) - rank(a) || a - b);
}
