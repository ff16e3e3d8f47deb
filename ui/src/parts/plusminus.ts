/** Half the width of a 90% interval, in standard errors: what ± says in figures and in the report. */
export const HALF_90 = 1.645;

/** Digits after the point that the interval's half supports, as the report writes them. */
function digitsOf(half: number): number {
  return half >= 2 ? 0 : half >= 0.1 ? 1 : 2;
}

/** `−0.31 ± 0.12 s`; a true minus, and no `−0.0`. */
export function plusMinus(e: { value: number; se: number }, unit: string, sign = false): string {
  const half = HALF_90 * e.se;
  const digits = digitsOf(half);
  const text = Math.abs(e.value).toFixed(digits);
  const mark = Number(text) === 0 ? "" : e.value < 0 ? "−" : sign ? "+" : "";
  return `${mark}${text} ± ${half.toFixed(digits)}${unit === "°" || unit === "%" || !unit ? "" : " "}${unit}`;
}
