/** Which screen and which play are open; kept in the address so that Back works and a reload returns here. */
export const SCREENS = ["load", "line-up", "chart", "measure", "judge", "patterns", "verdict", "playbook"] as const;
export type ScreenName = (typeof SCREENS)[number];

function read(): { screen?: ScreenName; play?: string } {
  const [, screen, play] = location.hash.replace(/^#/, "").split("/");
  const known = SCREENS.find((s) => s === screen);
  return { ...(known && { screen: known }), ...(play && { play: decodeURIComponent(play) }) };
}

class Route {
  screen: ScreenName = $state("load");
  play: string | null = $state(null);

  #named = false;

  constructor() {
    this.#follow();
    addEventListener("hashchange", () => this.#follow());
  }
  #follow() {
    const given = read();
    this.#named ||= given.screen !== undefined;
    Object.assign(this, given);
  }
  /**
   * Whether a screen was named since the page was opened, by the address or by the user. The address is asked as well: it changes before
   * `hashchange` tells of it.
   */
  get named() {
    return this.#named || read().screen !== undefined;
  }
  go(screen: ScreenName, play = this.play) {
    const hash = `#/${screen}${play ? `/${encodeURIComponent(play)}` : ""}`;
    if (hash !== location.hash) history.pushState(null, "", hash);
    this.#named = true;
    this.screen = screen;
    this.play = play;
  }
}
export const route = new Route();
