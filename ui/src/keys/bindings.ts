/**
 * Every key of the program, once: the same table moves keys to commands and writes the `?` sheet. A command's work is
 * attached where it lives (`handle` in dispatch.svelte.ts); a key whose command nobody has attached does nothing.
 */

/** Where a key counts. Keys of the narrower place win. */
export type Place =
  | "everywhere"
  | "film"
  | "aim"
  | "load"
  | "line-up"
  | "chart"
  | "measure"
  | "judge"
  | "patterns"
  | "verdict"
  | "blind"
  | "playbook";

export interface Binding {
  command: string;
  /** Chords or sequences, the first shown first. */
  keys: string[];
  place: Place;
  /** What it does, as the sheet says it. */
  says: string;
  /** Also while a text field has the focus. */
  whileTyping?: boolean;
}

const b = (place: Place, command: string, keys: string | string[], says: string, whileTyping = false): Binding => ({
  place,
  command,
  keys: [keys].flat(),
  says,
  ...(whileTyping ? { whileTyping } : {}),
});

export const BINDINGS: readonly Binding[] = [
  b("everywhere", "keys-sheet", "?", "show or hide this sheet"),
  b("everywhere", "go-load", "g l", "go to Load"),
  b("everywhere", "go-line-up", "g u", "go to Line up"),
  b("everywhere", "go-chart", "g c", "go to Chart"),
  b("everywhere", "go-measure", "g m", "go to Measure"),
  b("everywhere", "go-judge", "g j", "go to Judge"),
  b("everywhere", "go-patterns", "g p", "go to Patterns"),
  b("everywhere", "go-verdict", "g v", "go to Verdict"),
  b("everywhere", "go-playbook", "g b", "go to Playbook"),
  b("everywhere", "play-next", ["PageDown", "]"], "next play", true),
  b("everywhere", "play-previous", ["PageUp", "["], "previous play", true),
  b("everywhere", "find-play", "/", "find a play"),
  b("everywhere", "edit-undo", "Mod+z", "undo the last edit"),
  b("everywhere", "edit-redo", ["Mod+Shift+z", "Mod+y"], "redo it"),
  b("everywhere", "rail-fold", "\\", "fold the play list away, or back"),
  b("everywhere", "theme-turn", "Shift+t", "light or dark"),

  b("film", "film-forward", "ArrowRight", "one frame on"),
  b("film", "film-back", "ArrowLeft", "one frame back"),
  b("film", "film-forward-ten", "Shift+ArrowRight", "ten frames on"),
  b("film", "film-back-ten", "Shift+ArrowLeft", "ten frames back"),
  b("film", "film-run", "Space", "run or hold"),
  b("film", "shuttle-forward", "l", "shuttle forward, faster each time"),
  b("film", "shuttle-back", "j", "shuttle backward, faster each time"),
  b("film", "shuttle-hold", "k", "hold; with J or L held down, a frame at a time"),
  b("film", "shuttle-slow-forward", "Shift+l", "forward at a quarter of the speed"),
  b("film", "shuttle-slow-back", "Shift+j", "backward at a quarter of the speed"),
  b("film", "film-first", "Home", "start of the clip"),
  b("film", "film-last", "End", "end of the clip"),
  b("film", "moment-next", ".", "next moment"),
  b("film", "moment-previous", ",", "previous moment"),
  b("film", "film-other", "v", "the other view"),
  b("film", "film-closer", ["+", "="], "closer"),
  b("film", "film-farther", "-", "farther"),
  b("film", "film-whole", "0", "the whole picture"),
  b("film", "aim-take", "x", "take or leave the cross-hair (marks without a mouse)"),

  b("aim", "aim-left", "ArrowLeft", "move it left"),
  b("aim", "aim-right", "ArrowRight", "move it right"),
  b("aim", "aim-up", "ArrowUp", "move it up"),
  b("aim", "aim-down", "ArrowDown", "move it down"),
  b("aim", "aim-left-far", "Shift+ArrowLeft", "left, ten times as far"),
  b("aim", "aim-right-far", "Shift+ArrowRight", "right, ten times as far"),
  b("aim", "aim-up-far", "Shift+ArrowUp", "up, ten times as far"),
  b("aim", "aim-down-far", "Shift+ArrowDown", "down, ten times as far"),
  b("aim", "aim-place", "Enter", "mark here"),
  b("aim", "aim-leave", "Escape", "leave it"),

  b("load", "load-folder", "f", "name a folder of film"),
  b("load", "load-import", "i", "bring the chosen films in"),
  b("load", "load-pair", "p", "pair the two views by order"),
  b("load", "load-playlist", "u", "read a play list"),
  b("load", "load-table", "o", "read a table of positions"),

  b("line-up", "mark-line-sideline", "s", "mark a yard line where it meets a sideline"),
  b("line-up", "mark-line-hash", "h", "mark a yard line where it crosses a hash row"),
  b("line-up", "mark-hash-end", "e", "mark an end of a hash mark"),
  b("line-up", "mark-number", "n", "mark a corner of a painted number"),
  b("line-up", "mark-on-line", "y", "mark anywhere on a yard line"),
  b("line-up", "mark-on-sideline", "d", "mark anywhere on a sideline"),
  b("line-up", "mark-on-hash-row", "r", "mark anywhere on a hash row"),
  b("line-up", "yard-up", ["ArrowUp", "'"], "next yard line"),
  b("line-up", "yard-down", ["ArrowDown", ";"], "previous yard line"),
  b("line-up", "turn-side", "f", "near or far"),
  b("line-up", "turn-end", "c", "which end, which corner"),
  b("line-up", "snap-to-chalk", "m", "pull marks to the chalk, or leave them where clicked"),
  b("line-up", "mark-drop", ["Delete", "Backspace"], "take away the last mark"),
  b("line-up", "field-solve", "Enter", "find the field from the marks"),
  b("line-up", "field-follow", "Shift+Enter", "carry it through the clip"),
  b("line-up", "grid-show", "q", "grid on or off"),
  b("line-up", "field-worst", "w", "the least certain frame, then the next"),
  b("line-up", "game-show", "o", "the game's clips, or the marks of this frame"),
  b("line-up", "game-start", "u", "find the field in all clips of the game"),
  b("line-up", "game-next", "i", "the next clip that wants a look"),
  b("line-up", "reading-right", "a", "the yard lines are right"),
  b("line-up", "reading-up", "Shift+ArrowUp", "they lie five yards farther up the field"),
  b("line-up", "reading-down", "Shift+ArrowDown", "they lie five yards farther down"),
  b("line-up", "reading-turn", "t", "they are seen from the other end"),

  b("chart", "chart-type", "Enter", "type: back to the field you left, or the first open one"),
  b("chart", "chart-carry", "Shift+Enter", "take everything that is carried; go to the first empty field", true),
  b("chart", "chart-situation", "s", "show or hide the situation's fields"),
  b("chart", "chart-film-on", "Alt+ArrowRight", "while typing: one frame on", true),
  b("chart", "chart-film-back", "Alt+ArrowLeft", "while typing: one frame back", true),
  b("chart", "chart-film-on-ten", "Alt+Shift+ArrowRight", "while typing: ten frames on", true),
  b("chart", "chart-film-back-ten", "Alt+Shift+ArrowLeft", "while typing: ten frames back", true),
  b("chart", "chart-film-run", "Alt+ArrowUp", "while typing: run or hold", true),
  b("chart", "chart-film-again", "Alt+ArrowDown", "while typing: from the snap again", true),

  b("measure", "moment-snap", "s", "mark the snap at this frame of this view"),
  b("measure", "moment-set", "e", "mark the set: the last step of the drop lands"),
  b("measure", "moment-release", "r", "mark the release: the ball leaves the hand"),
  b("measure", "moment-arrival", "a", "mark the arrival: the ball reaches a hand or the ground"),
  b("measure", "moment-contact", "c", "mark the first contact: a rusher reaches the passer"),
  b("measure", "click-people", "p", "clicks mark people, between the feet"),
  b("measure", "click-ball", "b", "clicks mark the ball; the film goes on a frame"),
  b("measure", "click-feet", "f", "clicks mark the passer's toes and heels"),
  b("measure", "click-hips", "h", "clicks mark the middle of the passer's hips"),
  b("measure", "next-one", ["n", "ArrowDown"], "next person, next point of the feet"),
  b("measure", "previous-one", ["Shift+n", "ArrowUp"], "the one before"),
  b("measure", "person-pick", ["1", "2", "3", "4", "5", "6", "7", "8", "9"], "passer, receivers, then the others"),
  b("measure", "widest-gap", "t", "middle of the longest stretch without people marked"),
  b("measure", "mark-delete", ["Delete", "Backspace"], "take away the chosen mark, or the last one in this frame"),
  b("measure", "film-search", "w", "find people, moments and the ball in the film"),
  b("measure", "take-next", "Enter", "confirm what is proposed: moments, then people, then the ball"),
  b("measure", "click-tracks", "d", "clicks choose and drag paths that were found"),
  b("measure", "track-label", "i", "the chosen path is whoever is chosen in the list"),
  b("measure", "track-swap", "Shift+s", "from here on the two chosen paths are each other's"),
  b("measure", "track-merge", "Shift+m", "the two chosen paths are one man's"),
  b("measure", "track-split", "Shift+d", "from here on the chosen path is somebody else's"),
  b("measure", "track-nobody", "Shift+x", "the chosen path is nobody who matters"),
  b("measure", "view-alone", "o", "one view large, or both"),
  b("measure", "trails-show", "q", "paths of people on or off"),

  b("judge", "row-down", "ArrowDown", "next receiver of the strip"),
  b("judge", "row-up", "ArrowUp", "the one before"),
  b("judge", "row-best", "b", "whoever is most open at this instant"),
  b("judge", "plan-next", "p", "next read plan"),
  b("judge", "plan-previous", "Shift+p", "the plan before"),
  b("judge", "call-agree", "a", "agree with what the program says under this plan"),
  b("judge", "call-pick", ["1", "2", "3", "4", "5", "6", "7", "8", "9"], "overrule: say what the decision was"),
  b("judge", "call-why", "w", "write why"),
  b("judge", "call-withdraw", ["Delete", "Backspace"], "take your call back"),
  b("judge", "judge-one-view", "o", "one view large, or both"),

  b(
    "patterns",
    "patterns-part",
    ["1", "2", "3", "4", "5"],
    "questions, the same picture again, results taken apart, several at once, passers",
  ),
  b("patterns", "question-down", "ArrowDown", "next question"),
  b("patterns", "question-up", "ArrowUp", "the one before"),
  b("patterns", "question-own", "q", "a question of your own"),
  b("patterns", "group-next", "n", "next group of the answer: its clips"),
  b("patterns", "group-previous", "Shift+n", "the group before"),
  b("patterns", "clip-on", "c", "play the next clip of the group"),
  b("patterns", "clip-back", "Shift+c", "the clip before"),
  b("patterns", "group-cite", "e", "put the group in the verdict"),
  b("patterns", "apart-scale", "s", "results apart: in chance of completion or in points"),

  b("verdict", "statement-new", "n", "write a new statement"),
  b("verdict", "statement-down", "ArrowDown", "next statement"),
  b("verdict", "statement-up", "ArrowUp", "the one before"),
  b("verdict", "statement-later", "Shift+ArrowDown", "move it down"),
  b("verdict", "statement-earlier", "Shift+ArrowUp", "move it up"),
  b("verdict", "statement-write", "Enter", "write in it"),
  b("verdict", "leaning-pick", ["1", "2", "3", "4"], "strength, fault, work on first, open question"),
  b("verdict", "stage-turn", "t", "of what to work on: when it is taught"),
  b("verdict", "figure-choose", "m", "rest it on a measure or a pattern"),
  b("verdict", "clip-supporting", "f", "the open play is a clip for it"),
  b("verdict", "clip-against", "a", "the open play is a clip against it"),
  b("verdict", "showing-take", "o", "take the first clip proposed for it"),
  b("verdict", "showing-look", "Shift+o", "look at it first"),
  b("verdict", "contrary-take", "r", "take the first contrary clip proposed"),
  b("verdict", "contrary-look", "Shift+r", "look at it first"),
  b("verdict", "clip-next", "c", "play the statement's next clip"),
  b("verdict", "clip-previous", "Shift+c", "the clip before"),
  b("verdict", "draft-take", "Shift+q", "take the first statement that the figures carry"),
  b("verdict", "open-take", "q", "take the first question that the film leaves open"),
  b("verdict", "impression-turn", "i", "an impression, which figures need not carry"),
  b("verdict", "statement-delete", ["Delete", "Backspace"], "delete it"),
  b("verdict", "report-pages", "p", "make the report as PDF"),
  b("verdict", "report-page", "h", "make the report as HTML"),
  b("verdict", "report-extent", "e", "one page, full, or presentation"),
  b("verdict", "report-film", "w", "with film in the HTML, or without"),
  b("verdict", "session-make", "s", "join the clips into a film session"),
  b("verdict", "table-make", "b", "write the throws as a table"),
  b("verdict", "blind-begin", "y", "call earlier decisions again, blind"),

  b(
    "blind",
    "blind-pick",
    ["1", "2", "3", "4", "5", "6", "7", "8", "9"],
    "what the decision was, in the order of Judge",
  ),
  b("blind", "blind-leave", "Escape", "leave it for later"),

  b("playbook", "concept-next", "ArrowDown", "next concept"),
  b("playbook", "concept-previous", "ArrowUp", "the one before"),
  b("playbook", "concept-find", "f", "find a concept"),
  b("playbook", "concept-turn", "m", "see it to the other side"),
  b("playbook", "drawn-plan", "p", "next read plan"),
  b("playbook", "concept-copy", "n", "a new concept from this one"),
  b("playbook", "concept-back", ["Delete", "Backspace"], "take your drawing of it back"),
];

export const PLACE_NAMES: Record<Place, string> = {
  everywhere: "Everywhere",
  film: "Film",
  aim: "Cross-hair",
  load: "Load",
  "line-up": "Line up",
  chart: "Chart",
  measure: "Measure",
  judge: "Judge",
  patterns: "Patterns",
  verdict: "Verdict",
  blind: "Calling again",
  playbook: "Playbook",
};
