import { calls } from "../../api/calls.ts";
import type {
  Foot,
  FootPart,
  Marks,
  Measurement,
  MomentKind,
  Person,
  PlayDetail,
  Trail,
  ViewName,
} from "../../api/types.ts";
import { edits } from "../../state/edits.svelte.ts";
import { tried } from "../../state/notices.svelte.ts";
import { lists } from "../../state/study.svelte.ts";
import { type Listed, rosterOf } from "./roster.ts";

type Pixel = [number, number];
const NO_MARKS: Marks = { ball: [], feet: [], hips: [], moments: [], people: [] };
/** The measurement waits for a pause in the clicking: it takes all cores. */
const PAUSE_MS = 700;
const UNSTORED = "unstored-";

/** The marks of one play and what is measured from them. */
export class Measuring {
  detail: PlayDetail | null = $state.raw(null);
  marks: Marks = $state.raw(NO_MARKS);
  measurement: Measurement | null = $state.raw(null);
  trails: Partial<Record<ViewName, Trail[]>> = $state.raw({});
  /** Figures on the screen do not yet have the last marks in them. */
  stale = $state(false);
  busy = $state(false);
  private storing: Promise<unknown> = Promise.resolve();
  private waiting = 0;
  private count = 0;
  private timer: ReturnType<typeof setTimeout> | undefined;
  private measuredOnce = false;
  private closed = false;

  constructor(readonly play: string) {}

  close() {
    this.closed = true;
    clearTimeout(this.timer);
  }
  get roster(): Listed[] {
    return this.detail ? rosterOf(this.detail.people, this.detail.chart) : [];
  }
  async load() {
    if (this.waiting || this.closed) return;
    const detail = await tried(() => calls.play(this.play));
    if (!detail || this.waiting || this.closed) return;
    this.detail = detail;
    this.marks = detail.marks;
    this.schedule();
  }
  private schedule() {
    clearTimeout(this.timer);
    this.stale = true;
    this.timer = setTimeout(() => void this.measure(), this.measuredOnce ? PAUSE_MS : 0);
  }
  private async measure() {
    if (this.busy) return this.schedule();
    this.busy = true;
    this.measuredOnce = true;
    const revision = lists.revision;
    await tried(async () => {
      const measurement = await calls.measurement(this.play);
      const trails: Measuring["trails"] = {};
      for (const clip of this.detail?.clips ?? [])
        if (clip.view && clip.snap_frame != null) trails[clip.view] = await calls.tracks(this.play, clip.view);
      if (this.closed) return;
      this.measurement = measurement;
      this.trails = trails;
      this.stale = lists.revision !== revision;
    });
    this.busy = false;
  }

  moment(moment: MomentKind, view: ViewName, frame: number) {
    // The snap moves the clip's clock, which the lists hold.
    this.store(() => calls.markMoment(this.play, moment, view, frame), true);
  }
  person(who: Listed, view: ViewName, frame: number, pixel: Pixel) {
    const { planned, ...person } = who;
    const known = this.detail?.people.some((p) => p.id === who.id);
    this.marks = {
      ...this.marks,
      people: [
        ...this.marks.people.filter((m) => !(m.person === who.id && m.view === view && m.frame === frame)),
        { id: this.unstored(), person: who.id, view, frame, pixel },
      ],
    };
    this.store(async () => {
      if (planned && !known) await calls.putPerson(this.play, person);
      await calls.markPerson(this.play, who.id, view, frame, pixel);
    });
  }
  ball(view: ViewName, frame: number, pixel: Pixel) {
    const others = this.marks.ball.filter((m) => !(m.view === view && m.frame === frame));
    this.marks = { ...this.marks, ball: [...others, { id: this.unstored(), view, frame, pixel }] };
    this.store(() => calls.markBall(this.play, view, frame, pixel));
  }
  foot(foot: Foot, part: FootPart, view: ViewName, frame: number, pixel: Pixel) {
    this.marks = { ...this.marks, feet: [...this.marks.feet, { id: this.unstored(), foot, part, view, frame, pixel }] };
    this.store(() => calls.markFoot(this.play, foot, part, view, frame, pixel));
  }
  hip(view: ViewName, frame: number, pixel: Pixel) {
    this.store(() => calls.markHip(this.play, view, frame, pixel));
  }
  move(mark: string, pixel: Pixel) {
    if (!mark.startsWith(UNSTORED)) this.store(() => calls.moveMark(mark, pixel));
  }
  drop(mark: string, moment = false) {
    if (!mark.startsWith(UNSTORED)) this.store(() => calls.dropMark(mark), moment);
  }
  putPerson(p: Person) {
    this.store(() => calls.putPerson(this.play, p));
  }
  dropPerson(id: string) {
    this.store(() => calls.dropPerson(this.play, id));
  }
  /** Names a mark until the program has named it. */
  private unstored(): string {
    return `${UNSTORED}${++this.count}`;
  }
  /** One edit after the other, as they were made; then what the program made of them. */
  private store(edit: () => Promise<unknown>, reload = false) {
    this.waiting++;
    this.stale = true;
    this.storing = this.storing.then(async () => {
      await edits.made(edit, reload);
      this.waiting--;
      await this.load();
    });
  }
}
