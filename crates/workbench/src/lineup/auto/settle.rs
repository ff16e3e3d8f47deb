//! All clips of a view together: one camera, one reading of the yard lines, and how sure that is.

use super::ends::{Habit, behind};
use super::found::{Found, Reading};
use field::{Direction, RuleBook};
use geometry::Point3;
use play::Clip;
use register::{Belongs, FieldModel, FrameEvidence, GameSettings, KnownStation, SETTLED, agree};
use std::collections::BTreeSet;

/// Log probability of a reading that the evaluator's own word or clicks exclude.
const EXCLUDED: f64 = -60.0;
/// Log odds at which a clip's own pictures tell from which end it was taken, whatever the others say.
const PLAIN_END: f64 = 4.0;
/// The same of several clips together, against what was said of one that another camera may have taken.
const SHOWN_END: f64 = 2.2;
/// Most that is believed of a clip's reading where the game's camera would allow others: what the clip itself says leaned on that camera's
/// place.
const OPEN: f64 = 0.9;

/// One clip as it enters the settlement.
pub(super) struct Item {
    pub clip: Clip,
    pub found: Found,
    /// Which way the offense goes, where it is charted.
    pub direction: Option<Direction>,
    /// The reading that the evaluator gave or that follows from his clicks, and whether by clicks.
    pub told: Option<(Reading, bool)>,
}

/// What a clip came to.
#[derive(Clone, Debug)]
pub(super) struct Settled {
    pub reading: Reading,
    pub belongs: Belongs,
    pub station: Option<KnownStation>,
    pub probability: Option<f64>,
    pub by: String,
    pub others: usize,
}

fn inverse(r: Reading) -> Reading {
    if r.turned { r } else { Reading { yards: -r.yards, turned: false } }
}

/// Log probability of a reading of a clip.
fn log(item: &Item, r: Reading) -> f64 {
    match item.told {
        Some((told, _)) => {
            if told == r {
                0.0
            } else {
                EXCLUDED
            }
        }
        None => item.found.votes.iter().map(|v| v.log(r)).sum(),
    }
}

/// The likeliest of the readings that any clip of a group names, once each clip is read as it agrees with the others, with its
/// probability.
fn group_reading(
    items: &[&Item],
    relative: &[Reading],
    ends: impl Fn(&Item, Reading) -> f64,
) -> (Reading, Option<f64>) {
    let turned = Reading { yards: 0, turned: true };
    let mut named: BTreeSet<Reading> = BTreeSet::from([Reading::default()]);
    for (item, &r) in items.iter().zip(relative) {
        let votes = item.found.votes.iter().flat_map(|v| v.readings.iter().map(|r| r.0));
        named.extend(votes.chain(item.told.map(|t| t.0)).map(|v| inverse(r).then(v)));
    }
    if items.iter().any(|i| ends(i, Reading::default()) != ends(i, turned)) {
        named.extend(named.clone().into_iter().map(|g| g.then(turned)));
    }
    let scores: Vec<(Reading, f64)> = named
        .into_iter()
        .map(|g| (g, items.iter().zip(relative).map(|(i, r)| log(i, r.then(g)) + ends(i, r.then(g))).sum()))
        .collect();
    let Some(&best) = scores.iter().max_by(|a, b| a.1.total_cmp(&b.1)) else { return Default::default() };
    let total: f64 = scores.iter().map(|s| (s.1 - best.1).exp()).sum();
    let heard = items.iter().any(|i| i.told.is_some() || !i.found.votes.is_empty());
    (best.0, heard.then_some(1.0 / total))
}

/// Whether the clips that are sure by themselves, before any other told where the camera stands, are filmed from behind the offense.
pub(super) fn habit(items: &[&Item], book: RuleBook) -> Habit {
    Habit::of(items.iter().filter(|i| !i.found.placed).filter_map(|i| {
        let (reading, p) = group_reading(&[i], &[Reading::default()], |_, _| 0.0);
        behind(i, reading, book).filter(|_| p.is_some_and(|p| p >= SETTLED))
    }))
}

