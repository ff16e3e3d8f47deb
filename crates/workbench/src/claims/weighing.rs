//! What stands behind a statement, and what stands against it.

use super::ClaimEdit;
use crate::asking::Asked;
use crate::{WorkError, Workbench};
use patterns::ask::Question;
use patterns::facts::{Field, Line};
use patterns::{Backing, Telling, TellingPlay, relation, telling, weigh};
use play::{Claim, ClaimId, GameId, Leaning, PlayId, Stage, Strand};
use serde::Serialize;

/// A play that speaks for or against a statement, proposed by the program.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct ProposedClip {
    /// Which.
    pub play: PlayId,
    /// Why, in a few words.
    pub why: String,
}

/// A statement with what its evidence is worth.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct WeighedClaim {
    /// The statement.
    pub claim: Claim,
    /// Its figures in words.
    pub figures: Vec<String>,
    /// What its evidence is worth, in words.
    pub strength: String,
    /// True when the figures do not carry the sentence and it is not marked as an impression.
    pub unsupported: bool,
    /// What an unsupported sentence lacks, in words; empty otherwise.
    pub lacks: String,
    /// When what it asks to work on is taught: as the evaluator set it, or by its figures.
    pub stage: Stage,
    /// Plays inside its figures' groups that show it and are not among its clips yet, most telling first.
    pub showing: Vec<ProposedClip>,
    /// Plays inside its figures' groups that go against it and are not among its clips yet, most telling first.
    pub contrary: Vec<ProposedClip>,
    /// Warns when only clips in favour are chosen though others go against it; empty otherwise.
    pub one_sided: String,
    /// What more film its figures would need, each in words.
    pub needed: Vec<String>,
}

/// Clips proposed at once for a statement, and against it: what can be looked through in a few minutes.
const PROPOSED: usize = 8;

impl Workbench {
    /// The statements in the order of the verdict, weighed: strengths, faults, what to work on in the order it is taught, open questions.
    ///
    /// # Errors
    /// `Store`, or what measuring the plays refused.
    pub async fn claims(&self) -> Result<Vec<WeighedClaim>, WorkError> {
        self.weighed(&[]).await
    }

    /// A statement, not yet written, with the `clips` most telling plays that show it and the most telling of those that go against it,
    /// half as many, as its clips.
    ///
    /// # Errors
    /// `Store`, or what measuring the plays refused.
    pub async fn with_clips(&self, mut edit: ClaimEdit, clips: usize) -> Result<ClaimEdit, WorkError> {
        let w = weighed(edit.clone().into_claim(ClaimId::from(""), 0), &*self.asked().await?, &[])?;
        let first = |of: Vec<ProposedClip>, n| of.into_iter().take(n).map(|c| c.play);
        edit.evidence.supporting.extend(first(w.showing, clips));
        edit.evidence.against.extend(first(w.contrary, clips.div_ceil(2)));
        Ok(edit)
    }

    /// The statements weighed by the plays of `games`, or of the whole study when none is named.
    pub(crate) async fn weighed(&self, games: &[GameId]) -> Result<Vec<WeighedClaim>, WorkError> {
        let claims: Vec<Claim> = self.store.list().await?;
        if claims.is_empty() {
            return Ok(Vec::new());
        }
        let (asked, games) = (self.asked().await?, games.to_vec());
        crate::error::blocking(move || {
            let weighed = claims.into_iter().map(|c| weighed(c, &asked, &games));
            let mut out = weighed.collect::<Result<Vec<_>, _>>()?;
            out.sort_by_key(|w| place(&w.claim));
            Ok::<_, WorkError>(out)
        })
        .await
    }
}

/// Where a statement stands in the verdict.
pub(super) fn place(c: &Claim) -> (Leaning, Option<Stage>, u32) {
    let stage = (c.leaning == Leaning::Work).then(|| stage_of(c));
    (c.leaning, stage, c.order)
}

/// When what a statement speaks of is taught: as the evaluator set it, or by its figures.
fn stage_of(c: &Claim) -> Stage {
    c.stage.unwrap_or_else(|| taught(&c.strands))
}

