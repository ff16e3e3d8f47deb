/** The frame on screen is exactly the frame named, at every rate, forwards, backwards and at random. */
import assert from "node:assert/strict";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import type { Browser, Page } from "playwright-core";
import { filmTime } from "../src/parts/words.ts";
import { App, makeCounterFilms } from "./app.ts";
import { openPage, startBrowser } from "./chromium.ts";
import { readShown } from "./counter.ts";

const FRAMES = 70;
/** Every rate and container of the job; the number in a name is the play's, by which views are paired. */
const FILMS: [string, string, number, string, ...string[]][] = [
  ["h264", "25", FRAMES, "sideline 1.mp4"],
  ["h264", "30000/1001", FRAMES, "sideline 2.mov", "audio"],
  ["h264", "30", FRAMES, "sideline 3.mp4", "variable"],
  ["mpeg4", "50", FRAMES, "sideline 4.avi"],
  ["hevc", "60000/1001", FRAMES, "sideline 5.mp4", "audio"],
  ["hevc", "60", FRAMES, "sideline 6.mov"],
];
/** The smallest gap of a film with irregular times is three quarters of the usual one (`TestFilm::seconds`). */
const seconds = (rate: string, i: number, variable: boolean) => {
  const [n, d] = rate.split("/").map(Number);
  return ((i + (variable && i % 3 === 2 ? 0.25 : 0)) * (d ?? 1)) / n!;
};

let app: App;
let browser: Browser;
let films: string;
before(async () => {
  films = await mkdtemp(join(tmpdir(), "tapemeasure-films-"));
  await makeCounterFilms(films, FILMS);
  app = await App.start();
  await app.gameOf(films, { whole: true });
  browser = await startBrowser();
});
after(async () => {
  await browser?.close();
  await app?.stop();
  await rm(films, { recursive: true, force: true });
});

/** Waits until the canvas names `frame`, then asserts that the picture and the caption agree. */
async function assertShows(page: Page, frame: number, at: string, time?: number) {
  await page.waitForFunction(
    (f) => document.querySelector<HTMLCanvasElement>("canvas[data-frame]")?.dataset["frame"] === String(f),
    frame,
    { timeout: 5000 },
  );
  const [shown] = await readShown(page);
  assert.equal(shown?.burned, frame, `${at}: the picture shows ${shown?.burned}, not ${frame}`);
  assert.match(shown.caption, new RegExp(`frame ${frame} `), at);
  if (time !== undefined) assert.ok(shown.caption.includes(filmTime(time)), `${at}: "${shown.caption}" at ${time} s`);
}

for (const [k, [codec, rate, , name, ...options]] of FILMS.entries()) {
  test(`${codec} at ${rate} ${options.join(" ")} (${name})`, async () => {
    const plays = await app.call<{ id: string; number: number }[]>("GET", "/plays");
    const play = plays.find((p) => p.number === k + 1)!;
    const { page, complaints } = await openPage(browser, app.url);
    await page.goto(`${new URL(app.url).origin}/#/line-up/${play.id}`);
    const time = (f: number) => seconds(rate, f, options.includes("variable"));
    await assertShows(page, 0, "at the start", 0);

    for (let f = 1; f <= 34; f++) {
      await page.keyboard.press("ArrowRight");
      await assertShows(page, f, "forwards", time(f));
    }
    for (let f = 33; f >= 12; f--) {
      await page.keyboard.press("ArrowLeft");
      await assertShows(page, f, "backwards", time(f));
    }
    await page.keyboard.press("End");
    await assertShows(page, FRAMES - 1, "End", time(FRAMES - 1));
    for (let f = FRAMES - 2; f >= FRAMES - 20; f--) {
      await page.keyboard.press("ArrowLeft");
      await assertShows(page, f, "backwards from the end", time(f));
    }
    await page.keyboard.press("Home");
    await assertShows(page, 0, "Home", 0);

    // At random: clicks on the tape, in an order from a fixed linear congruential sequence (seed 7).
    const tape = await page.getByRole("slider", { name: "Play's clock" }).boundingBox();
    let seed = 7;
    for (let i = 0; i < 15; i++) {
      seed = (seed * 1103515245 + 12345) % 2 ** 31;
      await page.mouse.click(tape!.x + 12 + (seed / 2 ** 31) * (tape!.width - 24), tape!.y + 10);
      await page.waitForFunction(() => document.querySelector("canvas[data-frame]"));
      await page.waitForTimeout(120);
      const [shown] = await readShown(page);
      assert.equal(shown?.burned, shown?.named, "at random");
    }

    // Running, at several speeds both ways: whatever frame is up is the one that is named.
    await page.keyboard.press("Home");
    for (const key of ["l", "l", "k", "j", "j", "j", "k", "Shift+l"]) {
      await page.keyboard.press(key);
      for (let i = 0; i < 6; i++) {
        const [shown] = await readShown(page);
        assert.equal(shown?.burned, shown?.named, `running after ${key}`);
        await page.waitForTimeout(30);
      }
    }
    assert.deepEqual(complaints, []);
    await page.context().close();
  });
}
