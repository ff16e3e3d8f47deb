//! Whether two views place the same men at the same yard lines.
//!
//! A view read a yard line off is right in itself: its grid lies on the chalk. Where the other view sees the same men gives it away.

use crate::assign::assign_or_leave;
use crate::found::SpottedView;
use crate::tracks::{GroundObservation, view_name};
use field::RuleBook;
use geometry::Covariance2;
use play::{Finding, PersonId, Severity, View};
use std::collections::BTreeMap;

/// Code of the finding that two views contradict each other.
pub const VIEWS_APART: &str = "views-apart";

/// What two views' places of the same men say of how the views are lined up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ViewsApart {
    /// The second view's men stand with the first's once it is read this many yards farther along, yd.
    pub yards: i16,
    /// And the field is turned by half a turn first.
    pub turned: bool,
    /// Men of whom both views tell, on average over the instants compared.
    pub men: f64,
    /// Share of them that stand together as the views are lined up, 0 to 1.
    pub together: f64,
    /// Share that do once it is read so, 0 to 1.
    pub then: f64,
}

/// Instants compared, s from the snap: men stand still before it, so that clocks need not agree, and have not scattered yet after it.
const FROM_S: f64 = -1.5;
const UNTIL_S: f64 = 1.0;
const EVERY_S: f64 = 0.25;
/// Farthest that two views' frames are from one instant, s.
const AT_ONCE_S: f64 = 0.06;
/// What keeps the same man's places apart beyond what both claim, yd: unlike parts of him seen, a tenth of a second between the clocks.
const LOOSE_YD: f64 = 0.35;
/// Squared standard deviations beyond which two places are not one man's (chi squared with 2 degrees of freedom, 99%).
const GATE: f64 = 9.21;
/// Fewest men of whom both views must tell.
const LEAST_MEN: f64 = 4.0;
/// Share that must stand together under the other reading, and by how much more than as lined up: men in rows partly fit a wrong name too.
const MOST_FIT: f64 = 0.6;
const FIT_BETTER: f64 = 0.3;
/// Yard lines tried either way, yd.
const SHIFTS: [i16; 13] = [0, 5, -5, 10, -10, 15, -15, 20, -20, 25, -25, 30, -30];

/// Somebody at an instant; a name where it is known.
type Man<'a> = (Option<&'a PersonId>, GroundObservation);
/// Who stood where at an instant, by either view.
type Instant<'a> = [Vec<Man<'a>>; 2];

/// Where the first two views place men who were found but not named. `None` while the views agree or too few men are in both.
pub fn found_apart(views: &[SpottedView], book: RuleBook) -> Option<ViewsApart> {
    let [one, other] = views else { return None };
    let at = |v: &SpottedView, t: f64| -> Vec<Man<'static>> {
        let nearest = v.frames.iter().min_by(|a, b| (a.0 - t).abs().total_cmp(&(b.0 - t).abs()));
        let frame = nearest.filter(|f| (f.0 - t).abs() <= AT_ONCE_S);
        frame.map_or_else(Vec::new, |f| f.1.iter().map(|s| (None, s.at)).collect())
    };
    let steps = ((UNTIL_S - FROM_S) / EVERY_S) as u32;
    let instants: Vec<Instant<'_>> =
        (0..=steps).map(|k| FROM_S + EVERY_S * f64::from(k)).map(|t| [at(one, t), at(other, t)]).collect();
    apart(&instants, book)
}

/// Where two views place men who were named. `None` while the views agree or too few men are marked in both at the same instants.
pub fn named_apart(
    people: &BTreeMap<PersonId, Vec<GroundObservation>>,
    views: [View; 2],
    book: RuleBook,
) -> Option<ViewsApart> {
    // Each man at the one pair of instants, one a view, that lie closest: everybody is marked at moments of his own.
    let mut all: Instant<'_> = Default::default();
    for (id, seen) in people {
        let of = |v: View| seen.iter().filter(move |o| o.view == v);
        let pairs = of(views[0]).flat_map(|a| of(views[1]).map(move |b| (a, b)));
        let closest = pairs.min_by(|p, q| {
            let gap = |(a, b): &(&GroundObservation, &GroundObservation)| (a.t_s - b.t_s).abs();
            gap(p).total_cmp(&gap(q))
        });
        if let Some((a, b)) = closest.filter(|(a, b)| (a.t_s - b.t_s).abs() <= 2.0 * AT_ONCE_S) {
            all[0].push((Some(id), *a));
            all[1].push((Some(id), *b));
        }
    }
    apart(&[all], book)
}

