/** Measuring a throw by hand in the real page: moments, people, ball, feet, as the hand sheet of an invented play has them. */
import type { Page } from "playwright-core";
import type { Foot, FootPart, ViewName } from "../../src/api/types.ts";
import { BINDINGS } from "../../src/keys/bindings.ts";
import { FEET } from "../../src/screens/measure/feet.ts";
import { onPage } from "../hands.ts";
import type { Counter } from "../klm.ts";

type Pixel = [number, number];
interface Spot {
  view: ViewName;
  frame: number;
  pixel: Pixel;
}
export interface Sheet {
  clips: { view: ViewName; moments: Record<string, number | null> }[];
  people: (Spot & { person: string; unit: "offense" | "defense"; position: string })[];
  ball: Spot[];
  hips: Spot[];
  feet: (Spot & { foot: Foot; part: FootPart })[];
}
const keyOf = (command: string) => BINDINGS.find((b) => b.command === command)!.keys[0]!;

async function shown(page: Page, view: ViewName): Promise<number> {
  return Number(await page.getAttribute(`canvas[data-view="${view}"]`, "data-frame"));
}
async function focus(page: Page, view: ViewName) {
  const name = view === "sideline" ? "Sideline" : "End zone";
  if (await page.locator(`section.film.focused[aria-label="${name} film"]`).count()) return;
  await page.keyboard.press(keyOf("film-other"));
}
/** Goes to a frame of a view as a practised person would: by marked moments, then tens with Shift held down, then ones. */
export async function goTo(page: Page, view: ViewName, frame: number, counter?: Counter, corrections = 3) {
  await focus(page, view);
  let at = await shown(page, view);
  if (at === frame) return;
  counter?.decide();
  const steps = (from: number) => {
    const [tens, ones] = [Math.round(Math.abs(frame - from) / 10), Math.abs(Math.abs(frame - from) % 10)];
    return (tens ? tens + 1 : 0) + Math.min(ones, 10 - ones);
  };
  for (const command of [frame > at ? "moment-next" : "moment-previous"])
    for (let tries = 0; tries < 4; tries++) {
      const next = await stopAfter(page, view, at, command === "moment-next" ? 1 : -1);
      if (next === null || steps(next) + 1 >= steps(at)) break;
      await page.keyboard.press(keyOf(command));
      await page.waitForTimeout(120);
      at = await shown(page, view);
    }
  let left = frame - at;
  const press = async (command: string) => page.keyboard.press(keyOf(command));
  if (Math.abs(left) > 5) {
    await page.keyboard.down("Shift");
    for (; Math.abs(left) > 5; left -= 10 * Math.sign(left)) await press(left > 0 ? "film-forward" : "film-back");
    await page.keyboard.up("Shift");
  }
  for (; left !== 0; left -= Math.sign(left)) await press(left > 0 ? "film-forward" : "film-back");
  const there = `canvas[data-view="${view}"][data-frame="${frame}"]`;
  if (!corrections) return void (await page.waitForSelector(there));
  const arrived = await page.waitForSelector(there, { timeout: 3000 }).catch(() => null);
  // A frame that was still being decoded when the steps were counted: a person sees it and steps on.
  if (!arrived) await goTo(page, view, frame, counter, corrections - 1);
}
/** The frame to which the next moment on the tape leads; null when there is none that way. Both views run at one rate. */
async function stopAfter(page: Page, view: ViewName, frame: number, way: 1 | -1): Promise<number | null> {
  const moments = await page.$$eval(".moment", (all) =>
    all.map((m) =>
      [...m.querySelectorAll<HTMLElement>("[data-frame]")].map((b) => ({
        view: b.dataset["view"]!,
        frame: Number(b.dataset["frame"]),
      })),
    ),
  );
  const snap = moments.find((m) => m.length === 2);
  const apart = snap ? snap.find((m) => m.view === view)!.frame - snap.find((m) => m.view !== view)!.frame : null;
  // The tape has a moment by the first view in which it is marked.
  const frames = moments.flatMap(([first]) =>
    !first ? [] : first.view === view ? [first.frame] : apart === null ? [] : [first.frame + apart],
  );
  const ahead = frames.filter((f) => (f - frame) * way > 0).sort((a, b) => (a - b) * way);
  return ahead[0] ?? null;
}

