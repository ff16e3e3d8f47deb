/** A word to choose, with what else it may be found by. */
export interface Option {
  value: string;
  hint?: string;
}

/** How well `typed` names `word`: 0 exactly, higher is worse; null not at all. */
export function likeness(typed: string, word: string): number | null {
  const t = typed.trim().toLowerCase();
  const w = word.toLowerCase();
  if (t === w) return 0;
  if (w.startsWith(t)) return 1;
  const parts = w.split(/[^a-z0-9]+/).filter(Boolean);
  if (parts.some((p) => p.startsWith(t))) return 2;
  if (
    parts
      .map((p) => p[0])
      .join("")
      .startsWith(t)
  )
    return 3;
  if (beginsInOrder(t.split(/\s+/), parts)) return 4;
  if (w.includes(t)) return 5;
  return isWithin(t.replace(/\s/g, ""), w) ? 6 : null;
}

/** Whether each of `typed` begins a word of `parts`, in order: `c 3 s` for `cover 3 sky`. */
function beginsInOrder(typed: string[], parts: string[]): boolean {
  let at = 0;
  return typed.every((t) => {
    const found = parts.findIndex((p, i) => i >= at && p.startsWith(t));
    at = found + 1;
    return found >= 0;
  });
}

/** Whether the letters of `typed` occur in `word` in order, the first at a word's beginning. */
function isWithin(typed: string, word: string): boolean {
  const starts = [...word.matchAll(/(?<![a-z0-9])[a-z0-9]/g)].filter((m) => m[0] === typed[0]);
  return starts.some((m) => {
    let at = m.index;
    return [...typed.slice(1)].every((c) => (at = word.indexOf(c, at + 1)) >= 0);
  });
}

/** Options that `typed` may mean, the likeliest first; all of them, in their order, for nothing typed. */
export function rank(typed: string, options: readonly Option[]): Option[] {
  if (!typed.trim()) return [...options];
  return options
    .map((option, i) => {
      const own = likeness(typed, option.value);
      const hint = option.hint ? likeness(typed, option.hint) : null;
      return { option, i, score: Math.min(own ?? Infinity, hint === null ? Infinity : hint + 0.5) };
    })
    .filter((r) => r.score < Infinity)
    .sort((a, b) => a.score - b.score || a.i - b.i)
    .map((r) => r.option);
}
