//! Plays out of tables through to their figures: the same whichever way the play runs, and "not seen" where rows are bad.
#![allow(clippy::unwrap_used, reason = "tests")]

#[allow(dead_code, reason = "shared with the figures")]
#[path = "../examples/support/tabled.rs"]
mod tabled;

use scrimmage::tables::{Fault, Style};
use tabled::{Tabled, tabled};

async fn study(style: Style, seed: u64, plays: usize) -> (tempfile::TempDir, Tabled) {
    let folder = tempfile::tempdir().unwrap();
    let t = tabled(folder.path(), seed, plays, style).await;
    (folder, t)
}

#[tokio::test]
async fn a_table_and_its_mirror_image_give_the_same_figures() {
    // The whole field turned by half a circle: every play runs the other way.
    let (_a, one) = study(Style::plain(false), 611, 4).await;
    let (_b, other) = study(Style::plain(false).half_turn(), 611, 4).await;
    assert_eq!(one.plays.len(), other.plays.len());
    let (mut cells, mut sum) = (0, 0.0);
    for ((a, key), (b, _)) in one.plays.iter().zip(&other.plays) {
        let (p, q) = (one.bench.play(a).await.unwrap(), other.bench.play(b).await.unwrap());
        assert_ne!(p.play.situation.direction, q.play.situation.direction, "play {key}");
        let ids =
            |d: &workbench::PlayDetail| d.people.iter().map(|p| (p.id.clone(), p.role)).collect::<Vec<_>>();
        let (mut left, mut right) = (ids(&p), ids(&q));
        left.sort_by(|a, b| a.0.as_str().cmp(b.0.as_str()));
        right.sort_by(|a, b| a.0.as_str().cmp(b.0.as_str()));
        assert_eq!(left, right, "play {key}: left stays the offense's left");
        assert_eq!((p.chart.target, p.chart.result), (q.chart.target, q.chart.result), "play {key}");
        let (m, n) = (one.bench.measurement(a).await.unwrap(), other.bench.measurement(b).await.unwrap());
        assert_eq!(m.windows.len(), n.windows.len());
        for w in &m.windows {
            let v = n.windows.iter().find(|v| v.receiver == w.receiver).unwrap();
            assert_eq!(w.cells.len(), v.cells.len());
            for (c, d) in w.cells.iter().zip(&v.cells) {
                cells += 1;
                sum += (c.margin_s.value - d.margin_s.value).abs();
                // Rows are written to a hundredth of a yard, repeats are drawn in the field frame, and now and then
                // that turns which of two balls is best: no window differs by more than its own 90% interval says, and on
                // the whole they hardly differ.
                let allowed = 0.05 + 1.645 * c.margin_s.se.hypot(d.margin_s.se);
                assert!(
                    (c.margin_s.value - d.margin_s.value).abs() < allowed,
                    "play {key}, {} at {:.1} s: {:?} and {:?}",
                    w.receiver,
                    c.release_s,
                    c.margin_s,
                    d.margin_s
                );
            }
        }
        let (r, s) = (one.bench.recognised(a).await.unwrap(), other.bench.recognised(b).await.unwrap());
        let told = |r: &workbench::Recognised| {
            let routes: Vec<_> = r
                .routes
                .iter()
                .map(|x| (x.slot.clone(), x.looks_like.first().map(|l| l.word.clone())))
                .collect();
            (
                r.shell,
                r.coverage.first().map(|c| c.word.clone()),
                r.chart.rushers,
                r.chart.formation.clone(),
                routes,
            )
        };
        let (mut left, mut right) = (told(&r), told(&s));
        left.4.sort();
        right.4.sort();
        assert_eq!(left, right, "play {key}");
        let (j, k) = (one.bench.judged(a).await.unwrap(), other.bench.judged(b).await.unwrap());
        let first = |j: &workbench::Judged| {
            j.judgements.iter().map(|x| (x.plan.clone(), x.answer.clone())).collect::<Vec<_>>()
        };
        let concept = |j: &workbench::Judged| match &j.on {
            workbench::JudgedOn::Recognised { concept, .. } => Some(concept.clone()),
            _ => None,
        };
        assert_eq!(concept(&j), concept(&k), "play {key}");
        assert_eq!(first(&j).len(), first(&k).len(), "play {key}");
    }
    assert!(
        cells > 300 && sum / (cells as f64) < 0.02,
        "{cells} windows differ by {:.3} s on average",
        sum / cells as f64
    );
}

#[tokio::test]
async fn what_bad_rows_leave_open_is_not_seen() {
    for (fault, code) in [
        (Fault::Teleport, "teleport"),
        (Fault::Gap, "hole"),
        (Fault::TwoBalls, "two-balls"),
        (Fault::MissingReceiver, "receivers-missing"),
        (Fault::SideSwapped, "side-changes"),
    ] {
        let (_folder, t) = study(Style::only(fault), 620, 2).await;
        for (id, key) in &t.plays {
            let m = t.bench.measurement(id).await.unwrap();
            assert!(m.findings.iter().any(|f| f.code == code), "{fault:?}, play {key}: {:?}", m.findings);
            assert!(!m.windows.is_empty(), "{fault:?}, play {key}: the others have windows");
            let people = t.bench.play(id).await.unwrap().people;
            if fault == Fault::MissingReceiver {
                let eligible = people.iter().filter(|p| p.eligible()).count();
                assert_eq!(eligible, 4);
                assert!(m.windows.len() == 4, "no window is told for whom the table does not have");
            }
            // Whoever jumped stays where he can have been.
            for track in &m.tracks {
                for w in track.points.windows(2) {
                    let run = w[0].position.distance(w[1].position) / (w[1].t_s - w[0].t_s);
                    assert!(run < 14.0, "{fault:?}, play {key}: {} at {run:.0} yd/s", track.person);
                }
            }
        }
    }
}

#[tokio::test]
async fn the_games_of_a_table_are_games_of_their_own() {
    let (_folder, t) = study(Style::plain(true), 630, 45).await;
    let games = t.bench.study().await.unwrap().games;
    let plays = t.bench.plays().await.unwrap();
    let of = |name: &str| {
        let id = &games.iter().find(|g| g.name == name).unwrap_or_else(|| panic!("no {name}: {games:?}")).id;
        plays.iter().filter(|p| &p.game == id).map(|p| p.number).collect::<Vec<_>>()
    };
    let told: std::collections::BTreeSet<u32> = t.season.iter().map(|l| l.game).collect();
    assert_eq!(told.len(), 2);
    for game in &told {
        let numbers = of(&format!("Games, {game}"));
        let written = t.plays.iter().filter(|(_, key)| key.starts_with(&format!("{game} "))).count();
        assert_eq!(numbers, (1..=written as u32).collect::<Vec<_>>(), "numbered within game {game}");
    }
    assert!(of("Games").is_empty());
    t.bench.undo().await.unwrap();
    assert_eq!(t.bench.study().await.unwrap().games.len(), 1, "one edit makes plays and games");
}
