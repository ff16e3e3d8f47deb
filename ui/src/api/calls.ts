import { api, body } from "./client.ts";
import type { Clip, GameEdit, Landmark, Situation, Study } from "./types.ts";

/** One function per call of the contract. */
export const calls = {
  study: () => body(api.GET("/study")),
  putStudy: (s: Study) => body(api.PUT("/study", { body: s })),
  addGame: (g: GameEdit) => body(api.POST("/games", { body: g })),
  putGame: (game: string, g: GameEdit) => body(api.PUT("/games/{game}", { params: { path: { game } }, body: g })),

  folders: () => body(api.GET("/folders")),
  nameFolder: (path: string) => body(api.POST("/folders", { body: { path } })),
  listFolder: (path: string) => body(api.GET("/folders/list", { params: { query: { path } } })),

  films: () => body(api.GET("/films")),
  importFilms: (paths: string[], game: string, copy: boolean) =>
    body(api.POST("/films/import", { body: { paths, game, copy } })),
  frames: (film: string) => body(api.GET("/films/{film}/frames", { params: { path: { film } } })),

  jobs: () => body(api.GET("/jobs")),
  cancelJob: (job: number) => body(api.POST("/jobs/{job}/cancel", { params: { path: { job } } })),

  clips: () => body(api.GET("/clips")),
  putClip: ({ id, first, end, view, play, snap_frame }: Clip) =>
    body(api.PUT("/clips/{clip}", { params: { path: { clip: id } }, body: { first, end, view, play, snap_frame } })),
  pair: (game: string) => body(api.POST("/games/{game}/pair", { params: { path: { game } } })),

  plays: () => body(api.GET("/plays")),
  play: (play: string) => body(api.GET("/plays/{play}", { params: { path: { play } } })),
  putSituation: (play: string, s: Situation) =>
    body(api.PUT("/plays/{play}/situation", { params: { path: { play } }, body: s })),
  /** The file goes as it is, not as JSON. */
  playlist: (game: string, file: File) =>
    body(
      api.POST("/games/{game}/playlist", {
        params: { path: { game } },
        body: file as never,
        bodySerializer: (f: unknown) => f as File,
        headers: { "Content-Type": "application/octet-stream" },
      }),
    ),

  fieldMarks: (clip: string) => body(api.GET("/clips/{clip}/field-marks", { params: { path: { clip } } })),
  addFieldMark: (clip: string, frame: number, landmark: Landmark, pixel: [number, number], snap: boolean) =>
    body(api.POST("/clips/{clip}/field-marks", { params: { path: { clip } }, body: { frame, landmark, pixel, snap } })),
  dropFieldMark: (mark: string) => body(api.DELETE("/field-marks/{mark}", { params: { path: { mark } } })),
  solve: (clip: string, frame: number) =>
    body(api.POST("/clips/{clip}/solve", { params: { path: { clip } }, body: { frame } })),
  follow: (clip: string) => body(api.POST("/clips/{clip}/follow", { params: { path: { clip } } })),
  cameras: (clip: string) => body(api.GET("/clips/{clip}/cameras", { params: { path: { clip } } })),
  grid: (clip: string, from: number, to: number) =>
    body(api.GET("/clips/{clip}/grid", { params: { path: { clip }, query: { from, to } } })),

  history: () => body(api.GET("/history")),
  undo: () => body(api.POST("/undo")),
  redo: () => body(api.POST("/redo")),
};
