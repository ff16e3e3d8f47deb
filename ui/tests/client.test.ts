/** The client is made from the API's description; neither may be stale. */
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { test } from "node:test";
import { fileURLToPath } from "node:url";
import { program } from "./app.ts";

const ui = fileURLToPath(new URL("..", import.meta.url));
const read = (file: string) => readFileSync(join(ui, file), "utf8");
const REMEDY = "run `make client` and commit ui/openapi.json with ui/src/api/schema.d.ts";

test("the snapshot is what the program says of itself", () => {
  const said = execFileSync(program(), ["openapi"], { encoding: "utf8" });
  assert.ok(said === read("openapi.json"), `ui/openapi.json is stale: ${REMEDY}`);
});

test("the client's types are made from the snapshot", () => {
  const folder = mkdtempSync(join(tmpdir(), "tapemeasure-client-"));
  try {
    const fresh = join(folder, "schema.d.ts");
    const maker = join(ui, "node_modules", "openapi-typescript", "bin", "cli.js");
    execFileSync(process.execPath, [maker, join(ui, "openapi.json"), "-o", fresh], { stdio: "pipe" });
    assert.ok(readFileSync(fresh, "utf8") === read("src/api/schema.d.ts"), `schema.d.ts is stale: ${REMEDY}`);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
});
