import assert from "node:assert/strict";
import { test } from "node:test";
import { modelTime, OPERATORS } from "./klm.ts";

/**
 * The two worked examples of Card, Moran & Newell (1980), "replace one five-letter word with another": with a line editor
 * 4 M + 15 K = 8.4 s, with a display editor and a mouse 2 M + 8 K + 2 H + P = 6.2 s, both at K = 0.2 s.
 */
test("the paper's worked examples come out", () => {
  const line = { keys: 15, clicks: 0, drags: 0, homings: 0, decisions: 4 };
  assert.ok(Math.abs(modelTime(line, OPERATORS.fast) - 8.4) < 1e-9);
  // One of the eight keystrokes is the mouse's button.
  const display = { keys: 7, clicks: 1, drags: 0, homings: 2, decisions: 2 };
  assert.ok(Math.abs(modelTime(display, OPERATORS.fast) - 6.2) < 1e-9);
});
