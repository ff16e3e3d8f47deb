/** Which part of the original picture is seen, in px of the original; its shape follows the element's. */
export class Viewport {
  x = $state(0);
  y = $state(0);
  /** px of the original per CSS px. */
  unit = $state(1);
  /** The element's size, CSS px. */
  width = $state(1);
  height = $state(1);
  private zoomed = false;

  constructor(
    readonly pictureWidth: number,
    readonly pictureHeight: number,
  ) {}

  get box(): string {
    return `${this.x} ${this.y} ${this.width * this.unit} ${this.height * this.unit}`;
  }
  get closer(): boolean {
    return this.unit < this.wholeUnit * 0.999;
  }
  private get wholeUnit(): number {
    return Math.max(this.pictureWidth / this.width, this.pictureHeight / this.height);
  }

  resize(width: number, height: number) {
    if (width < 2 || height < 2) return;
    const centre = this.toPicture(this.width / 2, this.height / 2);
    this.width = width;
    this.height = height;
    if (!this.zoomed) return this.whole();
    this.x = centre[0] - (width / 2) * this.unit;
    this.y = centre[1] - (height / 2) * this.unit;
    this.keepIn();
  }
  whole() {
    this.zoomed = false;
    this.unit = this.wholeUnit;
    this.keepIn();
  }
  /** Zooms by `factor` (above 1: closer) with the CSS point `at` held still. */
  zoom(factor: number, at: [number, number] = [this.width / 2, this.height / 2]) {
    const held = this.toPicture(...at);
    this.unit = Math.max(1 / 24, Math.min(this.wholeUnit, this.unit / factor));
    this.zoomed = this.closer;
    this.x = held[0] - at[0] * this.unit;
    this.y = held[1] - at[1] * this.unit;
    this.keepIn();
  }
  pan(dx: number, dy: number) {
    this.x -= dx * this.unit;
    this.y -= dy * this.unit;
    this.keepIn();
  }
  /** Brings a point of the picture into sight. */
  reveal(point: readonly [number, number]) {
    const [w, h] = [this.width * this.unit, this.height * this.unit];
    if (point[0] < this.x || point[0] > this.x + w) this.x = point[0] - w / 2;
    if (point[1] < this.y || point[1] > this.y + h) this.y = point[1] - h / 2;
    this.keepIn();
  }
  /** px of the original under a CSS point of the element. */
  toPicture(left: number, top: number): [number, number] {
    return [this.x + left * this.unit, this.y + top * this.unit];
  }
  private keepIn() {
    const keep = (at: number, seen: number, whole: number) =>
      seen >= whole ? (whole - seen) / 2 : Math.max(0, Math.min(whole - seen, at));
    this.x = keep(this.x, this.width * this.unit, this.pictureWidth);
    this.y = keep(this.y, this.height * this.unit, this.pictureHeight);
  }
}
