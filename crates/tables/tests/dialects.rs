//! Tables in several dialects give the plays they were written from: nothing is told to the program but the bytes.
#![allow(clippy::unwrap_used, reason = "tests")]

mod support;

use field::RuleBook;
use play::{MomentKind, Role, ThrowResult};
use scrimmage::stage::Role as Side;
use support::*;
use tables::{Origin, propose, read_plays};

#[test]
fn every_dialect_gives_the_plays_it_was_written_from() {
    let (_, plays) = game(41, 12);
    for (k, d) in DIALECTS.iter().enumerate() {
        let bytes = text(&rows(&plays, d, k as u64), d.separator);
        let mut proposal = propose(&bytes, None, RuleBook::College).unwrap();
        // Where nobody came near an end line the program says that it guesses, and is told.
        if d.origin == 1 && proposal.findings.iter().any(|f| f.code == "origin-guessed") {
            proposal.mapping.origin = Origin::GoalLine;
        }
        let (got, findings) = read_plays(&bytes, None, &proposal.mapping, RuleBook::College, "t.csv")
            .unwrap_or_else(|e| panic!("dialect {k}: {e}\n{:#?}", proposal.mapping));
        // Without events nothing tells a sack from a play without a throw.
        let expected: Vec<_> = plays.iter().filter(|p| d.events || p.1.moments.release.is_some()).collect();
        assert!(
            got.len() + 1 >= expected.len() && got.len() <= plays.len(),
            "dialect {k}: {} of {} plays; {findings:#?}",
            got.len(),
            expected.len()
        );
        let (mut square, mut n) = (0.0, 0.0);
        let (mut roles, mut right) = (0.0, 0.0);
        let (mut moments, mut near) = (0.0, 0.0);
        for p in &got {
            let number: usize = p.key.split(' ').next_back().unwrap().parse().unwrap();
            let (_, truth) = &plays[number - 1];
            assert_eq!(p.situation.direction, Some(truth.scene.direction), "dialect {k}, play {}", p.key);
            assert!(
                (p.situation.line_x.unwrap() - truth.scene.line_x()).abs() < 1.0,
                "dialect {k} {}",
                p.key
            );
            for (person, path) in p.people.iter().zip(&p.tracked.people) {
                let s0 = path.samples.iter().find(|s| s[0].abs() < 0.06).unwrap();
                // Whose path it is is told by where he starts.
                let index = |t: f64| ((t - truth.tracks_from_s) * 30.0).round() as usize;
                let at =
                    |i: usize, t: f64| truth.people[i].hips[index(t).min(truth.people[i].hips.len() - 1)];
                let off = |i: usize, s: &[f64; 3]| (at(i, s[0]).x - s[1]).hypot(at(i, s[0]).y - s[2]);
                let who = (0..22).min_by(|a, b| off(*a, s0).total_cmp(&off(*b, s0))).unwrap();
                for s in &path.samples {
                    square += off(who, s).powi(2) / 2.0;
                    n += 1.0;
                }
                let t = &truth.people[who];
                roles += 1.0;
                right += f64::from(match (&t.slot, t.role) {
                    (Some(slot), _) => person.id.as_str() == slot,
                    (None, Side::Offense) => matches!(person.role, Role::Passer | Role::Blocker),
                    _ => matches!(person.role, Role::Rusher | Role::Cover),
                });
                if person.role == Role::Passer {
                    assert!(t.id.contains("qb") || t.slot.is_none(), "{}", t.id);
                }
            }
            let time = |kind| p.tracked.moments.iter().find(|m| m.kind == kind).map(|m| m.at_s);
            for (kind, is) in
                [(MomentKind::Release, truth.moments.release), (MomentKind::Arrival, truth.moments.arrival)]
            {
                if let (Some(e), Some(is)) = (time(kind), is) {
                    moments += 1.0;
                    near += f64::from((e.value - is).abs() < 1.645 * e.se);
                }
            }
            if d.events {
                let is = match outcome(truth) {
                    "C" => ThrowResult::Complete,
                    "IN" => ThrowResult::Intercepted,
                    "S" => ThrowResult::Sacked,
                    "R" => ThrowResult::Scrambled,
                    _ => ThrowResult::Incomplete,
                };
                assert_eq!(p.chart.result, Some(is), "dialect {k}, play {}: {:?}", p.key, p.findings);
            }
        }
        let rms = (square / n).sqrt();
        eprintln!(
            "dialect {k}: {} plays, places {rms:.3} yd, roles {right} of {roles}, moments {near} of {moments}",
            got.len()
        );
        // The noise put on, and a thirtieth of a second of running between sample and truth.
        assert!(rms < SD_YD.hypot(7.0 / 60.0), "dialect {k}: {rms}");
        assert!(right / roles > 0.93, "dialect {k}: {right} of {roles} roles");
        // Claimed 90% intervals hold; a count of about twenty at 90% falls below three quarters once in a hundred.
        assert!(near / moments > 0.75, "dialect {k}: {near} of {moments} moments");
    }
}

#[test]
fn a_second_table_tells_the_situation_and_the_result() {
    let (_, plays) = game(42, 8);
    let d = Dialect { events: true, ..PLAIN };
    let bytes = text(&rows(&plays, &d, 1), ',');
    let second = play_table(&plays);
    let proposal = propose(&bytes, Some(&second), RuleBook::College).unwrap();
    let (got, _) = read_plays(&bytes, Some(&second), &proposal.mapping, RuleBook::College, "t.csv").unwrap();
    assert!(got.len() >= 7);
    for p in got {
        let number: usize = p.key.split(' ').next_back().unwrap().parse().unwrap();
        let t = &plays[number - 1].1;
        assert_eq!(p.situation.quarter, Some(t.scene.quarter));
        assert_eq!(p.situation.down, Some(t.scene.down));
        assert!((p.situation.distance_yd.unwrap() - t.scene.distance).abs() <= 0.5);
        assert!((p.chart.gain_yd.unwrap() - t.gain_yd).abs() <= 0.5);
        assert!((p.situation.clock_s.unwrap() - t.scene.clock_s).abs() < 1.0);
    }
}
