//! Scripted plays whose answer is known by construction.

#[path = "../examples/support/mod.rs"]
mod support;

use field::RuleBook;
use geometry::{Covariance2, Point3};
use play::{Air, Flank, Person, Role, Seen, Throw, Track, Unit};
use stats::Estimate;
use support::{person, track};
use window::{
    Difference, FlightTable, Parameters, Request, Scene, WindowDraws, WindowError, compare, evaluate_throw,
    race_shown, windows,
};

fn run(people: &[Person], tracks: &[Track], request: &Request) -> WindowDraws {
    let p = Parameters::ours();
    let table = FlightTable::new(&Air::default(), &p).expect("standard air");
    let scene = Scene { people, tracks, rule_book: RuleBook::College };
    windows(&scene, &table, &p, request).expect("a whole play").0
}

/// A passer, two receivers running straight up each side, one defender on each at the lateral distances given.
fn two_men(left_gap: f64, right_gap: f64, sd: f64) -> (Vec<Person>, Vec<Track>) {
    let people = vec![
        person("passer", Unit::Offense, Role::Passer),
        person("L1", Unit::Offense, Role::Receiver { flank: Flank::Left, number: 1 }),
        person("R1", Unit::Offense, Role::Receiver { flank: Flank::Right, number: 1 }),
        person("C1", Unit::Defense, Role::Cover),
        person("C2", Unit::Defense, Role::Cover),
    ];
    let across = |id: &str, y: f64| track(id, &[(0.0, 55.0, y), (5.0, 85.0, y)], sd, 3.0 * sd);
    let tracks = vec![
        track("passer", &[(0.0, 43.0, 26.67), (5.0, 43.0, 26.67)], sd, 3.0 * sd),
        across("L1", 38.67),
        across("R1", 14.67),
        across("C1", 38.67 - left_gap),
        across("C2", 14.67 + right_gap),
    ];
    (people, tracks)
}

#[test]
fn the_man_with_room_is_the_open_one_and_equals_are_not_told_apart() {
    let request = Request { from_s: 1.0, until_s: 1.5, ..Request::default() };
    let p = Parameters::ours();
    let (people, tracks) = two_men(8.0, 1.0, 0.1);
    let d = run(&people, &tracks, &request);
    for k in 0..d.releases.len() {
        assert_eq!(compare(d.cell(0, k).unwrap(), d.cell(1, k).unwrap(), &p), Difference::First);
    }
    let (people, tracks) = two_men(3.0, 3.0, 0.1);
    let d = run(&people, &tracks, &request);
    for k in 0..d.releases.len() {
        let (a, b) = (d.cell(0, k).unwrap(), d.cell(1, k).unwrap());
        assert_eq!(compare(a, b, &p), Difference::NotSeen);
        assert!((a.measured.margin_s - b.measured.margin_s).abs() < 0.02, "the play is a mirror image");
    }
}

#[test]
fn a_defender_under_the_path_makes_it_an_arched_ball_or_no_ball() {
    let request = Request { from_s: 1.0, until_s: 1.0, ..Request::default() };
    let (mut people, mut tracks) = two_men(12.0, 12.0, 0.05);
    let open = run(&people, &tracks, &request);
    people.push(person("M", Unit::Defense, Role::Cover));
    // Half way to where L1 will be, 12 yd short of him: a flat ball passes his hands.
    tracks.push(track("M", &[(0.0, 53.5, 33.2), (5.0, 53.6, 33.2)], 0.05, 0.15));
    let under = run(&people, &tracks, &request);
    let (a, b) = (open.cell(0, 0).unwrap(), under.cell(0, 0).unwrap());
    assert!(b.measured.margin_s < a.measured.margin_s - 0.1, "{:?} {:?}", a.measured, b.measured);
    assert!(b.measured.intercept >= a.measured.intercept);
    let (fast, slow) = (a.ball.unwrap(), b.ball.unwrap());
    assert!(slow.launch_deg > fast.launch_deg, "{slow:?} should go over him, {fast:?} need not");
    // The other receiver's window does not know of him.
    assert!(
        (open.cell(1, 0).unwrap().measured.margin_s - under.cell(1, 0).unwrap().measured.margin_s).abs()
            < 1e-9
    );
}

#[test]
fn what_defenders_did_after_the_release_changes_nothing() {
    let request = Request { from_s: 1.0, until_s: 1.0, ..Request::default() };
    let (people, tracks) = two_men(4.0, 4.0, 0.1);
    let mut cut = tracks.clone();
    for t in cut.iter_mut().filter(|t| t.person.as_str().starts_with('C')) {
        for p in t.points.iter_mut().filter(|p| p.t_s > 1.0 + 1e-9) {
            p.position = p.position + geometry::Vector2::new(0.0, 9.0 * (p.t_s - 1.0));
        }
    }
    assert_eq!(run(&people, &tracks, &request), run(&people, &cut, &request));
}