/// The same from clips that are sure once they are settled together. One that the others turned against its own picture tells nothing.
fn habit_together(items: &[&Item], settled: &[Settled], book: RuleBook) -> Habit {
    Habit::of(items.iter().zip(settled).filter_map(|(i, s)| {
        let own = !i.found.placed && s.probability.is_some_and(|p| p >= SETTLED);
        behind(i, s.reading, book).filter(|_| own && turned_by(i, s.reading) < 0.0)
    }))
}

/// Settles the clips of one view, and says what they show of where the camera stands.
pub(super) fn settle_view(items: &[&Item], field: &FieldModel) -> (Vec<Settled>, Habit) {
    let book = field.rule_book;
    let alone = habit(items, book);
    let settled = settle_by(items, field, alone);
    if alone != Habit::default() {
        return (settled, alone);
    }
    // Clips that leave their end open can still be sure of it together.
    match habit_together(items, &settled, book) {
        together if together == alone => (settled, alone),
        together => (settle_by(items, field, together), together),
    }
}

fn settle_by(items: &[&Item], field: &FieldModel, habit: Habit) -> Vec<Settled> {
    let book = field.rule_book;
    let settings = GameSettings::known_crown(book, field.crown);
    let ends = |i: &Item, r: Reading| habit.log(i, r, book);
    let mut out: Vec<Option<Settled>> = vec![None; items.len()];
    let mut left: Vec<usize> =
        (0..items.len()).filter(|&k| !items[k].found.moves && items[k].found.evidence.len() >= 2).collect();
    // A game may have a camera behind either end: who does not agree with the first may agree among themselves.
    for _ in 0..2 {
        if left.len() < 2 {
            break;
        }
        let evidence: Vec<Vec<FrameEvidence>> =
            left.iter().map(|&k| items[k].found.evidence.iter().map(|e| e.1.clone()).collect()).collect();
        let Some(game) = agree(&evidence, &settings) else { break };
        let relative = |b: Belongs| match b {
            Belongs::Agrees => Some(Reading::default()),
            Belongs::Shifted(yards) => Some(Reading { yards, turned: false }),
            Belongs::Turned => Some(Reading { yards: 0, turned: true }),
            _ => None,
        };
        let members: Vec<(usize, Reading)> =
            left.iter().zip(&game.clips).filter_map(|(&k, &b)| Some((k, relative(b)?))).collect();
        if members.len() < 2 {
            break;
        }
        let (members, common, probability) = sharing(members, items, &habit, book);
        let station = moved(&game.adjustment.station, common, book);
        for &(k, r) in &members {
            let reading = r.then(common);
            let by = match items[k].told {
                Some((_, true)) => "your clicks".to_owned(),
                Some((_, false)) => "your word".to_owned(),
                None => grounds(items[k], reading),
            };
            let told = items[k].told.is_some_and(|t| t.0 == reading);
            out[k] = Some(Settled {
                reading,
                belongs: Belongs::Agrees,
                station: Some(station.clone()),
                probability: if told { Some(1.0) } else { probability },
                by,
                others: members.len() - 1,
            });
        }
        for (&k, &b) in left.iter().zip(&game.clips) {
            if out[k].is_none() {
                // One clip against all others in which end it was taken from may err, unless the offense's way speaks for it.
                let spoken_for = habit.broken(items[k], Reading { yards: 0, turned: true }, book);
                let b = if b == Belongs::Turned && !spoken_for { Belongs::Open } else { b };
                out[k] = Some(alone(items[k], b, ends));
            }
        }
        left.retain(|&k| out[k].as_ref().is_some_and(|s| s.station.is_none()));
    }
    out.into_iter()
        .enumerate()
        .map(|(k, s)| s.unwrap_or_else(|| alone(items[k], Belongs::Unknown, ends)))
        .collect()
}

