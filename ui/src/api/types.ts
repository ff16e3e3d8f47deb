/** Wire types by short names; all are made from the API's description. */
import type { components } from "./schema.d.ts";

type Schemas = components["schemas"];

export type Chart = Schemas["Chart"];
export type Clip = Schemas["ClipSummary"];
export type ClipEdit = Schemas["ClipEdit"];
export type FilmFrames = Schemas["FilmFrames"];
export type FilmSummary = Schemas["FilmSummary"];
export type Finding = Schemas["Finding"];
export type Game = Schemas["Game"];
export type GameEdit = Schemas["GameEdit"];
export type Job = Schemas["Job"];
export type Listing = Schemas["Listing"];
export type NamedFolder = Schemas["NamedFolder"];
export type PastEdit = Schemas["PastEdit"];
export type PlayDetail = Schemas["PlayDetail"];
export type PlaySummary = Schemas["PlaySummary"];
export type RuleBook = Schemas["RuleBook"];
export type Situation = Schemas["Situation"];
export type Study = Schemas["Study"];
export type FieldMark = Schemas["FieldMark"];
export type FrameCamera = Schemas["FrameCamera"];
export type GridLine = Schemas["GridLine"];
export type Landmark = Schemas["Landmark"];
export type Side = Schemas["Side"];
export type Solved = Schemas["Solved"];
export type ViewName = Schemas["View"];
