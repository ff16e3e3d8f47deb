import type { ViewName } from "../api/types.ts";
import type { FetchRange } from "./bytes.ts";
import { FrameTable, type FilmFrames } from "./frames.ts";
import { FrameSource } from "./source.ts";

export type { ViewName };

/** One view of a play as the player needs it. */
export interface ViewOfPlay {
  name: ViewName | null;
  clip: string;
  film: string;
  frames: FilmFrames;
  /** Film frames `first..end` show the play. */
  first: number;
  end: number;
  /** Film frame of the snap, fractional, when known. */
  snapFrame: number | null;
}

/** A moment to jump to, on the play's clock. */
export interface Stop {
  name: string;
  at: number;
}

/** One film in the player: which frame it should show and which it does show. */
export class PlayerView {
  readonly table: FrameTable;
  readonly source: FrameSource;
  /** Film time of the play clock's zero, s. */
  readonly zero: number;
  /** Frame that the clock asks for. */
  target = $state(0);
  /** Frame that is drawn; -1 before the first. */
  shown = $state(-1);
  /** Grows whenever a wanted picture has come in. */
  arrived = $state(0);
  trouble = $state("");

  constructor(
    readonly of: ViewOfPlay,
    fetchRange: FetchRange,
  ) {
    this.table = new FrameTable(of.frames);
    this.zero = of.snapFrame === null ? this.table.seconds(of.first) : this.table.secondsAt(of.snapFrame);
    this.source = new FrameSource(this.table, fetchRange, () => {
      this.arrived++;
      this.trouble = this.source.trouble?.message ?? "";
    });
    this.target = Math.min(of.first, this.table.count - 1);
  }
  /** Seconds on the play's clock at which film frame `frame` was taken. */
  clockOf(frame: number): number {
    return this.table.secondsAt(frame) - this.zero;
  }
  frameAt(clock: number): number {
    return Math.max(this.of.first, Math.min(this.of.end - 1, this.table.frameAt(clock + this.zero)));
  }
  get settled(): boolean {
    return this.shown === this.target || this.trouble !== "";
  }
}

/** Speeds that pressing J or L again goes through. */
const SPEEDS = [1, 2, 4, 8];
const SLOW = 0.25;
/** Up to this speed the clock waits for pictures; above it, pictures are passed over. */
const WAITS_UP_TO = 2;

/** The views of a play on one clock. Seconds from the snap; from the start of the clips while no snap is known. */
export class Player {
  views: PlayerView[] = $state.raw([]);
  clock = $state(0);
  /** Times the usual speed, negative backward, 0 held. */
  speed = $state(0);
  focus = $state(0);
  stops: Stop[] = $state.raw([]);
  /** Only the focused view is on the page: the clock does not wait for pictures that nobody draws. */
  alone = false;
  /** Span of a play without film, whose positions came out of a table, and seconds between its samples. */
  private bare: { begin: number; finish: number; every: number } | null = $state.raw(null);
  /** While K is held down, J and L go frame by frame. */
  private holding = false;
  private ticking = 0;
  private before = 0;

  /** Puts films in; what was in is let go. */
  load(views: ViewOfPlay[], range: (film: string) => FetchRange) {
    this.close();
    this.views = views.map((v) => new PlayerView(v, range(v.film)));
    this.focus = Math.min(this.focus, Math.max(0, views.length - 1));
    this.stops = [];
    const known = this.views.some((v) => v.of.snapFrame !== null);
    this.go(known ? Math.max(0, this.begin) : this.begin);
  }
  /** A clock without film. */
  loadBare(begin: number, finish: number, every: number) {
    this.close();
    this.stops = [];
    this.bare = { begin, finish, every };
    this.go(0);
  }
  close() {
    this.hold();
    for (const v of this.views) v.source.close();
    this.views = [];
    this.bare = null;
  }

  get synchronised(): boolean {
    return this.views.every((v) => v.of.snapFrame !== null);
  }
  /** The clock's first and last instant with a picture. */
  get begin(): number {
    return this.views.length ? Math.min(...this.views.map((v) => v.clockOf(v.of.first))) : (this.bare?.begin ?? 0);
  }
  get finish(): number {
    return this.views.length ? Math.max(...this.views.map((v) => v.clockOf(v.of.end - 1))) : (this.bare?.finish ?? 0);
  }
  get focused(): PlayerView | undefined {
    return this.views[this.focus];
  }

  /** Sets the clock; every view shows its last frame not after it. */
  go(clock: number, direction = Math.sign(clock - this.clock)) {
    this.clock = Math.max(this.begin, Math.min(this.finish, clock));
    for (const v of this.views) {
      v.target = v.frameAt(this.clock);
      v.source.want(v.target, direction);
    }
  }
  /** Sets the clock to when the focused view's (or the given view's) frame was taken. */
  goFrame(frame: number, view = this.focused) {
    if (!view) return;
    const within = Math.max(view.of.first, Math.min(view.of.end - 1, frame));
    this.go(view.clockOf(within), Math.sign(within - view.target));
  }
  step(frames: number) {
    this.hold();
    if (this.focused) this.goFrame(this.focused.target + frames);
    else if (this.bare) this.go(this.clock + frames * this.bare.every);
  }
  stop(way: 1 | -1) {
    this.hold();
    const slack = 1e-6 * way;
    const ahead = this.stops
      .filter((s) => (s.at - this.clock - slack) * way > 0)
      .sort((a, b) => (a.at - b.at) * way)[0];
    if (ahead) this.go(ahead.at);
  }

  shuttle(way: 1 | -1) {
    if (this.holding) return this.step(way);
    const now = this.speed * way;
    const next = SPEEDS.find((s) => s > now) ?? SPEEDS.at(-1)!;
    this.run(way * (now < 0 ? SPEEDS[0]! : next));
  }
  slow(way: 1 | -1) {
    this.run(way * SLOW);
  }
  toggle() {
    if (this.speed !== 0) return this.hold();
    if (this.clock >= this.finish - 1e-9) this.go(this.begin);
    this.run(1);
  }
  keyHeld(down: boolean) {
    this.holding = down;
    if (down) this.hold();
  }
  hold() {
    this.speed = 0;
    cancelAnimationFrame(this.ticking);
    this.ticking = 0;
  }
  private run(speed: number) {
    this.speed = speed;
    if (this.ticking) return;
    this.before = performance.now();
    this.ticking = requestAnimationFrame((t) => this.tick(t));
  }
  private tick(now: number) {
    const passed = Math.max(0, Math.min(0.1, (now - this.before) / 1000));
    this.before = now;
    const waits =
      Math.abs(this.speed) <= WAITS_UP_TO && this.views.some((v, i) => !v.settled && !(this.alone && i !== this.focus));
    if (!waits) this.go(this.clock + passed * this.speed, this.speed);
    const atEnd = this.speed > 0 ? this.clock >= this.finish - 1e-9 : this.clock <= this.begin + 1e-9;
    if (atEnd) return this.hold();
    this.ticking = requestAnimationFrame((t) => this.tick(t));
  }
}
