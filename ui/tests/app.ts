/** The real program on a study of its own, for tests. */
import { type ChildProcess, execFile, spawn } from "node:child_process";
import { existsSync } from "node:fs";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";

const run = promisify(execFile);
export const ROOT = fileURLToPath(new URL("../..", import.meta.url));
const SUFFIX = process.platform === "win32" ? ".exe" : "";

/** The built program: `TAPEMEASURE_BIN`, or the workspace's own build. */
export function program(): string {
  const named = process.env["TAPEMEASURE_BIN"] ?? join(ROOT, "target", "debug", `tapemeasure${SUFFIX}`);
  if (!existsSync(named)) throw new Error(`${named} is missing: run "cargo build -p cli", or set TAPEMEASURE_BIN`);
  return named;
}

interface JobState {
  id: number;
  state: string;
  message: string;
  findings: { message: string }[];
}

export class App {
  private constructor(
    readonly folder: string,
    readonly study: string,
    readonly url: string,
    private readonly child: ChildProcess,
  ) {}

  /** Makes a study in a fresh folder (or takes `study`) and serves it. */
  static async start(study?: string): Promise<App> {
    const folder = await mkdtemp(join(tmpdir(), "tapemeasure-"));
    const made = study ?? join(folder, "test.tape");
    if (!study) await run(program(), ["new", "A study", made, "--passer", "the passer", "--evaluator", "a tester"]);
    const child = spawn(program(), ["serve", made, "--no-open"], { stdio: ["ignore", "pipe", "inherit"] });
    const url = await new Promise<string>((resolve, reject) => {
      let said = "";
      child.stdout.on("data", (piece: Buffer) => {
        said += piece.toString();
        const found = /http:\/\/\S+#token=\S+/.exec(said);
        if (found) resolve(found[0]);
      });
      child.once("exit", (code) => reject(new Error(`the program ended with ${code} before it served: ${said}`)));
    });
    return new App(folder, made, url, child);
  }
  async stop() {
    const over = new Promise((resolve) => this.child.once("exit", resolve));
    this.child.kill("SIGINT");
    await over;
    await rm(this.folder, { recursive: true, force: true });
  }
  /** One call, as the page would make it. */
  async call<T>(method: string, path: string, body?: unknown): Promise<T> {
    const { origin, hash } = new URL(this.url);
    const init: RequestInit = {
      method,
      headers: { Authorization: `Bearer ${hash.slice("#token=".length)}`, "Content-Type": "application/json" },
    };
    if (body !== undefined) init.body = JSON.stringify(body);
    const answer = await fetch(`${origin}/api${path}`, init);
    const text = await answer.text();
    if (!answer.ok) throw new Error(`${method} ${path}: ${answer.status} ${text}`);
    return (text ? JSON.parse(text) : undefined) as T;
  }
  /** Waits for a job; throws what it failed with. */
  async finished(job: JobState): Promise<JobState> {
    let now = job;
    while (now.state === "waiting" || now.state === "running") {
      await new Promise((r) => setTimeout(r, 100));
      now = await this.call<JobState>("GET", `/jobs/${job.id}`);
    }
    if (now.state !== "done") throw new Error(`job ${now.state}: ${now.message}`);
    return now;
  }
  /**
   * A game with the films of `folder` in it, paired into plays. With `whole`, each film is one clip whatever its pictures do:
   * a burned counter turns over so many blocks at once that it looks like a change of scene.
   */
  async gameOf(folder: string, { name = "A game", whole = false } = {}): Promise<string> {
    const team = { name: "", shirt: null };
    const game = await this.call<{ id: string }>("POST", "/games", {
      name,
      rule_book: "college",
      offense: { ...team, name: "Blue" },
      defense: { ...team, name: "White" },
    });
    await this.call("POST", "/folders", { path: folder });
    await this.finished(await this.call<JobState>("POST", "/films/import", { folder, game: game.id, copy: false }));
    if (whole) await this.uncut();
    await this.call("POST", `/games/${game.id}/pair`);
    return game.id;
  }
  private async uncut() {
    const films = await this.call<{ id: string; frames: number }[]>("GET", "/films");
    const clips = await this.call<{ id: string; film: string; view: string | null }[]>("GET", "/clips");
    for (const film of films) {
      const [first, ...rest] = clips.filter((c) => c.film === film.id);
      for (const c of rest) await this.call("DELETE", `/clips/${c.id}`);
      const edit = { first: 0, end: film.frames, view: first!.view, play: null, snap_frame: null };
      await this.call("PUT", `/clips/${first!.id}`, edit);
    }
  }
}

/** Films whose frames carry their own index; `how` as the example's arguments: codec, rate, frames, file name, options. */
export async function makeCounterFilms(folder: string, films: [string, string, number, string, ...string[]][]) {
  const cargo = ["build", "-q", "--locked", "-p", "film", "--features", "testfilm", "--example", "make_test_film"];
  await run("cargo", cargo, { cwd: ROOT });
  const maker = join(ROOT, "target", "debug", "examples", `make_test_film${SUFFIX}`);
  for (const [codec, rate, frames, name, ...options] of films)
    await run(maker, [codec, rate, String(frames), join(folder, name), ...options]);
}

/** An invented game of `plays` plays as `positions.csv` and `plays.csv`. */
export async function makeTables(folder: string, seed: number, plays: number) {
  await run("cargo", ["build", "-q", "--locked", "-p", "scrimmage"], { cwd: ROOT });
  const maker = join(ROOT, "target", "debug", `scrimmage${SUFFIX}`);
  await run(maker, ["table", "--out", folder, "--seed", String(seed), "--plays", String(plays)]);
}
