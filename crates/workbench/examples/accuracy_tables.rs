//! What the program makes of plays out of tables of positions, against what was scripted, as JSON lines: coverage, man or
//! zone, routes, concepts, targets, and claimed chances against outcomes. Tables are written in all the ways that exports
//! come in, and read as the program proposes. No test uses these seeds, and no model was changed by them. With `--develop`
//! other seeds and confusions on stderr.
#![allow(clippy::print_stdout, clippy::print_stderr)]

#[path = "support/tabled.rs"]
mod tabled;

use play::{MomentKind, Role};
use scrimmage::sim::coverage::Task;
use scrimmage::sim::world::Job;
use scrimmage::tables::Style;
use scrimmage::truth::{PlayTruth, TRACK_RATE};
use std::collections::BTreeMap;
use tabled::{BOOK, Tabled, tabled};
use workbench::UseFit;

const UNSEEN: u64 = 51_000_000;
const DEVELOP: u64 = 52_000_000;
/// Tables, each in its own style, and plays of each.
const TABLES: u64 = 10;
const PLAYS: usize = 50;
/// A route cut off this soon after its break, s, or before it, is not there to be named.
const AFTER_BREAK_S: f64 = 0.5;

#[derive(Default)]
struct Tally {
    right: usize,
    of: usize,
    untold: usize,
    confused: BTreeMap<(String, String), usize>,
}

impl Tally {
    /// `said`: what is claimed, or nothing where the program says that it cannot tell.
    fn add(&mut self, truth: &str, said: Option<&str>, right: bool) {
        let Some(said) = said else {
            self.untold += 1;
            return;
        };
        self.of += 1;
        self.right += usize::from(right);
        if !right {
            *self.confused.entry((truth.to_owned(), said.to_owned())).or_default() += 1;
        }
    }
    fn tell(&self, name: &str, goal: f64, note: &str, show: bool) {
        let value = 100.0 * self.right as f64 / self.of.max(1) as f64;
        let untold = if self.untold > 0 { format!(", {} more not told", self.untold) } else { String::new() };
        let note = format!("{} of {}{untold}; {note}", self.right, self.of);
        println!(
            "{{\"name\": \"{name}\", \"value\": {value:.1}, \"unit\": \"%\", \"goal\": {goal}, \"better\": \"higher\", \"holds\": {}, \"note\": \"{note}\"}}",
            value >= goal
        );
        if show {
            let mut rows: Vec<_> = self.confused.iter().collect();
            rows.sort_by(|a, b| b.1.cmp(a.1));
            rows.iter().take(30).for_each(|((t, s), n)| eprintln!("  {n:4} {t} read as {s}"));
        }
    }
}

/// Names of the playbook's routes that mean the generator's word.
fn same_route(truth: &str, said: &str) -> bool {
    let kin: &[&str] = match truth {
        "flat" | "arrow" => &["flat", "arrow"],
        "go" | "fade" => &["go", "fade"],
        "slot fade" => &["inside fade"],
        "screen" => &["screen", "tunnel"],
        "wheel" => &["wheel", "rail"],
        "check-down" => &["check"],
        _ => &[truth][..1],
    };
    let said = said.to_lowercase().replace('-', " ");
    kin.iter().any(|k| said.contains(&k.replace('-', " ")))
}

fn same_concept(truth: &str, said: &str) -> bool {
    let said = said.to_lowercase();
    let words: &[&str] = match truth {
        "shallow cross with a dig" => &["shallow", "dig"],
        "four verticals" => &["vertical"],
        "slot fade" => &["inside fade"],
        "curl-flat" => &["curl", "flat"],
        "slant-flat" => &["slant", "flat"],
        "post-dig" => &["post", "dig"],
        "hitches" => &["hitch"],
        "double slants" => &["double slants"],
        other => &[other][..1],
    };
    words.iter().all(|w| said.contains(w))
}

fn kind(coverage: &str) -> &str {
    match coverage {
        "two-deep zone" => "two deep",
        "quarters" => "four deep",
        "three-deep" => "three deep",
        "man-free" => "one deep, man",
        "two-man" => "two deep, man",
        _ => "no deep help",
    }
}

#[derive(Default)]
struct Tallies {
    families: Tally,
    styles: Tally,
    routes: Tally,
    cut: Tally,
    concepts: Tally,
    sure: Tally,
    targets: Tally,
    rush: Tally,
    spoilt: usize,
    plays: usize,
}

/// Index of the man of the truth who stands at a place at the snap, in the frame in which the table was read.
fn who(truth: &PlayTruth, at: [f64; 2], turned: bool) -> usize {
    let place = |i: usize| {
        let hips = &truth.people[i].hips;
        let k = ((-truth.tracks_from_s * TRACK_RATE).round() as usize).min(hips.len() - 1);
        if turned { [100.0 - hips[k].x, BOOK.width() - hips[k].y] } else { [hips[k].x, hips[k].y] }
    };
    let off = |i: &usize| (place(*i)[0] - at[0]).hypot(place(*i)[1] - at[1]);
    (0..truth.people.len()).min_by(|a, b| off(a).total_cmp(&off(b))).unwrap_or(0)
}

