//! How often windows and reads are right on invented plays, as JSON lines. No test uses these seeds.
#![allow(clippy::print_stdout)]

#[allow(dead_code, reason = "shared with the other example")]
mod support;

use field::RuleBook;
use play::{Air, Person, PersonId, Role, Track};
use reads::board::Board;
use reads::key;
use support::{Dice, Way, person, play, receiver, situation, track, tracks};
use window::{Difference, FlightTable, Parameters, Request, Scene, Spread, WindowDraws, compare, windows};

const UNSEEN: u64 = 20_000_000;

fn higher(name: &str, value: f64, unit: &str, goal: f64, holds: bool, note: &str) {
    println!(
        "{}",
        serde_json::json!({"name": name, "value": value, "unit": unit, "goal": goal, "better": "higher", "holds": holds, "note": note})
    );
}

fn share(n: usize, of: usize) -> f64 {
    100.0 * n as f64 / of.max(1) as f64
}

/// Defenders and receivers of one play differ from the usual ones by what the error bars claim.
fn drawn(p: &Parameters, dice: &mut Dice) -> Parameters {
    let mut own = *p;
    let mut vary = |s: &mut Spread, least: f64| s.value = (s.value + s.sd * dice.normal()).max(least);
    for m in [&mut own.receiver, &mut own.cover] {
        vary(&mut m.reaction_s, 0.0);
        vary(&mut m.top_speed_ydps, 3.0);
        vary(&mut m.acceleration_ydps2, 1.0);
        vary(&mut m.arm_yd, 0.0);
    }
    own
}

fn run(
    people: &[Person],
    tracks: &[Track],
    table: &FlightTable,
    p: &Parameters,
    request: &Request,
) -> WindowDraws {
    windows(&Scene { people, tracks, rule_book: RuleBook::College }, table, p, request)
        .expect("a whole play")
        .0
}

/// Which of two receivers is the more open: called from measured tracks against the truth without errors.
fn receivers() {
    let p = Parameters::ours();
    let table = FlightTable::new(&Air::default(), &p).expect("standard air");
    let request = Request { from_s: 2.0, until_s: 3.0, rate_hz: 1.0, draws: 200, seed: 5 };
    let (mut apart, mut called, mut right, mut ahead) = (0, 0, 0, 0);
    let (mut near, mut said_near) = (0, 0);
    let (mut covered, mut margins) = (0, 0);
    for seed in UNSEEN..UNSEEN + 150 {
        let mut dice = Dice::new(seed);
        let (people, ways) = play(&mut dice);
        let own = drawn(&p, &mut dice);
        let truth =
            run(&people, &tracks(&people, &ways, None), &table, &own, &Request { draws: 2, ..request });
        let seen = run(&people, &tracks(&people, &ways, Some(&mut dice)), &table, &p, &request);
        for k in 0..seen.releases.len() {
            for a in 0..4 {
                let (Some(x), Some(tx)) = (seen.cell(a, k), truth.cell(a, k)) else { continue };
                if tx.ball.is_some() && x.ball.is_some() {
                    let m = x.summary(seen.releases[k]).margin_s;
                    margins += 1;
                    covered += usize::from(m.interval(0.9).contains(tx.measured.margin_s));
                }
                for b in a + 1..4 {
                    let (Some(y), Some(ty)) = (seen.cell(b, k), truth.cell(b, k)) else { continue };
                    let (s, yd) = (
                        tx.measured.margin_s - ty.measured.margin_s,
                        tx.measured.margin_yd - ty.measured.margin_yd,
                    );
                    let said = compare(x, y, &p);
                    let beyond = s * yd > 0.0
                        && (s.abs() >= p.resolution.margin_s || yd.abs() >= p.resolution.margin_yd);
                    if !beyond {
                        near += 1;
                        said_near += usize::from(said == Difference::NotSeen);
                        continue;
                    }
                    apart += 1;
                    let better = if s > 0.0 { Difference::First } else { Difference::Second };
                    ahead += usize::from((x.measured.margin_s > y.measured.margin_s) == (s > 0.0));
                    called += usize::from(said != Difference::NotSeen);
                    right += usize::from(said == better);
                }
            }
        }
    }
    let v = share(ahead, apart);
    let note = format!(
        "wider measured margin is the wider in truth, {apart} pairs apart by the resolution in truth; 150 plays, tracks wrong by {} yd",
        support::SD_YD
    );
    higher("window.better_receiver", v, "%", 90.0, v >= 90.0, &note);
    let v = share(right, called);
    let note = format!(
        "of the {called} of those pairs that are called; of the others the program says it sees no difference"
    );
    higher("window.better_receiver_called", v, "%", 90.0, v >= 90.0, &note);
    let v = share(said_near, near);
    higher(
        "window.no_difference_called",
        v,
        "%",
        90.0,
        v >= 90.0,
        &format!("of {near} pairs closer than the resolution in truth"),
    );
    let v = share(covered, margins);
    let note = format!("holds from 85 to 95; claimed 90% intervals of {margins} margins");
    higher("window.coverage.margin", v, "%", 85.0, (85.0..=95.0).contains(&v), &note);
}

