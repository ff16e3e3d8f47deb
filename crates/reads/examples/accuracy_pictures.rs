//! How often routes, coverage, the deep middle and the rush are read right from tracks of generated plays, as JSON lines:
//! tracks as a tracker would measure them. No test uses these seeds. With `--show` confusions go to stderr.
#![allow(clippy::print_stdout, clippy::print_stderr)]

#[path = "support/invented.rs"]
mod invented;
#[allow(dead_code, reason = "shared with the other examples")]
mod support;

use play::PersonId;
use reads::board::Board;
use reads::playbook::{Family, Middle, Playbook};
use reads::{concepts, measures, picture, recognise};
use scrimmage::sim::game::GameScript;
use scrimmage::sim::staged::StagedPlay;
use std::collections::BTreeMap;
use support::Dice;

const UNSEEN: u64 = 48_000_000;
const DEVELOP: u64 = 42_000_000;
const GAMES: u64 = 40;

/// The playbook's ids that mean the generator's word.
fn ids(word: &str) -> Vec<&str> {
    match word {
        "quick out" => vec!["quick-out"],
        "deep out" => vec!["deep-out"],
        "slot fade" => vec!["inside-fade"],
        // The same route by two names, or to be told apart only by who runs it.
        "flat" | "arrow" => vec!["flat", "arrow", "back-flat"],
        "go" | "fade" => vec!["go", "fade"],
        "screen" => vec!["slow-screen", "tunnel"],
        "wheel" => vec!["wheel", "rail"],
        other => vec![other],
    }
}

fn family(word: &str) -> Option<(Family, Middle)> {
    Some(match word {
        "two-deep zone" => (Family::TwoHighZone, Middle::Open),
        "quarters" => (Family::FourDeep, Middle::Open),
        "three-deep" => (Family::OneHighZone, Middle::Closed),
        "man-free" => (Family::OneHighMan, Middle::Closed),
        "two-man" => (Family::TwoHighMan, Middle::Open),
        "zero" => (Family::Zero, Middle::Open),
        _ => return None,
    })
}

#[derive(Default)]
struct Tally {
    right: usize,
    of: usize,
    confused: BTreeMap<(String, String), usize>,
}

impl Tally {
    fn add(&mut self, truth: &str, said: &str, right: bool) {
        self.of += 1;
        self.right += usize::from(right);
        if !right {
            *self.confused.entry((truth.to_owned(), said.to_owned())).or_default() += 1;
        }
    }
    fn tell(&self, name: &str, goal: f64, note: &str, show: bool) {
        let value = 100.0 * self.right as f64 / self.of.max(1) as f64;
        let note = format!("{} of {}; {note}", self.right, self.of);
        println!(
            "{}",
            serde_json::json!({"name": name, "value": value, "unit": "%", "goal": goal, "better": "higher", "holds": value >= goal, "note": note})
        );
        if show {
            let mut rows: Vec<_> = self.confused.iter().collect();
            rows.sort_by(|a, b| b.1.cmp(a.1));
            rows.iter().take(25).for_each(|((t, s), n)| eprintln!("  {n:4} {t} read as {s}"));
        }
    }
}

fn main() {
    let show = std::env::args().any(|a| a == "--show");
    let book = Playbook::ours();
    let (mut routes, mut families, mut middles, mut rush) =
        (Tally::default(), Tally::default(), Tally::default(), Tally::default());
    let mut cut = 0;
    // Models are changed by what other seeds show.
    let first = if std::env::args().any(|a| a == "--develop") { DEVELOP } else { UNSEEN };
    for seed in first..first + GAMES {
        let game = GameScript::with_plays(seed, 26);
        let kits = scrimmage::sim::teams::kits(&game.teams[0], &game.teams[1]);
        for (k, script) in game.plays.iter().enumerate() {
            let stage = StagedPlay::new(&script.script, &kits);
            let truth = scrimmage::truth::of_play(script, &stage, Vec::new());
            let mut dice = Dice::new(seed * 100 + k as u64);
            let (people, tracks) = invented::people(&truth, &stage, &mut dice);
            let situation = invented::situation(&truth);
            let board =
                Board::new(&people, &tracks, &situation, truth.rule_book).expect("a charted situation");
            let m = &truth.moments;
            let until = m.arrival.or(m.release).unwrap_or(m.dead);
            let seen = concepts::routes(&board, until, m.release, &[], &book);
            for r in truth.labels.routes.iter().filter(|r| r.route != "block") {
                let id = PersonId::from(r.slot.as_str());
                // A route that the play's end cuts off before or in its break is not there to be read.
                let broke = |depth: f64| {
                    (0..=(until * 30.0) as usize)
                        .map(|k| k as f64 / 30.0)
                        .find(|&t| board.spot(&id, t).is_some_and(|s| s.at.x >= depth - 0.3))
                };
                if r.break_depth_yd.is_some_and(|d| broke(d).is_none_or(|t| t > until - 0.5)) {
                    cut += 1;
                    continue;
                }
                let slot = recognise::slot_of(&board, &id);
                let said = seen.iter().find(|s| Some(&s.0) == slot.as_ref());
                let said = said.map_or("not told", |s| s.1.routes[0].0.as_str());
                if std::env::args().any(|a| a == "--ways") && !ids(&r.route).contains(&said) {
                    let at = |t: f64| board.spot(&id, t).map(|s| format!("{:.1},{:.1}", s.at.x, s.at.y));
                    let way: Vec<String> =
                        (0..).map(|k| 0.3 * f64::from(k)).take_while(|t| *t < until).filter_map(at).collect();
                    eprintln!("{} read as {said}: {}", r.route, way.join("  "));
                }
                routes.add(&r.route, said, ids(&r.route).contains(&said));
            }
            let left = m.release.unwrap_or(m.dead - 0.05);
            if let Some((truth_family, truth_middle)) = family(&truth.labels.coverage_after) {
                let said = picture::families(&board, left);
                let said = said.first().map(|f| f.0);
                families.add(
                    &format!("{truth_family:?}"),
                    &said.map_or("not told".to_owned(), |f| format!("{f:?}")),
                    said == Some(truth_family),
                );
                let said = picture::deep_middle(&board, left).map(|m| m.picture());
                middles.add(
                    &format!("{} {truth_middle:?}", truth.labels.coverage_after),
                    &format!("{said:?}"),
                    said == Some(truth_middle),
                );
            }
            let said = measures::rushers(&board).len();
            rush.add(
                &truth.labels.rushers.to_string(),
                &said.to_string(),
                said == truth.labels.rushers as usize,
            );
        }
    }
    let plays = format!("{GAMES} generated games, tracks wrong by {} yd", support::SD_YD);
    routes.tell(
        "reads.routes",
        95.0,
        &format!("{plays}; {cut} cut off in their break are not counted"),
        show,
    );
    families.tell("reads.coverage_family", 90.0, &plays, show);
    middles.tell("reads.middle", 90.0, &plays, show);
    rush.tell("reads.rush_count", 95.0, &plays, show);
}
