import type { Page } from "playwright-core";

export interface Shown {
  view: string;
  /** What the canvas says it shows. */
  named: number;
  /** What is burned into the picture; null when it cannot be read. */
  burned: number | null;
  /** What the caption says. */
  caption: string;
}

/**
 * Reads the frame counter that `film::testfilm` burns into the upper half of the picture: two rows of eight blocks, twelve
 * bits of index and four of check.
 */
export function readShown(page: Page): Promise<Shown[]> {
  return page.evaluate(() =>
    [...document.querySelectorAll<HTMLCanvasElement>("canvas[data-frame]")].map((canvas) => {
      const svg = canvas.parentElement!.querySelector("svg")!;
      const [x = 0, y = 0, width = 1, height = 1] = svg.getAttribute("viewBox")!.split(" ").map(Number);
      const picture = { width: Number(canvas.dataset["width"]), height: Number(canvas.dataset["height"]) };
      const ctx = canvas.getContext("2d")!;
      let bits = 0;
      let sure = true;
      for (let cell = 0; cell < 16; cell++) {
        const px = (((cell & 7) + 0.5) / 8) * picture.width;
        const py = (((cell >> 3) + 0.5) / 4) * picture.height;
        const [red = 0] = ctx.getImageData(
          Math.floor(((px - x) / width) * canvas.width),
          Math.floor(((py - y) / height) * canvas.height),
          1,
          1,
        ).data;
        if (red > 90 && red < 165) sure = false;
        bits = (bits << 1) | (red >= 165 ? 1 : 0);
      }
      const index = bits >> 4;
      const check = (index & 15) ^ ((index >> 4) & 15) ^ ((index >> 8) & 15) ^ 0b1010;
      const caption = canvas.closest("section")!.querySelector("header")!.innerText.replace(/\s+/g, " ");
      return {
        view: canvas.dataset["view"]!,
        named: Number(canvas.dataset["frame"]),
        burned: sure && check === (bits & 15) ? index : null,
        caption,
      };
    }),
  );
}
