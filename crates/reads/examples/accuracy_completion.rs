//! Whether claimed chances of completion come true on invented throws, as JSON lines: tracks as a tracker would measure them.
//! The fit sees one set of games, the figures come from another that nothing was developed on. The simulator's hands and
//! reach are a model of their own. With `--develop` it tells of development games instead, by separation and depth.
#![allow(clippy::print_stdout, clippy::print_stderr)]

#[allow(dead_code, reason = "shared with the other examples")]
#[path = "support/invented.rs"]
mod invented;
#[allow(dead_code, reason = "shared with the other examples")]
mod support;

use geometry::{Covariance2, Point3};
use play::{Air, PersonId, Seen, Throw};
use rayon::prelude::*;
use scrimmage::sim::game::GameScript;
use scrimmage::sim::staged::StagedPlay;
use scrimmage::sim::world::Outcome;
use stats::{Claimed, Estimate, Scores, scores};
use support::Dice;
use window::{
    Came, Charted, Contest, FlightTable, Parameters, Request, Scene, WindowDraws, contest_at, evaluate_throw,
};

const DEVELOP: u64 = 41_000_000;
const FITTED: u64 = 42_000_000;
const UNSEEN: u64 = 43_000_000;
const GAMES: u64 = 40;
/// Games of a second fit: what is still off with so many throws is the model, not the chance in what it was fitted to.
const MANY_GAMES: u64 = 160;
/// So many that a decile's share is known to about .016: of ten shares the worst is then off by some .03 by chance alone.
const UNSEEN_GAMES: u64 = 400;
const PLAYS: usize = 30;
/// Error of a moment, s, and of the arrival's place, yd: a sample of a 10 Hz table either way.
const MOMENT_SD_S: f64 = 0.03;
const ARRIVAL_SD_YD: f64 = 0.3;

struct Thrown {
    /// The best ball to him at the release, and the one thrown.
    best: Contest,
    thrown: Contest,
    came: Came,
    separation_yd: f64,
    air_yd: f64,
}

fn game(seed: u64, table: &FlightTable, p: &Parameters) -> Vec<Thrown> {
    let game = GameScript::with_plays(seed, PLAYS);
    let kits = scrimmage::sim::teams::kits(&game.teams[0], &game.teams[1]);
    let mut out = Vec::new();
    for (k, script) in game.plays.iter().enumerate() {
        let stage = StagedPlay::new(&script.script, &kits);
        let truth = scrimmage::truth::of_play(script, &stage, Vec::new());
        let came = match truth.result {
            Outcome::Complete => Came::Complete,
            Outcome::Intercepted => Came::Intercepted,
            Outcome::Incomplete => Came::Incomplete,
            _ => continue,
        };
        let (Some(ball), Some(placement), Some(target), Some(release), Some(arrival)) = (
            &truth.ball,
            &truth.placement,
            truth.labels.target.as_deref().map(PersonId::from),
            truth.moments.release,
            truth.moments.arrival,
        ) else {
            continue;
        };
        let mut dice = Dice::new(seed * 1000 + k as u64);
        let (people, tracks) = invented::people(&truth, &stage, &mut dice);
        let release_s = release + MOMENT_SD_S * dice.normal();
        let flight_s = (arrival - release + MOMENT_SD_S * dice.normal()).max(0.1);
        let (dx, dy) = (ARRIVAL_SD_YD * dice.normal(), ARRIVAL_SD_YD * dice.normal());
        let scene = Scene { people: &people, tracks: &tracks, rule_book: truth.rule_book };
        let request = Request { draws: 60, seed, ..Request::default() };
        let Ok(best) = contest_at(&scene, table, p, &request, &target, release_s) else { continue };
        let throw = Throw {
            release_s: Estimate::new(release_s, MOMENT_SD_S),
            flight_s: Estimate::new(flight_s, MOMENT_SD_S),
            release: ball.release,
            arrival: Point3::new(ball.arrival.x + dx, ball.arrival.y + dy, ball.arrival.z),
            arrival_covariance: Covariance2::isotropic(ARRIVAL_SD_YD),
            arrival_height_ft: Seen::not("on the ground only"),
            speed_mph: Seen::not("on the ground only"),
            launch_deg: Seen::not("on the ground only"),
            side_deg: Seen::not("on the ground only"),
            apex_ft: Seen::not("on the ground only"),
            air_yd: Estimate::new(ball.air_yd, ARRIVAL_SD_YD),
            arc: Seen::not("on the ground only"),
            path: Vec::new(),
            rms_px: 0.0,
        };
        let none = WindowDraws { releases: vec![], receivers: vec![], cells: vec![], draws: 0 };
        let Ok(made) = evaluate_throw(&scene, table, p, &request, &none, &target, &throw, 0.0) else {
            continue;
        };
        out.push(Thrown {
            best,
            thrown: made.contest,
            came,
            separation_yd: placement.separation_yd,
            air_yd: ball.air_yd,
        });
    }
    out
}

