/** A play that the scripted evaluator has lined up, charted, measured and called, entered by the command line as a script would. */
import { execFile } from "node:child_process";
import { mkdtemp, rm } from "node:fs/promises";
import { readdirSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { promisify } from "node:util";
import { App, program } from "../app.ts";
import { filmedPlay } from "../hands.ts";

const run = promisify(execFile);

/** A play of the demonstration game on which the ball is thrown, from a set that the playbook's concept has as it is. */
export const THROWN = 3;

/** The name that a filmed play's films and hand sheet share. */
export function stemOf(folder: string): string {
  const [sheet] = readdirSync(join(folder, "hands"));
  if (!sheet) throw new Error(`${folder} has no hand sheet`);
  return sheet.replace(/\.json$/, "");
}

export interface Entered {
  app: App;
  play: string;
  stop: () => Promise<void>;
}

export async function entered(number: number): Promise<Entered> {
  const folder = await filmedPlay(number);
  const place = await mkdtemp(join(tmpdir(), "tapemeasure-entered-"));
  const study = join(place, "entered.tape");
  const say = (...words: string[]) => run(program(), words, { maxBuffer: 1 << 26 });
  await say("new", "Entered", study, "--passer", "the passer", "--evaluator", "a tester");
  await say("game", study, "A game", "--rule-book", "college");
  await say("import", study, join(folder, "film"));
  await say("pair", study);
  await say("enter", study, join(folder, "hands", `${stemOf(folder)}.json`));
  await say("follow", study);
  const app = await App.start(study);
  const [play] = await app.call<{ id: string }[]>("GET", "/plays");
  const stop = async () => {
    await app.stop();
    await rm(place, { recursive: true, force: true });
  };
  return { app, play: play!.id, stop };
}
