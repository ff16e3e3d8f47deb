//! Trade measures, pictures and routes on scripted tracks, whose answers follow from the trade's definitions
//! (docs/glossary.md) by construction.

#[allow(dead_code, reason = "shared with the other tests")]
mod support;

use field::{Direction, RuleBook};
use geometry::{Point2, Vector2};
use play::{Person, PersonId, Role, Situation, Track};
use reads::board::{Board, BoardError};
use reads::measures::{self, Leverage, Press};
use reads::playbook::{Family, Middle, Playbook};
use reads::{picture, recognise};
use support::{person, receiver, situation, track};

const SD: f64 = 0.05;

/// Somebody who stands.
fn stands(id: &str, x: f64, y: f64) -> Track {
    track(id, &[(0.0, x, y), (4.0, x, y)], SD)
}

/// A scripted play and its board's parts.
struct Scripted {
    people: Vec<Person>,
    tracks: Vec<Track>,
    situation: Situation,
}

impl Scripted {
    fn new(cast: Vec<(Person, Track)>) -> Self {
        let (people, tracks) = cast.into_iter().unzip();
        Self { people, tracks, situation: situation() }
    }
    fn board(&self) -> Board<'_> {
        Board::new(&self.people, &self.tracks, &self.situation, RuleBook::College).expect("charted")
    }
}

fn id(s: &str) -> PersonId {
    PersonId::from(s)
}

#[test]
fn alignments_follow_the_trades_bands() {
    // (cushion, to the inside, press, leverage) on both sides of the ball.
    let rows = [
        (1.5, 1.2, Press::Press, Leverage::Inside),
        (4.0, -1.5, Press::Soft, Leverage::Outside),
        (7.5, 0.2, Press::Off, Leverage::HeadUp),
    ];
    for side in [1.0, -1.0] {
        let slot = if side > 0.0 { "L1" } else { "R1" };
        for (x, inside, press, leverage) in rows {
            let y = 18.0 * side;
            let play = Scripted::new(vec![
                (receiver(slot), stands(slot, 0.0, y)),
                (person("C", Role::Cover), stands("C", x, y - inside * side)),
                (person("S", Role::Cover), stands("S", 12.0, y - 10.0 * side)),
            ]);
            let a = measures::alignment(&play.board(), &id(slot)).unwrap();
            assert_eq!((a.defender.as_str(), a.press, a.leverage), ("C", press, leverage));
            assert!((a.cushion_yd.value - f64::hypot(x, inside)).abs() < 1e-9);
            assert!((a.inside_yd.value - inside).abs() < 1e-9);
            // Two independent places of SD each.
            assert!((a.cushion_yd.se - SD * 2f64.sqrt()).abs() < 1e-9);
        }
    }
    let alone = Scripted::new(vec![
        (receiver("L1"), stands("L1", 0.0, 18.0)),
        (person("C", Role::Cover), stands("C", 5.0, 0.0)),
    ]);
    assert!(measures::alignment(&alone.board(), &id("L1")).is_none(), "nobody is over him");
}

#[test]
fn distances_are_the_definitions_and_the_unseen_has_none() {
    let play = Scripted::new(vec![
        (receiver("L1"), stands("L1", 12.0, 15.0)),
        (receiver("L2"), stands("L2", 5.0, 15.0)),
        (receiver("R1"), stands("R1", 8.0, -12.0)),
        (person("C", Role::Cover), stands("C", 12.0, 18.0)),
        (person("F", Role::Cover), stands("F", 6.0, 14.0)),
    ]);
    let board = play.board();
    let (who, gap) = measures::separation(&board, &id("L1"), 2.0).unwrap();
    assert_eq!(who.as_str(), "C");
    assert!((gap.value - 3.0).abs() < 1e-9);
    assert!((measures::stretch(&board, &id("L1"), &id("L2"), 2.0).unwrap().value - 7.0).abs() < 1e-9);
    let (a, b, least) = measures::spacing(&board, 2.0).unwrap();
    assert_eq!((a.as_str(), b.as_str()), ("L1", "L2"));
    assert!((least.value - 7.0).abs() < 1e-9);
    assert!(measures::separation(&board, &id("L1"), 9.0).is_none(), "the tracks end before");
    assert!(measures::separation(&board, &id("R9"), 2.0).is_none());
}

