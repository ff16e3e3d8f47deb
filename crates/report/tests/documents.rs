//! A whole report from a small invented play, as HTML and PDF.

use field::{Direction, RuleBook};
use geometry::{Covariance2, Point2, Point3, Vector2};
use play::{
    Air, Arc, Ball, Chart, Claim, Evidence, Feet, Finding, Game, Hash, Judgement, Leaning, Looked,
    Measurement, Moment, MomentKind, Outcome, OwnCall, Person, Placement, Play, Pressure, ReceiverWindows,
    Role, Seen, Severity, Situation, Stage, Study, Team, Throw, ThrowResult, Track, TrackPoint, Unit,
    Weighed, WindowCell,
};
use report::{
    ClaimReport, ClipFilm, Diagram, Extent, PlayReport, StudyReport, SummaryRow, Theme, WindowsStrip, html,
    pdf,
};
use stats::Estimate;

fn track(id: &str, from: (f64, f64), to: (f64, f64)) -> Track {
    let velocity = Vector2::new((to.0 - from.0) / 3.0, (to.1 - from.1) / 3.0);
    let point = |k: u32| {
        let w = f64::from(k) / 30.0;
        TrackPoint {
            t_s: 3.0 * w,
            position: Point2::new(from.0 + (to.0 - from.0) * w, from.1 + (to.1 - from.1) * w),
            velocity,
            position_covariance: Covariance2 { xx: 0.02, xy: 0.01, yy: 0.04 },
            velocity_covariance: Covariance2::isotropic(0.3),
        }
    };
    Track { person: id.into(), points: (0..=30).map(point).collect() }
}

fn person(id: &str, unit: Unit, role: Role) -> Person {
    Person { id: id.into(), unit, role, shirt: None, name: String::new() }
}

fn windows(id: &str, sign: f64) -> ReceiverWindows {
    let ball = Ball {
        target: Point2::new(55.0, 12.0),
        height_ft: 5.0,
        speed_mph: 48.0,
        launch_deg: 12.0,
        flight_s: 0.8,
        arc: Arc::Driven,
    };
    let cell = |k: u32| {
        let t = f64::from(k) / 30.0;
        WindowCell {
            release_s: t,
            margin_s: Estimate::new(sign * 0.5 * (t - 1.2), 0.12),
            margin_yd: Estimate::new(sign * 3.0 * (t - 1.2), 0.8),
            complete: Estimate::new(0.55, 0.1),
            intercept: Estimate::new(0.05, 0.03),
            ball: (k > 12).then_some(ball),
            defender: Some("D1".into()),
        }
    };
    ReceiverWindows { receiver: id.into(), cells: (0..80).map(cell).collect() }
}

