//! What is recognised of a play from its tracks: proposals for the chart. Nothing is charted until the evaluator takes it,
//! and what he charted is never replaced.

use crate::measuring::{MeasureInputs, routes_until};
use crate::{WorkError, Workbench};
use play::{Chart, Finding, Flank, Measurement, MomentKind, PersonId, PlayId, Role, RouteCall, Severity};
use reads::board::Board;
use reads::concepts::{concepts, routes};
use reads::measures::{self, Leverage, Press};
use reads::picture;
use reads::playbook::{Family, Playbook};
use reads::recognise;
use serde::Serialize;
use stats::Estimate;
use store::{Change, OfPlay};

/// Something a track looks like, with its share among what was considered.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct LooksLike {
    /// In trade words.
    pub word: String,
    /// 0 to 1.
    pub share: f64,
}

/// A receiver's route as seen.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct RouteSeen {
    /// Who.
    pub slot: String,
    /// Most likely first.
    pub looks_like: Vec<LooksLike>,
    /// When it broke, s from the snap; nothing for a route without a break.
    pub broke_s: Option<f64>,
    /// Depth of the break past the line, yd.
    pub depth_yd: Option<Estimate>,
    /// Change of direction there, to his own sideline positive, degrees.
    pub angle_deg: Option<Estimate>,
    /// Defender over him at the snap.
    pub over: Option<PersonId>,
    /// That defender's distance at the snap, yd.
    pub cushion_yd: Option<Estimate>,
    /// Press, soft or off.
    pub press: Option<String>,
    /// Inside, outside or head-up.
    pub leverage: Option<String>,
}

/// How a defender plays.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct DefenderSeen {
    /// Who.
    pub person: PersonId,
    /// He rushed.
    pub rushes: bool,
    /// 0 zone to 1 man; a hint, not a calibrated probability. Nothing for a rusher.
    pub man: Option<f64>,
    /// Whom he would have.
    pub on: Option<PersonId>,
}

/// A concept that the routes look like.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct ConceptSeen {
    /// Its name.
    pub concept: String,
    /// Share among the playbook's concepts, 0 to 1.
    pub share: f64,
    /// Slots that it is read by and whose routes agree.
    pub agree: Vec<String>,
    /// How many slots it is read by.
    pub read_by: usize,
    /// Sure enough to be judged under while no concept is charted.
    pub sure: bool,
}

/// What is recognised of a play.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Recognised {
    /// Deep safeties at the snap.
    pub shell: Option<u8>,
    /// Probability that the shell is counted right.
    pub shell_sure: Option<f64>,
    /// Probability that the deep middle was closed after the snap.
    pub closed: Option<f64>,
    /// Kinds of coverage, most likely first.
    pub coverage: Vec<LooksLike>,
    /// Whether the picture after the snap is another than the shell showed.
    pub rotated: Option<bool>,
    /// Defenders.
    pub defenders: Vec<DefenderSeen>,
    /// Defenders in the box at the snap.
    pub box_count: Option<u8>,
    /// Receivers.
    pub routes: Vec<RouteSeen>,
    /// Concepts, most likely first.
    pub concepts: Vec<ConceptSeen>,
    /// What of this is sure enough to offer for the chart; the rest is left empty.
    pub chart: Chart,
    /// What stands in the way.
    pub findings: Vec<Finding>,
}

/// Share from which on a route or kind of coverage is offered for the chart; ours.
const OFFERED: f64 = 0.6;
/// A back or receiver who went no farther than this stayed in to block, yd.
const STAYED_YD: f64 = 2.0;

impl Workbench {
    /// What is recognised of a play.
    ///
    /// # Errors
    /// `Store` with `NoRecord`.
    pub async fn recognised(&self, id: &PlayId) -> Result<Recognised, WorkError> {
        let inputs = self.measure_inputs(id).await?;
        let m = self.measurement(id).await?;
        let book = self.playbook().await;
        crate::error::blocking(move || Ok::<_, WorkError>(recognise(&inputs, &m, &book.book))).await
    }