fn games(first: u64, n: u64, table: &FlightTable, p: &Parameters) -> Vec<Thrown> {
    (first..first + n).into_par_iter().flat_map_iter(|seed| game(seed, table, p)).collect()
}

fn claims(throws: &[Thrown], p: &Parameters, scatter: f64, of: fn(&Thrown) -> &Contest) -> Vec<Claimed> {
    throws
        .iter()
        .map(|t| Claimed {
            probability: of(t).chances(&p.control, scatter).complete,
            came: t.came == Came::Complete,
        })
        .collect()
}

/// Largest distance of a decile's share from its claim, how many deciles' 90% intervals reach within .05 of it, and the root
/// mean square of the distances beyond what the counts alone scatter.
fn worst(s: &Scores) -> (f64, usize, f64) {
    let off = s.bins.iter().map(|b| (b.came - b.claimed).abs()).fold(0.0, f64::max);
    let near = s
        .bins
        .iter()
        .filter(|b| b.interval.low <= b.claimed + 0.05 && b.interval.high >= b.claimed - 0.05)
        .count();
    let beyond =
        s.bins.iter().map(|b| (b.came - b.claimed).powi(2) - b.claimed * (1.0 - b.claimed) / b.n as f64);
    (off, near, (beyond.sum::<f64>() / s.bins.len() as f64).max(0.0).sqrt())
}

fn say(name: &str, s: &Scores, goal: f64, what: &str) {
    let (off, near, beyond) = worst(s);
    let line = s.line.map_or(String::from("none"), |l| {
        format!("{:.2} ± {:.2} + {:.2} ± {:.2} times the log odds", l[0].value, l[0].se, l[1].value, l[1].se)
    });
    let note = format!(
        "{what}; {} throws, largest gap of a decile (its own share is known to about {:.3}); {near} of {} deciles' 90% intervals reach within .05 of the claim, root mean square gap beyond chance {beyond:.3}; Brier {:.3} ({:.3} to {:.3}; the plain rate {:.3}), log loss {:.3}; line {line}",
        s.n,
        (0.25 / (s.n as f64 / 10.0)).sqrt(),
        s.bins.len(),
        s.brier,
        s.brier_interval.low,
        s.brier_interval.high,
        s.brier_of_the_rate,
        s.log_loss,
    );
    println!(
        "{}",
        serde_json::json!({"name": name, "value": off, "unit": "", "goal": goal, "better": "lower", "holds": off <= goal, "note": note})
    );
}

/// Completions by the nearest defender's distance at arrival, yd: one professional season of open tracking, about 13,000
/// throws (docs/sources.md). What comes with the program should be of that size before any fit.
const PUBLISHED: [(f64, f64, f64); 5] =
    [(0.0, 1.0, 0.34), (1.0, 2.0, 0.58), (2.0, 3.0, 0.74), (3.0, 4.0, 0.81), (4.0, 6.0, 0.84)];

fn by_separation(throws: &[Thrown], p: &Parameters) {
    let mut worst: f64 = 0.0;
    let mut each = Vec::new();
    for (low, high, published) in PUBLISHED {
        let part: Vec<f64> = throws
            .iter()
            .filter(|t| (low..high).contains(&t.separation_yd))
            .map(|t| t.best.chances(&p.control, 1.0).complete)
            .collect();
        let mean = part.iter().sum::<f64>() / part.len().max(1) as f64;
        worst = worst.max((mean - published).abs());
        each.push(format!("{low} to {high} yd {mean:.2} against {published}"));
    }
    println!(
        "{}",
        serde_json::json!({"name": "window.completion_by_separation", "value": worst, "unit": "", "goal": 0.1, "better": "lower", "holds": worst <= 0.1, "note": format!("mean chance of the best ball at the release on {} invented throws, by the nearest defender at arrival, against a published season: {}; the plays are not that season's", throws.len(), each.join(", "))})
    );
}

