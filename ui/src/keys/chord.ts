/**
 * A chord as text: modifiers in the order Mod, Alt, Shift, then the key; `Mod` is Control, or Command on a Mac. Letters
 * are lower case. Shift is named only where it does not already show in the character (`?` is `?`, not `Shift+/`).
 * A sequence of chords is written with spaces: `g l`.
 */
export function chordOf(e: Pick<KeyboardEvent, "key" | "ctrlKey" | "metaKey" | "altKey" | "shiftKey">): string {
  let key = e.key === " " ? "Space" : e.key;
  const letter = /^[a-z]$/i.test(key);
  if (letter) key = key.toLowerCase();
  const parts: string[] = [];
  if (e.ctrlKey || e.metaKey) parts.push("Mod");
  if (e.altKey) parts.push("Alt");
  if (e.shiftKey && (letter || key.length > 1)) parts.push("Shift");
  return [...parts, key].join("+");
}

const SIGNS: Record<string, string> = {
  ArrowLeft: "←",
  ArrowRight: "→",
  ArrowUp: "↑",
  ArrowDown: "↓",
  Enter: "Enter",
  Escape: "Esc",
  PageUp: "PgUp",
  PageDown: "PgDn",
  Backspace: "⌫",
  Delete: "Del",
};

/** How a chord is written on a key cap. */
export function capOf(chord: string, mac = false): string {
  return chord
    .split(" ")
    .map((c) =>
      c
        .split(/\+(?=.)/)
        .map((p) => (p === "Mod" ? (mac ? "⌘" : "Ctrl") : (SIGNS[p] ?? (/^[a-z]$/.test(p) ? p.toUpperCase() : p))))
        .join(" "),
    )
    .join(" then ");
}
