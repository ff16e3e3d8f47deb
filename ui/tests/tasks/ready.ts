/** A play brought to where measuring begins, through the program's own calls: lined up, situation and chart written. */
import { readFileSync } from "node:fs";
import { join } from "node:path";
import type { Chart, Situation } from "../../src/api/types.ts";
import { EMPTY } from "../../src/screens/chart/fields.ts";
import type { App } from "../app.ts";
import { handsOf } from "../hands.ts";
import type { Sheet } from "./measure.ts";

type Written = Situation & Chart;

/** The play's id. */
export async function linedUpAndCharted(app: App, folder: string, stem: string): Promise<string> {
  await app.gameOf(join(folder, "film"));
  const [play] = await app.call<{ id: string; clips: Record<string, string> }[]>("GET", "/plays");
  for (const { view, lined_up } of handsOf(folder, stem)) {
    const clip = play!.clips[view]!;
    for (const { frame, clicks } of lined_up) {
      for (const c of clicks) await app.call("POST", `/clips/${clip}/field-marks`, { ...c, frame, snap: false });
      await app.call("POST", `/clips/${clip}/solve`, { frame });
    }
    await app.finished(await app.call("POST", `/clips/${clip}/follow`));
  }
  const { chart, people } = JSON.parse(readFileSync(join(folder, "hands", `${stem}.json`), "utf8")) as Sheet & {
    chart: Written;
  };
  // Whom the hand marks as a rusher; a blitz that was called but not seen through is none.
  const rushers = new Set(people.filter((p) => p.position === "rusher").map((p) => p.person)).size;
  const { quarter, clock_s, down, distance_yd, line_x, hash, direction, margin } = chart;
  const situation: Situation = { quarter, clock_s, down, distance_yd, line_x, hash, direction, margin };
  await app.call("PUT", `/plays/${play!.id}/situation`, situation);
  const { formation, concept, routes, blockers, target, result } = chart;
  await app.call("PUT", `/plays/${play!.id}/chart`, {
    ...EMPTY,
    formation,
    concept,
    routes,
    blockers,
    rushers,
    target,
    result,
  });
  return play!.id;
}
