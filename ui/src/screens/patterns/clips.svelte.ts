/** Clips that a figure's mark opened, and the one that plays. */
export class Clips {
  title = $state("");
  plays: string[] = $state.raw([]);
  /** Of a share: how many of them, at the front, are a yes. */
  yes: number | null = $state(null);

  open(title: string, plays: string[], yes: number | null = null) {
    this.title = title;
    this.plays = plays;
    this.yes = yes;
  }
  /** The clip after or before the open play; the first when it is none of them. */
  turned(open: string | undefined, way: 1 | -1): string | undefined {
    const at = this.plays.indexOf(open ?? "");
    if (at < 0) return this.plays[way > 0 ? 0 : this.plays.length - 1];
    return this.plays[(at + way + this.plays.length) % this.plays.length];
  }
}
