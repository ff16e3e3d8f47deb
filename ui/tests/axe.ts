import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import type { Page } from "playwright-core";

const source = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

interface Violation {
  id: string;
  help: string;
  nodes: { html: string; failureSummary?: string }[];
}

/** Fails with every breach of WCAG 2.1 A and AA, and of axe-core's best practices, that axe-core finds. */
export async function assertAccessible(page: Page, where: string) {
  // Through the debugging protocol: the page's content security policy lets no script in.
  await page.evaluate(source);
  const violations = await page.evaluate(async () => {
    const { axe } = window as unknown as { axe: { run(): Promise<{ violations: Violation[] }> } };
    return (await axe.run()).violations;
  });
  const said = violations.map((v) => `${v.id}: ${v.help}\n  ${v.nodes.map((n) => n.html).join("\n  ")}`);
  assert.equal(violations.length, 0, `${where}:\n${said.join("\n")}`);
}
