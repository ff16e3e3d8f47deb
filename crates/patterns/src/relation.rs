//! Plays that show a relation between two measures, and plays that go against it.

use crate::facts::{Field, Line};
use crate::telling::{Telling, TellingPlay, lower, median};
use play::PlayId;
use stats::Estimate;

/// The plays among `group` that show that `of` is large where `by` is (`rising`), or small where it is large, and those that show
/// the opposite.
///
/// A play counts when both measures lie more likely than not on their side of the group's median; it tells the more, the farther both lie
/// from it in spreads of the group and the surer they are. One that was not seen says nothing.
pub fn relation(of: &Field, by: &Field, rising: bool, group: &[&Line]) -> Telling {
    let seen: Vec<(&PlayId, Estimate, Estimate)> =
        group.iter().filter_map(|l| Some((&l.play, l.value(by.id)?, l.value(of.id)?))).collect();
    let scale = |values: Vec<f64>| {
        let spread = Estimate::from_draws(&values).map_or(1.0, |e| e.se).max(f64::MIN_POSITIVE);
        (median(&values), spread)
    };
    let x = scale(seen.iter().map(|s| s.1.value).collect());
    let y = scale(seen.iter().map(|s| s.2.value).collect());
    let (mut along, mut against) = (Vec::new(), Vec::new());
    for (play, at, is) in seen {
        let away = |e: Estimate, (middle, spread): (f64, f64)| {
            // Twice the chance of lying above the middle less one: the side, and how surely.
            ((e.value - middle) / spread).abs() * (2.0 * e.probability_above(middle) - 1.0)
        };
        let both = away(at, x) * away(is, y);
        if both == 0.0 {
            continue;
        }
        let why = format!(
            "{} {} with {} {}; their middles are {} and {}",
            lower(by.label),
            by.said(at.value),
            lower(of.label),
            of.said(is.value),
            by.said(x.0),
            of.said(y.0),
        );
        let play = TellingPlay { play: play.clone(), telling: both.abs(), why };
        if (both > 0.0) == rising { along.push(play) } else { against.push(play) }
    }
    Telling::sorted(along, against)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::facts::Cell;

    fn line(id: &str, feet: (f64, f64), lead: (f64, f64)) -> Line {
        let cell = |(v, se)| Cell::Value(Estimate::new(v, se));
        let cells = [("feet-error", cell(feet)), ("lead", cell(lead))];
        Line {
            play: id.into(),
            game: "g1".into(),
            number: 1,
            cells: cells.into_iter().map(|(k, c)| (k.to_owned(), c)).collect(),
        }
    }
    fn ids(of: &[TellingPlay]) -> Vec<&str> {
        of.iter().map(|c| c.play.as_str()).collect()
    }

    #[test]
    fn plays_are_sorted_by_what_they_say_of_the_relation() {
        let lines = [
            line("closed and behind", (-20.0, 1.0), (-2.0, 0.2)),
            line("closed, a little behind", (-20.0, 1.0), (-0.6, 0.2)),
            line("closed, who knows", (-20.0, 1.0), (-2.0, 9.0)),
            line("middling", (0.0, 1.0), (0.0, 0.2)),
            line("open and ahead", (15.0, 1.0), (1.5, 0.2)),
            line("open and behind", (15.0, 1.0), (-1.0, 0.2)),
            line("middling too", (1.0, 1.0), (0.1, 0.2)),
            line("open, a little ahead", (15.0, 1.0), (0.6, 0.2)),
            line("half open, ahead", (10.0, 1.0), (1.0, 0.2)),
        ];
        let mut group: Vec<&Line> = lines.iter().collect();
        let mut unseen = line("no feet", (0.0, 1.0), (-2.0, 0.2));
        unseen.cells.insert("feet-error".into(), Cell::NotSeen("the grass is high".into()));
        group.push(&unseen);
        let (of, by) = (Field::by_id("lead").unwrap(), Field::by_id("feet-error").unwrap());
        let up = relation(of, by, true, &group);
        assert_eq!(ids(&up.along)[..2], ["closed and behind", "open and ahead"]);
        assert_eq!(ids(&up.against)[0], "open and behind");
        assert!(!ids(&up.along).contains(&"no feet"));
        let place = |id: &str| ids(&up.along).iter().position(|x| *x == id);
        assert!(place("closed, who knows") > place("closed and behind"), "a coarse value tells less");
        let down = relation(of, by, false, &group);
        assert_eq!((ids(&down.along), ids(&down.against)), (ids(&up.against), ids(&up.along)));
        assert!(relation(of, by, true, &[]).along.is_empty());
    }
}
