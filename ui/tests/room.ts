/** Figures of the room, as JSON lines: how long a frame step takes to show, how long tasks take a person. Run by `make bench`. */
import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Browser, Page } from "playwright-core";
import type { Chart, ConceptSummary, Measurement, PlayDetail } from "../src/api/types.ts";
import { EMPTY } from "../src/screens/chart/fields.ts";
import { App, makeCounterFilms } from "./app.ts";
import { openPage, startBrowser } from "./chromium.ts";
import { filmedPlay, handsOf } from "./hands.ts";
import { Counter, figure, report } from "./klm.ts";
import { chart } from "./tasks/chart.ts";
import { stemOf, THROWN } from "./tasks/entered.ts";
import { FIRST, lineUp } from "./tasks/line-up.ts";
import { agree, framesToMark, measureFound, measureThrow, type Sheet } from "./tasks/measure.ts";
import { linedUpAndCharted } from "./tasks/ready.ts";

/** Key press to the frame after the one in which the canvas was drawn, ms, for each press since. */
async function watchSteps(page: Page) {
  await page.evaluate(() => {
    const took: number[] = [];
    Object.assign(window, { took });
    addEventListener(
      "keydown",
      (e) => {
        const canvas = document.querySelector<HTMLCanvasElement>("section.focused canvas");
        if (!canvas) return;
        const before = canvas.dataset["frame"];
        const watch = new MutationObserver(() => {
          if (canvas.dataset["frame"] === before) return;
          watch.disconnect();
          requestAnimationFrame(() => {
            const { port1, port2 } = new MessageChannel();
            port1.onmessage = () => took.push(performance.now() - e.timeStamp);
            port2.postMessage(0);
          });
        });
        watch.observe(canvas, { attributes: true });
      },
      true,
    );
  });
}
async function takeSteps(page: Page, keys: string[], pause: number): Promise<number[]> {
  await page.evaluate(() => void ((window as unknown as { took: number[] }).took.length = 0));
  for (const key of keys) {
    await page.keyboard.press(key);
    await page.waitForTimeout(pause);
  }
  return page.evaluate(() => [...(window as unknown as { took: number[] }).took].sort((a, b) => a - b));
}
const at = (sorted: number[], share: number) => sorted[Math.min(sorted.length - 1, Math.floor(sorted.length * share))]!;

/** Frame steps and jumps. */
async function speed(browser: Browser) {
  const films = await mkdtemp(join(tmpdir(), "tapemeasure-films-"));
  const source = [
    "-loglevel",
    "error",
    "-f",
    "lavfi",
    "-i",
    "testsrc2=s=1280x720:r=60000/1001:d=6",
    "-pix_fmt",
    "yuv420p",
  ];
  execFileSync("ffmpeg", [...source, join(films, "sideline 1.mp4")]);
  const app = await App.start();
  try {
    await app.gameOf(films);
    const [play] = await app.call<{ id: string }[]>("GET", "/plays");
    const { page } = await openPage(browser, app.url);
    await page.goto(`${new URL(app.url).origin}/#/line-up/${play!.id}`);
    await page.waitForSelector("canvas[data-frame]");
    await watchSteps(page);
    const ahead = await takeSteps(
      page,
      Array.from({ length: 120 }, () => "ArrowRight"),
      60,
    );
    const back = await takeSteps(
      page,
      Array.from({ length: 100 }, () => "ArrowLeft"),
      60,
    );
    const jumps = await takeSteps(
      page,
      Array.from({ length: 20 }, (_, i) => (i % 2 ? "Home" : "End")),
      400,
    );
    const note = (list: number[]) => `${list.length} presses, median ${at(list, 0.5).toFixed(0)} ms, 720p at 59.94 fps`;
    figure("room.step_forward_95", at(ahead, 0.95), "ms", 50, note(ahead));
    figure("room.step_back_95", at(back, 0.95), "ms", 50, note(back));
    figure("room.jump_95", at(jumps, 0.95), "ms", 250, `${note(jumps)}; to the other end of the clip`);
  } finally {
    await app.stop();
    await rm(films, { recursive: true, force: true });
  }
}

/** Lining up the first clip of a game and view from six clicks. */
async function firstClip(browser: Browser) {
  const folder = await filmedPlay(THROWN);
  const app = await App.start();
  try {
    await app.gameOf(join(folder, "film"));
    const [play] = await app.call<{ id: string }[]>("GET", "/plays");
    const { page } = await openPage(browser, app.url);
    await page.goto(`${new URL(app.url).origin}/#/line-up/${play!.id}`);
    await page.waitForSelector('canvas[data-view="sideline"][data-frame]');
    const { frame, clicks } = handsOf(folder, stemOf(folder)).find((h) => h.view === "sideline")!.lined_up[0]!;
    for (let f = 0; f < frame; f++) await page.keyboard.press("ArrowRight");
    await page.waitForSelector(`canvas[data-frame="${frame}"]`);
    const counter = await Counter.on(page);
    await lineUp(page, "sideline", clicks.slice(0, 6), FIRST, counter);
    await report("room.line_up_first_clip", counter, 60, "six clicks; the goal is our own");
  } finally {
    await app.stop();
  }
}

