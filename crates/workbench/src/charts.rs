//! The chart: edited by hand, suggested from the last similar play.

use crate::games::in_range;
use crate::{WorkError, Workbench};
use play::{Chart, Play, PlayId, Situation};
use serde::Serialize;
use store::{Change, OfPlay};

/// A chart carried over as a start.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Suggestion {
    /// What to start from; facts of the throw itself are left empty.
    pub chart: Chart,
    /// The play it comes from; `None` when no play is charted yet.
    pub from: Option<PlayId>,
}

impl Workbench {
    /// Changes a play's chart.
    ///
    /// # Errors
    /// `Invalid`, naming the value that cannot be; `Store` with `NoRecord`.
    pub async fn edit_chart(&self, id: &PlayId, chart: Chart) -> Result<Chart, WorkError> {
        let _guard = self.editing.lock().await;
        self.store.get::<Play>(id.as_str()).await?;
        check(&chart)?;
        let change = Change::put(&OfPlay { play: id.clone(), part: chart.clone() });
        self.change_merging("chart the play", Some(id), Some("chart"), &[change]).await?;
        Ok(chart)
    }
    /// What to start a play's chart from: the most alike charted play's calls, the latest of equals.
    ///
    /// # Errors
    /// `Store`.
    pub async fn suggest(&self, id: &PlayId) -> Result<Suggestion, WorkError> {
        let play: Play = self.store.get(id.as_str()).await?;
        let charts: Vec<OfPlay<Chart>> = self.store.list().await?;
        let plays: Vec<Play> = self.store.list().await?;
        let best = charts
            .into_iter()
            .filter(|c| c.play != *id && c.part != Chart::default())
            .filter_map(|c| plays.iter().find(|p| p.id == c.play).map(|p| (p, c)))
            // Only what lies before, as one charts in order; plays after it only when there is nothing else.
            .max_by_key(|(p, _)| {
                let same_game = p.game == play.game;
                let before = same_game && p.number < play.number;
                (before, likeness(&p.situation, &play.situation), same_game, p.number)
            });
        let Some((from, chart)) = best else { return Ok(Suggestion { chart: Chart::default(), from: None }) };
        let c = chart.part;
        Ok(Suggestion {
            chart: Chart {
                target: None,
                result: None,
                miss: String::new(),
                gain_yd: None,
                notes: String::new(),
                pocket: String::new(),
                ..c
            },
            from: Some(from.id.clone()),
        })
    }
}

/// How alike two situations are, 0 to 5: down, distance (short, medium, long), end of the field, hash, score.
fn likeness(a: &Situation, b: &Situation) -> u32 {
    let distance = |s: &Situation| s.distance_yd.map(|d| (d > 3.0) as u8 + (d > 7.0) as u8);
    let zone = |s: &Situation| s.yards_to_goal().map(|y| (y > 20.0) as u8 + (y > 80.0) as u8);
    let score = |s: &Situation| s.margin.map(|m| (m / 9).signum());
    fn same<T: PartialEq>(a: Option<T>, b: Option<T>) -> u32 {
        u32::from(a.is_some() && a == b)
    }
    same(a.down, b.down)
        + same(distance(a), distance(b))
        + same(zone(a), zone(b))
        + same(a.hash, b.hash)
        + same(score(a), score(b))
}

/// Refuses what no play had, and text that is not a note.
pub(crate) fn check(c: &Chart) -> Result<(), WorkError> {
    for (what, count) in [("the number of blockers", c.blockers), ("the number of rushers", c.rushers)] {
        if let Some(n) = count {
            in_range(what, f64::from(n), "men", (0.0, 11.0))?;
        }
    }
    if let Some(gain) = c.gain_yd {
        in_range("the gain", gain, "yd", (-110.0, 110.0))?;
    }
    let words = [
        ("the formation", &c.formation),
        ("the motion", &c.motion),
        ("the protection", &c.protection),
        ("the coverage before the snap", &c.coverage_before),
        ("the coverage", &c.coverage_after),
        ("the concept", &c.concept),
        ("the pocket", &c.pocket),
        ("the drop", &c.drop),
        ("the miss", &c.miss),
    ];
    for (what, word) in words {
        let n = word.chars().count();
        if n > 200 {
            return Err(WorkError::Invalid(format!("{what} has {n} characters; at most 200 are kept")));
        }
    }
    if c.routes.len() > 6 {
        return Err(WorkError::Invalid(format!(
            "{} routes; there are at most 6 eligible men",
            c.routes.len()
        )));
    }
    let n = c.notes.chars().count();
    if n > 20_000 {
        return Err(WorkError::Invalid(format!("the notes have {n} characters; at most 20000 are kept")));
    }
    Ok(())
}
