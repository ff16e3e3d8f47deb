import type { FilmFrames } from "../api/types.ts";

export type { FilmFrames };

/** A run of frames from one keyframe up to the next: the unit of fetching, decoding and keeping. */
export interface Run {
  first: number;
  end: number;
}

/** A float's worth of slack when a time that was made from a frame is turned back into it. */
const SLACK_S = 1e-9;

/** Index of the last element not greater than `value` in increasing `list`; -1 if there is none. */
export function lastNotAfter(list: readonly number[], value: number): number {
  let low = 0;
  let high = list.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (list[middle]! <= value) low = middle + 1;
    else high = middle;
  }
  return low - 1;
}

/** Frames of a film by index, their times and their places in the proxy. */
export class FrameTable {
  readonly count: number;
  constructor(readonly film: FilmFrames) {
    this.count = film.ticks.length;
    if (this.count === 0 || film.proxy.offsets.length !== this.count + 1)
      throw new Error(`the proxy holds ${film.proxy.offsets.length - 1} frames, the film ${this.count}`);
  }
  /** Seconds at which frame `index` is shown; clamped to the film. */
  seconds(index: number): number {
    const { numerator, denominator } = this.film.rate;
    const tick = this.film.ticks[Math.max(0, Math.min(this.count - 1, index))]!;
    // Whole part and rest apart, so that hours in a fine tick keep microseconds.
    const product = tick * denominator;
    const whole = Math.floor(product / numerator);
    return whole + (product - whole * numerator) / numerator;
  }
  /** Seconds of a fractional frame index. */
  secondsAt(position: number): number {
    const whole = Math.floor(position);
    const a = this.seconds(whole);
    return a + (position - whole) * (this.seconds(whole + 1) - a);
  }
  /** The frame on screen at `seconds`: the last whose time is not after it. */
  frameAt(seconds: number): number {
    const { numerator, denominator } = this.film.rate;
    const tick = Math.floor(((seconds + SLACK_S) * numerator) / denominator);
    let i = Math.max(0, lastNotAfter(this.film.ticks, tick));
    while (i + 1 < this.count && this.seconds(i + 1) <= seconds + SLACK_S) i++;
    while (i > 0 && this.seconds(i) > seconds + SLACK_S) i--;
    return i;
  }
  /** Typical time between frames, s. */
  get interval(): number {
    if (this.count < 2) return 1 / 30;
    const gaps = this.film.ticks.slice(1, 200).map((t, i) => t - this.film.ticks[i]!);
    gaps.sort((a, b) => a - b);
    return (gaps[gaps.length >> 1]! * this.film.rate.denominator) / this.film.rate.numerator;
  }
  /** The run that holds frame `index`. */
  runOf(index: number): Run {
    const k = Math.max(0, lastNotAfter(this.film.proxy.keys, index));
    return { first: this.film.proxy.keys[k] ?? 0, end: this.film.proxy.keys[k + 1] ?? this.count };
  }
}