#[test]
fn seeds_repeat_exactly_and_better_film_means_smaller_errors() {
    let request = Request { from_s: 0.8, until_s: 1.2, ..Request::default() };
    let (people, tracks) = two_men(4.0, 4.0, 0.1);
    assert_eq!(run(&people, &tracks, &request), run(&people, &tracks, &request));
    let (_, rough) = two_men(4.0, 4.0, 0.4);
    let (fine, rough) = (run(&people, &tracks, &request), run(&people, &rough, &request));
    let se = |d: &WindowDraws| d.windows()[0].cells.iter().map(|c| c.margin_s.se).sum::<f64>();
    assert!(se(&rough) > 1.3 * se(&fine));
}

#[test]
fn a_play_that_runs_the_other_way_has_the_same_windows() {
    let (people, tracks) = support::play();
    let mut turned = tracks.clone();
    for p in turned.iter_mut().flat_map(|t| t.points.iter_mut()) {
        p.position = geometry::Point2::new(100.0 - p.position.x, RuleBook::College.width() - p.position.y);
        p.velocity = -p.velocity;
    }
    let request = Request { from_s: 0.5, until_s: 2.5, rate_hz: 5.0, draws: 2, seed: 3 };
    let (a, b) = (run(&people, &tracks, &request), run(&people, &turned, &request));
    for (x, y) in a.cells.iter().zip(&b.cells) {
        let (x, y) = (x.as_ref().unwrap(), y.as_ref().unwrap());
        assert!((x.measured.margin_s - y.measured.margin_s).abs() < 1e-6);
    }
}

fn thrown(at: Point3<geometry::frame::Field>, release_s: f64, flight_s: f64) -> Throw {
    Throw {
        release_s: Estimate::new(release_s, 0.01),
        flight_s: Estimate::new(flight_s, 0.02),
        release: Point3::new(43.0, 26.67, 2.2),
        arrival: at,
        arrival_covariance: Covariance2::isotropic(0.15),
        arrival_height_ft: Seen::not("not marked"),
        speed_mph: Seen::not("not fitted"),
        launch_deg: Seen::not("not fitted"),
        side_deg: Seen::not("not fitted"),
        apex_ft: Seen::not("not fitted"),
        air_yd: Estimate::new(25.0, 0.2),
        arc: Seen::not("not fitted"),
        path: Vec::new(),
        rms_px: 0.5,
    }
}

#[test]
fn a_badly_placed_and_a_late_ball_lose_margin() {
    let (people, tracks) = two_men(2.0, 6.0, 0.1);
    let scene = Scene { people: &people, tracks: &tracks, rule_book: RuleBook::College };
    let p = Parameters::ours();
    let table = FlightTable::new(&Air::default(), &p).unwrap();
    let request = Request { from_s: 0.5, until_s: 2.0, ..Request::default() };
    let (draws, _) = windows(&scene, &table, &p, &request).unwrap();
    let judge = |y: f64| {
        // R1 is at (55 + 6 t, 14.67): at 2.4 s he is 69.4 up the field.
        let t = thrown(Point3::new(69.4, y, 1.4), 1.2, 1.2);
        evaluate_throw(&scene, &table, &p, &request, &draws, &"R1".into(), &t, 0.5).unwrap()
    };
    let good = judge(14.67);
    let toward = judge(18.0);
    assert!(toward.lost_to_placement_s.value > good.lost_to_placement_s.value + 0.2);
    assert!(toward.thrown.measured.complete < good.thrown.measured.complete);
    assert_eq!(good.thrown.defender.as_ref().unwrap().as_str(), "C2");
    // The best ball cannot lose to the one thrown by more than the grid of throws is coarse.
    assert!(good.lost_to_placement_s.value > -0.15, "{:?}", good.lost_to_placement_s);
    assert!(good.lost_to_placement_s.se > 0.0);
}

/// Thrown behind him: he stops and comes back, and his track has him at the ball. He could do at least what he did.
#[test]
fn a_receiver_who_was_at_the_ball_was_not_late_for_it() {
    let (people, mut tracks) = two_men(2.0, 6.0, 0.1);
    let throw = thrown(Point3::new(60.0, 14.67, 1.4), 1.2, 1.0);
    let p = Parameters::ours();
    let table = FlightTable::new(&Air::default(), &p).unwrap();
    let request = Request { from_s: 0.5, until_s: 1.2, ..Request::default() };
    let none = WindowDraws { releases: Vec::new(), receivers: Vec::new(), cells: Vec::new(), draws: 0 };
    let judge = |tracks: &[Track]| {
        let scene = Scene { people: &people, tracks, rule_book: RuleBook::College };
        evaluate_throw(&scene, &table, &p, &request, &none, &"R1".into(), &throw, 0.5)
            .unwrap()
            .thrown
            .measured
    };
    let runs_on = judge(&tracks);
    let his = tracks.iter_mut().find(|t| t.person.as_str() == "R1").unwrap();
    for q in &mut his.points {
        // On his route until just before the ball is there, when he has come back for it.
        let back = ((q.t_s - 1.5) / 0.7).clamp(0.0, 1.0);
        q.position.x += back * (60.0 - q.position.x);
    }
    let came_back = judge(&tracks);
    assert!(
        came_back.margin_s > runs_on.margin_s + 0.3 && came_back.complete > runs_on.complete,
        "{came_back:?} against {runs_on:?}"
    );
}

