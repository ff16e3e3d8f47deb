import { inflateSync } from "node:zlib";

/**
 * Number of pages by the page tree's own count: the largest `/Count` of a `/Type /Pages` object (ISO 32000-1, 7.7.3.2), looked for
 * in the file and in its compressed object streams (7.5.7).
 */
export function pagesOf(pdf: Buffer): number {
  const text = pdf.toString("latin1");
  const parts = [text];
  for (const found of text.matchAll(/\/Type\s*\/ObjStm\b[\s\S]*?stream\r?\n/g)) {
    const from = found.index + found[0].length;
    const end = text.indexOf("endstream", from);
    parts.push(inflateSync(pdf.subarray(from, end), { finishFlush: 2 }).toString("latin1"));
  }
  const counts = parts.flatMap((part) =>
    [...part.matchAll(/<<(?:(?!<<|>>)[\s\S])*?\/Type\s*\/Pages\b(?:(?!<<|>>)[\s\S])*?>>/g)].map((o) =>
      Number(/\/Count\s+(\d+)/.exec(o[0])?.[1] ?? 0),
    ),
  );
  return Math.max(0, ...counts);
}