fn apart(instants: &[Instant<'_>], book: RuleBook) -> Option<ViewsApart> {
    let counted: Vec<&Instant<'_>> =
        instants.iter().filter(|i| i[0].len().min(i[1].len()) as f64 >= LEAST_MEN).collect();
    if counted.is_empty() {
        return None;
    }
    let men: f64 = counted.iter().map(|i| i[0].len().min(i[1].len()) as f64).sum();
    let share = |yards: i16, turned: bool| {
        counted.iter().map(|i| together(i, yards, turned, book)).sum::<usize>() as f64 / men
    };
    let as_is = share(0, false);
    let (yards, turned, then) = SHIFTS
        .iter()
        .flat_map(|&y| [(y, false), (y, true)])
        .map(|(y, turned)| (y, turned, share(y, turned)))
        .max_by(|a, b| a.2.total_cmp(&b.2).then(b.0.abs().cmp(&a.0.abs())))?;
    (then >= MOST_FIT && then - as_is >= FIT_BETTER).then_some(ViewsApart {
        yards,
        turned,
        men: men / counted.len() as f64,
        together: as_is,
        then,
    })
}

/// How many men stand together once the second view is read so.
fn together(i: &Instant<'_>, yards: i16, turned: bool, book: RuleBook) -> usize {
    let cost = |a: &Man<'_>, b: &Man<'_>| {
        if a.0 != b.0 {
            return f64::INFINITY;
        }
        let mut p = b.1.position;
        if turned {
            (p.x, p.y) = (book.length() - p.x, book.width() - p.y);
        }
        p.x += f64::from(yards);
        let c = [a.1.noise, a.1.common, b.1.noise, b.1.common]
            .into_iter()
            .fold(Covariance2::isotropic(LOOSE_YD), Covariance2::plus);
        let d = a.1.position - p;
        let v = nalgebra::Vector2::new(d.x, d.y);
        c.matrix().try_inverse().map_or(f64::INFINITY, |inverse| (v.transpose() * inverse * v)[0])
    };
    let costs: Vec<Vec<f64>> = i[0].iter().map(|a| i[1].iter().map(|b| cost(a, b)).collect()).collect();
    assign_or_leave(&costs, GATE).into_iter().flatten().count()
}

impl ViewsApart {
    /// As a finding of the play; `second` is the view that would have to be read otherwise for the two to agree.
    pub fn finding(&self, second: View) -> Finding {
        let way = match (self.turned, self.yards) {
            (true, 0) => "turned by half a turn".to_owned(),
            (true, y) => format!("turned by half a turn and read {y:+} yards along"),
            (false, y) => format!("read {y:+} yards along"),
        };
        let text = format!(
            "the two views place the same men apart: {:.0}% of {:.0} stand together as lined up, {:.0}% once the {} view is {way}; one of \
             them may be at the wrong yard line",
            100.0 * self.together,
            self.men,
            100.0 * self.then,
            view_name(second),
        );
        Finding::new(Severity::Weak, VIEWS_APART, text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::found::{Dress, Spot};
    use crate::tracks::Origin;
    use geometry::{Point2, Vector2};
    use rand::{RngExt, SeedableRng};
    use rand_chacha::ChaCha8Rng;

    const BOOK: RuleBook = RuleBook::College;

    /// Two teams of a spread formation before the snap: five men on either line and the others where they line up, x and y in yd.
    const MEN: [[f64; 2]; 22] = [
        [34.2, 24.0],
        [34.2, 25.4],
        [34.0, 26.7],
        [34.2, 28.1],
        [34.2, 29.5],
        [30.0, 26.7],
        [29.8, 24.3],
        [34.6, 6.0],
        [33.4, 14.0],
        [33.5, 40.0],
        [34.6, 48.0],
        [35.9, 23.2],
        [35.8, 26.0],
        [35.8, 28.6],
        [36.0, 31.0],
        [39.4, 24.5],
        [39.8, 30.2],
        [40.9, 14.5],
        [42.0, 6.5],
        [41.2, 46.9],
        [46.1, 18.0],
        [48.7, 33.5],
    ];

    fn seen(view: View, t_s: f64, at: [f64; 2], off: f64, r: &mut ChaCha8Rng) -> GroundObservation {
        // Each view is good across its line of sight and poor along it.
        let (sx, sy) = if view == View::Sideline { (0.1, 0.3) } else { (0.5, 0.1) };
        let mut jolt = |sd: f64| sd * 1.7 * r.random_range(-1.0..1.0f64);
        let position = Point2::new(at[0] + off + jolt(sx), at[1] + jolt(sy));
        let noise = Covariance2 { xx: sx * sx, xy: 0.0, yy: sy * sy };
        let common = Covariance2::isotropic(0.05);
        GroundObservation { view, t_s, position, velocity: None, noise, common, origin: Origin::Found }
    }

    /// Both views of the men, a fifth of them hidden from each, with somebody else here and there.
    fn views(off: f64, turned: bool, seed: u64) -> [SpottedView; 2] {
        let mut r = ChaCha8Rng::seed_from_u64(seed);
        let mut of = |view: View, off: f64, turned: bool| {
            let frames = (-40..30).map(|k| {
                let t = 0.04 * f64::from(k);
                let mut spots: Vec<Spot> = Vec::new();
                for m in MEN.iter().chain([&[28.0, 35.0], &[45.0, 22.0]]) {
                    if r.random_bool(0.2) {
                        continue;
                    }
                    let at = if turned { [BOOK.length() - m[0], BOOK.width() - m[1]] } else { *m };
                    spots.push(Spot {
                        frame: 0,
                        at: seen(view, t, at, off, &mut r),
                        dress: Dress([0.0; 7]),
                        seen: 1.0,
                        by_height: Vector2::new(0.0, 0.0),
                    });
                }
                (t, spots)
            });
            SpottedView { view, frames: frames.collect() }
        };
        [of(View::Sideline, 0.0, false), of(View::EndZone, off, turned)]
    }

    #[test]
    fn views_that_agree_are_not_told_apart() {
        for seed in 0..20 {
            assert_eq!(found_apart(&views(0.0, false, seed), BOOK), None);
            // Half a yard is the lens or the grass, no name.
            assert_eq!(found_apart(&views(0.5, false, seed), BOOK), None);
        }
    }

    #[test]
    fn a_view_read_some_yard_lines_off_or_turned_round_is_named_with_what_mends_it() {
        for (k, off) in [5i16, -5, 10, -15, 25].into_iter().enumerate() {
            let found = found_apart(&views(f64::from(off), false, k as u64), BOOK).unwrap();
            assert_eq!((found.yards, found.turned), (-off, false));
            assert!(found.then > 0.75 && found.together < 0.4, "{found:?}");
        }
        let found = found_apart(&views(0.0, true, 9), BOOK).unwrap();
        assert_eq!((found.yards, found.turned), (0, true));
    }

    #[test]
    fn men_who_were_named_need_be_few() {
        let mut r = ChaCha8Rng::seed_from_u64(4);
        let mut people = BTreeMap::new();
        for (k, m) in MEN.iter().enumerate().skip(5).take(5) {
            let one = seen(View::Sideline, 0.0, *m, 0.0, &mut r);
            let other = seen(View::EndZone, 0.02, *m, 5.0, &mut r);
            people.insert(PersonId(format!("p{k}")), vec![one, other]);
        }
        let order = [View::Sideline, View::EndZone];
        assert_eq!(named_apart(&people, order, BOOK).unwrap().yards, -5);
        let said = named_apart(&people, order, BOOK).unwrap().finding(View::EndZone).message;
        assert!(said.contains("once the end-zone view is read -5 yards along"), "{said}");
        // Marked seconds apart they tell nothing: men run.
        for seen in people.values_mut() {
            seen[1].t_s += 2.0;
        }
        assert_eq!(named_apart(&people, order, BOOK), None);
        assert_eq!(named_apart(&BTreeMap::new(), order, BOOK), None);
    }
}
