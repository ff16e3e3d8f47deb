//! The second table: one row a play.

use crate::TableError;
use crate::mapping::PlayColumns;
use crate::rows::key_of;
use crate::sheet::{Sheet, content, number};
use play::{Situation, ThrowResult};
use std::collections::HashMap;

/// What the second table says of a play.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Said {
    pub situation: Situation,
    pub offense: Option<String>,
    pub result: Option<ThrowResult>,
    pub gain_yd: Option<f64>,
    /// The home team's points less the other's.
    pub home_ahead: Option<i32>,
    /// Its kind, when that is no pass play.
    pub left_out: Option<String>,
}

/// Reads it, by the cells that name a play.
pub(crate) fn read(bytes: &[u8], c: &PlayColumns) -> Result<HashMap<String, Said>, TableError> {
    let sheet = Sheet::open(bytes)?;
    let some = |heading: &Option<String>, what| heading.as_deref().map(|h| sheet.column(h, what)).transpose();
    let play: Vec<usize> = c.play.iter().map(|h| sheet.column(h, "the play")).collect::<Result<_, _>>()?;
    let (quarter, clock) = (some(&c.quarter, "the quarter")?, some(&c.clock, "the clock")?);
    let (down, distance) = (some(&c.down, "the down")?, some(&c.distance, "the distance")?);
    let (offense, gain) = (some(&c.offense, "the offense")?, some(&c.gain, "the gain")?);
    let (result, kind) = (some(&c.result, "the result")?, some(&c.kind, "the kind of play")?);
    let points =
        (some(&c.home_points, "the home team's points")?, some(&c.away_points, "the other's points")?);
    let mut out = HashMap::new();
    sheet.rows(|_, r| {
        let mut key = String::new();
        key_of(r, &play, &mut key);
        let text = |k: Option<usize>| k.and_then(|k| content(r, k));
        let count = |k: Option<usize>, low: f64, high: f64| {
            text(k).and_then(number).filter(|n| (low..=high).contains(n))
        };
        let situation = Situation {
            quarter: count(quarter, 1.0, 20.0).map(|n| n as u8),
            clock_s: text(clock).and_then(minutes).filter(|s| (0.0..=900.0).contains(s)),
            down: count(down, 1.0, 4.0).map(|n| n as u8),
            distance_yd: count(distance, 0.0, 99.0),
            ..Situation::default()
        };
        let said = Said {
            situation,
            offense: text(offense).map(str::to_owned),
            result: text(result).and_then(|w| c.results.get(w).copied()),
            gain_yd: count(gain, -99.0, 109.0),
            home_ahead: count(points.0, 0.0, 200.0)
                .zip(count(points.1, 0.0, 200.0))
                .map(|(a, b)| (a - b) as i32),
            left_out: text(kind).filter(|w| c.kinds.get(*w) == Some(&false)).map(str::to_owned),
        };
        out.insert(key, said);
        true
    })?;
    Ok(out)
}

/// Minutes and seconds, of which a third part is empty seconds or hundredths.
fn minutes(text: &str) -> Option<f64> {
    let mut parts = text.split(':');
    let (m, s) = (number(parts.next()?)?, number(parts.next()?)?);
    Some(m * 60.0 + s)
}