async fn one(t: &Tabled, turned: bool, out: &mut Tallies, show: bool) {
    for (id, key) in &t.plays {
        let Some(k) = t.written.keys.iter().position(|x| x == key) else { continue };
        out.plays += 1;
        if t.written.spoilt.iter().any(|s| &s.key == key) {
            out.spoilt += 1;
            continue;
        }
        let listed = &t.season[k];
        let truth = &listed.truth;
        let labels = &truth.labels;
        let seen = t.bench.recognised(id).await.expect("a play");
        let m = t.bench.measurement(id).await.expect("a play");
        let detail = t.bench.play(id).await.expect("a play");
        let is = kind(&labels.coverage_after);
        let said = seen.coverage.first().map(|c| c.word.as_str());
        out.families.add(is, said, said == Some(is));
        out.rush.add(
            &labels.rushers.to_string(),
            seen.chart.rushers.map(|n| n.to_string()).as_deref(),
            seen.chart.rushers == Some(labels.rushers as u8),
        );
        let at_snap = |person: &play::PersonId| {
            let track = m.tracks.iter().find(|x| &x.person == person)?;
            let p = track.at(0.0)?.position;
            Some(who(truth, [p.x, p.y], turned))
        };
        for d in seen.defenders.iter().filter(|d| !d.rushes) {
            let Some(i) = at_snap(&d.person) else { continue };
            let is = match &listed.stage.world.men[i].job {
                Job::Defend(Task::Man { .. }) => "man",
                Job::Defend(Task::Zone { .. }) => "zone",
                _ => continue,
            };
            let said = d.man.map(|m| if m >= 0.5 { "man" } else { "zone" });
            out.styles.add(&format!("{is} in {}", labels.coverage_after), said, said == Some(is));
        }
        let moment = |kind| m.moments.iter().find(|x| x.kind == kind).map(|x| x.at_s.value);
        let until = moment(MomentKind::Arrival).or(moment(MomentKind::Release)).unwrap_or(truth.moments.dead);
        for r in labels.routes.iter().filter(|r| r.route != "block") {
            let i = truth.people.iter().position(|p| p.id == r.id).expect("who runs it");
            let hips = &truth.people[i].hips;
            let depth = |k: usize| (hips[k].x - truth.spot.x) * truth.scene.direction.sign();
            let reaches = |d: f64| {
                (0..hips.len())
                    .map(|k| (truth.tracks_from_s + k as f64 / TRACK_RATE, k))
                    .find(|(t, k)| *t > 0.0 && depth(*k) >= d - 0.3)
                    .map(|x| x.0)
            };
            let whole =
                r.break_depth_yd.is_none_or(|d| reaches(d).is_some_and(|t| t <= until - AFTER_BREAK_S));
            let person = detail.people.iter().find(|p| p.role != Role::Passer && at_snap(&p.id) == Some(i));
            let slot = person.map(|p| p.id.as_str().to_owned()).unwrap_or_default();
            let said = seen.routes.iter().find(|x| x.slot == slot);
            let first = said.and_then(|x| x.looks_like.first());
            let word = first.map(|f| f.word.as_str());
            let right = word.is_some_and(|w| same_route(&r.route, w));
            if whole {
                out.routes.add(&r.route, Some(word.unwrap_or("nothing")), right);
            } else {
                // Cut off: what is claimed with a share of at least .6 has to be right; less is "cannot tell".
                out.cut.add(&r.route, first.filter(|f| f.share >= 0.6).map(|f| f.word.as_str()), right);
            }
        }
        let first = seen.concepts.first();
        out.concepts.add(
            &labels.concept,
            Some(first.map_or("nothing", |c| c.concept.as_str())),
            first.is_some_and(|c| same_concept(&labels.concept, &c.concept)),
        );
        let sure = first.filter(|c| c.sure);
        out.sure.add(
            &labels.concept,
            sure.map(|c| c.concept.as_str()),
            sure.is_some_and(|c| same_concept(&labels.concept, &c.concept)),
        );
        if let (Some(target), Some(_)) = (&labels.target, truth.moments.arrival) {
            let is = truth.people.iter().position(|p| p.slot.as_deref() == Some(target));
            let said = detail.chart.target.as_ref();
            out.targets.add(
                &format!("{:?}", truth.result),
                said.map(|s| s.as_str()),
                said.and_then(at_snap) == is,
            );
        }
    }
    if show {
        eprintln!("{} plays so far", out.plays);
    }
}

#[tokio::main]
async fn main() {
    let flag = |name: &str| std::env::args().any(|a| a == name);
    let show = flag("--develop");
    let first = if show { DEVELOP } else { UNSEEN };
    let mut out = Tallies::default();
    let mut scores = Vec::new();
    for seed in first..first + TABLES {
        let folder = tempfile::tempdir().expect("a folder");
        let style = Style::wild(seed);
        let turned = style.turned;
        let t = tabled(folder.path(), seed, PLAYS, style).await;
        one(&t, turned, &mut out, show).await;
        if flag("--completion") {
            scores.push(t.bench.calibrate(UseFit::AsItWas, |_, _| ()).await.expect("throws"));
        }
        t.bench.close().await;
    }
    let note = format!(
        "{TABLES} tables of {PLAYS} plays, each written another way and read as proposed; {} plays without a fault",
        out.plays - out.spoilt
    );
    out.families.tell("reads.table_coverage_family", 90.0, &note, show);
    out.styles.tell("reads.table_man_or_zone", 90.0, &format!("per defender; {note}"), show);
    out.routes.tell("reads.table_routes", 95.0, &note, show);
    out.cut.tell(
        "reads.table_routes_cut_off",
        80.0,
        &format!(
            "claimed with a share of .6 and more although the play ended before or in the break; {note}"
        ),
        show,
    );
    out.concepts.tell("reads.table_concepts", 80.0, &note, show);
    out.sure.tell(
        "reads.table_concepts_called",
        90.0,
        &format!("where the program is sure enough to judge under it; {note}"),
        show,
    );
    out.targets.tell("reads.table_targets", 95.0, &note, show);
    out.rush.tell("reads.table_rush_count", 90.0, &note, show);
    for c in scores {
        eprintln!("{} throws: {:?} {:?} {}", c.throws, c.ours, c.fitted, c.said);
    }
}
