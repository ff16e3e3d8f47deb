import { api, body, sendFile } from "./client.ts";
import type {
  Chart,
  ClaimEdit,
  Clip,
  Concept,
  Foot,
  FootPart,
  GameEdit,
  Landmark,
  ListedFile,
  Measurement,
  MomentKind,
  Only,
  Outcome,
  OwnCall,
  Person,
  Question,
  Repair,
  ReportRequest,
  SessionRequest,
  Situation,
  Study,
  TableFiles,
  TableImport,
  ViewName,
  SeveralAsked,
} from "./types.ts";

/** One function per call of the contract. */
export const calls = {
  study: () => body(api.GET("/study")),
  putStudy: (s: Study) => body(api.PUT("/study", { body: s })),
  addGame: (g: GameEdit) => body(api.POST("/games", { body: g })),
  putGame: (game: string, g: GameEdit) => body(api.PUT("/games/{game}", { params: { path: { game } }, body: g })),

  about: () => body(api.GET("/about")),
  folders: () => body(api.GET("/folders")),
  nameFolder: (path: string) => body(api.POST("/folders", { body: { path } })),
  listFolder: (path: string) => body(api.GET("/folders/list", { params: { query: { path } } })),

  films: () => body(api.GET("/films")),
  importFilms: (paths: string[], game: string, copy: boolean) =>
    body(api.POST("/films/import", { body: { paths, game, copy } })),
  handOver: (file: File, sent: (bytes: number) => void, signal: AbortSignal) =>
    sendFile<ListedFile>(`/films/hand-over?name=${encodeURIComponent(file.name)}`, file, sent, signal),
  proposeTable: (files: TableFiles) => body(api.POST("/tables/propose", { body: files })),
  importTable: (asked: TableImport) => body(api.POST("/tables/import", { body: asked })),
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

  gameLineUp: (game: string) => body(api.GET("/games/{game}/line-up", { params: { path: { game } } })),
  lineUpGame: (game: string, again: boolean) =>
    body(api.POST("/games/{game}/line-up", { params: { path: { game } }, body: { again } })),
  readField: (clip: string, yards: number, turned: boolean) =>
    body(api.POST("/clips/{clip}/reading", { params: { path: { clip } }, body: { yards, turned } })),

  words: () => body(api.GET("/words")),
  concepts: () => body(api.GET("/concepts")),
  suggest: (play: string) => body(api.GET("/plays/{play}/suggest", { params: { path: { play } } })),
  several: (asked: SeveralAsked) => body(api.POST("/patterns/several", { body: asked })),
  recognised: (play: string) => body(api.GET("/plays/{play}/recognised", { params: { path: { play } } })),
  takeRecognised: (play: string) => body(api.POST("/plays/{play}/recognised", { params: { path: { play } } })),
  putChart: (play: string, c: Chart) => body(api.PUT("/plays/{play}/chart", { params: { path: { play } }, body: c })),

  markMoment: (play: string, moment: MomentKind, view: ViewName, frame: number) =>
    body(api.POST("/plays/{play}/moments", { params: { path: { play } }, body: { moment, view, frame } })),
  putPerson: (play: string, p: Person) =>
    body(api.PUT("/plays/{play}/people/{person}", { params: { path: { play, person: p.id } }, body: p })),
  dropPerson: (play: string, person: string) =>
    body(api.DELETE("/plays/{play}/people/{person}", { params: { path: { play, person } } })),
  markPerson: (play: string, person: string, view: ViewName, frame: number, pixel: [number, number]) =>
    body(api.POST("/plays/{play}/marks/person", { params: { path: { play } }, body: { person, view, frame, pixel } })),
  markBall: (play: string, view: ViewName, frame: number, pixel: [number, number]) =>
    body(api.POST("/plays/{play}/marks/ball", { params: { path: { play } }, body: { view, frame, pixel } })),
  markHip: (play: string, view: ViewName, frame: number, pixel: [number, number]) =>
    body(api.POST("/plays/{play}/marks/hip", { params: { path: { play } }, body: { view, frame, pixel } })),
  markFoot: (play: string, foot: Foot, part: FootPart, view: ViewName, frame: number, pixel: [number, number]) =>
    body(
      api.POST("/plays/{play}/marks/foot", { params: { path: { play } }, body: { foot, part, view, frame, pixel } }),
    ),
  moveMark: (mark: string, pixel: [number, number]) =>
    body(api.PUT("/marks/{mark}", { params: { path: { mark } }, body: { pixel } })),
  dropMark: (mark: string) => body(api.DELETE("/marks/{mark}", { params: { path: { mark } } })),
  /** The client's types lose that a path's points are pairs. */
  measurement: (play: string) =>
    body(
      api.GET("/plays/{play}/measurement", { params: { path: { play } } }),
    ) as Promise<unknown> as Promise<Measurement>,
  tracks: (play: string, view: ViewName) =>
    body(api.GET("/plays/{play}/tracks", { params: { path: { play }, query: { view } } })),
  pixels: (clip: string, frame: number, points: number[][]) =>
    body(api.POST("/clips/{clip}/pixel", { params: { path: { clip } }, body: { frame, points } })),

  findPeople: (play: string) => body(api.POST("/plays/{play}/find-people", { params: { path: { play } } })),
  found: (play: string) => body(api.GET("/plays/{play}/found", { params: { path: { play } } })),
  takePeople: (play: string, least: number) =>
    body(api.POST("/plays/{play}/found/take", { params: { path: { play } }, body: { least } })),
  repair: (play: string, r: Repair) => body(api.POST("/plays/{play}/repairs", { params: { path: { play } }, body: r })),
  watch: (play: string) => body(api.POST("/plays/{play}/watch", { params: { path: { play } } })),
  proposals: (play: string) => body(api.GET("/plays/{play}/proposals", { params: { path: { play } } })),
  takeProposals: (play: string, moments: boolean, ball: boolean) =>
    body(api.POST("/plays/{play}/proposals/take", { params: { path: { play } }, body: { moments, ball } })),

  openPlaybook: () => body(api.GET("/playbook")),
  drawConcept: (concept: Concept) =>
    body(api.PUT("/playbook/{concept}", { params: { path: { concept: concept.id } }, body: concept })),
  undrawConcept: (concept: string) => body(api.DELETE("/playbook/{concept}", { params: { path: { concept } } })),
  race: (play: string, receiver: string, release_s: number, t: number) =>
    body(api.GET("/plays/{play}/race", { params: { path: { play }, query: { receiver, release_s, t } } })),
  throwMade: (play: string) => body(api.GET("/plays/{play}/throw-made", { params: { path: { play } } })),
  judged: (play: string) => body(api.GET("/plays/{play}/judged", { params: { path: { play } } })),
  putCall: (play: string, call: OwnCall) =>
    body(api.PUT("/plays/{play}/calls/{plan}", { params: { path: { play, plan: call.plan } }, body: call })),
  dropCall: (play: string, plan: string) =>
    body(api.DELETE("/plays/{play}/calls/{plan}", { params: { path: { play, plan } } })),

  claims: () => body(api.GET("/claims")),
  addClaim: (c: ClaimEdit) => body(api.POST("/claims", { body: c })),
  putClaim: (claim: string, c: ClaimEdit) => body(api.PUT("/claims/{claim}", { params: { path: { claim } }, body: c })),
  dropClaim: (claim: string) => body(api.DELETE("/claims/{claim}", { params: { path: { claim } } })),
  measures: () => body(api.GET("/measures")),
  makeReport: (r: ReportRequest) => body(api.POST("/report", { body: r })),
  makeSession: (r: SessionRequest) => body(api.POST("/session", { body: r })),
  consistency: () => body(api.GET("/consistency")),
  pickBlindSet: (decisions: number) => body(api.POST("/consistency/sets", { body: { decisions } })),
  callAgain: (set: string, play: string, outcome: Outcome) =>
    body(api.PUT("/consistency/sets/{set}/{play}", { params: { path: { set, play } }, body: { outcome } })),
  compareStudies: (path: string) => body(api.POST("/consistency/compare", { body: { path } })),
  openQuestions: () => body(api.GET("/open-questions")),
  drafts: () => body(api.GET("/drafts")),
  readyAnswers: (games: string[] = []) => body(api.GET("/patterns", { params: { query: { games: games.join(",") } } })),
  askable: () => body(api.GET("/patterns/askable")),
  /** What a question leaves out is as the program has it; the client's types want everything named. */
  ask: (q: Partial<Question>) => body(api.POST("/patterns/ask", { body: q as Question })),
  again: (play: string) => body(api.GET("/plays/{play}/again", { params: { path: { play } } })),
  learned: (of: string) => body(api.GET("/patterns/learned", { params: { query: { of } } })),
  apart: (by: string, games: string[]) =>
    body(api.GET("/patterns/apart", { params: { query: { by, games: games.join(",") } } })),
  comparePassers: (path: string, only: Only[]) => body(api.POST("/patterns/passers", { body: { path, only } })),

  history: () => body(api.GET("/history")),
  undo: () => body(api.POST("/undo")),
  redo: () => body(api.POST("/redo")),
};
