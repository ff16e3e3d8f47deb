import { untrack } from "svelte";
import { SvelteMap } from "svelte/reactivity";
import { BINDINGS, type Binding, type Place } from "./bindings.ts";
import { chordOf } from "./chord.ts";

type Work = (e: KeyboardEvent) => void;

/** Places that are open, with how many parts of the page hold each open. */
const open = new SvelteMap<Place, number>([["everywhere", 1]]);
const works = new Map<string, Work[]>();
/** First chord of a sequence, waiting for its second. */
let begun = "";
let begunAt = 0;
const PATIENCE_MS = 1500;

/** Narrower places first. */
const ORDER: Place[] = [
  "aim",
  "load",
  "line-up",
  "chart",
  "measure",
  "judge",
  "patterns",
  "playbook",
  "blind",
  "verdict",
  "film",
  "everywhere",
];

/** Opens `place` and attaches `commands` for as long as the calling component lives. Call within `$effect`. */
export function handle(place: Place, commands: Record<string, Work>): () => void {
  count(place, 1);
  for (const [name, work] of Object.entries(commands)) works.set(name, [...(works.get(name) ?? []), work]);
  return () => {
    count(place, -1);
    for (const [name, work] of Object.entries(commands))
      works.set(
        name,
        (works.get(name) ?? []).filter((w) => w !== work),
      );
  };
}

/** Untracked, so that the effect which opens a place does not wait on it. */
function count(place: Place, by: 1 | -1) {
  untrack(() => open.set(place, (open.get(place) ?? 0) + by));
}

export function openPlaces(): Place[] {
  return ORDER.filter((p) => (open.get(p) ?? 0) > 0);
}

/** Does a command as its key would. */
export function run(command: string, e = new KeyboardEvent("keydown")) {
  works.get(command)?.at(-1)?.(e);
}

/** The first key of a command, for tooltips; empty when it has none. */
export function keyOf(command: string): string {
  return BINDINGS.find((b) => b.command === command)?.keys[0] ?? "";
}

function typing(e: KeyboardEvent): boolean {
  const at = e.target instanceof HTMLElement ? e.target : null;
  if (!at) return false;
  if (at.isContentEditable || at instanceof HTMLTextAreaElement || at instanceof HTMLSelectElement) return true;
  return at instanceof HTMLInputElement && !["checkbox", "radio", "button", "range", "file"].includes(at.type);
}

/** Keys that a focused control keeps for itself. */
function controlKeeps(e: KeyboardEvent): boolean {
  const at = e.target instanceof HTMLElement ? e.target : null;
  if (!at || at === document.body) return false;
  if (at.closest("[role=slider],[role=radiogroup],[role=listbox],[role=menu]") && e.key.startsWith("Arrow"))
    return true;
  const button = at.closest("button,a,summary,input,[role=button]");
  return button !== null && (e.key === "Enter" || e.key === " ");
}

/**
 * Fields with typing that is not stored yet. In them Undo belongs to the typing; once it is stored, and in a menu, Undo is the
 * study's.
 */
const unstored = new WeakSet<EventTarget>();
addEventListener("input", (e) => void (e.target && unstored.add(e.target)), true);
addEventListener("change", (e) => void (e.target && unstored.delete(e.target)), true);

function find(chord: string, write: boolean): Binding | undefined {
  for (const place of openPlaces()) {
    const hit = BINDINGS.find(
      (b) => b.place === place && b.keys.includes(chord) && (!write || b.whileTyping) && works.get(b.command)?.length,
    );
    if (hit) return hit;
  }
  return undefined;
}

export function onKey(e: KeyboardEvent) {
  if (e.defaultPrevented || e.isComposing) return;
  const chord = chordOf(e);
  const write = typing(e) && !(chord.startsWith("Mod+") && e.target && !unstored.has(e.target));
  if (chord === "Escape" && write && e.target instanceof HTMLElement) {
    e.target.blur();
    return;
  }
  if (["Shift", "Control", "Alt", "Meta"].includes(e.key)) return;
  if (!write && controlKeeps(e)) return;
  // A dialog keeps the keys to itself, but for the one that closes the sheet.
  if (document.querySelector("dialog[open]") && chord !== "?") return;
  const longer = begun && e.timeStamp - begunAt < PATIENCE_MS ? `${begun} ${chord}` : chord;
  begun = "";
  const hit = find(longer, write) ?? find(chord, write);
  if (hit) {
    e.preventDefault();
    works.get(hit.command)?.at(-1)?.(e);
    return;
  }
  const begins = BINDINGS.some((b) => b.keys.some((k) => k.startsWith(`${chord} `)));
  if (begins && !write) {
    begun = chord;
    begunAt = e.timeStamp;
  }
}
