//! A game's books balance, and it has the variety that a demonstration needs.
#![allow(clippy::unwrap_used, reason = "tests")]

use scrimmage::sim::coverage::Coverage;
use scrimmage::sim::game::{GameScript, Happening, HashSpot};
use scrimmage::sim::world::Outcome;
use std::collections::{BTreeMap, BTreeSet};

const DEMO: u64 = scrimmage::command::DEMO_SEED;

#[test]
fn downs_distance_score_and_clock_follow_from_what_happened() {
    for seed in [DEMO, 1, 2, 7] {
        let g = GameScript::demo(seed);
        for pair in g.downs.windows(2) {
            let (a, b) = (&pair[0], &pair[1]);
            let (s, n) = (a.scene, b.scene);
            assert!((1..=4).contains(&s.down) && s.distance >= 1.0 && s.distance <= 100.0 - s.own, "{s:?}");
            assert!((1.0..=99.0).contains(&s.own));
            assert!(
                n.quarter > s.quarter || n.quarter == s.quarter && n.clock_s < s.clock_s,
                "{s:?} then {n:?}"
            );
            let half = s.quarter == 2 && n.quarter == 3;
            // Teams change ends every quarter: the same team goes the same way within one, the other way in the next.
            let flips = (n.quarter - s.quarter) % 2 == 1;
            assert_eq!(
                (n.direction == s.direction) == (n.home_ball == s.home_ball),
                !flips,
                "{s:?} then {n:?}"
            );
            let points = [n.score[0] - s.score[0], n.score[1] - s.score[1]];
            let own = usize::from(!s.home_ball);
            let expected = match (a.happening, a.touchdown) {
                (_, true) => 7,
                (Happening::FieldGoal { good: true }, _) => 3,
                _ => 0,
            };
            assert_eq!(points[own], expected, "{a:?}");
            assert_eq!(points[1 - own], 0, "{a:?}");
            if half {
                continue;
            }
            assert_eq!(n.home_ball != s.home_ball, a.turned_over, "{a:?}");
            if !a.turned_over {
                assert!((n.own - s.own - a.gain).abs() < 1e-9, "{a:?} then {n:?}");
                if a.gain >= s.distance {
                    assert_eq!((n.down, n.distance), (1, (100.0 - n.own).min(10.0)));
                } else {
                    assert_eq!(n.down, s.down + 1);
                    assert!((n.distance - s.distance + a.gain).abs() < 1e-9);
                }
            }
        }
        // Films are the filmed downs, in order.
        let filmed: Vec<usize> = g
            .downs
            .iter()
            .filter_map(|d| if let Happening::Filmed { play } = d.happening { Some(play) } else { None })
            .collect();
        assert_eq!(filmed, (0..g.plays.len()).collect::<Vec<_>>());
        for (d, p) in g.downs.iter().filter(|d| matches!(d.happening, Happening::Filmed { .. })).zip(&g.plays)
        {
            assert_eq!(d.scene, p.scene);
        }
    }
}

#[test]
fn the_demonstration_is_varied_and_repeats_pictures() {
    let g = GameScript::demo(DEMO);
    assert!(g.plays.len() >= 24, "{} plays", g.plays.len());
    let hashes: BTreeSet<HashSpot> = g.plays.iter().map(|p| p.scene.hash).collect();
    let coverages: BTreeSet<Coverage> = g.plays.iter().map(|p| p.picture.call.coverage).collect();
    let concepts: BTreeSet<_> = g.plays.iter().map(|p| p.picture.concept).collect();
    let faults: BTreeSet<_> = g.plays.iter().map(|p| p.picture.fault).collect();
    let mut results: BTreeMap<Outcome, usize> = BTreeMap::new();
    for p in &g.plays {
        *results.entry(p.outcome).or_default() += 1;
    }
    assert_eq!(hashes.len(), 3);
    assert_eq!(coverages.len(), 6);
    assert!(concepts.len() >= 12, "{} concepts", concepts.len());
    assert_eq!(faults.len(), 5);
    for r in [Outcome::Complete, Outcome::Incomplete, Outcome::Intercepted, Outcome::Sacked] {
        assert!(results.contains_key(&r), "no {r:?} in {results:?}");
    }
    let complete = results[&Outcome::Complete];
    assert!(
        complete * 100 >= g.plays.len() * 45 && complete * 100 <= g.plays.len() * 80,
        "{complete} of {}",
        g.plays.len()
    );
    let quarters: BTreeSet<u8> = g.plays.iter().map(|p| p.scene.quarter).collect();
    assert_eq!(quarters.len(), 4, "both ways of play need all quarters");
    let mut again: BTreeMap<u32, Vec<&scrimmage::sim::game::GamePlay>> = BTreeMap::new();
    for p in &g.plays {
        if let Some(k) = p.picture.repeats {
            again.entry(k).or_default().push(p);
        }
    }
    let repeated: Vec<_> = again.values().filter(|v| v.len() >= 2).collect();
    assert!(repeated.len() >= 3, "{} repeated pictures", repeated.len());
    for plays in repeated {
        assert!(plays.windows(2).all(|w| w[0].picture.concept == w[1].picture.concept
            && w[0].picture.call == w[1].picture.call
            && w[0].picture.set == w[1].picture.set));
    }
}

