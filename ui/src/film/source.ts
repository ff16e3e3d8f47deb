import { type FetchRange, ProxyBytes } from "./bytes.ts";
import { FrameCache } from "./cache.ts";
import { RunDecoder } from "./decoder.ts";
import type { FrameTable, Run } from "./frames.ts";

/** Pictures kept each side of where one is. At 1280×720 in 4:2:0 a picture is 1.4 MB. */
const REACH = 45;

/**
 * Pictures of one film by exact index. Ask with `want`; `ready` is called whenever a wanted picture, or one ahead of it, is
 * there. The newest wish goes first, then what lies ahead in the direction of travel.
 */
export class FrameSource {
  private readonly cache = new FrameCache<VideoFrame>(2 * REACH + 30);
  private readonly bytes: ProxyBytes;
  private readonly decoder: RunDecoder;
  private wanted = 0;
  private direction = 1;
  private working = false;
  private closed = false;
  /** Runs decoded since the wish last changed, so that none is decoded twice for the same wish. */
  private readonly decoded = new Set<number>();
  trouble: Error | null = null;

  constructor(
    readonly table: FrameTable,
    fetchRange: FetchRange,
    private readonly ready: () => void,
  ) {
    this.bytes = new ProxyBytes(table, fetchRange);
    this.decoder = new RunDecoder(table);
  }

  /** The picture of frame `index` if it is at hand. It belongs to the source; do not close it. */
  peek(index: number): VideoFrame | undefined {
    return this.cache.get(index);
  }

  /** Says which frame is to be shown and which way one travels (-1, 0, 1). */
  want(index: number, direction: number) {
    const wanted = Math.max(0, Math.min(this.table.count - 1, index));
    if (wanted !== this.wanted) this.decoded.clear();
    this.wanted = wanted;
    if (direction !== 0) this.direction = Math.sign(direction);
    this.cache.aim(this.wanted, this.direction);
    void this.work();
  }

  close() {
    this.closed = true;
    this.decoder.close();
    this.bytes.close();
    this.cache.clear();
  }

  /** The next run to decode: the wanted frame's, then those ahead within reach, then a little behind. */
  private next(): Run | null {
    const here = this.missing(this.wanted);
    if (here) return here;
    for (const [sign, reach] of [
      [this.direction, REACH],
      [-this.direction, REACH / 3],
    ] as const)
      for (let away = 1; away <= reach; away += 5) {
        const run = this.missing(this.wanted + sign * away);
        if (run) return run;
      }
    return null;
  }
  private missing(index: number): Run | null {
    if (index < 0 || index >= this.table.count || this.cache.has(index)) return null;
    const run = this.table.runOf(index);
    return this.decoded.has(run.first) ? null : run;
  }

  private async work() {
    if (this.working || this.trouble) return;
    this.working = true;
    try {
      for (let run = this.next(); run && !this.closed; run = this.next()) {
        this.decoded.add(run.first);
        const bytes = await this.bytes.run(run);
        this.fetchAhead(run);
        if (this.closed) return;
        await this.decoder.decode(run, bytes, (index, picture) => {
          if (this.closed) return picture.close();
          this.cache.put(index, picture);
          if (index === this.wanted) this.ready();
        });
      }
    } catch (e) {
      if (!this.closed) {
        this.trouble = e instanceof Error ? e : new Error(String(e));
        this.ready();
      }
    } finally {
      this.working = false;
    }
  }
  /** Fetching does not wait for decoding. */
  private fetchAhead(run: Run) {
    const index = this.direction > 0 ? run.end : run.first - 1;
    if (index >= 0 && index < this.table.count) this.bytes.run(this.table.runOf(index)).catch(() => {});
  }
}
