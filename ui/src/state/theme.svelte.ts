export type Theme = "light" | "dark";
const KEPT = "tapemeasure.theme";

class ThemeChoice {
  /** null: as the system has it. */
  private chosen: Theme | null = $state(null);
  private system: Theme = $state("light");

  constructor() {
    const dark = matchMedia("(prefers-color-scheme: dark)");
    this.system = dark.matches ? "dark" : "light";
    dark.addEventListener("change", (e) => (this.system = e.matches ? "dark" : "light"));
    const kept = localStorage.getItem(KEPT);
    if (kept === "light" || kept === "dark") this.chosen = kept;
  }
  get now(): Theme {
    return this.chosen ?? this.system;
  }
  toggle() {
    this.chosen = this.now === "dark" ? "light" : "dark";
    localStorage.setItem(KEPT, this.chosen);
  }
}
export const theme = new ThemeChoice();
