//! Two official ratings of passing, from what was charted.

use crate::LEVEL;
use crate::ask::Ranged;
use crate::facts::{Cell, Line, YES};
use play::PlayId;
use serde::Serialize;
use stats::bootstrap;

/// What the ratings count.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Passing {
    /// Passes thrown, those thrown away and batted down included; sacks are none.
    pub attempts: u32,
    /// Passes completed.
    pub completions: u32,
    /// Yards gained by completions.
    pub yards: f64,
    /// Completions for a touchdown.
    pub touchdowns: u32,
    /// Passes intercepted.
    pub interceptions: u32,
}

impl Passing {
    /// The professional league's passer rating, 0 to 158.3: completions, yards, touchdowns and interceptions per attempt, each
    /// scaled and held between 0 and 2.375. `None` without an attempt.
    pub fn professional(&self) -> Option<f64> {
        let n = self.per_attempt()?;
        let held = |v: f64| v.clamp(0.0, 2.375);
        let sum = held((f64::from(self.completions) / n - 0.3) * 5.0)
            + held((self.yards / n - 3.0) * 0.25)
            + held(f64::from(self.touchdowns) / n * 20.0)
            + held(2.375 - f64::from(self.interceptions) / n * 25.0);
        Some(sum / 6.0 * 100.0)
    }
    /// College passing efficiency. `None` without an attempt.
    pub fn college(&self) -> Option<f64> {
        let n = self.per_attempt()?;
        let sum = 8.4 * self.yards + 330.0 * f64::from(self.touchdowns) + 100.0 * f64::from(self.completions)
            - 200.0 * f64::from(self.interceptions);
        Some(sum / n)
    }
    fn per_attempt(&self) -> Option<f64> {
        (self.attempts > 0).then_some(f64::from(self.attempts))
    }
    fn plus(self, o: Self) -> Self {
        Self {
            attempts: self.attempts + o.attempts,
            completions: self.completions + o.completions,
            yards: self.yards + o.yards,
            touchdowns: self.touchdowns + o.touchdowns,
            interceptions: self.interceptions + o.interceptions,
        }
    }
}

/// Both ratings over some plays.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Rated {
    /// What was counted.
    pub passing: Passing,
    /// The professional league's passer rating; `None` without an attempt.
    pub professional: Option<Ranged>,
    /// College passing efficiency; `None` without an attempt.
    pub college: Option<Ranged>,
    /// Attempts that cannot be counted: gain or touchdown is not charted.
    pub left: Vec<PlayId>,
}

/// Draws behind an interval.
const REPEATS: usize = 1000;
/// So that the same plays give the same interval.
const SEED: u64 = 7;

/// Rates plays. The intervals come of drawing attempts again: they say how far the rating would wander with as much film of the
/// same passer.
pub fn rated<'l>(lines: impl IntoIterator<Item = &'l Line>) -> Rated {
    let mut left = Vec::new();
    let mut counted = Vec::new();
    for l in lines {
        match attempt(l) {
            Some(Ok(p)) => counted.push(p),
            Some(Err(())) => left.push(l.play.clone()),
            None => {}
        }
    }
    let over = |drawn: &[usize]| drawn.iter().fold(Passing::default(), |s, &k| s.plus(counted[k]));
    let passing = counted.iter().fold(Passing::default(), |s, p| s.plus(*p));
    let ranged = |of: fn(&Passing) -> Option<f64>| {
        let interval = bootstrap(counted.len(), REPEATS, SEED, LEVEL, |d| of(&over(d)));
        of(&passing).map(|value| Ranged { value, interval })
    };
    let (professional, college) = (ranged(Passing::professional), ranged(Passing::college));
    Rated { passing, professional, college, left }
}

/// A play as an attempt; `None` when it is none, an error when it cannot be told what it gained.
fn attempt(l: &Line) -> Option<Result<Passing, ()>> {
    let result = l.word("result")?;
    let one = Passing { attempts: 1, ..Passing::default() };
    Some(match result {
        "complete" => match (l.value("gain"), l.cell("touchdowns")) {
            (Some(gain), Some(Cell::Word(scored))) => {
                Ok(Passing { completions: 1, yards: gain.value, touchdowns: u32::from(scored == YES), ..one })
            }
            _ => Err(()),
        },
        "intercepted" => Ok(Passing { interceptions: 1, ..one }),
        "incomplete" | "batted" | "thrown away" => Ok(one),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use stats::Estimate;

    fn passing(attempts: u32, completions: u32, yards: f64, touchdowns: u32, interceptions: u32) -> Passing {
        Passing { attempts, completions, yards, touchdowns, interceptions }
    }

    /// Lines of records rated by the league's own formula: a season of 461 attempts at 112.8, a career of 5,391 at 92.3; the most
    /// and the least that it gives. From memory.
    #[test]
    fn the_professional_rating_of_known_lines() {
        let near = |p: Passing, want: f64| {
            let got = p.professional().unwrap();
            assert!((got - want).abs() < 0.05, "{got} for {want}");
        };
        near(passing(461, 324, 3969.0, 35, 10), 112.8);
        near(passing(5391, 3409, 40551.0, 273, 139), 92.3);
        near(passing(10, 10, 200.0, 5, 0), 158.3);
        near(passing(10, 0, 0.0, 0, 5), 0.0);
        assert_eq!(Passing::default().professional(), None);
    }

    /// College record book's worked examples, from memory.
    #[test]
    fn college_efficiency_of_known_lines() {
        assert!((passing(35, 22, 275.0, 3, 1).college().unwrap() - 151.43).abs() < 0.005);
        assert!((passing(20, 18, 355.0, 3, 1).college().unwrap() - 278.6).abs() < 0.05);
        assert_eq!(Passing::default().college(), None);
    }

    #[test]
    fn plays_count_as_the_rule_book_counts_them() {
        let word = |w: &str| Cell::Word(w.to_owned());
        let play = |k: usize, result: &str, gain: Option<f64>, scored: &str| {
            let mut l = Line {
                play: format!("p{k}").into(),
                game: "g".into(),
                number: k as u32,
                cells: Default::default(),
            };
            l.put("result", word(result));
            l.put("gain", gain.map_or(Cell::NotSeen("no".into()), |g| Cell::Value(Estimate::new(g, 0.0))));
            l.put("touchdowns", word(scored));
            l
        };
        let lines = [
            play(1, "complete", Some(12.0), "no"),
            play(2, "complete", Some(30.0), "yes"),
            play(3, "complete", None, "no"),
            play(4, "incomplete", Some(0.0), "no"),
            play(5, "thrown away", Some(0.0), "no"),
            play(6, "intercepted", Some(0.0), "no"),
            play(7, "sacked", Some(-7.0), "no"),
            play(8, "batted", Some(0.0), "no"),
        ];
        let r = rated(&lines);
        assert_eq!(r.passing, passing(6, 2, 42.0, 1, 1));
        assert_eq!(r.left, vec![PlayId::from("p3")]);
        let i = r.college.unwrap().interval.unwrap();
        assert!(i.contains(r.college.unwrap().value) && i.width() > 50.0, "six attempts tell little: {i:?}");
        assert_eq!(rated(&lines), r, "the same plays give the same interval");
    }
}