/// Of clips that agree once each is read as its number says, those that can share one reading, that reading and its probability.
fn sharing(
    mut members: Vec<(usize, Reading)>,
    items: &[&Item],
    habit: &Habit,
    book: RuleBook,
) -> (Vec<(usize, Reading)>, Reading, Option<f64>) {
    let together = |members: &[(usize, Reading)]| {
        let those: Vec<&Item> = members.iter().map(|m| items[m.0]).collect();
        let readings: Vec<Reading> = members.iter().map(|m| m.1).collect();
        group_reading(&those, &readings, |i, r| habit.log(i, r, book))
    };
    // What was said of a clip that agrees turned round tells which end the others were taken from only if one camera took them all. Where
    // their own pictures say otherwise another took it; where they say nothing, its word is no more than likely theirs.
    let (said, unsaid): (Vec<_>, Vec<_>) = members.iter().partition(|m| items[m.0].told.is_some());
    let mut most: f64 = 1.0;
    if !said.is_empty() && !unsaid.is_empty() {
        let (theirs, _) = together(&unsaid);
        let elsewhere = |m: &(usize, Reading)| {
            items[m.0].told.is_some_and(|(told, _)| told.turned != m.1.then(theirs).turned)
        };
        let mirrored = |m: &(usize, Reading)| {
            2 * unsaid.iter().filter(|u| u.1.turned == m.1.turned).count() < unsaid.len()
        };
        let odds: f64 = unsaid.iter().map(|m| turned_by(items[m.0], m.1.then(theirs))).sum();
        if odds < -SHOWN_END {
            members.retain(|m| !elsewhere(m));
        } else if said.iter().all(mirrored) {
            most = OPEN;
        }
    }
    let (mut common, mut probability) = together(&members);
    // Cameras behind both ends look like one that was turned round: who would stand before the offense belongs to the other, and so does
    // whose own pictures say plainly from which end they were taken. And however many clips say otherwise, what the evaluator said of one
    // is not overturned.
    loop {
        let stays = |m: &(usize, Reading)| {
            let (item, reading) = (items[m.0], m.1.then(common));
            match item.told {
                Some((told, _)) => told == reading,
                None => !habit.broken(item, reading, book) && !turned_against(item, reading),
            }
        };
        if members.iter().all(stays) || !members.iter().any(stays) {
            break;
        }
        members.retain(stays);
        (common, probability) = together(&members);
    }
    members.retain(|m| items[m.0].told.is_none_or(|t| t.0 == m.1.then(common)));
    (members, common, probability.map(|p| p.min(most)))
}

/// Whether a clip's own pictures say plainly that it was taken from the other end than a reading has it.
fn turned_against(item: &Item, reading: Reading) -> bool {
    turned_by(item, reading) > PLAIN_END
}

/// Log odds in a clip's own pictures that it was taken from the other end than a reading has it.
fn turned_by(item: &Item, reading: Reading) -> f64 {
    let own = item.found.votes.iter().flat_map(|v| v.readings.iter().map(|r| r.0));
    let unnamed = log(item, Reading { yards: i16::MAX, turned: false });
    let likeliest = |turned: bool| {
        own.clone().filter(|r| r.turned == turned).map(|r| log(item, r)).fold(unnamed, f64::max)
    };
    likeliest(!reading.turned) - log(item, reading).max(likeliest(reading.turned))
}

/// A clip that stands by itself.
fn alone(item: &Item, belongs: Belongs, ends: impl Fn(&Item, Reading) -> f64) -> Settled {
    let belongs = if item.found.moves { Belongs::Moves } else { belongs };
    let (reading, mut probability) = group_reading(&[item], &[Reading::default()], ends);
    if belongs == Belongs::Open && item.told.is_none() {
        probability = probability.map(|p| p.min(OPEN));
    }
    let by = match item.told {
        Some((_, true)) => "your clicks".to_owned(),
        Some((_, false)) => "your word".to_owned(),
        None => grounds(item, reading),
    };
    Settled { reading, belongs, station: None, probability, by, others: 0 }
}

/// What told the reading in the clip itself.
fn grounds(item: &Item, reading: Reading) -> String {
    let vote = item.found.votes.iter().find(|v| {
        let best = v.readings.iter().max_by(|a, b| a.1.total_cmp(&b.1));
        best.is_some_and(|b| b.0 == reading) && v.grounds.is_some()
    });
    vote.and_then(|v| v.grounds.clone()).unwrap_or_default()
}

/// A station by another reading.
fn moved(k: &KnownStation, r: Reading, book: RuleBook) -> KnownStation {
    let mut out = k.clone();
    let c = k.station.centre;
    if r.turned {
        out.station.centre = Point3::new(book.length() - c.x, book.width() - c.y, c.z);
        for (i, v) in out.covariance.iter_mut().enumerate() {
            let flips = usize::from(i / 4 < 2) + usize::from(i % 4 < 2);
            if flips == 1 {
                *v = -*v;
            }
        }
    }
    out.station.centre.x += f64::from(r.yards);
    out
}
#[cfg(test)]
mod tests {
    use super::super::found::Vote;
    use super::*;
    use crate::lineup::ClipCameras;
    use camera::Station;
    use play::View;

