//! Earlier decisions called again without seeing the first call or the program's.

use super::agreement::{Agreement, Disagreement};
use crate::{PlaySummary, WorkError, Workbench};
use play::{Outcome, OwnCall, PlayId, Regrade, RegradeSet};
use serde::{Deserialize, Serialize};
use stats::{Interval, Proportion};
use std::collections::HashMap;
use store::{Change, OfPlay};

/// A set to pick.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct NewBlindSet {
    /// How many decisions, 1 to 100; as many as there are when there are fewer.
    pub decisions: u32,
    /// Seed of the pick; the number of the set when left out.
    #[serde(default)]
    pub seed: Option<u64>,
}

/// A decision of a set as the evaluator may see it.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct BlindItem {
    /// The play.
    pub play: PlayId,
    /// Under which plan.
    pub plan: String,
    /// His second call.
    pub again: Option<Outcome>,
    /// His earlier call; hidden until the whole set is called again.
    pub earlier: Option<Outcome>,
}

/// A set as the evaluator may see it.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct BlindSet {
    /// Unique in the study.
    pub id: String,
    /// Seed of the pick.
    pub seed: u64,
    /// When it was picked, ms since 1970.
    pub made_ms: i64,
    /// Every decision was called again.
    pub finished: bool,
    /// In the order of calling.
    pub items: Vec<BlindItem>,
    /// Agreement with the earlier calls, once finished.
    pub agreement: Option<Agreement>,
    /// Where they differ, once finished.
    pub disagreements: Vec<Disagreement>,
}

/// Which way calls moved between the first and the second time.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Drift {
    /// Calls that turned from sound to not sound.
    pub harsher: u64,
    /// Calls that turned from not sound to sound.
    pub kinder: u64,
    /// Share of harsher ones among those that turned, with its 90% interval; `None` when none turned.
    pub share: Option<f64>,
    /// The interval.
    pub interval: Option<Interval>,
    /// In words.
    pub words: String,
}

/// The evaluator's consistency with himself.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Consistency {
    /// Decisions that could be called again.
    pub callable: usize,
    /// Sets, oldest first: their agreements are the drift over time.
    pub sets: Vec<BlindSet>,
    /// Over all finished sets.
    pub agreement: Agreement,
    /// Which way calls moved, over all finished sets.
    pub drift: Drift,
}

/// Most decisions of a set: an evening's.
const MOST: u32 = 100;
/// What the edit that keeps a call is named; its time is when the call was made.
const CALLING: &str = "call the decision";

