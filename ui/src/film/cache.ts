/** Decoded pictures by frame index, bounded; the farthest from where one is goes first. */
export class FrameCache<T extends { close(): void }> {
  private pictures = new Map<number, T>();
  private centre = 0;
  private lead = 0;

  constructor(readonly limit: number) {}

  /** Where one is and which way one travels: frames ahead are worth more than frames behind. */
  aim(index: number, direction: number) {
    this.centre = index;
    this.lead = Math.sign(direction);
  }
  get(index: number): T | undefined {
    return this.pictures.get(index);
  }
  has(index: number): boolean {
    return this.pictures.has(index);
  }
  put(index: number, picture: T) {
    this.pictures.get(index)?.close();
    this.pictures.set(index, picture);
    while (this.pictures.size > this.limit) this.drop(this.farthest());
  }
  clear() {
    for (const index of [...this.pictures.keys()]) this.drop(index);
  }
  private drop(index: number) {
    this.pictures.get(index)?.close();
    this.pictures.delete(index);
  }
  private farthest(): number {
    let worst = -1;
    let far = -1;
    for (const index of this.pictures.keys()) {
      const away = index - this.centre;
      const cost = Math.abs(away) * (away * this.lead < 0 ? 2 : 1);
      if (cost > far) [far, worst] = [cost, index];
    }
    return worst;
  }
}