    fn item(readings: &[(i16, f64)], told: Option<i16>) -> Item {
        let clip = Clip {
            id: "c".into(),
            film: "f".into(),
            first: 0,
            end: 10,
            view: Some(View::Sideline),
            play: None,
            snap_frame: None,
        };
        let vote = Vote {
            frame: 0,
            readings: readings.iter().map(|&(yards, p)| (Reading { yards, turned: false }, p)).collect(),
            grounds: None,
        };
        let found = Found {
            cameras: ClipCameras::of(&clip),
            evidence: Vec::new(),
            votes: if readings.is_empty() { Vec::new() } else { vec![vote] },
            moves: false,
            clicked: false,
            placed: false,
            findings: Vec::new(),
        };
        let told = told.map(|yards| (Reading { yards, turned: false }, false));
        Item { clip, found, direction: None, told }
    }

    fn pinhole(x: f64) -> camera::CameraEstimate {
        let station = Station { centre: Point3::new(x, 26.0, 14.0), k1: 0.0, width: 1280, height: 720 };
        let aim = camera::Aim { pan: 0.0, tilt: 0.1, roll: 0.0, focal: 2000.0 };
        camera::CameraEstimate {
            camera: camera::FieldCamera::Pinhole(camera::Pinhole { station, aim }),
            covariance: vec![0.0; 64],
            quality: camera::FrameQuality { rms_px: 0.3, evidence: 90, coverage: 0.8, trusted: true },
        }
    }

    /// The camera stood behind the offense whenever that was plain; an open clip is read so, too.
    #[test]
    fn the_end_follows_the_offense_where_the_game_shows_that_habit() {
        let turned = Reading { yards: 0, turned: true };
        let clip = |x: f64, direction: Direction, votes: &[(Reading, f64)]| {
            let mut i = item(&[(0, 0.5)], None);
            i.clip.view = Some(View::EndZone);
            i.direction = Some(direction);
            i.found.cameras.frames[0] = Some(pinhole(x));
            i.found.votes[0].readings = votes.to_vec();
            i
        };
        let sure = [(Reading::default(), 0.999)];
        let open = [(Reading::default(), 0.5), (turned, 0.5)];
        let (a, b) = (clip(-30.0, Direction::Up, &sure), clip(130.0, Direction::Down, &sure));
        let book = RuleBook::College;
        let h = habit(&[&a, &b, &a, &b], book);
        let doubtful = clip(-30.0, Direction::Down, &open);
        let (reading, p) = group_reading(&[&doubtful], &[shift(0)], |i, r| h.log(i, r, book));
        assert_eq!(reading, turned);
        assert!(p.unwrap() > 0.9 && p.unwrap() < SETTLED, "likely, not settled: {p:?}");
        // A game filmed from one end only has no such habit.
        let front = clip(-30.0, Direction::Down, &sure);
        assert_eq!(habit(&[&a, &front, &a, &front], book), Habit::default());
    }

    fn shift(yards: i16) -> Reading {
        Reading { yards, turned: false }
    }

    /// Three clips that agree once the second is read five yards back: each weakly for the place that the third is sure of.
    #[test]
    fn clips_that_agree_vote_together() {
        let clips = [
            item(&[(0, 0.5), (5, 0.4)], None),
            item(&[(-5, 0.5), (0, 0.4)], None),
            item(&[(0, 0.002), (5, 0.99)], None),
        ];
        let those: Vec<&Item> = clips.iter().collect();
        let relative = [shift(0), shift(-5), shift(0)];
        let (reading, probability) = group_reading(&those, &relative, |_, _| 0.0);
        assert_eq!(reading, shift(5));
        assert!(probability.unwrap() > 0.99);
        // By itself the first would have it otherwise, and would say how unsure it is.
        let (alone, p) = group_reading(&those[..1], &relative[..1], |_, _| 0.0);
        assert_eq!(alone, shift(0));
        assert!((p.unwrap() - 0.5 / 0.9).abs() < 1e-9);
    }

