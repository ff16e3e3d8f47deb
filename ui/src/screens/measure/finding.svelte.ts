import { calls } from "../../api/calls.ts";
import type { FoundPath, FoundPeople, Proposals, Repair, ViewName } from "../../api/types.ts";
import { edits } from "../../state/edits.svelte.ts";
import { jobs } from "../../state/jobs.svelte.ts";
import { notices, tried } from "../../state/notices.svelte.ts";
import { type Stage, stageOf } from "./found.ts";

type Pixel = [number, number];
/** A side less likely than this is not taken over in one go. */
const LEAST = 0.6;
/** While a path is dragged it is solved again this often, ms. */
const LIVE_MS = 150;

/** What the program found in the film of one play, and what the evaluator makes of it. */
export class Finding {
  people: FoundPeople | null = $state.raw(null);
  proposals: Proposals | null = $state.raw(null);
  /** Looked for at this moment. */
  searching = $state(false);
  /** A confirmation is on its way; another key press would confirm the same again. */
  taking = $state(false);
  /** Chosen paths, the last chosen first; two at most. */
  chosen: string[] = $state.raw([]);
  private closed = false;
  private storing: Promise<unknown> = Promise.resolve();
  private dragged = 0;

  constructor(readonly play: string) {}

  close() {
    this.closed = true;
  }
  get stage(): Stage {
    return stageOf(this.people, this.proposals);
  }
  track(id: string | undefined): FoundPath | undefined {
    return this.people?.tracks.find((t) => t.id === id);
  }
  async load() {
    if (this.closed) return;
    const [people, proposals] = await Promise.all([
      tried(() => calls.found(this.play)),
      tried(() => calls.proposals(this.play)),
    ]);
    if (this.closed) return;
    if (people) this.people = people;
    if (proposals) this.proposals = proposals;
    this.chosen = this.chosen.filter((id) => this.track(id));
  }
  /** Looks through the film for people and for what moves. */
  async search() {
    if (this.searching) return;
    this.searching = true;
    await tried(async () => {
      const begun = [await calls.watch(this.play), await calls.findPeople(this.play)];
      await Promise.all(begun.map((job) => jobs.ended(job)));
    });
    this.searching = false;
    await this.load();
  }
  /** Confirms what is next. */
  async take() {
    const stage = this.stage;
    if (this.taking || this.searching) return;
    if (stage.next === null) return notices.say(stage.says);
    const take = {
      moments: () => calls.takeProposals(this.play, true, false),
      people: () => calls.takePeople(this.play, LEAST),
      ball: () => calls.takeProposals(this.play, false, true),
    }[stage.next];
    // The snap moves the clip's clock, which the lists hold.
    this.taking = true;
    await edits.made(take as () => Promise<unknown>, true);
    await this.load();
    this.taking = false;
  }
  choose(id: string) {
    this.chosen = [id, ...this.chosen.filter((k) => k !== id)].slice(0, 2);
  }
  repair(r: Repair) {
    this.storing = this.storing.then(async () => {
      await edits.made(() => calls.repair(this.play, r), false);
      await this.load();
    });
    return this.storing;
  }
  /** Puts a path where it is dragged; while the drag lasts only now and then. */
  move(track: string, view: ViewName, frame: number, pixel: Pixel, over: boolean) {
    const now = performance.now();
    if (!over && now - this.dragged < LIVE_MS) return;
    this.dragged = now;
    void this.repair({ change: "move", track, view, frame, pixel });
  }
}
