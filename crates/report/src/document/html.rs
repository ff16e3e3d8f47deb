use super::{
    CAUTIONS, ClaimReport, ClipFilm, Extent, PARTS, PlayReport, StudyReport, chart_line, diagram,
    figure_lines, result_line, situation_line, stage_word, strip,
};
use crate::{FeetFigure, PlacementFigure, Theme, wording};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use play::{Leaning, PlayId};

const STYLE: &str = include_str!("report.css");

/// The report as one HTML page that needs nothing else: figures and film inline, no script, no request. A cited play with a film in
/// `clips` opens over the page by its link. The same report and films give the same bytes.
pub fn html(r: &StudyReport, extent: Extent, clips: &[ClipFilm]) -> String {
    let class = match extent {
        Extent::OnePage => "one-page",
        Extent::Full => "full",
        Extent::Presentation => "presentation",
    };
    let page = Page { r, extent, clips };
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width";
                title { (r.study.name) " · " (r.games_line()) }
                style { (PreEscaped(STYLE)) }
            }
            body class=(class) {
                header {
                    h1 { (r.study.name) }
                    p { (r.study.passer) " · " (r.games_line()) " · judged by " (r.study.evaluator) }
                }
                main {
                    (page.verdict())
                    @if extent == Extent::Full { (page.measures()) (page.plays()) }
                    section aria-labelledby="cautions" class="cautions" {
                        h2 id="cautions" { "Before you use this" }
                        ul { @for c in CAUTIONS { li { (c) } } }
                    }
                }
                footer { p { "Made from " (r.version_line()) "." } }
                (page.films())
            }
        }
    }
    .into_string()
}

struct Page<'a> {
    r: &'a StudyReport,
    extent: Extent,
    clips: &'a [ClipFilm],
}

impl Page<'_> {
    fn verdict(&self) -> Markup {
        html! {
            @if self.r.claims.is_empty() {
                section aria-labelledby="verdict" { h2 id="verdict" { "Verdict" } p { "No statement was written." } }
            }
            @for (leaning, heading) in PARTS {
                @let mut claims = self.r.part(leaning).peekable();
                @if claims.peek().is_some() {
                    @let id = heading.to_lowercase().replace(' ', "-");
                    section aria-labelledby=(id) class="part" {
                        h2 id=(id) { (heading) }
                        @if leaning == Leaning::Work { p class="order" { "In the order it is taught: feet and base, body and arm, timing, decisions." } }
                        @for c in claims { (self.claim(c)) }
                    }
                }
            }
        }
    }

    fn claim(&self, c: &ClaimReport) -> Markup {
        let evidence = &c.claim.evidence;
        let shown = (self.extent == Extent::Presentation)
            .then(|| {
                evidence.supporting.first().and_then(|id| self.r.plays.iter().find(|p| p.play.id == *id))
            })
            .flatten();
        html! {
            article class=(if c.unsupported { "claim bare" } else { "claim" }) id=(format!("statement-{}", c.claim.id)) {
                div {
                    @if c.claim.leaning == Leaning::Work || c.claim.impression {
                        p class="leaning" {
                            @if c.claim.leaning == Leaning::Work { (stage_word(c.stage)) }
                            @if c.claim.leaning == Leaning::Work && c.claim.impression { " · " }
                            @if c.claim.impression { "my impression" }
                        }
                    }
                    p class="text" { (c.claim.text) }
                    @if c.unsupported { p class="unsupported" { "Unsupported: " (c.lacks) "." } }
                    @for f in &c.figures { p class="figure" { (f) } }
                    p class="strength" { (c.strength) "." }
                    @if c.claim.leaning == Leaning::Open { @for n in &c.needed { p class="needed" { "Film that would answer it: " (n) "." } } }
                    @if !c.one_sided.is_empty() { p class="one-sided" { (c.one_sided) } }
                    @if !evidence.supporting.is_empty() { p class="clips" { b { "For " } (self.links(&evidence.supporting)) } }
                    @if !evidence.against.is_empty() { p class="clips" { b { "Against " } (self.links(&evidence.against)) } }
                }
                @if let Some((p, svg)) = shown.and_then(|p| Some((p, diagram(self.r, p)?.svg(Theme::Paper)?))) {
                    figure { (PreEscaped(unique(&svg, &format!("{}-{}", c.claim.id, p.play.id)))) figcaption { (self.r.name_of(&p.play.id)) ", at release" } }
                }
            }
        }
    }

    /// A play opens its film, else its own account further down, else it is only named.
    fn links(&self, plays: &[PlayId]) -> Markup {
        html! {
            @for (k, id) in plays.iter().enumerate() {
                @if k > 0 { " " }
                @if self.clips.iter().any(|c| c.play == *id) { a class="film" href=(format!("#film-{id}")) { "▶ " (self.r.name_of(id)) } }
                @else if self.extent == Extent::Full { a href=(format!("#play-{id}")) { (self.r.name_of(id)) } }
                @else { span class="named" { (self.r.name_of(id)) } }
            }
        }
    }

    /// The films lie over the page while they are the address's target, so that no script is needed.
    fn films(&self) -> Markup {
        html! {
            @for c in self.clips {
                @let name = self.r.name_of(&c.play);
                section class="film" id=(format!("film-{}", c.play)) aria-label=(format!("Film of {name}")) {
                    div {
                        p { b { (name) } @if let Some(p) = self.r.plays.iter().find(|p| p.play.id == c.play) { " · " (situation_line(&p.play)) " · " (result_line(&p.chart)) } }
                        video controls preload="none" src=(format!("data:video/mp4;base64,{}", STANDARD.encode(&c.mp4))) {}
                        p { a href="#top" { "Close" } }
                    }
                }
            }
        }
    }

    fn measures(&self) -> Markup {
        html! {
            section aria-labelledby="measures" {
                h2 id="measures" { "Measures" }
                table {
                    thead { tr { th scope="col" { "Measure" } th scope="col" class="n" { "Plays" } th scope="col" { "Figure, with its 90% interval" } } }
                    tbody { @for s in &self.r.summary { tr { th scope="row" { (s.label) } td class="n" { (s.n) } td { (s.figure) } } } }
                }
            }
        }
    }

    fn plays(&self) -> Markup {
        html! {
            section aria-labelledby="plays" {
                h2 id="plays" { "Plays" }
                @for p in &self.r.plays { (play(self.r, p)) }
            }
        }
    }
}

fn play(r: &StudyReport, p: &PlayReport) -> Markup {
    let figures = p.measurement.as_ref().map(figure_lines).unwrap_or_default();
    html! {
        article class="play" id=(format!("play-{}", p.play.id)) {
            h3 { (capital(&r.name_of(&p.play.id))) " " span { (situation_line(&p.play)) } }
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

fn capital(s: &str) -> String {
    let mut c = s.chars();
    c.next().map_or_else(String::new, |f| f.to_uppercase().chain(c).collect())
}

/// Clip paths are found by id within a page, so each figure's must differ.
fn unique(svg: &str, by: &str) -> String {
    let safe: String = by.chars().filter(char::is_ascii_alphanumeric).collect();
    ["edge", "card"].iter().fold(svg.to_owned(), |s, id| {
        s.replace(&format!("id=\"{id}\""), &format!("id=\"{id}-{safe}\""))
            .replace(&format!("url(#{id})"), &format!("url(#{id}-{safe})"))
    })
}
