//! A study's report: what goes in, and its forms.

mod html;
mod pdf;

pub use html::html;
pub use pdf::pdf;

use play::{
    Chart, Claim, Game, Judgement, Leaning, Measurement, OwnCall, Person, Play, PlayId, Stage, Study,
};

/// A measure over the game's plays, ready to print.
#[derive(Clone, Debug, PartialEq)]
pub struct SummaryRow {
    /// What is counted or averaged, in plain words.
    pub label: String,
    /// Number of plays it rests on.
    pub n: u64,
    /// The figure with its interval, or why there is none.
    pub figure: String,
}

/// A play with everything known of it.
#[derive(Clone, Debug)]
pub struct PlayReport {
    /// The play.
    pub play: Play,
    /// As charted.
    pub chart: Chart,
    /// People.
    pub people: Vec<Person>,
    /// As measured, if it was.
    pub measurement: Option<Measurement>,
    /// The program's judgements.
    pub judgements: Vec<Judgement>,
    /// The evaluator's calls.
    pub calls: Vec<OwnCall>,
}

/// A claim with its figures in words.
#[derive(Clone, Debug)]
pub struct ClaimReport {
    /// The claim.
    pub claim: Claim,
    /// Of what to work on: when it is taught.
    pub stage: Stage,
    /// Its figures with intervals.
    pub figures: Vec<String>,
    /// What its evidence is worth, in words.
    pub strength: String,
    /// True when the figures do not carry the sentence and it is not marked as an impression.
    pub unsupported: bool,
    /// What an unsupported sentence lacks, in words; empty otherwise.
    pub lacks: String,
    /// Says that only clips in favour were chosen though others go against it; empty otherwise.
    pub one_sided: String,
    /// What more film its figures would need.
    pub needed: Vec<String>,
}

/// How much of a report is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Extent {
    /// One page: the statements and the cautions.
    OnePage,
    /// Statements, measures, and every play.
    Full,
    /// A page for each statement, to be shown to people.
    Presentation,
}

/// A cited play's film, as it goes into an HTML report.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ClipFilm {
    /// The play.
    pub play: PlayId,
    /// H.264 in MP4.
    pub mp4: Vec<u8>,
}

/// A report's content.
#[derive(Clone, Debug)]
pub struct StudyReport {
    /// Study.
    pub study: Study,
    /// Games it is about, in order.
    pub games: Vec<Game>,
    /// Verdict: strengths, faults, what to work on in the order it is taught, open questions.
    pub claims: Vec<ClaimReport>,
    /// Measures over the plays.
    pub summary: Vec<SummaryRow>,
    /// Plays in order.
    pub plays: Vec<PlayReport>,
    /// What makes the report reproducible: label and words.
    pub version: Vec<(String, String)>,
}

/// The verdict's parts in order: what its statements speak of, and the heading.
pub(crate) const PARTS: [(Leaning, &str); 4] = [
    (Leaning::Strength, "Strengths"),
    (Leaning::Fault, "Faults"),
    (Leaning::Work, "What to work on first"),
    (Leaning::Open, "Open questions"),
];

/// When something is taught, in words.
pub(crate) const fn stage_word(s: Stage) -> &'static str {
    match s {
        Stage::Feet => "feet and base",
        Stage::Body => "body and arm",
        Stage::Timing => "timing",
        Stage::Decisions => "decisions",
    }
}

impl StudyReport {
    /// The games' names.
    pub(crate) fn games_line(&self) -> String {
        self.games.iter().map(|g| g.name.as_str()).collect::<Vec<_>>().join(", ")
    }
    /// The data and program in one line.
    pub(crate) fn version_line(&self) -> String {
        self.version.iter().map(|(label, words)| format!("{label}: {words}")).collect::<Vec<_>>().join(" · ")
    }
    /// A part's statements.
    pub(crate) fn part(&self, leaning: Leaning) -> impl Iterator<Item = &ClaimReport> {
        self.claims.iter().filter(move |c| c.claim.leaning == leaning)
    }
    /// What a play is called in a sentence.
    pub(crate) fn name_of(&self, id: &PlayId) -> String {
        let Some(p) = self.plays.iter().find(|p| p.play.id == *id) else {
            return "a play of another game".to_owned();
        };
        let game = if self.games.len() > 1 {
            self.games
                .iter()
                .find(|g| g.id == p.play.game)
                .map(|g| format!("{}, ", g.name))
                .unwrap_or_default()
        } else {
            String::new()
        };
        format!("{game}play {}", p.play.number)
    }
    /// A play's names in a line.
    pub(crate) fn names(&self, plays: &[PlayId]) -> String {
        plays.iter().map(|p| self.name_of(p)).collect::<Vec<_>>().join("; ")
    }
}

/// Why a document could not be made.
#[derive(Debug, thiserror::Error)]
pub enum ReportError {
    /// The typesetter refused; a bug of ours, with its words.
    #[error("the report could not be typeset: {0}")]
    Typeset(String),
}

/// Cautions every report carries.
pub(crate) const CAUTIONS: [&str; 4] = [
    "A verdict touches a real person's work. Figures carry 90% intervals and sample sizes; a difference inside its interval is not a difference.",
    "Decisions are judged under stated reading rules. How the passer was taught to read is not known here.",
    "Footwork and throwing advice can hurt an arm or a back: leave technique changes, training load and injury to qualified coaches and medical staff. Contact is a safety matter.",
    "Film belongs to somebody: use it, and this report, within its licence, your league's rules and local law.",
];

