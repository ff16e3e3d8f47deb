/** Wire types that the screens share; names as in the contract. */
import type { ViewName } from "../film/player.svelte.ts";
import type { FilmFrames } from "../film/frames.ts";

export type { FilmFrames, ViewName };

export type RuleBook = "professional" | "college" | "high-school";
export type Severity = "note" | "weak" | "missing";
export interface Finding {
  severity: Severity;
  code: string;
  message: string;
}

export interface Study {
  name: string;
  passer: string;
  right_handed: boolean;
  evaluator: string;
}
export interface Team {
  name: string;
  shirt: [number, number, number] | null;
}
export interface Game {
  id: string;
  name: string;
  rule_book: RuleBook;
  offense: Team;
  defense: Team;
}

export interface FilmSummary {
  id: string;
  name: string;
  path: string;
  game: string | null;
  size: { width: number; height: number };
  rate: { numerator: number; denominator: number };
  frames: number;
  audio: boolean;
  state: "ready" | "missing" | "changed";
  findings: Finding[];
}

export type JobState = "waiting" | "running" | "done" | "failed" | "cancelled";
export interface Job {
  id: number;
  kind: string;
  title: string;
  state: JobState;
  done: number;
  total: number | null;
  seconds_left: number | null;
  message: string;
  findings: Finding[];
}

export interface Clip {
  id: string;
  film: string;
  first: number;
  end: number;
  view: ViewName | null;
  play: string | null;
  snap_frame: number | null;
  film_name: string;
  game: string | null;
  lined_up: number | null;
}

export interface Situation {
  quarter: number | null;
  clock_s: number | null;
  down: number | null;
  distance_yd: number | null;
  line_x: number | null;
  hash: "near" | "middle" | "far" | null;
  direction: "up" | "down" | null;
  margin: number | null;
}

export interface PlaySummary {
  id: string;
  number: number;
  game: string;
  situation: Situation;
  clips: Partial<Record<ViewName, string>>;
  charted: boolean;
  lined_up: Partial<Record<ViewName, number>>;
  measured: boolean;
  judged: boolean;
}

export type Side = "near" | "far";
export type Landmark =
  | { kind: "line-at-sideline"; x: number; side: Side }
  | { kind: "line-at-hash"; x: number; side: Side }
  | { kind: "hash-mark"; x: number; side: Side; end: "inner" | "outer" }
  | {
      kind: "number";
      x: number;
      side: Side;
      corner: "bottom-left" | "bottom-right" | "top-left" | "top-right";
    }
  | { kind: "on-yard-line"; x: number }
  | { kind: "on-sideline"; side: Side }
  | { kind: "on-hash-row"; side: Side };

export interface FieldMark {
  id: string;
  clip: string;
  frame: number;
  landmark: Landmark;
  pixel: [number, number];
  sd_px: number;
}

export interface FrameCamera {
  frame: number;
  rms_px: number;
  evidence: number;
  coverage: number;
  trusted: boolean;
  ground_sd_yd: number | null;
}

export interface GridLine {
  kind: string;
  label: string;
  points: [number, number][];
}

export interface NamedFolder {
  id: string;
  path: string;
}
export interface Listing {
  path: string;
  folders: { name: string; path: string }[];
  files: { name: string; path: string; size_bytes: number }[];
}
export interface PastEdit {
  id: number;
  label: string;
  play: string | null;
  at_ms: number;
  state: "done" | "undone" | "dropped";
}