/** Charting a throw that is like the one before it in what was called, and unlike it in what was played and done. */
async function chartThrow(browser: Browser) {
  const films = await mkdtemp(join(tmpdir(), "tapemeasure-films-"));
  await makeCounterFilms(films, [
    ["h264", "30", 60, "sideline 1.mp4"],
    ["h264", "30", 50, "sideline 2.mp4"],
  ]);
  const app = await App.start();
  try {
    await app.gameOf(films, { whole: true });
    const [before, play] = await app.call<{ id: string }[]>("GET", "/plays");
    const { concepts } = await app.call<{ concepts: ConceptSummary[] }>("GET", "/concepts");
    const stick = concepts.find((c) => c.id === "stick")!;
    await app.call("PUT", `/plays/${before!.id}/chart`, {
      ...EMPTY,
      formation: "2x2",
      motion: "None",
      protection: "Six-man",
      blockers: 6,
      rushers: 4,
      coverage_before: "Two high",
      coverage_after: "Quarters",
      concept: stick.name,
      routes: stick.routes,
      plans: [stick.plans[0]!.id],
      drop: stick.drop,
      pocket: "Clean",
      target: "L2",
      result: "complete",
      gain_yd: 6,
    });
    const { page } = await openPage(browser, app.url);
    await page.goto(`${new URL(app.url).origin}/#/chart/${play!.id}`);
    await page.waitForFunction(() => document.querySelector<HTMLInputElement>("#chart-formation")?.value === "2x2");
    const counter = await Counter.on(page);
    const typed = [
      { field: "coverage_after", keys: "cover 2" },
      { field: "concept", keys: "sma" },
      { field: "pocket", keys: "h" },
      { field: "target", keys: "l1" },
      { field: "result", keys: "i" },
      { field: "miss", keys: "h" },
    ];
    await chart(page, typed, counter);
    await page.keyboard.press("Enter"); // no gain, as offered
    await page.waitForTimeout(500);
    const made = (await app.call<{ chart: Chart }>("GET", `/plays/${play!.id}`)).chart;
    const open = (Object.keys(made) as (keyof Chart)[]).filter(
      (f) => f !== "notes" && (made[f] === null || made[f].toString() === ""),
    );
    if (open.length) throw new Error(`the task left ${open.join(", ")} open`);
    await report(
      "room.chart_throw",
      counter,
      20,
      "five fields confirmed as carried, six typed, four offered by the playbook",
    );
  } finally {
    await app.stop();
    await rm(films, { recursive: true, force: true });
  }
}

/** A throw of a registered clip of which nothing was found: every moment, person, foot and ball by hand. */
async function measureByHand(browser: Browser) {
  const folder = await filmedPlay(THROWN);
  const sheet = JSON.parse(readFileSync(join(folder, "hands", `${stemOf(folder)}.json`), "utf8")) as Sheet;
  const app = await App.start();
  try {
    const play = await linedUpAndCharted(app, folder, stemOf(folder));
    const { page } = await openPage(browser, app.url);
    await page.goto(`${new URL(app.url).origin}/#/measure/${play}`);
    for (const view of ["sideline", "end-zone"]) await page.waitForSelector(`canvas[data-view="${view}"][data-frame]`);
    const counter = await Counter.on(page);
    await measureThrow(page, sheet, counter);
    await app.call("GET", `/plays/${play}/judgements`); // the page waits for it too; so the key does not come too early
    await agree(page, counter);
    await page.waitForTimeout(500);
    const { calls } = await app.call<PlayDetail>("GET", `/plays/${play}`);
    if (!calls.length) throw new Error("the throw was not judged");
    const n = framesToMark(sheet, "sideline").length;
    await report(
      "room.measure_judge_by_hand",
      counter,
      180,
      `people in ${n} frames, feet twice over, ball in both views`,
    );
  } finally {
    await app.stop();
  }
}

/** The same throw where the program looks through the film first; waiting for it is not counted, as it goes on behind. */
async function measureByFinding(browser: Browser) {
  const folder = await filmedPlay(THROWN);
  const sheet = JSON.parse(readFileSync(join(folder, "hands", `${stemOf(folder)}.json`), "utf8")) as Sheet;
  const app = await App.start();
  try {
    const play = await linedUpAndCharted(app, folder, stemOf(folder));
    const { page } = await openPage(browser, app.url);
    await page.goto(`${new URL(app.url).origin}/#/measure/${play}`);
    for (const view of ["sideline", "end-zone"]) await page.waitForSelector(`canvas[data-view="${view}"][data-frame]`);
    const counter = await Counter.on(page);
    await measureFound(page, sheet, counter);
    await app.call("GET", `/plays/${play}/judgements`);
    await agree(page, counter);
    await page.waitForTimeout(500);
    const { calls, marks } = await app.call<PlayDetail>("GET", `/plays/${play}`);
    if (!calls.length) throw new Error("the throw was not judged");
    const measured = await app.call<Measurement>("GET", `/plays/${play}/measurement`);
    const got = (["throw", "feet", "placement"] as const).filter((k) => measured[k].state === "seen");
    await report(
      "room.measure_judge_found",
      counter,
      60,
      `waiting for the film not counted; ${marks.moments.length} moments, ${measured.tracks.length} people, ` +
        `${marks.ball.length} frames of the ball; measured: ${got.join(", ") || "nothing"}`,
    );
  } finally {
    await app.stop();
  }
}

const browser = await startBrowser();
try {
  await speed(browser);
  await firstClip(browser);
  await chartThrow(browser);
  await measureByHand(browser);
  await measureByFinding(browser);
} finally {
  await browser.close();
}
