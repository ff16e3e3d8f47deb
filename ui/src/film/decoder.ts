import type { FrameTable, Run } from "./frames.ts";

/** The film cannot be shown here, in words for the person. */
export class FilmTrouble extends Error {}

/**
 * Decodes runs of an H.264 byte stream (ITU-T H.264 Annex B, one access unit per frame, no reordering), one run at a time.
 * A chunk's timestamp is its frame index, so a picture that comes out names itself.
 */
export class RunDecoder {
  private decoder: VideoDecoder | null = null;
  private deliver: (index: number, picture: VideoFrame) => void = (_, p) => p.close();
  private fail: (e: Error) => void = () => {};

  constructor(private readonly table: FrameTable) {}

  /** Decodes `run` and hands over every frame as it appears; resolves when the run is through. */
  async decode(run: Run, bytes: ArrayBuffer, deliver: (index: number, picture: VideoFrame) => void): Promise<void> {
    const decoder = this.ready();
    const { offsets } = this.table.film.proxy;
    const copies: Promise<void>[] = [];
    this.deliver = (index, picture) => copies.push(own(picture).then((p) => deliver(index, p)));
    const failed = new Promise<never>((_, reject) => (this.fail = reject));
    failed.catch(() => {});
    for (let i = run.first; i < run.end; i++) {
      const from = offsets[i]! - offsets[run.first]!;
      const to = offsets[i + 1]! - offsets[run.first]!;
      decoder.decode(
        new EncodedVideoChunk({
          type: i === run.first ? "key" : "delta",
          timestamp: i,
          data: new Uint8Array(bytes, from, to - from),
        }),
      );
    }
    await Promise.race([decoder.flush(), failed]);
    await Promise.all(copies);
  }

  close() {
    if (this.decoder && this.decoder.state !== "closed") this.decoder.close();
    this.decoder = null;
  }

  private ready(): VideoDecoder {
    if (this.decoder && this.decoder.state === "configured") return this.decoder;
    if (!("VideoDecoder" in globalThis))
      throw new FilmTrouble("This browser cannot decode film frame by frame (it has no WebCodecs).");
    const decoder = new VideoDecoder({
      output: (picture) => this.deliver(picture.timestamp, picture),
      error: (e) => this.fail(new FilmTrouble(`The film's copy could not be decoded: ${e.message}`)),
    });
    const { codec, width, height } = this.table.film.proxy;
    decoder.configure({ codec, codedWidth: width, codedHeight: height, optimizeForLatency: true });
    this.decoder = decoder;
    return decoder;
  }
}

/**
 * The same picture in memory of our own. A decoder lends its pictures from a small pool and stands still while they are kept;
 * ours may be kept as long as we like.
 */
async function own(lent: VideoFrame): Promise<VideoFrame> {
  const { format, visibleRect, timestamp, colorSpace } = lent;
  if (!format || !visibleRect) return lent;
  try {
    const bytes = new ArrayBuffer(lent.allocationSize());
    const layout = await lent.copyTo(bytes);
    return new VideoFrame(bytes, {
      format,
      layout,
      timestamp,
      colorSpace: colorSpace.toJSON(),
      codedWidth: visibleRect.width,
      codedHeight: visibleRect.height,
    });
  } finally {
    lent.close();
  }
}
