import assert from "node:assert/strict";
import { readdirSync, readFileSync } from "node:fs";
import { test } from "node:test";
import { BINDINGS } from "../src/keys/bindings.ts";
import { capOf, chordOf } from "../src/keys/chord.ts";

const source = new URL("../src/", import.meta.url);
const files = readdirSync(source, { recursive: true, encoding: "utf8" }).filter((f) => /\.(ts|svelte)$/.test(f));
const code = files
  .filter((f) => !f.endsWith("bindings.ts"))
  .map((f) => readFileSync(new URL(f, source), "utf8"))
  .join("\n");

test("within one place no key has two meanings", () => {
  const taken = new Map<string, string>();
  for (const b of BINDINGS)
    for (const key of b.keys) {
      const at = `${b.place} ${key}`;
      assert.equal(taken.get(at), undefined, `${at} is ${taken.get(at)} and ${b.command}`);
      taken.set(at, b.command);
    }
});

test("a screen's keys hide none of the film's or of everywhere's, but for the cross-hair's", () => {
  const common = new Set(BINDINGS.filter((b) => b.place === "film" || b.place === "everywhere").flatMap((b) => b.keys));
  // The cross-hair takes the arrows while it is on; Line up moves by yard line with up and down, which film leaves free.
  for (const b of BINDINGS)
    if (!["film", "everywhere", "aim"].includes(b.place))
      for (const key of b.keys) assert.ok(!common.has(key), `${b.place}: ${key} (${b.command})`);
});

test("every command of the table is attached somewhere", () => {
  for (const b of BINDINGS) {
    assert.match(b.command, /^[a-z]+(-[a-z]+)+$/, "two words or more, so that it is found nowhere by chance");
    if (b.command.startsWith("go-")) continue; // attached from the list of screens
    assert.ok(code.includes(`"${b.command}"`), `nothing does ${b.command}`);
  }
});

test("chords are written one way", () => {
  const press = (key: string, mods: Partial<KeyboardEvent> = {}) =>
    chordOf({ key, ctrlKey: false, metaKey: false, altKey: false, shiftKey: false, ...mods });
  assert.equal(press("Z", { ctrlKey: true, shiftKey: true }), "Mod+Shift+z");
  assert.equal(press("?", { shiftKey: true }), "?");
  assert.equal(press(" "), "Space");
  assert.equal(press("ArrowLeft", { shiftKey: true }), "Shift+ArrowLeft");
  assert.equal(capOf("Mod+Shift+z"), "Ctrl Shift Z");
  assert.equal(capOf("+"), "+");
  assert.equal(capOf("g l"), "G then L");
});