/// "2nd and 7 at x 35, near hash": the situation in a line.
pub(crate) fn situation_line(p: &Play) -> String {
    let s = &p.situation;
    let mut parts = Vec::new();
    if let Some(q) = s.quarter {
        let clock =
            s.clock_s.map(|c| format!(" {}:{:02}", (c / 60.0) as u32, (c % 60.0) as u32)).unwrap_or_default();
        parts.push(format!("Q{q}{clock}"));
    }
    if let Some(d) = s.down {
        let ordinal =
            ["1st", "2nd", "3rd", "4th"].get(usize::from(d.saturating_sub(1))).copied().unwrap_or("-");
        parts.push(s.distance_yd.map_or_else(|| ordinal.to_owned(), |y| format!("{ordinal} and {y:.0}")));
    }
    if let Some(y) = s.yards_to_goal() {
        parts.push(format!("{y:.0} yd to the goal"));
    }
    if let Some(h) = s.hash {
        parts.push(match h {
            play::Hash::Near => "near hash".to_owned(),
            play::Hash::Middle => "middle".to_owned(),
            play::Hash::Far => "far hash".to_owned(),
        });
    }
    parts.join(" · ")
}

/// The charted words in a line.
pub(crate) fn chart_line(c: &Chart) -> String {
    let before_after = match (c.coverage_before.as_str(), c.coverage_after.as_str()) {
        ("", after) => after.to_owned(),
        (before, "") => before.to_owned(),
        (before, after) if before == after => after.to_owned(),
        (before, after) => format!("{before} → {after}"),
    };
    [
        c.formation.as_str(),
        c.concept.as_str(),
        before_after.as_str(),
        c.protection.as_str(),
        c.pocket.as_str(),
    ]
    .into_iter()
    .filter(|w| !w.is_empty())
    .collect::<Vec<_>>()
    .join(" · ")
}

/// The result in words.
pub(crate) fn result_line(c: &Chart) -> String {
    use play::ThrowResult as R;
    let word = match c.result {
        None => return "not charted".to_owned(),
        Some(R::Complete) => "complete",
        Some(R::Incomplete) => "incomplete",
        Some(R::Intercepted) => "intercepted",
        Some(R::Sacked) => "sacked",
        Some(R::Scrambled) => "scrambled",
        Some(R::ThrownAway) => "thrown away",
        Some(R::Batted) => "batted",
    };
    let to = c.target.as_ref().map(|t| format!(" to {t}")).unwrap_or_default();
    let miss = if c.miss.is_empty() { String::new() } else { format!(", {}", c.miss) };
    let gain = c.gain_yd.map(|g| format!(", {}", gain_words(g))).unwrap_or_default();
    format!("{word}{to}{miss}{gain}")
}

/// "+9 yd", "−5 yd", "no gain".
fn gain_words(yd: f64) -> String {
    let whole = yd.abs().round();
    if whole == 0.0 {
        return "no gain".to_owned();
    }
    format!("{}{whole:.0} yd", if yd < 0.0 { '−' } else { '+' })
}

/// Label and words of every single figure of a measurement.
pub fn figure_lines(m: &Measurement) -> Vec<(&'static str, String)> {
    use crate::wording::{estimate, seen};

    let mut out = Vec::new();
    for moment in &m.moments {
        match moment.kind {
            play::MomentKind::Set => out.push(("Set", estimate(moment.at_s, "s"))),
            play::MomentKind::Release => out.push(("Time to throw", estimate(moment.at_s, "s"))),
            _ => {}
        }
    }
    out.push(("Time to pressure", seen(&m.pressure.at_s, "s")));
    if let Some(t) = m.throw.get() {
        out.push(("Release speed", seen(&t.speed_mph, "mph")));
        out.push(("Air distance", estimate(t.air_yd, "yd")));
        out.push(("Time of flight", estimate(t.flight_s, "s")));
        out.push(("Highest point", seen(&t.apex_ft, "ft")));
    }
    if let Some(f) = m.feet.get() {
        out.push(("Feet error", seen(&f.error_deg, "°")));
        out.push(("Base", seen(&f.base_yd, "yd")));
    }
    if let Some(p) = m.placement.get() {
        out.push(("Lead", seen(&p.lead_yd, "yd")));
        out.push(("Ahead of his run at release", seen(&p.ahead_of_run_yd, "yd")));
        out.push(("Height as it passed that run", seen(&p.over_run_ft, "ft")));
        out.push(("Height at arrival", seen(&p.height_ft, "ft")));
        out.push(("Separation at arrival", seen(&p.separation_yd, "yd")));
    }
    out
}

/// Whose windows are drawn and under which plan's looks: the evaluator's first plan.
pub(crate) fn strip(p: &PlayReport) -> Option<crate::WindowsStrip<'_>> {
    let m = p.measurement.as_ref()?;
    Some(crate::WindowsStrip {
        windows: &m.windows,
        moments: &m.moments,
        pressure_s: m.pressure.at_s.get().map(|e| e.value),
        looks: p.judgements.first().map_or(&[], |j| &j.looks),
        target: p.chart.target.as_ref(),
        at_s: None,
    })
}

/// The play from above at release (at the snap when there was none).
pub(crate) fn diagram<'a>(r: &'a StudyReport, p: &'a PlayReport) -> Option<crate::Diagram<'a>> {
    let m = p.measurement.as_ref()?;
    let at = |kind| m.moments.iter().find(|x| x.kind == kind).map(|x| x.at_s.value);
    Some(crate::Diagram {
        rule_book: r.games.iter().find(|g| g.id == p.play.game)?.rule_book,
        situation: &p.play.situation,
        people: &p.people,
        tracks: &m.tracks,
        throw: m.throw.get(),
        at_s: at(play::MomentKind::Release).unwrap_or(0.0),
        race: None,
        features: Vec::new(),
    })
}
