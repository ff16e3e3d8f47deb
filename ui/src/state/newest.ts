/** Work on wishes, one at a time; of those that wait only the newest counts. */
export class Newest<W> {
  private wanted: { wish: W } | null = null;
  private busy = false;
  private closed = false;

  constructor(private readonly work: (wish: W, still: () => boolean) => Promise<void>) {}

  want(wish: W) {
    this.wanted = { wish };
    void this.go();
  }
  close() {
    this.closed = true;
    this.wanted = null;
  }
  private async go() {
    if (this.busy) return;
    this.busy = true;
    while (this.wanted && !this.closed) {
      const { wish } = this.wanted;
      this.wanted = null;
      await this.work(wish, () => !this.closed);
    }
    this.busy = false;
  }
}
