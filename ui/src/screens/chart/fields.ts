import type { Chart, ConceptSummary, Recognised, RouteCall, Suggestion, ThrowResult } from "../../api/types.ts";

/** Fields in the order in which Enter goes through them. */
export const ORDER = [
  "formation",
  "motion",
  "protection",
  "blockers",
  "rushers",
  "coverage_before",
  "coverage_after",
  "concept",
  "routes",
  "plans",
  "drop",
  "pocket",
  "target",
  "result",
  "miss",
  "gain_yd",
  "notes",
] as const;
export type FieldName = (typeof ORDER)[number];

export const EMPTY: Chart = {
  formation: "",
  motion: "",
  protection: "",
  blockers: null,
  rushers: null,
  coverage_before: "",
  coverage_after: "",
  concept: "",
  routes: [],
  plans: [],
  drop: "",
  pocket: "",
  target: null,
  result: null,
  miss: "",
  gain_yd: null,
  notes: "",
};

/** A value that is offered, and where it comes from. It is not charted until it is confirmed. */
export interface Offer {
  change: Partial<Chart>;
  from: "carried" | "playbook" | "follows" | "seen";
}

/** What offers are made from. */
interface Sources {
  /** The last similar play. */
  carried: Suggestion | null;
  /** What this play's tracks show. */
  seen: Recognised | null;
  concepts: readonly ConceptSummary[];
}

const NUMBERS: Partial<Record<FieldName, string>> = { blockers: "Blockers", rushers: "Rushers", gain_yd: "Gain" };

/** A field of the chart as one types it. */
export function textOf(c: Partial<Chart>, field: FieldName): string {
  if (field === "routes") return (c.routes ?? []).map((r) => `${r.slot} ${r.route}`).join(", ");
  if (field === "plans") return (c.plans ?? []).join(", ");
  if (field === "result") return c.result ? resultWord(c.result) : "";
  const value = c[field];
  return value == null ? "" : String(value).replace(/^-/, "−");
}

/** What typing `text` into a field changes, or why it cannot. */
export function changeOf(field: FieldName, text: string): Partial<Chart> | string {
  const said = text.trim();
  if (field === "result") {
    if (!said) return { result: null };
    const result = said.toLowerCase().replaceAll(" ", "-");
    return isResult(result)
      ? { result }
      : `“${said}” is no result. Choose one of: ${RESULTS.map(resultWord).join(", ")}.`;
  }
  if (field === "target") return { target: said ? said.toUpperCase() : null };
  const number = NUMBERS[field];
  if (number) {
    if (!said) return { [field]: null };
    const n = Number(said.replace("−", "-").replace(",", "."));
    if (!Number.isFinite(n)) return `${number}: “${said}” is no number.`;
    if (field !== "gain_yd" && !Number.isInteger(n)) return `${number}: ${said} is no whole number of men.`;
    return { [field]: n };
  }
  return { [field]: said };
}

const RESULTS: readonly ThrowResult[] = [
  "complete",
  "incomplete",
  "intercepted",
  "sacked",
  "scrambled",
  "thrown-away",
  "batted",
];
function isResult(word: string): word is ThrowResult {
  return RESULTS.some((r) => r === word);
}
function resultWord(r: ThrowResult): string {
  const said = r.replaceAll("-", " ");
  return said[0]!.toUpperCase() + said.slice(1);
}

export function isEmpty(c: Chart, field: FieldName): boolean {
  const value = c[field];
  return value == null || value === "" || (Array.isArray(value) && value.length === 0);
}

/** Whether a field has nothing to say on this play, so that Enter passes over it. */
export function needless(c: Chart, field: FieldName): boolean {
  if (field === "routes") return c.routes.length > 0 || !c.concept;
  if (field === "plans") return !c.concept;
  if (field === "miss") return c.result === "complete" || c.result === "sacked" || c.result === "scrambled";
  if (field === "target") return c.result === "sacked" || c.result === "scrambled";
  return false;
}

const MEN: Record<string, number> = { five: 5, six: 6, seven: 7, eight: 8 };
const NO_GAIN: readonly (ThrowResult | null)[] = ["incomplete", "thrown-away", "batted"];

/** What is offered for an empty field: what follows from what is charted, what this play's tracks show, the playbook, or the
 * last similar play. */
export function offerFor(c: Chart, field: FieldName, { carried, seen, concepts }: Sources): Offer | null {
  if (!isEmpty(c, field)) return null;
  const concept = conceptNamed(c.concept, concepts);
  const last = carried?.from ? carried.chart : EMPTY;
  const other = c.concept !== "" && c.concept !== last.concept;
  if (field === "blockers") {
    const men = MEN[c.protection.toLowerCase().split(/[^a-z]/)[0] ?? ""];
    if (men) return { change: { blockers: men }, from: "follows" };
  }
  if (seen && !isEmpty(seen.chart, field)) return { change: { [field]: seen.chart[field] }, from: "seen" };
  if (field === "plans" && concept && other) {
    const first = concept.plans[0];
    return first ? { change: { plans: [first.id] }, from: "playbook" } : null;
  }
  if (field === "drop" && concept && other) return { change: { drop: concept.drop }, from: "playbook" };
  if (field === "gain_yd" && NO_GAIN.includes(c.result)) return { change: { gain_yd: 0 }, from: "follows" };
  if ((field === "plans" || field === "routes") && other) return null;
  return isEmpty(last, field) ? null : { change: { [field]: last[field] }, from: "carried" };
}

/** A concept charted brings its routes along: those that were seen, when it is the concept that was; those of the last similar
 * play when it is the same. */
export function withConcept(c: Chart, name: string, { carried, seen, concepts }: Sources): Partial<Chart> {
  if (name === c.concept) return {};
  const ran = seen?.chart.concept === name ? seen.chart.routes : [];
  const same = ran.length ? ran : carried?.from && carried.chart.concept === name ? carried.chart.routes : [];
  const routes = same.length ? same : (conceptNamed(name, concepts)?.routes ?? []);
  return { concept: name, routes, plans: [] };
}

/** From the left sideline to the right one, the back last. */
function across(slot: string): number {
  const n = Number(slot.slice(1)) || 0;
  return slot.startsWith("L") ? n : slot.startsWith("R") ? 20 - n : 30;
}

/** A concept of the playbook by its name or id, however it is spelt. */
export function conceptNamed(name: string, concepts: readonly ConceptSummary[]): ConceptSummary | undefined {
  const plain = (s: string) => s.toLowerCase().replace(/[^a-z0-9]+/g, " ");
  return (
    concepts.find((c) => c.name === name) ?? concepts.find((c) => [c.name, c.id].some((w) => plain(w) === plain(name)))
  );
}

/** Slots to show: those of the routes, or the usual five. */
export function slotsOf(routes: readonly RouteCall[]): string[] {
  const usual = ["L1", "L2", "R2", "R1", "B"];
  return routes.length ? routes.map((r) => r.slot).sort((a, b) => across(a) - across(b)) : usual;
}
