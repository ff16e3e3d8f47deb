/** Films handed over by drag and drop or by the system's file chooser, whose paths a page may not know. */
import { calls } from "../../api/calls.ts";
import { jobs } from "../../state/jobs.svelte.ts";
import { notices } from "../../state/notices.svelte.ts";

const byName = new Intl.Collator(undefined, { numeric: true });

/** Files of what was dropped, folders walked through, in natural order of their paths. */
export async function filesOf(transfer: DataTransfer): Promise<File[]> {
  // Entries must be taken before the first await: the list is emptied when the event is over.
  const entries = [...transfer.items].map((i) => i.webkitGetAsEntry()).filter((e) => e !== null);
  if (!entries.length) return [...transfer.files]; // a drag that another page made has files only
  const found: [string, File][] = [];
  for (const entry of entries) await walk(entry, found);
  return found.sort((a, b) => byName.compare(a[0], b[0])).map((f) => f[1]);
}

async function walk(entry: FileSystemEntry, found: [string, File][]) {
  if (entry.isFile) {
    const file = await new Promise<File>((yes, no) => (entry as FileSystemFileEntry).file(yes, no));
    found.push([entry.fullPath, file]);
    return;
  }
  const reader = (entry as FileSystemDirectoryEntry).createReader();
  for (;;) {
    // A reader gives a folder's entries in batches, an empty one last.
    const batch = await new Promise<FileSystemEntry[]>((yes, no) => reader.readEntries(yes, no));
    if (!batch.length) return;
    for (const inner of batch) await walk(inner, found);
  }
}

class Handing {
  /** Hands tables over and gives where they lie, in their order. */
  async tables(files: File[]): Promise<string[]> {
    const total = files.reduce((sum, f) => sum + f.size, 0);
    const paths: string[] = [];
    let before = 0;
    this.stopper = new AbortController();
    try {
      for (const file of files) {
        const sent = (bytes: number) => (this.now = { name: file.name, sent: before + bytes, total });
        sent(0);
        paths.push((await calls.handOver(file, sent, this.stopper.signal)).path);
        before += file.size;
      }
      return paths;
    } finally {
      this.now = null;
      this.stopper = null;
    }
  }
  /** The file under way, and how much of all has been sent; null when nothing is. */
  now: { name: string; sent: number; total: number } | null = $state(null);
  private stopper: AbortController | null = null;

  stop() {
    this.stopper?.abort();
  }
  /** Hands the films among `files` over and starts their import into `game`. */
  async over(files: File[], game: string) {
    if (this.now) return notices.say("Films are being handed over already.");
    const endings = new Set((await calls.about()).film_endings);
    const films = files.filter((f) => endings.has(f.name.split(".").pop()!.toLowerCase()));
    const left = files.length - films.length;
    if (!films.length) return notices.say("There is no film among these files.");
    const total = films.reduce((sum, f) => sum + f.size, 0);
    const paths: string[] = [];
    let before = 0;
    this.stopper = new AbortController();
    try {
      for (const film of films) {
        this.now = { name: film.name, sent: before, total };
        const kept = await calls.handOver(
          film,
          (bytes) => (this.now = { name: film.name, sent: before + bytes, total }),
          this.stopper.signal,
        );
        paths.push(kept.path);
        before += film.size;
      }
    } catch (e) {
      notices.trouble(e);
    } finally {
      this.now = null;
      this.stopper = null;
    }
    if (left)
      notices.say(left === 1 ? "One file is no film and was left." : `${left} files are no film and were left.`);
    if (!paths.length) return;
    await calls.importFilms(paths, game, false);
    jobs.hurry();
  }
}
export const handing = new Handing();
