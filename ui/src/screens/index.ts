import type { Component } from "svelte";
import type { ScreenName } from "../state/route.svelte.ts";

interface ScreenEntry {
  name: string;
  /** What it is for, in a breath; the navigation's tooltip. */
  purpose: string;
  /** The screen's component, fetched when it is first opened. */
  load: () => Promise<{ default: Component }>;
}

/** The way through, in its order. A screen is a folder here and knows no other screen. */
export const screens: Record<ScreenName, ScreenEntry> = {
  load: {
    name: "Load",
    purpose: "Film in, views paired, play list matched",
    load: () => import("./load/Load.svelte"),
  },
  "line-up": {
    name: "Line up",
    purpose: "Every frame tied to the field",
    load: () => import("./line-up/LineUp.svelte"),
  },
  chart: {
    name: "Chart",
    purpose: "What was called, shown and done",
    load: () => import("./chart/Chart.svelte"),
  },
  measure: {
    name: "Measure",
    purpose: "Moments, people, feet and ball, with their error bars",
    load: () => import("./measure/Measure.svelte"),
  },
  judge: {
    name: "Judge",
    purpose: "What was there, what each plan said, what you say",
    load: () => import("./judge/Judge.svelte"),
  },
  patterns: {
    name: "Patterns",
    purpose: "Figures across plays, with what they can carry; the same picture again; results taken apart",
    load: () => import("./patterns/Patterns.svelte"),
  },
  verdict: {
    name: "Verdict",
    purpose: "Your statements, with figures and clips behind them",
    load: () => import("./verdict/Verdict.svelte"),
  },
  playbook: {
    name: "Playbook",
    purpose: "Concepts and their read plans, as drawn and as you change them",
    load: () => import("./playbook/Playbook.svelte"),
  },
};