impl Workbench {
    /// The sets and what they show.
    ///
    /// # Errors
    /// `Store`.
    pub async fn consistency(&self) -> Result<Consistency, WorkError> {
        let mut sets: Vec<RegradeSet> = self.store.list().await?;
        sets.sort_by_key(|s| (s.made_ms, s.id.clone()));
        let plays: HashMap<PlayId, PlaySummary> =
            self.plays().await?.into_iter().map(|p| (p.id.clone(), p)).collect();
        let done: Vec<&Regrade> = sets.iter().filter(|s| s.finished()).flat_map(|s| &s.items).collect();
        Ok(Consistency {
            callable: self.store.list::<OfPlay<OwnCall>>().await?.len(),
            agreement: agreement(&done),
            drift: drift(&done),
            sets: sets.iter().map(|s| seen(s, &plays)).collect(),
        })
    }
    /// Picks decisions that the evaluator called earlier, by seed, to be called again.
    ///
    /// # Errors
    /// `Invalid` for a number out of range, an unfinished set, or when nothing was called yet; `Store`.
    pub async fn pick_blind_set(&self, new: NewBlindSet) -> Result<BlindSet, WorkError> {
        let _guard = self.editing.lock().await;
        if !(1..=MOST).contains(&new.decisions) {
            return Err(WorkError::Invalid(format!(
                "a set of {} decisions: 1 to {MOST} are allowed",
                new.decisions
            )));
        }
        let sets: Vec<RegradeSet> = self.store.list().await?;
        if let Some(open) = sets.iter().find(|s| !s.finished()) {
            return Err(WorkError::Invalid(format!(
                "set {} is not finished; call its decisions first",
                open.id
            )));
        }
        let calls: Vec<OfPlay<OwnCall>> = self.store.list().await?;
        if calls.is_empty() {
            return Err(WorkError::Invalid("no decision was called yet: call some on Judge first".into()));
        }
        let seed = new.seed.unwrap_or(sets.len() as u64 + 1);
        let mut items = Vec::new();
        for call in picked(calls, seed, new.decisions as usize) {
            let history = self.store.history(Some(&call.play), 500).await?;
            let earlier_ms = history.iter().filter(|e| e.label == CALLING).map(|e| e.at_ms).max();
            let OwnCall { plan, outcome, .. } = call.part;
            items.push(Regrade {
                play: call.play,
                plan,
                earlier: outcome,
                earlier_ms,
                again: None,
                again_ms: None,
            });
        }
        let set = RegradeSet { id: self.id("b").await?, seed, made_ms: self.now_ms(), items };
        self.change("pick decisions to call again", None, &[Change::put(&set)]).await?;
        Ok(seen(&set, &HashMap::new()))
    }
    /// Calls a decision of a set again. The call on Judge stays as it is.
    ///
    /// # Errors
    /// `NotFound` for a play that is not in the set; `Store` with `NoRecord`.
    pub async fn call_again(
        &self,
        set: &str,
        play: &PlayId,
        outcome: Outcome,
    ) -> Result<BlindSet, WorkError> {
        let _guard = self.editing.lock().await;
        let mut set: RegradeSet = self.store.get(set).await?;
        let now = self.now_ms();
        let item = set
            .items
            .iter_mut()
            .find(|i| i.play == *play)
            .ok_or_else(|| WorkError::missing("decision of the set for play", play))?;
        item.again = Some(outcome);
        item.again_ms = Some(now);
        self.change("call a decision again", Some(play), &[Change::put(&set)]).await?;
        let plays = self.plays().await?.into_iter().map(|p| (p.id.clone(), p)).collect();
        Ok(seen(&set, &plays))
    }
}

/// The first of the calls in an order that the seed alone gives, one a play.
fn picked(mut calls: Vec<OfPlay<OwnCall>>, seed: u64, most: usize) -> Vec<OfPlay<OwnCall>> {
    calls.sort_by_cached_key(|c| {
        let mut hash = blake3::Hasher::new();
        hash.update(&seed.to_le_bytes()).update(c.play.as_str().as_bytes()).update(c.part.plan.as_bytes());
        *hash.finalize().as_bytes()
    });
    let mut taken: Vec<OfPlay<OwnCall>> = Vec::new();
    for call in calls {
        if taken.len() < most && !taken.iter().any(|t| t.play == call.play) {
            taken.push(call);
        }
    }
    taken
}

fn seen(set: &RegradeSet, plays: &HashMap<PlayId, PlaySummary>) -> BlindSet {
    let finished = set.finished();
    let items: Vec<&Regrade> = set.items.iter().collect();
    let differ = |i: &&Regrade| finished && i.again.is_some_and(|a| a != i.earlier);
    BlindSet {
        id: set.id.clone(),
        seed: set.seed,
        made_ms: set.made_ms,
        finished,
        items: set
            .items
            .iter()
            .map(|i| BlindItem {
                play: i.play.clone(),
                plan: i.plan.clone(),
                again: i.again,
                earlier: Some(i.earlier).filter(|_| finished),
            })
            .collect(),
        agreement: finished.then(|| agreement(&items)),
        disagreements: set
            .items
            .iter()
            .filter(differ)
            .map(|i| Disagreement {
                play: i.play.clone(),
                number: plays.get(&i.play).map_or(0, |p| p.number),
                one: report::outcome_word(i.earlier).to_owned(),
                other: i.again.map_or("", report::outcome_word).to_owned(),
            })
            .collect(),
    }
}