/// What is drawn is what was counted: the race laid open has the cell's ball, its first defender and its margin.
#[test]
fn a_race_laid_open_is_the_cells_own() {
    let (people, tracks) = two_men(2.0, 6.0, 0.1);
    let scene = Scene { people: &people, tracks: &tracks, rule_book: RuleBook::College };
    let p = Parameters::ours();
    let table = FlightTable::new(&Air::default(), &p).unwrap();
    let request = Request { from_s: 1.0, until_s: 1.0, ..Request::default() };
    let (draws, _) = windows(&scene, &table, &p, &request).unwrap();
    for (r, id) in draws.receivers.iter().enumerate() {
        let cell = draws.cell(r, 0).unwrap();
        let race = race_shown(&scene, &table, &p, id, 1.0).unwrap().unwrap();
        assert_eq!(Some(race.ball), cell.ball);
        assert_eq!(Some(&race.racers[1].person), cell.defender.as_ref());
        let (first, last) = (race.path[0], *race.path.last().unwrap());
        assert!((first.0 - 1.0).abs() < 1e-9 && (last.0 - 1.0 - race.ball.flight_s).abs() < 1e-9);
        assert!(last.1.ground().distance(race.ball.target) < 1e-6);
        assert!((last.1.z * 3.0 - race.ball.height_ft).abs() < 1e-6);
        let (him, other) = (&race.racers[0], &race.racers[1]);
        let late = (him.ready_s - him.ball_s).max(0.0) * p.route.late_weight;
        let margin = other.ready_s - other.ball_s - late;
        assert!((margin - cell.measured.margin_s).abs() < 1e-6, "{id}: {margin}, {:?}", cell.measured);
        assert!(
            race.racers.windows(2).skip(2).all(|w| w[0].ready_s - w[0].ball_s <= w[1].ready_s - w[1].ball_s)
        );
    }
    assert!(race_shown(&scene, &table, &p, &"X9".into(), 1.0).unwrap_err().to_string().contains("X9"));
}

#[test]
fn bad_input_is_named() {
    let (people, mut tracks) = two_men(4.0, 4.0, 0.1);
    let p = Parameters::ours();
    let table = FlightTable::new(&Air::default(), &p).unwrap();
    let go = |people: &[Person], tracks: &[Track], request: &Request| {
        windows(&Scene { people, tracks, rule_book: RuleBook::College }, &table, &p, request)
    };
    let request = Request { from_s: 1.0, until_s: 1.2, ..Request::default() };
    assert_eq!(go(&people, &tracks[1..], &request).unwrap_err(), WindowError::NoTrack { who: "the passer" });
    let e = go(&people, &tracks, &Request { rate_hz: f64::NAN, ..request }).unwrap_err();
    assert_eq!(e.to_string(), "release rate is NaN 1/s, outside 1 to 240");
    // A track that breaks off: windows without him, and said so.
    tracks[3].points.truncate(10);
    let (draws, findings) = go(&people, &tracks, &request).unwrap();
    assert!(
        findings.iter().any(|f| f.code == "defender-not-seen" && f.message.contains("C1")),
        "{findings:?}"
    );
    assert!(draws.cell(0, 0).is_some());
    // A receiver who disappears has no window rather than a made-up one.
    tracks[1].points.truncate(10);
    let (draws, findings) = go(&people, &tracks, &request).unwrap();
    assert!(draws.cell(0, 0).is_none() && draws.windows()[0].cells.is_empty());
    assert!(findings.iter().any(|f| f.code == "not-seen" && f.message.starts_with("L1")));
    // A jump is told, a figure that is no number leaves him out.
    let mut jumpy = tracks.clone();
    jumpy[4].points[20].position = geometry::Point2::new(20.0, 20.0);
    let (_, findings) = go(&people, &jumpy, &request).unwrap();
    assert!(findings.iter().any(|f| f.code == "too-fast" && f.message.starts_with("C2")), "{findings:?}");
    tracks[4].points[3].position = geometry::Point2::new(f64::NAN, 0.0);
    let (_, findings) = go(&people, &tracks, &request).unwrap();
    assert!(findings.iter().any(|f| f.code == "bad-track" && f.message.starts_with("C2")), "{findings:?}");
}