    /// Charts what is recognised surely enough where nothing is charted, as one undoable edit. Answers the plays whose
    /// chart has changed.
    ///
    /// # Errors
    /// `Store` with `NoRecord`.
    pub async fn take_recognised(&self, ids: &[PlayId]) -> Result<Vec<PlayId>, WorkError> {
        let mut offers = Vec::new();
        for id in ids {
            offers.push((id, self.recognised(id).await?.chart));
        }
        let _guard = self.editing.lock().await;
        let (mut changes, mut taken) = (Vec::new(), Vec::new());
        for (id, offer) in offers {
            // Read again under the lock: an edit made meanwhile stays.
            let before = self.play(id).await?.chart;
            let after = filled(&before, &offer);
            if after != before {
                changes.push(Change::put(&OfPlay { play: id.clone(), part: after }));
                taken.push(id.clone());
            }
        }
        if !changes.is_empty() {
            let said = format!("chart what is recognised in {} plays", taken.len());
            self.change(&said, None, &changes).await?;
        }
        Ok(taken)
    }
}

/// A chart with its empty fields filled from an offer.
fn filled(chart: &Chart, offer: &Chart) -> Chart {
    let mut c = chart.clone();
    let words = [
        (&mut c.formation, &offer.formation),
        (&mut c.coverage_before, &offer.coverage_before),
        (&mut c.coverage_after, &offer.coverage_after),
        (&mut c.concept, &offer.concept),
    ];
    for (word, offered) in words {
        if word.trim().is_empty() {
            word.clone_from(offered);
        }
    }
    for r in &offer.routes {
        if !c.routes.iter().any(|own| own.slot == r.slot) {
            c.routes.push(r.clone());
        }
    }
    c.blockers = c.blockers.or(offer.blockers);
    c.rushers = c.rushers.or(offer.rushers);
    c
}

fn recognise(inputs: &MeasureInputs, m: &Measurement, book: &Playbook) -> Recognised {
    let mut out = Recognised::default();
    let board = match Board::new(&inputs.people, &m.tracks, &inputs.situation, inputs.book) {
        Ok(board) => board,
        Err(e) => {
            out.findings.push(Finding::new(Severity::Missing, "not-recognised", e.to_string()));
            return out;
        }
    };
    let moment = |kind| m.moments.iter().find(|x| x.kind == kind).map(|x| x.at_s.value);
    let until = routes_until(m);
    // Defenders answer the throw: their picture is taken no later than the release.
    let left = moment(MomentKind::Release).unwrap_or(until);
    covered(&board, left, &mut out);
    ran(&board, (until, moment(MomentKind::Release)), &inputs.chart.routes, book, &mut out);
    out.chart.formation = formation(&board).unwrap_or_default();
    let stayed = |p: &&play::Person| {
        let (a, b) = (board.spot(&p.id, 0.0), board.spot(&p.id, left.min(2.0)));
        a.zip(b).is_some_and(|(a, b)| a.at.distance(b.at) < STAYED_YD && b.at.x < 0.5)
    };
    let line = board.people.iter().filter(|p| p.role == Role::Blocker).count();
    if line > 0 {
        out.chart.blockers = Some((line + board.receivers().filter(stayed).count()) as u8);
    }
    out
}

fn covered(board: &Board<'_>, until: f64, out: &mut Recognised) {
    let shell = picture::shell(board);
    let middle = picture::deep_middle(board, until);
    let families = picture::families(board, until);
    out.shell = shell.as_ref().map(|s| s.deep);
    out.shell_sure = shell.as_ref().map(|s| s.sure);
    out.closed = middle.as_ref().map(|m| m.closed);
    out.rotated = shell.as_ref().zip(middle.as_ref()).map(|(s, m)| (s.deep == 1) != (m.closed >= 0.5));
    out.coverage =
        families.iter().map(|(f, share)| LooksLike { word: kind(*f).to_owned(), share: *share }).collect();
    out.box_count = measures::box_count(board);
    let rushing = measures::rushers(board);
    let styles = picture::styles_in(board, until);
    out.defenders = board
        .defenders()
        .map(|p| {
            let rushes = rushing.contains(&p.id);
            let style = styles.iter().find(|s| s.defender == p.id && !rushes);
            DefenderSeen {
                person: p.id.clone(),
                rushes,
                man: style.map(|s| s.man),
                on: style.filter(|s| s.man >= 0.5).map(|s| s.on.clone()),
            }
        })
        .collect();
    out.chart.rushers = (!rushing.is_empty()).then_some(rushing.len() as u8);
    if let Some(s) = shell.filter(|s| s.sure >= OFFERED) {
        out.chart.coverage_before = ["No deep safety", "One high", "Two high"]
            .get(usize::from(s.deep))
            .unwrap_or(&"Three high")
            .to_string();
    }
    if let Some((family, share)) = families.first()
        && *share >= OFFERED
    {
        out.chart.coverage_after = called(*family, out.shell, out.chart.rushers).to_owned();
    }
}

