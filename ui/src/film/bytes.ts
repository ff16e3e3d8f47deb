import type { FrameTable, Run } from "./frames.ts";

export type FetchRange = (first: number, end: number, signal: AbortSignal) => Promise<ArrayBuffer>;

/** Bytes of runs of one proxy, fetched once and kept up to a limit; least recently used goes first. */
export class ProxyBytes {
  private kept = new Map<number, Promise<ArrayBuffer>>();
  private closing = new AbortController();

  constructor(
    private readonly table: FrameTable,
    private readonly fetchRange: FetchRange,
    /** Runs kept: 120 of about 15 frames at some 100 kB each stay near 12 MB. */
    private readonly limit = 120,
  ) {}

  /** The bytes of `run`. */
  run(run: Run): Promise<ArrayBuffer> {
    const had = this.kept.get(run.first);
    if (had) {
      this.kept.delete(run.first);
      this.kept.set(run.first, had);
      return had;
    }
    const { offsets } = this.table.film.proxy;
    const got = this.fetchRange(offsets[run.first]!, offsets[run.end]!, this.closing.signal);
    this.kept.set(run.first, got);
    got.catch(() => this.kept.delete(run.first));
    for (const key of this.kept.keys()) {
      if (this.kept.size <= this.limit) break;
      this.kept.delete(key);
    }
    return got;
  }
  close() {
    this.closing.abort();
    this.kept.clear();
  }
}
