use super::{
    CAUTIONS, ClaimReport, GameReport, PlayReport, chart_line, diagram, figure_lines, result_line,
    situation_line, strip,
};
use crate::{FeetFigure, PlacementFigure, Theme, wording};
use maud::{DOCTYPE, Markup, PreEscaped, html};

const STYLE: &str = include_str!("report.css");

/// The report as one HTML page that needs nothing else: figures inline, no script, no request.
pub fn html(r: &GameReport) -> String {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width";
                title { (r.study.name) " · " (r.game.name) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                header {
                    h1 { (r.study.name) }
                    p { (r.study.passer) " · " (r.game.name) " · judged by " (r.study.evaluator) }
                }
                main {
                    section aria-labelledby="verdict" {
                        h2 id="verdict" { "Verdict" }
                        @if r.claims.is_empty() { p { "No statement was written." } }
                        @for c in &r.claims { (claim(c)) }
                    }
                    section aria-labelledby="measures" {
                        h2 id="measures" { "Measures" }
                        table {
                            thead { tr { th scope="col" { "Measure" } th scope="col" class="n" { "Plays" } th scope="col" { "Figure, with its 90% interval" } } }
                            tbody { @for s in &r.summary { tr { th scope="row" { (s.label) } td class="n" { (s.n) } td { (s.figure) } } } }
                        }
                    }
                    section aria-labelledby="plays" {
                        h2 id="plays" { "Plays" }
                        @for p in &r.plays { (play(r, p)) }
                    }
                    section aria-labelledby="cautions" class="cautions" {
                        h2 id="cautions" { "Before you use this" }
                        ul { @for c in CAUTIONS { li { (c) } } }
                    }
                }
                footer { p { "Made on " (r.made_on) " by " (r.made_by) "." } }
            }
        }
    }
    .into_string()
}

fn claim(c: &ClaimReport) -> Markup {
    let leaning = match c.claim.leaning {
        play::Leaning::Strength => "Strength",
        play::Leaning::Fault => "To work on",
        play::Leaning::Open => "Open question",
    };
    html! {
        article class="claim" {
            p class="leaning" { (leaning) @if c.claim.impression { " · my impression" } }
            p class="text" { (c.claim.text) }
            @for f in &c.figures { p class="figure" { (f) } }
            p class="strength" { (c.strength) }
            @if c.unsupported { p class="unsupported" { "The figures do not carry this sentence." } }
            @if !c.claim.evidence.supporting.is_empty() { p { "For: " (links(&c.claim.evidence.supporting)) } }
            @if !c.claim.evidence.against.is_empty() { p { "Against: " (links(&c.claim.evidence.against)) } }
        }
    }
}

fn links(plays: &[play::PlayId]) -> Markup {
    html! { @for (k, p) in plays.iter().enumerate() { @if k > 0 { ", " } a href=(format!("#play-{p}")) { (p) } } }
}

fn play(r: &GameReport, p: &PlayReport) -> Markup {
    let figures = p.measurement.as_ref().map(figure_lines).unwrap_or_default();
    html! {
        article class="play" id=(format!("play-{}", p.play.id)) {
            h3 { "Play " (p.play.number) " " span { (situation_line(&p.play)) } }
            p class="chart" { (chart_line(&p.chart)) }
            p class="result" { (result_line(&p.chart)) }
            @if !p.chart.notes.is_empty() { p class="notes" { (p.chart.notes) } }
            div class="drawn" {
                @if let Some(svg) = diagram(r, p).and_then(|d| d.svg(Theme::Paper)) { figure { (PreEscaped(unique(&svg, &p.play.id.0))) } }
                div {
                    div class="pair" {
                        @if let Some(svg) = p.measurement.as_ref().and_then(|m| m.feet.get()).and_then(|feet| FeetFigure { feet, right_handed: r.study.right_handed }.svg(Theme::Paper)) { figure { (PreEscaped(svg)) } }
                        @if let Some(placement) = p.measurement.as_ref().and_then(|m| m.placement.get()) { figure { (PreEscaped(unique(&PlacementFigure { placement }.svg(Theme::Paper), &p.play.id.0))) } }
                    }
                    @if !figures.is_empty() { dl { @for (label, text) in &figures { div { dt { (label) } dd { (text) } } } } }
                }
            }
            @if let Some(svg) = strip(p).and_then(|w| w.svg(Theme::Paper)) { figure class="wide" { (PreEscaped(svg)) } }
            @for j in &p.judgements {
                @let likely = j.outcomes.first();
                div class="judgement" {
                    p { b { "Under “" (j.plan_name) "”: " } @if let Some(w) = likely { (wording::outcome_word(w.outcome)) ", " (format!("{:.0}%", 100.0 * w.probability)) } }
                    p { (j.reason) }
                    @for call in p.calls.iter().filter(|c| c.plan == j.plan) { p class="call" { "Own call: " (wording::outcome_word(call.outcome)) @if !call.why.is_empty() { " — " (call.why) } } }
                }
            }
            @for f in p.measurement.iter().flat_map(|m| &m.findings) { p class="finding" { (f.message) } }
        }
    }
}

/// Clip paths are found by id within a page, so each figure's must differ.
fn unique(svg: &str, play: &str) -> String {
    let safe: String = play.chars().filter(char::is_ascii_alphanumeric).collect();
    ["edge", "card"].iter().fold(svg.to_owned(), |s, id| {
        s.replace(&format!("id=\"{id}\""), &format!("id=\"{id}-{safe}\""))
            .replace(&format!("url(#{id})"), &format!("url(#{id}-{safe})"))
    })
}
