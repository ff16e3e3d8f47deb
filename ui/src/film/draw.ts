interface Region {
  x: number;
  y: number;
  width: number;
  height: number;
}

/**
 * Draws the part `region` (px of the original) of `picture` over the whole canvas of `size` device px. The picture may be
 * smaller than the original, whose size is `original`; outside of it stays empty.
 */
export function draw(
  canvas: HTMLCanvasElement,
  picture: VideoFrame,
  region: Region,
  size: [number, number],
  original: { width: number; height: number },
) {
  const [w, h] = [Math.max(1, Math.round(size[0])), Math.max(1, Math.round(size[1]))];
  if (canvas.width !== w || canvas.height !== h) [canvas.width, canvas.height] = [w, h];
  // `alpha: false` lets the browser skip blending.
  const ctx = canvas.getContext("2d", { alpha: false });
  if (!ctx) return;
  const kx = picture.displayWidth / original.width;
  const ky = picture.displayHeight / original.height;
  const left = Math.max(0, region.x);
  const top = Math.max(0, region.y);
  const right = Math.min(original.width, region.x + region.width);
  const bottom = Math.min(original.height, region.y + region.height);
  const toX = w / region.width;
  const toY = h / region.height;
  if (left > region.x || top > region.y || right < region.x + region.width || bottom < region.y + region.height)
    fillStage(ctx, w, h);
  // Close up, one wants to see the pixels that were filmed.
  ctx.imageSmoothingEnabled = toX < 4;
  ctx.drawImage(
    picture,
    left * kx,
    top * ky,
    (right - left) * kx,
    (bottom - top) * ky,
    (left - region.x) * toX,
    (top - region.y) * toY,
    (right - left) * toX,
    (bottom - top) * toY,
  );
}

/** As `--stage` in tokens.css: the same in both themes, so that film looks the same in both. */
const STAGE = "#0c1318";

function fillStage(ctx: CanvasRenderingContext2D, width: number, height: number) {
  ctx.fillStyle = STAGE;
  ctx.fillRect(0, 0, width, height);
}