const MOMENT_KEYS: Record<string, string> = {
  snap: keyOf("moment-snap"),
  set: keyOf("moment-set"),
  release: keyOf("moment-release"),
  arrival: keyOf("moment-arrival"),
};
export async function markMoments(page: Page, sheet: Sheet, view: ViewName, which: string[], counter?: Counter) {
  const { moments } = sheet.clips.find((c) => c.view === view)!;
  for (const name of which) {
    const frame = moments[name];
    if (frame == null) continue;
    await goTo(page, view, frame, counter);
    counter?.decide();
    await page.keyboard.press(MOMENT_KEYS[name]!);
    await page.waitForTimeout(250); // a moved snap opens the clip anew
    await page.waitForSelector(`canvas[data-view="${view}"][data-frame="${frame}"]`);
  }
}

/** The list's person for each of the sheet's: the passer and the slots by name, defenders by their place in the sheet. */
export function castOf(sheet: Sheet): Map<string, string> {
  const cast = new Map<string, string>();
  const count = { cover: 0, rusher: 0 };
  for (const p of sheet.people) {
    if (cast.has(p.person)) continue;
    if (p.position === "passer") cast.set(p.person, "passer");
    else if (p.unit === "offense") cast.set(p.person, p.person);
    else {
      const role = p.position === "rusher" ? "rusher" : "cover";
      cast.set(p.person, `${role}-${++count[role]}`);
    }
  }
  return cast;
}
const pressed = async (page: Page) =>
  ((await page.locator('.people button[aria-pressed="true"]').getAttribute("data-person")) ?? "").trim();

/** Marks whoever the page asks for, and passes over whom the sheet does not have in this frame. */
export async function markPeople(page: Page, sheet: Sheet, view: ViewName, frame: number, counter?: Counter) {
  await goTo(page, view, frame, counter);
  const cast = castOf(sheet);
  const left = new Map(
    sheet.people.filter((p) => p.view === view && p.frame === frame).map((p) => [cast.get(p.person)!, p.pixel]),
  );
  counter?.decide();
  for (let passed = 0; left.size && passed < 30;) {
    const now = await pressed(page);
    const pixel = left.get(now);
    if (pixel) {
      await page.mouse.click(...(await onPage(page, view, pixel)));
      left.delete(now);
      passed = 0;
    } else {
      await page.keyboard.press(keyOf("next-one"));
      passed++;
    }
    await page.waitForTimeout(30);
  }
  if (left.size) throw new Error(`the page never asks for ${[...left.keys()].join(", ")} in frame ${frame}`);
}

/** Every fourth frame in which the ball is seen, and the last: a flight is smooth, and its ends say when it began and ended. */
export function ballsToMark(sheet: Sheet, view: ViewName): Spot[] {
  const seen = sheet.ball.filter((b) => b.view === view);
  return seen.filter((b, i) => (b.frame - seen[0]!.frame) % 4 === 0 || i === seen.length - 1);
}
export async function markBall(page: Page, sheet: Sheet, view: ViewName, counter?: Counter) {
  counter?.decide();
  await page.keyboard.press(keyOf("click-ball"));
  for (const b of ballsToMark(sheet, view)) {
    if ((await shown(page, view)) !== b.frame) await goTo(page, view, b.frame);
    await page.mouse.click(...(await onPage(page, view, b.pixel)));
    await page.waitForTimeout(60);
  }
}

