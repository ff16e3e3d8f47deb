import assert from "node:assert/strict";
import { test } from "node:test";
import { after, type Choice, painted, says, landmarkOf } from "../src/screens/line-up/landmark.ts";

/** Where things are painted: full lines every 5 yd, end lines, numbers every 10 yd, hash marks between full lines (rule 1 of each rule book). */
test("the yard keys stop only where the thing is painted", () => {
  assert.equal(painted("line-at-hash", 33, 1), 35);
  assert.equal(painted("line-at-hash", 33, -1), 30);
  assert.equal(painted("line-at-sideline", -4, -1), -10);
  assert.equal(painted("line-at-sideline", -5, 1), 0);
  assert.equal(painted("line-at-sideline", 105, 1), 110);
  assert.equal(painted("on-yard-line", 400, 1), 110);
  assert.equal(painted("number", 3, -1), 10);
  assert.equal(painted("hash-mark", 35, 1), 36);
  assert.equal(painted("hash-mark", 35, -1), 34);
});

test("four crossings need no key between them", () => {
  let c: Choice = { kind: "line-at-hash", x: 30, side: "near", end: "inner", corner: "bottom-left" };
  const asked: string[] = [];
  for (let i = 0; i < 4; i++) {
    asked.push(says(landmarkOf(c)));
    c = after(c);
  }
  assert.deepEqual(asked, [
    "left 30 × near hash row",
    "left 30 × far hash row",
    "left 35 × near hash row",
    "left 35 × far hash row",
  ]);
});
