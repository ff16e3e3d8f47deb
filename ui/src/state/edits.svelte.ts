import { calls } from "../api/calls.ts";
import { lists } from "./study.svelte.ts";
import { tried } from "./notices.svelte.ts";

/** Undo and redo, with what they would do. */
class Edits {
  undoLabel: string | null = $state(null);
  redoLabel: string | null = $state(null);

  /** Asks what could be undone now; after every edit. */
  async refresh() {
    const past = await calls.history();
    const byId = [...past].sort((a, b) => a.id - b.id);
    this.undoLabel = byId.findLast((e) => e.state === "done")?.label ?? null;
    this.redoLabel = byId.find((e) => e.state === "undone")?.label ?? null;
  }
  async undo() {
    await this.turn(() => calls.undo());
  }
  async redo() {
    await this.turn(() => calls.redo());
  }
  /** Does an edit and brings lists and labels up to date; undefined when it was refused. */
  async made<T>(edit: () => Promise<T>, reload = true): Promise<T | undefined> {
    const answer = await tried(edit);
    if (reload) await tried(() => lists.reload());
    else lists.revision++;
    await tried(() => this.refresh());
    return answer;
  }
  private async turn(work: () => Promise<unknown>) {
    await tried(work);
    await tried(() => lists.reload());
    await tried(() => this.refresh());
  }
}
export const edits = new Edits();