fn develop(throws: &[Thrown], p: &Parameters) {
    let groups = |label: &str, edges: &[f64], of: fn(&Thrown) -> f64| {
        for w in edges.windows(2) {
            let part: Vec<&Thrown> = throws.iter().filter(|t| (w[0]..w[1]).contains(&of(t))).collect();
            let n = part.len().max(1) as f64;
            let mean = |f: &dyn Fn(&&Thrown) -> f64| part.iter().map(f).sum::<f64>() / n;
            eprintln!(
                "{label} {}-{}: n {n}, came {:.2}, best ball {:.2}, thrown {:.2}",
                w[0],
                w[1],
                mean(&|t| f64::from(u8::from(t.came == Came::Complete))),
                mean(&|t| t.best.chances(&p.control, 1.0).complete),
                mean(&|t| t.thrown.chances(&p.control, 1.0).complete)
            );
        }
    };
    groups("separation", &[0.0, 1.0, 2.0, 3.0, 4.0, 6.0, 20.0], |t| t.separation_yd);
    groups("air", &[0.0, 8.0, 12.0, 16.0, 20.0, 25.0, 35.0, 60.0], |t| t.air_yd);
}

fn main() {
    let p = Parameters::ours();
    let table = FlightTable::new(&Air::default(), &p).expect("standard air");
    if std::env::args().any(|a| a == "--develop") {
        let throws = games(DEVELOP, GAMES, &table, &p);
        develop(&throws, &p);
        for (what, of) in [("best", (|t| &t.best) as fn(&Thrown) -> &Contest), ("thrown", |t| &t.thrown)] {
            let s = scores(&claims(&throws, &p, 1.0, of), 10).expect("throws");
            for b in &s.bins {
                eprintln!("{what} {:.2} came {:.2}", b.claimed, b.came);
            }
            say(what, &s, 0.05, "development");
            let charted: Vec<Charted> =
                throws.iter().map(|t| Charted { contest: of(t).clone(), came: t.came }).collect();
            let start = std::time::Instant::now();
            let fit = window::fit(&charted, &p, 1).expect("enough");
            eprintln!(
                "{:?} {:.1} s\n{:#?}\n{:?} {:?}",
                fit.width,
                start.elapsed().as_secs_f64(),
                fit.values.iter().map(|v| (v.name.clone(), v.ours, v.fitted)).collect::<Vec<_>>(),
                fit.gain,
                fit.tried
            );
        }
        return;
    }
    let mut seen = games(FITTED, GAMES, &table, &p);
    let few = seen.len();
    seen.extend(games(FITTED + GAMES, MANY_GAMES - GAMES, &table, &p));
    let unseen = games(UNSEEN, UNSEEN_GAMES, &table, &p);
    by_separation(&unseen, &p);
    let rows: [(&str, &str, fn(&Thrown) -> &Contest); 2] = [
        ("best_ball", "best ball to the target at the release", |t| &t.best),
        ("thrown", "ball as thrown", |t| &t.thrown),
    ];
    for (name, what, of) in rows {
        let ours = scores(&claims(&unseen, &p, 1.0, of), 10).expect("throws");
        say(
            &format!("window.reliability.{name}.ours"),
            &ours,
            0.05,
            &format!("{what}, parameters as they come"),
        );
        let charted: Vec<Charted> =
            seen.iter().map(|t| Charted { contest: of(t).clone(), came: t.came }).collect();
        for (row, n, games) in [("fitted", few, GAMES), ("fitted_to_many", seen.len(), MANY_GAMES)] {
            let fit = window::fit(&charted[..n], &p, 1).expect("enough throws");
            let scatter = fit.values.iter().find(|v| v.name == "arm.scatter").map_or(1.0, |v| v.fitted);
            let fitted = scores(&claims(&unseen, &fit.parameters, scatter, of), 10).expect("throws");
            let what = format!("{what}, fitted to {n} throws of {games} other games");
            say(&format!("window.reliability.{name}.{row}"), &fitted, 0.05, &what);
        }
    }
}
