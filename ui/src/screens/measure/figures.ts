import type { Measurement, SeenEstimate } from "../../api/types.ts";
import { plusMinus } from "../../parts/plusminus.ts";

/** A measured figure as it is written, or why there is none. */
export interface Row {
  label: string;
  /** What the figure means, for whoever asks. */
  means?: string;
  /** With its 90 % interval and unit. */
  text: string;
  why: string;
}
export interface Group {
  title: string;
  rows: Row[];
  /** Why the whole group is missing. */
  why: string;
}

type Figure = { value: number; se: number } | SeenEstimate;

function row(label: string, figure: Figure, unit: string, means?: string): Row {
  const meaning = means === undefined ? {} : { means };
  if ("state" in figure && figure.state === "not-seen") return { label, text: "", why: figure.content, ...meaning };
  return { label, text: plusMinus("state" in figure ? figure.content : figure, unit), why: "", ...meaning };
}

const MOMENTS = { snap: "Snap", set: "Set", release: "Release", arrival: "Arrival", "first-contact": "First contact" };

/** Everything measured of a play, by subject. */
export function groupsOf(m: Measurement): Group[] {
  const groups: Group[] = [
    {
      title: "Clock",
      rows: [
        ...m.moments.filter((x) => x.kind !== "snap").map((x) => row(MOMENTS[x.kind], x.at_s, "s")),
        row(
          "Pressure",
          m.pressure.at_s,
          "s",
          `first rusher within reach${m.pressure.rusher ? `: ${m.pressure.rusher}` : ""}`,
        ),
      ],
      why: "",
    },
  ];
  const t = m.throw;
  groups.push({
    title: "Throw",
    why: t.state === "not-seen" ? t.content : "",
    rows:
      t.state === "not-seen"
        ? []
        : [
            row("Speed at release", t.content.speed_mph, "mph"),
            row("Launch angle", t.content.launch_deg, "°", "above the horizon"),
            row("Direction", t.content.side_deg, "°", "from straight downfield, to the offense's left positive"),
            row("In the air", t.content.flight_s, "s"),
            row("Air distance", t.content.air_yd, "yd", "on the ground, from release to arrival"),
            row("Highest point", t.content.apex_ft, "ft"),
            row("Height at arrival", t.content.arrival_height_ft, "ft"),
          ],
  });
  const f = m.feet;
  groups.push({
    title: "Feet at release",
    why: f.state === "not-seen" ? f.content : "",
    rows:
      f.state === "not-seen"
        ? []
        : [
            row("Feet error", f.content.error_deg, "°", "from the target line: closed negative, open positive"),
            row("Base", f.content.base_yd, "yd"),
            row("Step", f.content.step_yd, "yd", "how far the front foot moved from set to release"),
            row("Front foot down before", f.content.front_foot_lead_s, "s"),
            row("Weight", f.content.weight, "", "hips over the base: 0 back foot, 1 front foot"),
          ],
  });
  const p = m.placement;
  groups.push({
    title: "Placement",
    why: p.state === "not-seen" ? p.content : "",
    rows:
      p.state === "not-seen"
        ? []
        : [
            row("Lead", p.content.lead_yd, "yd", "ahead of him along his run positive"),
            row(
              "Ahead of his run",
              p.content.ahead_of_run_yd,
              "yd",
              "of where the run he was on as the ball left would have had him",
            ),
            row("Height over his run", p.content.over_run_ft, "ft", "as it passed nearest to where that run had him"),
            row("To his left", p.content.left_yd, "yd"),
            row("Height", p.content.height_ft, "ft"),
            row(
              "Away from defender",
              p.content.away_yd,
              "yd",
              "farther from the nearest defender than he is: positive",
            ),
            row("Separation", p.content.separation_yd, "yd", "receiver to the nearest defender at arrival"),
          ],
  });
  return groups;
}