/// What a strand asks, over `games` when it names none itself.
pub(super) fn question(s: &Strand, games: &[GameId]) -> Question {
    Question {
        of: s.measure.clone(),
        word: s.word.clone(),
        by: s.by.clone(),
        games: if s.games.is_empty() { games.to_vec() } else { s.games.clone() },
        plays: s.plays.clone(),
        only: s.only.clone(),
        ..Question::default()
    }
}

fn weighed(claim: Claim, asked: &Asked, games: &[GameId]) -> Result<WeighedClaim, WorkError> {
    let (mut backings, mut told) = (Vec::new(), Telling::default());
    for strand in &claim.strands {
        let question = question(strand, games);
        let (field, by) = question.fields()?;
        let answer = asked.answer(&question)?;
        // Of two measures: whether one grows with the other.
        let rising = answer.slope.as_ref().map(|s| s.plain.value > 0.0);
        let backing = Backing::of_answer(&answer, strand.group.as_deref()).filter(|b| !b.plays.is_empty());
        let Some(backing) = backing else { continue };
        let group: Vec<&Line> = asked.lines.iter().filter(|l| backing.plays.contains(&l.play)).collect();
        let word = strand.word.as_deref();
        let more = match (by, rising) {
            (Some(by), Some(rising)) if strand.group.is_none() => relation(field, by, rising, &group),
            _ => telling(field, word, claim.leaning, &group, &claim.evidence.supporting),
        };
        gather(&mut told.along, more.along);
        gather(&mut told.against, more.against);
        backings.push(backing);
    }
    let evidence = &claim.evidence;
    let new = |mut plays: Vec<TellingPlay>| {
        plays.retain(|c| !evidence.supporting.contains(&c.play) && !evidence.against.contains(&c.play));
        plays.sort_by(|a, b| b.telling.total_cmp(&a.telling));
        plays
    };
    let (along, against) = (new(told.along), new(told.against));
    let one_sided = if !evidence.supporting.is_empty() && evidence.against.is_empty() && !against.is_empty() {
        let n = against.len();
        let plays = if n == 1 { "play of its figures goes" } else { "plays of its figures go" };
        format!("Only clips in favour are chosen; {n} {plays} against it.")
    } else {
        String::new()
    };
    let weight = weigh(&claim, &backings);
    Ok(WeighedClaim {
        stage: stage_of(&claim),
        figures: backings.iter().map(|b| b.words.clone()).collect(),
        needed: backings.into_iter().map(|b| b.needed).filter(|n| !n.is_empty()).collect(),
        strength: weight.words,
        unsupported: weight.lacks.is_some(),
        lacks: weight.lacks.unwrap_or_default().to_owned(),
        showing: proposed(along),
        contrary: proposed(against),
        one_sided,
        claim,
    })
}

/// A play that speaks of several figures counts once, where it says most.
fn gather(into: &mut Vec<TellingPlay>, more: Vec<TellingPlay>) {
    for c in more {
        match into.iter_mut().find(|a| a.play == c.play) {
            Some(a) if a.telling < c.telling => *a = c,
            Some(_) => {}
            None => into.push(c),
        }
    }
}

fn proposed(plays: Vec<TellingPlay>) -> Vec<ProposedClip> {
    plays.into_iter().take(PROPOSED).map(|c| ProposedClip { play: c.play, why: c.why }).collect()
}

/// When what the figures speak of is taught: the earliest of them, decisions where none says.
fn taught(strands: &[Strand]) -> Stage {
    use patterns::facts::FieldGroup as G;
    let stage = |s: &Strand| {
        let of = Field::by_id(s.by.as_deref().unwrap_or(&s.measure))?;
        Some(match (of.group, of.id) {
            (G::Feet, _) => Stage::Feet,
            (G::Throw, "time-to-throw" | "tempo") => Stage::Timing,
            (G::Throw, _)
            | (G::Placement, "lead" | "away" | "miss-across" | "miss-along" | "arrival-height") => {
                Stage::Body
            }
            _ => Stage::Decisions,
        })
    };
    strands.iter().filter_map(stage).min().unwrap_or(Stage::Decisions)
}