#[test]
fn measures_are_the_same_whichever_way_the_offense_goes() {
    let mut play = Scripted::new(vec![
        (receiver("L1"), track("L1", &[(0.0, 0.0, 18.0), (1.5, 10.0, 18.0), (3.5, 10.0, 24.0)], SD)),
        (person("C", Role::Cover), stands("C", 6.0, 17.0)),
    ]);
    let book = Playbook::ours();
    let read = |p: &Scripted| {
        let b = p.board();
        (measures::alignment(&b, &id("L1")).unwrap(), recognise::route(&b, &id("L1"), 3.5, &book).unwrap())
    };
    let up = read(&play);
    let turned = |p: geometry::Point2<geometry::frame::Ground>| {
        geometry::Point2::new(2.0 * support::LINE_X - p.x, 2.0 * support::MIDDLE_Y - p.y)
    };
    for p in play.tracks.iter_mut().flat_map(|t| t.points.iter_mut()) {
        p.position = turned(p.position);
        p.velocity = -p.velocity;
    }
    play.situation.direction = Some(Direction::Down);
    let down = read(&play);
    assert_eq!(up.0.leverage, down.0.leverage);
    assert!((up.0.inside_yd.value - down.0.inside_yd.value).abs() < 1e-9);
    assert_eq!(up.1.routes[0].0, down.1.routes[0].0);
    let (a, b) = (up.1.turn.unwrap(), down.1.turn.unwrap());
    assert!(
        (a.depth_yd.value - b.depth_yd.value).abs() < 1e-6
            && (a.angle_deg.value - b.angle_deg.value).abs() < 1e-6
    );
}

#[test]
fn box_and_rush_are_counted() {
    let mut cast: Vec<(Person, Track)> = (0..5)
        .map(|k| {
            let name = format!("B{k}");
            (person(&name, Role::Blocker), stands(&name, -1.0, -3.0 + 1.5 * f64::from(k)))
        })
        .collect();
    for (k, (x, y)) in [(1.0, -2.0), (1.0, 2.0), (5.0, 4.3), (5.0, 5.0), (9.0, 0.0)].into_iter().enumerate() {
        let name = format!("D{k}");
        cast.push((person(&name, Role::Cover), stands(&name, x, y)));
    }
    cast.push((
        person("E", Role::Cover),
        track("E", &[(0.0, 2.0, 12.0), (1.5, -4.0, 3.0), (4.0, -5.0, 1.0)], SD),
    ));
    cast.push((person("T", Role::Rusher), stands("T", 1.0, 0.0)));
    let play = Scripted::new(cast);
    // Tackles at ±3 yd and 1.5 yd beside: D0, D1, D2 and the rusher inside; D3 half a yard too wide, D4 too deep.
    assert_eq!(measures::box_count(&play.board()), Some(4));
    let rush: Vec<String> = measures::rushers(&play.board()).iter().map(ToString::to_string).collect();
    assert_eq!(rush, ["E", "T"]);
}

/// Four receivers who run straight up, and defenders given by where they are at the snap and at two seconds.
fn coverage(defenders: &[(f64, f64, f64, f64)]) -> Scripted {
    let mut cast: Vec<(Person, Track)> = [("L1", 20.0), ("L2", 10.0), ("R2", -10.0), ("R1", -20.0)]
        .into_iter()
        .map(|(s, y)| (receiver(s), track(s, &[(0.0, 0.0, y), (2.0, 14.0, y), (4.0, 28.0, y)], SD)))
        .collect();
    for (k, &(x0, y0, x2, y2)) in defenders.iter().enumerate() {
        let name = format!("D{k}");
        let way = [(0.0, x0, y0), (2.0, x2, y2), (4.0, 2.0 * x2 - x0, 2.0 * y2 - y0)];
        cast.push((person(&name, Role::Cover), track(&name, &way, SD)));
    }
    Scripted::new(cast)
}