#[test]
fn the_same_seed_is_the_same_game() {
    let text = |seed| scrimmage::command::playlist(&GameScript::with_plays(seed, 8));
    assert_eq!(text(5), text(5));
    assert_ne!(text(5), text(6));
}

#[test]
fn a_season_brings_the_same_pictures_against_other_visitors() {
    use scrimmage::sim::season::GAMES;
    let games: Vec<GameScript> = (0..GAMES).map(|n| GameScript::of_season(DEMO, n, 26)).collect();
    let visitors: BTreeSet<&str> = games.iter().map(|g| g.teams[1].name.as_str()).collect();
    assert_eq!(visitors.len(), GAMES);
    assert!(games.iter().all(|g| g.teams[0] == games[0].teams[0]), "one passer");
    let stems: BTreeSet<String> =
        games.iter().flat_map(|g| g.plays.iter().map(scrimmage::truth::stem)).collect();
    assert_eq!(stems.len(), games.iter().map(|g| g.plays.len()).sum::<usize>(), "no two films share a name");
    let mut again: BTreeMap<u32, Vec<&scrimmage::sim::game::GamePlay>> = BTreeMap::new();
    for p in games.iter().flat_map(|g| &g.plays) {
        if let Some(k) = p.picture.repeats {
            again.entry(k).or_default().push(p);
        }
    }
    let games_of = |plays: &[&scrimmage::sim::game::GamePlay]| {
        plays.iter().map(|p| p.game).collect::<BTreeSet<u8>>().len()
    };
    // Near the goal line there is no room for the deep ones.
    assert!(again.len() == 4 && again.values().all(|p| games_of(p) >= 2));
    assert!(again.values().filter(|p| games_of(p) == GAMES).count() >= 2);
    for plays in again.values() {
        let first = &plays[0].picture;
        assert!(plays.iter().all(|p| p.picture.concept == first.concept
            && p.picture.call == first.call
            && p.picture.strong == first.strong));
    }
}

/// Student's t of the slope of `pairs` (Gauss 1823): far beyond 2 when one thing goes with the other.
fn t_of_slope(pairs: &[(f64, f64)]) -> f64 {
    let n = pairs.len() as f64;
    let mean = |of: fn(&(f64, f64)) -> f64| pairs.iter().map(of).sum::<f64>() / n;
    let (x, y) = (mean(|p| p.0), mean(|p| p.1));
    let (mut xx, mut yy, mut xy) = (0.0, 0.0, 0.0);
    for p in pairs {
        xx += (p.0 - x).powi(2);
        yy += (p.1 - y).powi(2);
        xy += (p.0 - x) * (p.1 - y);
    }
    let r = xy / (xx * yy).sqrt();
    r * ((n - 2.0) / (1.0 - r * r)).sqrt()
}

/// What a demonstration is to find must be there: even with perfect measures a habit that chance hides cannot be shown.
#[test]
fn the_season_plants_habits_that_its_throws_show() {
    use scrimmage::sim::{season::GAMES, staged::StagedPlay, teams};
    let (mut feet_to_lead, mut weight_to_height) = (Vec::new(), Vec::new());
    for n in 0..GAMES {
        let game = GameScript::of_season(DEMO, n, 26);
        for play in &game.plays {
            let stage = StagedPlay::new(&play.script, &teams::kits(&game.teams[0], &game.teams[1]));
            let truth = scrimmage::truth::of_play(play, &stage, Vec::new());
            let (Some(feet), Some(placed)) = (&truth.feet, &truth.placement) else { continue };
            weight_to_height.push((feet.weight, placed.over_run_ft));
            let runs =
                stage.world.flight.as_ref().and_then(|f| f.meant).is_some_and(|c| c.running.norm() > 4.0);
            if runs {
                feet_to_lead.push((feet.error_deg, placed.ahead_of_run_yd));
            }
        }
    }
    let (lead, height) = (t_of_slope(&feet_to_lead), t_of_slope(&weight_to_height));
    println!(
        "feet to lead: n {}, t {lead:.1}; weight to height: n {}, t {height:.1}",
        feet_to_lead.len(),
        weight_to_height.len()
    );
    assert!(lead > 4.0, "closed feet put it behind a runner: t {lead:.1}");
    assert!(height < -4.0, "weight left behind lifts the ball: t {height:.1}");
}