    #[test]
    fn the_evaluators_word_outweighs_every_picture() {
        let clips = [item(&[(0, 0.999)], None), item(&[(0, 0.999)], Some(-10))];
        let those: Vec<&Item> = clips.iter().collect();
        let (reading, p) = group_reading(&those, &[shift(0), shift(0)], |_, _| 0.0);
        assert_eq!(reading, shift(-10));
        assert!(p.unwrap() > 0.99);
    }

    /// A camera behind the other end looks like this one turned round: twelve sure clips do not turn the one that was clicked.
    #[test]
    fn what_was_said_of_a_clip_is_not_outvoted() {
        let turned = Reading { yards: 0, turned: true };
        let mut clips: Vec<Item> = (0..12).map(|_| item(&[(0, 0.9999)], None)).collect();
        clips.push(item(&[], Some(0)));
        let those: Vec<&Item> = clips.iter().collect();
        let members: Vec<_> = (0..13).map(|k| (k, if k == 12 { turned } else { shift(0) })).collect();
        let (kept, common, p) = sharing(members, &those, &Habit::default(), RuleBook::College);
        assert_eq!((kept.len(), common), (12, shift(0)));
        assert!(kept.iter().all(|m| m.0 != 12) && p.unwrap() > SETTLED);
    }

    /// Nor does one that was clicked turn others that show their own end, and of others that show none it is not sure.
    #[test]
    fn a_clicked_clip_does_not_turn_those_of_the_camera_at_the_other_end() {
        let turned = Reading { yards: 0, turned: true };
        let group = |own: f64| {
            let mut clips: Vec<Item> = (0..4).map(|_| item(&[(0, own)], None)).collect();
            clips.iter_mut().for_each(|c| c.found.votes[0].readings.push((turned, 1.0 - own)));
            clips.push(item(&[], Some(0)));
            let those: Vec<&Item> = clips.iter().collect();
            let members = (0..5).map(|k| (k, if k == 4 { turned } else { shift(0) })).collect();
            sharing(members, &those, &Habit::default(), RuleBook::College)
        };
        let (kept, common, p) = group(0.9);
        assert_eq!((kept.len(), common), (4, shift(0)));
        assert!(p.unwrap() > SETTLED);
        let (kept, common, p) = group(0.5);
        assert_eq!((kept.len(), common), (5, turned));
        assert!(p.unwrap() <= OPEN, "a second camera may have taken the others");
    }

    /// The same with a clip whose own pictures show the end it was taken from; one that shows nothing of it goes with the others.
    #[test]
    fn a_clip_that_shows_its_own_end_belongs_to_the_camera_there() {
        let turned = Reading { yards: 0, turned: true };
        let mut clips: Vec<Item> = (0..3).map(|_| item(&[(0, 0.9999)], None)).collect();
        clips.push(item(&[(0, 0.99)], None));
        clips.push(item(&[(0, 0.5)], None));
        clips[4].found.votes[0].readings.push((turned, 0.5));
        let those: Vec<&Item> = clips.iter().collect();
        let members = vec![(0, shift(0)), (1, shift(0)), (2, shift(0)), (3, turned), (4, turned)];
        let (kept, common, p) = sharing(members, &those, &Habit::default(), RuleBook::College);
        assert_eq!(common, shift(0));
        assert_eq!(kept.iter().map(|m| m.0).collect::<Vec<_>>(), [0, 1, 2, 4]);
        assert!(p.unwrap() > SETTLED);
    }

    #[test]
    fn where_nothing_is_said_nothing_is_claimed() {
        let clip = item(&[], None);
        assert_eq!(group_reading(&[&clip], &[shift(0)], |_, _| 0.0), (shift(0), None));
    }

    #[test]
    fn a_station_turned_twice_is_itself() {
        let station = Station { centre: Point3::new(131.0, 27.0, 13.0), k1: -0.01, width: 1280, height: 720 };
        let k = KnownStation { station, covariance: std::array::from_fn(|i| 0.01 * i as f64) };
        let round = Reading { yards: 0, turned: true };
        let back = moved(&moved(&k, round, RuleBook::College), round, RuleBook::College);
        assert!(back.station.centre.distance(station.centre) < 1e-12);
        assert_eq!(back.covariance, k.covariance);
    }
}