/** Clicks the feet in the enlarged patch, `rounds` times over. */
export async function markFeet(page: Page, sheet: Sheet, view: ViewName, rounds: number, counter?: Counter) {
  const all = sheet.feet.filter((f) => f.view === view);
  const frame = all[0]!.frame;
  await goTo(page, view, frame, counter);
  counter?.decide();
  await page.keyboard.press(keyOf("click-feet"));
  await page.waitForSelector("aside .patch canvas");
  for (let round = 0; round < rounds; round++) {
    counter?.decide();
    for (const point of FEET) {
      const spot = all.filter((f) => f.foot === point.foot && f.part === point.part && f.frame === frame)[round];
      if (!spot) {
        // Hidden on this film: one passes it over.
        await page.keyboard.press(keyOf("next-one"));
        continue;
      }
      await page.mouse.click(...(await onPatch(page, spot.pixel)));
      await page.waitForTimeout(80);
    }
  }
}
function onPatch(page: Page, pixel: Pixel): Promise<Pixel> {
  return page.evaluate(([px, py]) => {
    const patch = document.querySelector("aside .patch")!;
    const svg = patch.querySelector("svg")!;
    const [x = 0, y = 0, width = 1, height = 1] = svg.getAttribute("viewBox")!.split(" ").map(Number);
    const box = svg.getBoundingClientRect();
    return [box.x + ((px - x) / width) * box.width, box.y + ((py - y) / height) * box.height] as Pixel;
  }, pixel);
}

/** The sheet's frames with people nearest to snap, halfway, release and arrival. */
export function framesToMark(sheet: Sheet, view: ViewName): number[] {
  const { moments } = sheet.clips.find((c) => c.view === view)!;
  const [snap, release, arrival] = [moments["snap"]!, moments["release"]!, moments["arrival"]!];
  const frames = [...new Set(sheet.people.filter((p) => p.view === view).map((p) => p.frame))];
  const nearest = (to: number) => frames.reduce((a, b) => (Math.abs(b - to) < Math.abs(a - to) ? b : a));
  return [...new Set([snap, (snap + release) / 2, release, arrival].map(nearest))].sort((a, b) => a - b);
}

/** Looks through the film and confirms what was found, by one key each time: moments, people, the ball. */
export async function confirmFound(page: Page, counter?: Counter) {
  counter?.decide();
  await page.keyboard.press(keyOf("film-search"));
  const group = page.getByRole("group", { name: "Found in the film" });
  for (let step = 0; step < 6; step++) {
    // Begun by the key, and what a confirmed step brings is proposed anew.
    await page.waitForTimeout(2500);
    for (const busy of ["Looking through the film", "Confirming"])
      await group.getByText(busy).waitFor({ state: "detached", timeout: 600_000 });
    await page.waitForTimeout(500);
    if (!(await group.getByRole("button", { name: /^Confirm/ }).count())) return;
    counter?.decide();
    await page.keyboard.press(keyOf("take-next"));
  }
}
/** A throw of which the film tells the rest: what was found is confirmed, the feet are clicked twice over. */
export async function measureFound(page: Page, sheet: Sheet, counter?: Counter) {
  await confirmFound(page, counter);
  await markFeet(page, sheet, "sideline", 2, counter);
}

/** All of a throw: moments, people, ball in both views, feet twice over. */
export async function measureThrow(page: Page, sheet: Sheet, counter?: Counter) {
  await markMoments(page, sheet, "end-zone", ["snap"], counter);
  await markMoments(page, sheet, "sideline", ["snap", "set", "release", "arrival"], counter);
  counter?.decide();
  await page.keyboard.press(keyOf("click-people"));
  for (const frame of framesToMark(sheet, "sideline")) await markPeople(page, sheet, "sideline", frame, counter);
  await markFeet(page, sheet, "sideline", 2, counter);
  await markBall(page, sheet, "sideline", counter);
  await markBall(page, sheet, "end-zone", counter);
}

/** Looks at what the program says of the throw under the first plan, and agrees. */
export async function agree(page: Page, counter?: Counter) {
  for (const key of keyOf("go-judge").split(" ")) await page.keyboard.press(key);
  await page.getByRole("heading", { level: 1, name: "Judge" }).waitFor({ state: "attached" });
  await page.waitForSelector("canvas[data-frame]");
  await page.waitForTimeout(2500);
  counter?.decide();
  await page.keyboard.press(keyOf("call-agree"));
}