/// A report with every part in it, and nothing from a real game.
pub fn example() -> StudyReport {
    let measurement = Measurement {
        moments: vec![
            Moment { kind: MomentKind::Snap, at_s: Estimate::new(0.0, 0.01) },
            Moment { kind: MomentKind::Set, at_s: Estimate::new(1.62, 0.02) },
            Moment { kind: MomentKind::Release, at_s: Estimate::new(2.13, 0.01) },
            Moment { kind: MomentKind::Arrival, at_s: Estimate::new(2.9, 0.01) },
        ],
        tracks: vec![
            track("passer", (38.0, 26.7), (33.0, 26.0)),
            track("L1", (40.0, 45.0), (56.0, 44.0)),
            track("R1", (40.0, 9.0), (52.0, 13.0)),
            track("D1", (47.0, 10.0), (53.0, 15.0)),
        ],
        throw: Seen::Seen(Throw {
            release_s: Estimate::new(2.13, 0.01),
            flight_s: Estimate::new(0.77, 0.015),
            release: Point3::new(33.0, 26.0, 2.1),
            arrival: Point3::new(52.0, 13.0, 1.6),
            arrival_covariance: Covariance2 { xx: 0.05, xy: 0.0, yy: 0.12 },
            arrival_height_ft: Seen::Seen(Estimate::new(4.8, 0.2)),
            speed_mph: Seen::Seen(Estimate::new(49.3, 0.6)),
            launch_deg: Seen::Seen(Estimate::new(9.4, 0.4)),
            side_deg: Seen::Seen(Estimate::new(-34.0, 0.3)),
            apex_ft: Seen::Seen(Estimate::new(8.1, 0.2)),
            air_yd: Estimate::new(23.0, 0.2),
            arc: Seen::Seen(Arc::Driven),
            path: vec![],
            rms_px: 0.9,
        }),
        feet: Seen::Seen(Feet {
            error_deg: Seen::Seen(Estimate::new(-12.0, 4.0)),
            base_yd: Seen::Seen(Estimate::new(0.82, 0.04)),
            step_yd: Seen::not("the feet at set were not marked"),
            front_foot_lead_s: Seen::not("the landing was not marked"),
            weight: Seen::not("the hips were not marked"),
            repeats: 5,
        }),
        placement: Seen::Seen(Placement {
            ahead_of_run_yd: Seen::not("not marked"),
            over_run_ft: Seen::not("not marked"),
            lead_yd: Seen::Seen(Estimate::new(-0.6, 0.15)),
            left_yd: Seen::Seen(Estimate::new(0.3, 0.2)),
            height_ft: Seen::Seen(Estimate::new(4.8, 0.2)),
            away_yd: Seen::not("no defender near"),
            receiver: Point2::new(52.0, 13.0),
            separation_yd: Seen::Seen(Estimate::new(2.3, 0.25)),
        }),
        windows: vec![windows("R1", 1.0), windows("L1", -1.0)],
        pressure: Pressure { at_s: Seen::Seen(Estimate::new(2.5, 0.1)), rusher: None },
        findings: vec![Finding::new(
            Severity::Note,
            "no-hips",
            "the hips were not marked: weight is not seen",
        )],
    };
    let play = Play {
        id: "g1-03".into(),
        game: "g1".into(),
        number: 3,
        situation: Situation {
            quarter: Some(1),
            clock_s: Some(731.0),
            down: Some(2),
            distance_yd: Some(7.0),
            line_x: Some(40.0),
            hash: Some(Hash::Middle),
            direction: Some(Direction::Up),
            margin: Some(0),
        },
    };
    StudyReport {
        study: Study {
            name: "Autumn study".into(),
            passer: "the passer".into(),
            right_handed: true,
            evaluator: "E. & V. <Aluator>".into(),
        },
        games: vec![Game {
            id: "g1".into(),
            name: "First game".into(),
            rule_book: RuleBook::College,
            offense: Team { name: "A".into(), shirt: None },
            defense: Team { name: "B".into(), shirt: None },
            air: Air::default(),
            crown: None,
        }],
        claims: vec![ClaimReport {
            claim: Claim {
                id: "c1".into(),
                order: 1,
                text: "Closed feet pull the out behind.".into(),
                leaning: Leaning::Fault,
                stage: None,
                strands: vec![],
                evidence: Evidence { supporting: vec!["g1-03".into()], against: vec![] },
                impression: false,
            },
            stage: Stage::Feet,
            figures: vec!["Feet error −12 ± 7°, 1 play".into()],
            strength: "thin: 1 play".into(),
            unsupported: true,
            lacks: "the figures do not carry this sentence".into(),
            one_sided: "Only clips in favour are chosen; 3 plays of its figures go against it.".into(),
            needed: vec![],
        }],
        summary: vec![SummaryRow {
            label: "Throws completed".into(),
            n: 22,
            figure: "14 of 22, 64% (46 to 78)".into(),
        }],
        plays: vec![PlayReport {
            play,
            chart: Chart {
                formation: "2x2".into(),
                concept: "smash".into(),
                coverage_before: "two high".into(),
                coverage_after: "quarters".into(),
                result: Some(ThrowResult::Incomplete),
                target: Some("R1".into()),
                miss: "behind".into(),
                notes: "Watch #3 & the <corner>.".into(),
                ..Default::default()
            },
            people: vec![
                person("passer", Unit::Offense, Role::Passer),
                person("L1", Unit::Offense, Role::Back),
                person("R1", Unit::Offense, Role::Back),
                person("D1", Unit::Defense, Role::Cover),
            ],
            measurement: Some(measurement),
            judgements: vec![Judgement {
                plan: "smash-key".into(),
                plan_name: "smash, corner defender as key".into(),
                outcomes: vec![
                    Weighed { outcome: Outcome::InRhythm, probability: 0.81 },
                    Weighed { outcome: Outcome::Behind, probability: 0.19 },
                ],
                answer: Some("R1".into()),
                better: None,
                value_gap: None,
                pressure_first: Some(0.1),
                looks: vec![Looked {
                    slot: "R1".into(),
                    at_s: 2.0,
                    margin_s: Some(Estimate::new(0.4, 0.12)),
                    applies: true,
                }],
                reason: "R1 was first to the ball by 0.40 ± 0.20 s at 2.0 s.".into(),
            }],
            calls: vec![OwnCall {
                plan: "smash-key".into(),
                outcome: Outcome::InRhythm,
                why: "clean".into(),
            }],
        }],
        version: vec![
            ("data".into(), "edit 12, fingerprint 00ff".into()),
            ("program".into(), "tapemeasure 0.1.0".into()),
        ],
    }
}

