import { calls } from "../api/calls.ts";
import type { Job } from "../api/types.ts";
import { lists } from "./study.svelte.ts";
import { notices } from "./notices.svelte.ts";

const BUSY_MS = 400;
const IDLE_MS = 4000;

/** Work that goes on behind the room. */
class Jobs {
  list: Job[] = $state.raw([]);
  private timer: ReturnType<typeof setTimeout> | undefined;
  private waiting = new Map<number, (job: Job) => void>();

  get running(): Job[] {
    return this.list.filter((j) => j.state === "running" || j.state === "waiting");
  }
  start() {
    void this.poll();
  }
  /** Looks again at once; called after something began a job. */
  hurry() {
    clearTimeout(this.timer);
    void this.poll();
  }
  /** Resolves when the job has ended, however it ended. */
  ended(job: Job): Promise<Job> {
    if (job.state !== "running" && job.state !== "waiting") return Promise.resolve(job);
    this.hurry();
    return new Promise((resolve) => this.waiting.set(job.id, resolve));
  }
  async cancel(id: number) {
    await calls.cancelJob(id);
    this.hurry();
  }
  private async poll() {
    const before = new Set(this.running.map((j) => j.id));
    try {
      this.list = await calls.jobs();
      const over = this.list.filter(
        (j) => j.state !== "running" && j.state !== "waiting" && (before.has(j.id) || this.waiting.has(j.id)),
      );
      for (const job of over) {
        if (job.state === "failed") notices.trouble(new Error(`${job.title}: ${job.message}`));
        this.waiting.get(job.id)?.(job);
        this.waiting.delete(job.id);
      }
      if (over.length) await lists.reload();
    } catch (e) {
      notices.trouble(e);
    }
    clearTimeout(this.timer);
    this.timer = setTimeout(() => void this.poll(), this.running.length ? BUSY_MS : IDLE_MS);
  }
}
export const jobs = new Jobs();
