import { ask, send } from "./client.ts";
import type {
  Clip,
  FieldMark,
  FilmFrames,
  FilmSummary,
  Finding,
  FrameCamera,
  Game,
  GridLine,
  Listing,
  NamedFolder,
  PastEdit,
  Job,
  Landmark,
  PlaySummary,
  Situation,
  Study,
} from "./types.ts";

const at = encodeURIComponent;

export interface Solved {
  quality: { rms_px: number; evidence: number; coverage: number; trusted: boolean } | null;
  rms_px: number | null;
  residuals: { mark: string; rms_px: number; dx: number; dy: number }[];
  refused: string | null;
}

/** One function per call of the contract. */
export const calls = {
  study: () => ask<{ study: Study; games: Game[] }>("GET", "/study"),
  putStudy: (s: Study) => ask<Study>("PUT", "/study", s),
  addGame: (g: Omit<Game, "id">) => ask<Game>("POST", "/games", g),
  putGame: (g: Game) => ask<Game>("PUT", `/games/${at(g.id)}`, g),

  folders: () => ask<NamedFolder[]>("GET", "/folders"),
  nameFolder: (path: string) => ask<NamedFolder>("POST", "/folders", { path }),
  listFolder: (path: string) => ask<Listing>("GET", `/folders/list?path=${at(path)}`),

  films: () => ask<FilmSummary[]>("GET", "/films"),
  importFilms: (paths: string[], game: string, copy: boolean) =>
    ask<Job>("POST", "/films/import", { paths, game, copy }),
  frames: (film: string) => ask<FilmFrames>("GET", `/films/${at(film)}/frames`),

  jobs: () => ask<Job[]>("GET", "/jobs"),
  cancelJob: (id: number) => ask<unknown>("POST", `/jobs/${id}/cancel`),

  clips: () => ask<Clip[]>("GET", "/clips"),
  putClip: ({ id, first, end, view, play, snap_frame }: Clip) =>
    ask<unknown>("PUT", `/clips/${at(id)}`, { first, end, view, play, snap_frame }),
  pair: (game: string) => ask<{ findings: Finding[] }>("POST", `/games/${at(game)}/pair`),

  plays: () => ask<PlaySummary[]>("GET", "/plays"),
  putSituation: (play: string, s: Situation) => ask<unknown>("PUT", `/plays/${at(play)}/situation`, s),
  playlist: async (game: string, file: File) => {
    const answer = await send(`/games/${at(game)}/playlist?name=${at(file.name)}`, {
      method: "POST",
      body: file,
      headers: { "Content-Type": file.type || "application/octet-stream" },
    });
    return (await answer.json()) as { findings: Finding[] };
  },

  fieldMarks: (clip: string) => ask<FieldMark[]>("GET", `/clips/${at(clip)}/field-marks`),
  addFieldMark: (clip: string, frame: number, landmark: Landmark, pixel: [number, number], snap: boolean) =>
    ask<FieldMark>("POST", `/clips/${at(clip)}/field-marks`, { frame, landmark, pixel, snap }),
  dropFieldMark: (id: string) => ask<unknown>("DELETE", `/field-marks/${at(id)}`),
  solve: (clip: string, frame: number) => ask<Solved>("POST", `/clips/${at(clip)}/solve`, { frame }),
  follow: (clip: string) => ask<Job>("POST", `/clips/${at(clip)}/follow`),
  cameras: (clip: string) => ask<FrameCamera[]>("GET", `/clips/${at(clip)}/cameras`),
  grid: (clip: string, from: number, to: number) =>
    ask<{ frame: number; lines: GridLine[] }[]>("GET", `/clips/${at(clip)}/grid?from=${from}&to=${to}`),

  history: () => ask<PastEdit[]>("GET", "/history"),
  undo: () => ask<{ label: string }>("POST", "/undo"),
  redo: () => ask<{ label: string }>("POST", "/redo"),
};