fn agreement(items: &[&Regrade]) -> Agreement {
    Agreement::of(
        items.iter().filter_map(|i| Some((report::outcome_word(i.earlier), report::outcome_word(i.again?)))),
    )
}

fn drift(items: &[&Regrade]) -> Drift {
    let sound = |o: Outcome| matches!(o, Outcome::InRhythm | Outcome::Bettered | Outcome::Traded);
    let judged = |o: Outcome| !matches!(o, Outcome::Bare | Outcome::Untold);
    let turned: Vec<bool> = items
        .iter()
        .filter_map(|i| {
            let again = i.again.filter(|a| judged(*a) && judged(i.earlier))?;
            (sound(again) != sound(i.earlier)).then(|| sound(i.earlier))
        })
        .collect();
    let harsher = turned.iter().filter(|h| **h).count() as u64;
    let n = turned.len() as u64;
    let proportion = Proportion::new(harsher, n).ok();
    let interval = proportion.map(|p| p.wilson(patterns::LEVEL));
    let words = interval.map_or_else(
        || "no call turned between sound and not".to_owned(),
        |i| {
            format!("of the calls that turned, {} were harsher the second time", report::share(harsher, n, i))
        },
    );
    Drift { harsher, kinder: n - harsher, share: proportion.map(Proportion::value), interval, words }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn item(earlier: Outcome, again: Outcome) -> Regrade {
        Regrade {
            play: "p1".into(),
            plan: "a".into(),
            earlier,
            earlier_ms: None,
            again: Some(again),
            again_ms: None,
        }
    }

    #[test]
    fn the_pick_is_the_seeds_and_takes_a_play_once() {
        let call = |k: u32, plan: &str| OfPlay {
            play: PlayId(format!("p{k}")),
            part: OwnCall { plan: plan.into(), outcome: Outcome::InRhythm, why: String::new() },
        };
        let calls = || (0..40).flat_map(|k| [call(k, "a"), call(k, "b")]).collect::<Vec<_>>();
        let mut turned = calls();
        turned.reverse();
        let one = picked(calls(), 7, 12);
        assert_eq!(one, picked(turned, 7, 12), "the order of the records is nothing");
        assert_ne!(one, picked(calls(), 8, 12));
        let mut plays: Vec<_> = one.iter().map(|c| c.play.clone()).collect();
        plays.sort();
        plays.dedup();
        assert_eq!(plays.len(), 12);
        assert_eq!(picked(calls(), 7, 100).len(), 40);
    }

    #[test]
    fn what_is_not_finished_shows_no_earlier_call() {
        let mut set = RegradeSet {
            id: "b1".into(),
            seed: 1,
            made_ms: 0,
            items: vec![item(Outcome::Behind, Outcome::InRhythm), item(Outcome::Behind, Outcome::Behind)],
        };
        set.items[1].again = None;
        let open = seen(&set, &HashMap::new());
        assert!(open.items.iter().all(|i| i.earlier.is_none()) && open.agreement.is_none());
        assert!(open.disagreements.is_empty());
        set.items[1].again = Some(Outcome::Behind);
        let over = seen(&set, &HashMap::new());
        assert_eq!(over.items[0].earlier, Some(Outcome::Behind));
        assert_eq!(over.agreement.map(|a| (a.same, a.n)), Some((1, 2)));
        assert_eq!(over.disagreements.len(), 1);
    }

    #[test]
    fn drift_counts_only_calls_that_turned_between_sound_and_not() {
        use Outcome::{Bare, Behind, Bettered, Forced, InRhythm};
        let items = [
            item(InRhythm, Behind),
            item(Bettered, Forced),
            item(Behind, InRhythm),
            item(Behind, Forced),
            item(InRhythm, Bare),
        ];
        let d = drift(&items.iter().collect::<Vec<_>>());
        assert_eq!((d.harsher, d.kinder), (2, 1));
    }
}
