import { handle } from "../keys/dispatch.svelte.ts";
import type { Player } from "./player.svelte.ts";

/** Keys that move a player's clock; attach within `$effect`. */
export function playerKeys(player: Player): () => void {
  const up = (e: KeyboardEvent) => {
    if (e.key.toLowerCase() === "k") player.keyHeld(false);
  };
  addEventListener("keyup", up);
  const letGo = handle("film", {
    "film-forward": () => player.step(1),
    "film-back": () => player.step(-1),
    "film-forward-ten": () => player.step(10),
    "film-back-ten": () => player.step(-10),
    "film-run": () => player.toggle(),
    "shuttle-forward": () => player.shuttle(1),
    "shuttle-back": () => player.shuttle(-1),
    "shuttle-hold": () => player.keyHeld(true),
    "shuttle-slow-forward": () => player.slow(1),
    "shuttle-slow-back": () => player.slow(-1),
    "film-first": () => {
      player.hold();
      player.go(player.begin);
    },
    "film-last": () => {
      player.hold();
      player.go(player.finish);
    },
    "moment-next": () => player.stop(1),
    "moment-previous": () => player.stop(-1),
    "film-other": () => {
      if (player.views.length > 1) player.focus = (player.focus + 1) % player.views.length;
    },
  });
  return () => {
    removeEventListener("keyup", up);
    letGo();
  };
}
