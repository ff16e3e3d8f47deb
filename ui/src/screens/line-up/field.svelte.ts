import { calls } from "../../api/calls.ts";
import type { FieldMark, FrameCamera, GridLine, Solved } from "../../api/types.ts";
import { edits } from "../../state/edits.svelte.ts";
import { tried } from "../../state/notices.svelte.ts";
import type { Choice } from "./landmark.ts";
import { landmarkOf } from "./landmark.ts";

/** Frames whose grid is asked for at once. */
const GRID_RUN = 30;

/** What is known of one clip's field: its marks, cameras and grid. */
export class ClipField {
  marks: FieldMark[] = $state.raw([]);
  cameras: Map<number, FrameCamera> = $state.raw(new Map());
  solved: Solved | null = $state.raw(null);
  busy = $state(false);
  /** The marks have changed since the field was last carried through the clip. */
  stale = $state(false);
  private grids = new Map<number, GridLine[]>();
  private asked = new Set<number>();
  /** Grows when a grid has come in. */
  gridRevision = $state(0);

  constructor(readonly clip: string) {}

  async load() {
    await tried(async () => {
      const [marks, cameras] = await Promise.all([calls.fieldMarks(this.clip), calls.cameras(this.clip)]);
      this.marks = marks;
      this.take(cameras);
      this.forgetGrids();
    });
  }
  /** The grid of `frame`, if it is at hand; asks for it and its neighbours if not. */
  grid(frame: number): GridLine[] {
    void this.gridRevision;
    const run = Math.floor(frame / GRID_RUN);
    if (!this.asked.has(run) && this.cameras.size) {
      this.asked.add(run);
      void tried(async () => {
        const list = await calls.grid(this.clip, run * GRID_RUN, (run + 1) * GRID_RUN);
        for (const g of list) this.grids.set(g.frame, g.lines);
        this.gridRevision++;
      });
    }
    return this.grids.get(frame) ?? [];
  }
  async mark(frame: number, choice: Choice, pixel: [number, number], snap: boolean): Promise<FieldMark | undefined> {
    const made = await edits.made(() => calls.addFieldMark(this.clip, frame, landmarkOf(choice), pixel, snap), false);
    if (!made) return undefined;
    // The lists may have been read again meanwhile, with the mark in them.
    this.marks = [...this.marks.filter((m) => m.id !== made.id), made];
    return made;
  }
  async drop(mark: FieldMark) {
    await edits.made(() => calls.dropFieldMark(mark.id), false);
    this.marks = this.marks.filter((m) => m.id !== mark.id);
    this.solved = null;
  }
  /** Finds the field of `frame` from its marks; a refusal is an answer, not an error. */
  async solve(frame: number) {
    this.busy = true;
    const answer = await tried(() => calls.solve(this.clip, frame));
    this.busy = false;
    if (!answer) return;
    this.solved = answer;
    if (!answer.refused) {
      const cameras = await tried(() => calls.cameras(this.clip));
      if (cameras) this.take(cameras);
      this.forgetGrids();
    }
  }
  private take(answer: Awaited<ReturnType<typeof calls.cameras>>) {
    this.cameras = new Map(answer.frames.map((c) => [c.frame, c]));
    this.stale = answer.stale;
  }
  private forgetGrids() {
    this.grids.clear();
    this.asked.clear();
    this.gridRevision++;
  }
}
