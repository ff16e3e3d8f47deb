/** An invented play on film with a scripted evaluator's hands: where he would click. No test sees more of the truth than that. */
import { execFile } from "node:child_process";
import { existsSync, readFileSync } from "node:fs";
import { mkdir, rename, rm } from "node:fs/promises";
import { join } from "node:path";
import { promisify } from "node:util";
import type { Page } from "playwright-core";
import {
  type Choice,
  CORNERS,
  KIND_WORDS,
  type Kind,
  hasSide,
  hasX,
  painted,
  stepOf,
} from "../src/screens/line-up/landmark.ts";
import type { Landmark, ViewName } from "../src/api/types.ts";
import { BINDINGS } from "../src/keys/bindings.ts";
import { ROOT } from "./app.ts";

const run = promisify(execFile);

export interface Click {
  landmark: Landmark;
  pixel: [number, number];
}
export interface HandsOfView {
  view: ViewName;
  file: string;
  lined_up: { frame: number; clicks: Click[] }[];
}

/** The folder of play `number` of the demonstration game, filmed once and kept in `target`. */
export async function filmedPlay(number: number): Promise<string> {
  const kept = join(ROOT, "target", "test-film", `play-${number}`);
  if (existsSync(kept)) return kept;
  const making = `${kept}.part`;
  await rm(making, { recursive: true, force: true });
  await mkdir(join(ROOT, "target", "test-film"), { recursive: true });
  await run("cargo", ["build", "-q", "--locked", "-p", "scrimmage"], { cwd: ROOT });
  const maker = join(ROOT, "target", "debug", process.platform === "win32" ? "scrimmage.exe" : "scrimmage");
  await run(maker, ["demo", "--out", making, "--only", String(number)]);
  await rename(making, kept);
  return kept;
}

export function handsOf(folder: string, stem: string): HandsOfView[] {
  return (JSON.parse(readFileSync(join(folder, "hands", `${stem}.json`), "utf8")) as { clips: HandsOfView[] }).clips;
}

/** Where a point of the original lies on the page. */
export async function onPage(page: Page, view: ViewName, pixel: readonly [number, number]): Promise<[number, number]> {
  return page.evaluate(
    ([name, px, py]) => {
      const canvas = document.querySelector<HTMLCanvasElement>(`canvas[data-view="${name}"]`)!;
      const svg = canvas.parentElement!.querySelector("svg")!;
      const [x = 0, y = 0, width = 1, height = 1] = svg.getAttribute("viewBox")!.split(" ").map(Number);
      const box = canvas.getBoundingClientRect();
      return [box.x + ((px - x) / width) * box.width, box.y + ((py - y) / height) * box.height];
    },
    [view, ...pixel] as const,
  );
}

const keyOf = (command: string) => BINDINGS.find((b) => b.command === command)!.keys[0]!;

/** Keys that turn what the next click marks from `now` into `landmark`, as a person would press them, and what it then is. */
export function keysTo(now: Choice, landmark: Landmark): { keys: string[]; then: Choice } {
  const keys: string[] = [];
  const kind = landmark.kind as Kind;
  let c = now;
  if (c.kind !== kind) {
    keys.push(keyOf(KIND_WORDS[kind].command));
    c = { ...c, kind, x: painted(kind, c.x, 1) };
  }
  if (hasX(kind) && "x" in landmark)
    while (c.x !== landmark.x) {
      const way = landmark.x > c.x ? 1 : -1;
      keys.push(keyOf(way > 0 ? "yard-up" : "yard-down"));
      c = { ...c, x: painted(kind, c.x + way * stepOf(kind), way) };
    }
  if (hasSide(kind) && "side" in landmark && c.side !== landmark.side) {
    keys.push(keyOf("turn-side"));
    c = { ...c, side: landmark.side };
  }
  if (landmark.kind === "number")
    while (c.corner !== landmark.corner) {
      keys.push(keyOf("turn-end"));
      c = { ...c, corner: CORNERS[(CORNERS.indexOf(c.corner) + 1) % CORNERS.length]! };
    }
  if (landmark.kind === "hash-mark" && c.end !== landmark.end) {
    keys.push(keyOf("turn-end"));
    c = { ...c, end: landmark.end };
  }
  return { keys, then: c };
}