#[test]
fn html_is_whole_escaped_and_needs_nothing_else() {
    let page = html(&example(), Extent::Full, &[]);
    assert_eq!(page.matches("<svg").count(), 4, "diagram, windows, feet, placement");
    assert!(page.contains("E. &amp; V. &lt;Aluator&gt;") && page.contains("not seen"));
    assert!(page.contains("the figures do not carry this sentence."));
    for outside in ["src=\"http", "href=\"http", "@import", "<script"] {
        assert!(!page.contains(outside), "{outside}");
    }
    let ids: Vec<_> =
        page.match_indices(" id=\"").map(|(k, _)| page[k + 5..].split('"').next().unwrap()).collect();
    let mut unique = ids.clone();
    unique.sort_unstable();
    unique.dedup();
    assert_eq!(unique.len(), ids.len(), "ids repeat: {ids:?}");
}

#[test]
fn pdf_is_made_and_reproducible() {
    let a = pdf(&example(), Extent::Full).unwrap();
    assert!(a.starts_with(b"%PDF-") && a.len() > 20_000);
    assert_eq!(a, pdf(&example(), Extent::Full).unwrap());
}

#[test]
fn figures_say_nothing_where_nothing_is_known() {
    let empty =
        WindowsStrip { windows: &[], moments: &[], pressure_s: None, looks: &[], target: None, at_s: None };
    assert_eq!(empty.svg(Theme::Dark), None);
    let nowhere = Situation::default();
    let d = Diagram {
        rule_book: RuleBook::College,
        situation: &nowhere,
        people: &[],
        tracks: &[],
        throw: None,
        at_s: 0.0,
        race: None,
        features: vec![],
    };
    assert_eq!(d.svg(Theme::Light), None);
}

#[test]
fn a_play_without_measurement_still_prints() {
    let mut r = example();
    r.plays[0].measurement = None;
    r.claims.clear();
    r.summary.clear();
    assert!(html(&r, Extent::Full, &[]).contains("No statement was written."));
    assert!(pdf(&r, Extent::Full).is_ok());
}

/// Every form says the statement, that it is unsupported, the cautions and the data's version, and is the same each time.
#[test]
fn every_extent_says_what_must_be_said_and_is_reproducible() {
    for extent in [Extent::OnePage, Extent::Full, Extent::Presentation] {
        let page = html(&example(), extent, &[]);
        for said in [
            "Closed feet pull",
            "Unsupported",
            "Before you use this",
            "fingerprint 00ff",
            "Only clips in favour",
        ] {
            assert!(page.contains(said), "{extent:?}: {said}");
        }
        assert_eq!(page, html(&example(), extent, &[]));
        assert_eq!(pdf(&example(), extent).unwrap(), pdf(&example(), extent).unwrap());
    }
}

#[test]
fn a_cited_play_opens_its_film_without_script() {
    let clip = ClipFilm { play: "g1-03".into(), mp4: vec![0, 0, 0, 24] };
    for extent in [Extent::OnePage, Extent::Full, Extent::Presentation] {
        let page = html(&example(), extent, std::slice::from_ref(&clip));
        assert!(page.contains("href=\"#film-g1-03\"") && page.contains("id=\"film-g1-03\""));
        // RFC 4648 by hand: the bytes 00 00 00 18 are AAAAGA==.
        assert!(page.contains("data:video/mp4;base64,AAAAGA=="));
        assert!(!page.contains("<script"));
    }
}

/// One page stays one page however much is said; the page tree's own count (ISO 32000-1, 7.7.3.2).
#[test]
fn one_page_is_one_page() {
    let mut r = example();
    let one = r.claims[0].clone();
    r.claims = (0..60).map(|_| one.clone()).collect();
    let bytes = pdf(&r, Extent::OnePage).unwrap();
    let text = String::from_utf8_lossy(&bytes);
    assert!(text.contains("/Count 1") || text.contains("/Count 1\n"), "the page tree counts one page");
    assert!(!text.contains("/Count 2"));
}