/// A kind of coverage in plain words.
pub(crate) const fn kind(f: Family) -> &'static str {
    match f {
        Family::Zero => "no deep help",
        Family::OneHighMan => "one deep, man",
        Family::OneHighZone => "three deep",
        Family::TwoHighMan => "two deep, man",
        Family::TwoHighZone => "two deep",
        Family::FourDeep => "four deep",
        Family::Split => "quarters and a half",
    }
}

/// The chart's word for a kind of coverage: the plainest of its kind; which variant it was is the evaluator's to say.
const fn called(f: Family, shell: Option<u8>, rushers: Option<u8>) -> &'static str {
    match f {
        Family::Zero => "Cover 0",
        Family::OneHighMan => "Cover 1",
        Family::OneHighZone => match (shell, rushers) {
            (_, Some(5..)) => "Zone pressure",
            (Some(2), _) => "Cover 3 rotate",
            _ => "Cover 3 sky",
        },
        Family::TwoHighMan => "Two-man",
        Family::TwoHighZone => "Cover 2",
        Family::FourDeep => "Quarters",
        Family::Split => "Quarter-quarter-half",
    }
}

fn ran(
    board: &Board<'_>,
    (until, released): (f64, Option<f64>),
    charted: &[RouteCall],
    book: &Playbook,
    out: &mut Recognised,
) {
    // What the tracks look like is told without the chart, which would only come back as if it had been seen.
    let seen = routes(board, until, released, &[], book);
    let word = |id: &str| book.route(id).map_or_else(|| id.to_owned(), |r| r.name.clone());
    for (slot, guess) in &seen {
        let over = recognise::in_slot(board, slot).and_then(|id| measures::alignment(board, id));
        let looks_like: Vec<LooksLike> =
            guess.routes.iter().map(|(id, share)| LooksLike { word: word(id), share: *share }).collect();
        if let Some(first) = looks_like.first().filter(|l| l.share >= OFFERED) {
            out.chart.routes.push(RouteCall { slot: slot.clone(), route: first.word.clone() });
        }
        out.routes.push(RouteSeen {
            slot: slot.clone(),
            looks_like,
            broke_s: guess.turn.map(|t| t.at_s),
            depth_yd: guess.turn.map(|t| t.depth_yd),
            angle_deg: guess.turn.map(|t| t.angle_deg),
            over: over.as_ref().map(|a| a.defender.clone()),
            cushion_yd: over.as_ref().map(|a| a.cushion_yd),
            press: over.as_ref().map(|a| press(a.press).to_owned()),
            leverage: over.as_ref().map(|a| leverage(a.leverage).to_owned()),
        });
    }
    // For the concept a charted route is certain.
    let guesses = concepts(&routes(board, until, released, charted, book), released, book);
    if let Some(first) = guesses.first().filter(|g| g.sure()) {
        out.chart.concept = first.concept.name.clone();
    }
    out.concepts = guesses
        .into_iter()
        .map(|g| ConceptSeen {
            sure: g.sure(),
            concept: g.concept.name,
            share: g.share,
            agree: g.agree,
            read_by: g.read_by,
        })
        .collect();
    for p in board.receivers() {
        if board.track(&p.id).is_none() {
            let text = format!("{} has no track: his route, and what hangs on it, is not seen", p.id);
            out.findings.push(Finding::new(Severity::Weak, "receiver-not-seen", text));
        }
    }
}

const fn press(p: Press) -> &'static str {
    match p {
        Press::Press => "press",
        Press::Soft => "soft",
        Press::Off => "off",
    }
}

const fn leverage(l: Leverage) -> &'static str {
    match l {
        Leverage::Inside => "inside",
        Leverage::Outside => "outside",
        Leverage::HeadUp => "head-up",
    }
}

/// The set by how many line up to either side; `None` for one that this does not name.
fn formation(board: &Board<'_>) -> Option<String> {
    let count = |side: Flank| {
        board
            .people
            .iter()
            .filter(|p| matches!(p.role, Role::Receiver { flank, .. } if flank == side))
            .count()
    };
    let word = match (count(Flank::Left), count(Flank::Right)) {
        (2, 2) => "2x2",
        (3, 1) => "3x1 left",
        (1, 3) => "3x1 right",
        (3, 2) => "Empty 3x2",
        (2, 3) => "Empty 2x3",
        (2, 1) => "Pro left",
        (1, 2) => "Pro right",
        (4, _) | (_, 4) => "Quads",
        _ => return None,
    };
    Some(word.to_owned())
}
