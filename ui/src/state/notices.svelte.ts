import { Refused } from "../api/client.ts";

interface Notice {
  id: number;
  tone: "plain" | "trouble";
  text: string;
}
const STAYS_MS = 6000;

class Notices {
  list: Notice[] = $state([]);
  private count = 0;

  say(text: string) {
    this.add("plain", text);
  }
  /** What went wrong, in the program's words. */
  trouble(e: unknown) {
    if (e instanceof DOMException && e.name === "AbortError") return;
    this.add("trouble", e instanceof Refused || e instanceof Error ? e.message : String(e));
  }
  drop(id: number) {
    this.list = this.list.filter((n) => n.id !== id);
  }
  private add(tone: Notice["tone"], text: string) {
    if (this.list.some((n) => n.text === text)) return;
    const id = ++this.count;
    this.list.push({ id, tone, text });
    setTimeout(() => this.drop(id), tone === "trouble" ? 2 * STAYS_MS : STAYS_MS);
  }
}
export const notices = new Notices();

/** Runs `work` and shows what it refuses; undefined when it did. */
export async function tried<T>(work: () => Promise<T>): Promise<T | undefined> {
  try {
    return await work();
  } catch (e) {
    notices.trouble(e);
    return undefined;
  }
}