#[test]
fn pictures_are_the_scripted_coverages() {
    let man = |y: f64| (1.5, y, 15.0, y);
    let free = (12.0, 0.0, 17.0, 0.0);
    let halves = [(12.0, 11.0, 18.0, 12.0), (12.0, -11.0, 18.0, -12.0)];
    let sits = |x: f64, y: f64| (x, y, x + 3.0, y);
    let under = [sits(5.0, 22.0), sits(5.0, 5.0), sits(5.0, 0.0), sits(5.0, -5.0), sits(5.0, -22.0)];
    let rows: Vec<(Vec<(f64, f64, f64, f64)>, u8, Middle, Family)> = vec![
        (vec![man(20.0), man(10.0), man(-10.0), man(-20.0), free], 1, Middle::Closed, Family::OneHighMan),
        (
            [man(20.0), man(10.0), man(-10.0), man(-20.0)].into_iter().chain(halves).collect(),
            2,
            Middle::Open,
            Family::TwoHighMan,
        ),
        (under.into_iter().chain(halves).collect(), 2, Middle::Open, Family::TwoHighZone),
        (
            vec![(7.0, 22.0, 18.0, 19.0), (7.0, -22.0, 18.0, -19.0), free, under[1], under[2], under[3]],
            1,
            Middle::Closed,
            Family::OneHighZone,
        ),
    ];
    for (defenders, deep, middle, family) in rows {
        let play = coverage(&defenders);
        let board = play.board();
        let shell = picture::shell(&board).unwrap();
        assert_eq!(shell.deep, deep, "{family:?}");
        let seen = picture::deep_middle(&board, 2.5).unwrap();
        assert_eq!(seen.picture(), middle, "{family:?}: {seen:?}");
        let families = picture::families(&board, 2.5);
        assert_eq!(families[0].0, family, "{families:?}");
        assert!((families.iter().map(|f| f.1).sum::<f64>() - 1.0).abs() < 1e-9);
    }
    let nobody = Scripted::new(vec![(receiver("L1"), stands("L1", 0.0, 18.0))]);
    assert!(picture::shell(&nobody.board()).is_none() && picture::families(&nobody.board(), 2.0).is_empty());
}

/// Two safeties seven yards off are deep with the ball on the five, where the end line is fifteen yards away, and are not on the
/// forty; in either direction. Common practice, no source.
#[test]
fn deep_is_nearer_where_the_end_line_is_near() {
    let safeties = [(7.0, 6.0, 7.0, 6.0), (7.0, -6.0, 7.0, -6.0)];
    let mut play = coverage(&safeties);
    let half_field = play.board();
    assert_eq!((half_field.room_yd(), picture::shell(&half_field).unwrap().deep), (70.0, 0));
    for (line_x, direction) in [(95.0, Direction::Up), (5.0, Direction::Down)] {
        let mut turned = coverage(&safeties);
        turned.situation.line_x = Some(line_x);
        turned.situation.direction = Some(direction);
        let sign = if direction == Direction::Up { 1.0 } else { -1.0 };
        let middle = RuleBook::College.width() / 2.0;
        for p in turned.tracks.iter_mut().flat_map(|t| &mut t.points) {
            let (x, y) = (p.position.x - support::LINE_X, p.position.y - middle);
            p.position = Point2::new(line_x + sign * x, middle + sign * y);
            p.velocity = Vector2::new(sign * p.velocity.x, sign * p.velocity.y);
        }
        let board = turned.board();
        assert_eq!((board.room_yd(), picture::shell(&board).unwrap().deep), (15.0, 2), "{direction:?}");
    }
    // A line on the other side of the field has more than the room that anybody uses.
    play.situation.line_x = Some(5.0);
    assert_eq!(play.board().room_yd(), 105.0);
}

/// Every route run as the playbook draws it, at a receiver's speed, is named; its break lies where it was drawn.
#[test]
fn drawn_routes_are_named_on_both_sides() {
    let book = Playbook::ours();
    let (mut right, mut of) = (0, 0);
    for r in book.routes.iter().filter(|r| !r.back && r.id != "block") {
        for side in [1.0, -1.0] {
            let slot = match (side > 0.0, book.usual(&r.id, "L2") > book.usual(&r.id, "L1")) {
                (true, false) => "L1",
                (true, true) => "L2",
                (false, false) => "R1",
                (false, true) => "R2",
            };
            let y0 = 14.0 * side;
            let (mut t, mut corners) = (0.0, vec![(0.0, 0.0, y0)]);
            for w in r.waypoints.windows(2) {
                t += (w[1][0] - w[0][0]).hypot(w[1][1] - w[0][1]) / 6.5;
                corners.push((t, w[1][0], y0 + w[1][1] * side));
            }
            let last = corners[corners.len() - 1];
            corners.push((t + 0.7, last.1, last.2));
            let play = Scripted::new(vec![(receiver(slot), track(slot, &corners, SD))]);
            let board = play.board();
            // A sitting man is seen to sit; others are taken while they run.
            let until = if matches!(r.toward, reads::playbook::Toward::Back) { t + 0.6 } else { t };
            let Some(guess) = recognise::route(&board, &id(slot), until.max(1.0), &book) else { continue };
            of += 1;
            right += usize::from(guess.routes.iter().take(2).any(|g| g.0 == r.id));
            assert!((guess.routes.iter().map(|g| g.1).sum::<f64>() - 1.0).abs() < 1e-9);
        }
    }
    // Names that share a drawing (go and fade, flat and arrow) may trade places; the right one is among the first two.
    assert!(of >= 50 && right * 100 >= of * 90, "{right} of {of}");
}

