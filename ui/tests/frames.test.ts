import assert from "node:assert/strict";
import { test } from "node:test";
import { FrameCache } from "../src/film/cache.ts";
import { type FilmFrames, FrameTable, lastNotAfter } from "../src/film/frames.ts";

function film(rate: [number, number], ticks: number[], keys: number[] = [0]): FrameTable {
  const frames: FilmFrames = {
    rate: { numerator: rate[0], denominator: rate[1] },
    ticks,
    width: 1280,
    height: 720,
    proxy: {
      codec: "avc1.64001f",
      width: 1280,
      height: 720,
      offsets: ticks.map((_, i) => i).concat(ticks.length),
      keys,
    },
  };
  return new FrameTable(frames);
}
const every = (n: number) => Array.from({ length: n }, (_, i) => i);

/** SMPTE ST 12-1 counts 30000/1001: 107 892 frames are one hour of drop-frame time code, 3599.9964 s of true time. */
test("30000/1001 is exact", () => {
  const t = film([30000, 1001], every(107_893));
  assert.ok(Math.abs(t.seconds(107_892) - 3599.9964) < 1e-9);
});

test("every frame's own time names it, at every rate and with irregular times", () => {
  const rates: [number, number][] = [
    [25, 1],
    [30000, 1001],
    [30, 1],
    [50, 1],
    [60000, 1001],
    [60, 1],
  ];
  for (const rate of rates) {
    const t = film(rate, every(20_000));
    for (let i = 0; i < t.count; i += 7) assert.equal(t.frameAt(t.seconds(i)), i, `${rate.join("/")} frame ${i}`);
    // A clock that was set from a frame less the snap, and is taken back.
    for (let i = 0; i < t.count; i += 11) assert.equal(t.frameAt(t.seconds(i) - 12.345 + 12.345), i);
    for (let i = 0; i + 1 < t.count; i += 13)
      assert.equal(
        t.frameAt((t.seconds(i) + 2 * t.seconds(i + 1)) / 3),
        i,
        "between two frames the earlier is on screen",
      );
  }
  const irregular = film([1000, 1], [0, 33, 100, 133, 134, 500]);
  assert.deepEqual(
    [-1, 0.05, 0.1, 0.1335, 9].map((s) => irregular.frameAt(s)),
    [0, 1, 2, 3, 5],
  );
  assert.ok(Math.abs(irregular.secondsAt(1.5) - 0.0665) < 1e-12);
});

test("a frame's run begins at the keyframe not after it", () => {
  const t = film([25, 1], every(40), [0, 15, 30]);
  assert.deepEqual(t.runOf(0), { first: 0, end: 15 });
  assert.deepEqual(t.runOf(14), { first: 0, end: 15 });
  assert.deepEqual(t.runOf(15), { first: 15, end: 30 });
  assert.deepEqual(t.runOf(39), { first: 30, end: 40 });
  assert.equal(lastNotAfter([2, 4], 1), -1);
});

test("a proxy with another number of frames than the film is refused", () => {
  const t = film([25, 1], every(4));
  assert.throws(() => new FrameTable({ ...t.film, ticks: [0, 1, 2] }), /holds 4 frames, the film 3/);
});

test("the cache lets go of what lies farthest, behind before ahead, and never of what is shown", () => {
  const let_go: number[] = [];
  const cache = new FrameCache<{ close(): void }>(10);
  cache.aim(100, 1);
  for (let i = 90; i < 112; i++) cache.put(i, { close: () => let_go.push(i) });
  assert.ok(cache.has(100));
  assert.ok(cache.has(106) && !cache.has(94), "ahead is worth more than behind");
  assert.equal(let_go.length, 12);
  cache.clear();
  assert.equal(new Set(let_go).size, 22, "each picture is closed once");
});