/// When a key declares: from measured tracks against the scripted instant.
fn keys() {
    let (mut within, mut sided, mut covered, mut n, mut found) = (0, 0, 0, 0, 0);
    for seed in UNSEEN..UNSEEN + 400 {
        let mut dice = Dice::new(seed);
        let d = &mut dice;
        let speed = d.between(4.0, 7.0);
        let inside = d.between(3.0, 8.0);
        let outside = inside + d.between(8.0, 14.0);
        let slope = d.between(-1.0, 1.0);
        let a = Way(vec![(-1.0, 0.0, outside), (0.0, 0.0, outside), (6.0, 6.0 * speed, outside)]);
        let b = Way(vec![(-1.0, 0.0, inside), (0.0, 0.0, inside), (6.0, 6.0 * (speed + slope), inside)]);
        // He hangs in the middle, then goes to within a yard or two of one of them.
        let goes = d.between(1.0, 2.2);
        let to_first = d.chance(0.5);
        let takes = d.between(0.5, 1.0);
        let end = d.between(0.05, 0.2);
        let between = |t: f64, w: f64| {
            let (p, q) = (a.at(t), b.at(t));
            (t, p[0] + w * (q[0] - p[0]) + 1.5, p[1] + w * (q[1] - p[1]))
        };
        let start = d.between(0.45, 0.55);
        let last = if to_first { end } else { 1.0 - end };
        let mut corners: Vec<(f64, f64, f64)> = vec![(-1.0, 6.0, between(0.0, start).2)];
        corners.extend((0..=60).map(|k| {
            let t = f64::from(k) * 0.1;
            between(t, start + (last - start) * ((t - goes) / takes).clamp(0.0, 1.0))
        }));
        let key_way = Way(corners);
        // The scripted instant: the true choice, by the drawn ways alone, passes a third and stays.
        let choice = |t: f64| {
            let (k, p, q) = (key_way.at(t), a.at(t), b.at(t));
            let across = [q[0] - p[0], q[1] - p[1]];
            ((k[0] - p[0]) * across[0] + (k[1] - p[1]) * across[1]) / (across[0].powi(2) + across[1].powi(2))
        };
        let past =
            |t: f64| if to_first { choice(t) < key::DECLARED } else { choice(t) > 1.0 - key::DECLARED };
        let Some(truth) = (0..400).map(|k| f64::from(k) * 0.01).rfind(|t| !past(*t)).filter(|t| *t < 3.5)
        else {
            continue;
        };
        let other = Way(vec![(-1.0, 12.0, -6.0), (0.0, 12.0, -6.0), (6.0, 20.0, -6.0)]);
        let people = vec![receiver("L1"), receiver("L2"), person("K", Role::Cover), person("S", Role::Cover)];
        let tracks: Vec<Track> = [("L1", &a), ("L2", &b), ("K", &key_way), ("S", &other)]
            .into_iter()
            .map(|(id, way)| track(id, way, Some(d)))
            .collect();
        let situation = situation();
        let board = Board::new(&people, &tracks, &situation, RuleBook::College).expect("a charted situation");
        let (first, second) = (PersonId::from("L1"), PersonId::from("L2"));
        n += 1;
        let Some(k) = key::find(&board, &first, &second, 0.5, 2.0) else { continue };
        found += usize::from(k.as_str() == "K");
        if let Some(said) = key::declared(&board, &k, &first, &second, 0.0, 4.0) {
            within += usize::from((said.at_s.value - truth).abs() <= 0.15);
            sided += usize::from(said.to_first == to_first);
            covered += usize::from(said.at_s.interval(0.9).contains(truth));
        }
    }
    let v = share(within, n);
    let note = format!(
        "{n} scripted keys, found {:.0}%, to the right side {:.0}%",
        share(found, n),
        share(sided, n)
    );
    higher("reads.key_declared_within_0.15_s", v, "%", 80.0, v >= 80.0, &note);
    let v = share(covered, n);
    higher(
        "reads.coverage.key_declared",
        v,
        "%",
        85.0,
        (85.0..=95.0).contains(&v),
        "holds from 85 to 95; claimed 90% intervals of the instant",
    );
}

fn main() {
    receivers();
    keys();
}