#[test]
fn a_dig_has_its_depth_and_its_right_angle() {
    let corners = [(0.0, 0.0, 18.0), (1.9, 13.0, 18.0), (4.0, 13.0, 4.0)];
    let play = Scripted::new(vec![(receiver("L1"), track("L1", &corners, SD))]);
    let guess = recognise::route(&play.board(), &id("L1"), 3.6, &Playbook::ours()).unwrap();
    assert_eq!(guess.routes[0].0, "dig");
    let turn = guess.turn.unwrap();
    assert!((turn.depth_yd.value - 13.0).abs() < 3.0 * turn.depth_yd.se + 0.1, "{turn:?}");
    // To the inside: negative.
    assert!((turn.angle_deg.value + 90.0).abs() < 5.0, "{turn:?}");
    assert!((turn.at_s - 1.9).abs() < 0.07);
    let short = Scripted::new(vec![(receiver("L1"), stands("L1", 0.0, 18.0))]);
    assert!(recognise::route(&short.board(), &id("L1"), 3.0, &Playbook::ours()).is_none(), "he ran no route");
}

/// A man who stops at thirteen yards and has not yet turned may run a curl or a comeback: what runs under him tells which, as
/// the playbook has them together.
#[test]
fn what_the_others_run_tells_one_route_from_its_twin() {
    let book = Playbook::ours();
    let sits = |slot: &str, y: f64| track(slot, &[(0.0, -0.6, y), (2.2, 12.9, y), (3.2, 12.8, y)], SD);
    let flat = |slot: &str, y: f64| {
        let side = f64::signum(y);
        track(
            slot,
            &[(0.0, -1.2, y), (0.5, 1.0, y + side), (1.1, 2.0, y + 5.0 * side), (2.0, 2.6, y + 11.0 * side)],
            SD,
        )
    };
    let share = |play: &Scripted, slot: &str, route: &str| {
        let seen = reads::concepts::routes(&play.board(), 3.0, Some(2.4), &[], &book);
        let of = &seen.iter().find(|s| s.0 == slot).expect("he ran").1;
        assert!((of.routes.iter().map(|r| r.1).sum::<f64>() - 1.0).abs() < 1e-9);
        of.routes.iter().find(|r| r.0 == route).map_or(0.0, |r| r.1)
    };
    let alone = Scripted::new(vec![(receiver("L1"), sits("L1", 18.0))]);
    let with_flats = Scripted::new(vec![
        (receiver("L1"), sits("L1", 18.0)),
        (receiver("L2"), flat("L2", 9.0)),
        (receiver("R2"), flat("R2", -9.0)),
        (receiver("R1"), sits("R1", -18.0)),
    ]);
    let (before, after) = (share(&alone, "L1", "curl"), share(&with_flats, "L1", "curl"));
    assert!(after > before && after > 0.5, "{before:.2} alone, {after:.2} over a flat");
    // What was charted is certain, whatever the others run.
    let own = [play::RouteCall { slot: "L1".into(), route: "Comeback".into() }];
    let seen = reads::concepts::routes(&with_flats.board(), 3.0, Some(2.4), &own, &book);
    assert_eq!(seen.iter().find(|s| s.0 == "L1").expect("charted").1.routes, [("comeback".to_owned(), 1.0)]);
}

/// A ball that is gone after 1.5 s was thrown off a quick drop: the concepts of deep drops count for less.
#[test]
fn when_the_ball_left_tells_quick_concepts_from_deep_ones() {
    let book = Playbook::ours();
    let runs = |slot: &str, y: f64| track(slot, &[(0.0, -0.8, y), (3.0, 19.0, y)], SD);
    let play = Scripted::new(vec![(receiver("L1"), runs("L1", 20.0)), (receiver("R1"), runs("R1", -20.0))]);
    let deep = |released| {
        let seen = reads::concepts::routes(&play.board(), 2.5, Some(released), &[], &book);
        reads::concepts::concepts(&seen, Some(released), &book)
            .iter()
            .filter(|c| book.drop(&c.concept.drop).is_some_and(|d| d.out[0] > 2.5))
            .map(|c| c.share)
            .sum::<f64>()
    };
    assert!(deep(3.0) > deep(1.5), "{} and {}", deep(3.0), deep(1.5));
}

#[test]
fn a_board_needs_line_hash_and_direction() {
    let (people, tracks) = (Vec::new(), Vec::new());
    let s = Situation { direction: None, ..situation() };
    let e = Board::new(&people, &tracks, &s, RuleBook::College).unwrap_err();
    assert_eq!(e, BoardError::Situation { what: "the direction of the offense" });
}
