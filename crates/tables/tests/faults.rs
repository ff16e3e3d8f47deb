//! Half-good tables give findings and never nonsense; hopeless ones are refused with the reason.
#![allow(clippy::unwrap_used, reason = "tests")]

mod support;

use field::{Direction, RuleBook};
use play::{Finding, MomentKind};
use support::*;
use tables::{Mapping, TableError, TablePlay, propose, read_plays};

const X: usize = 8;
const Y: usize = 9;
const TIME: usize = 7;
const SIDE: usize = 6;
const ID: usize = 2;
const EVENT: usize = 10;

fn table() -> Vec<Vec<String>> {
    rows(&game(43, 3).1, &PLAIN, 9)
}
fn mapping() -> Mapping {
    let mut mapping = propose(&text(&table(), ','), None, RuleBook::College).unwrap().mapping;
    mapping.going = [("right".to_owned(), Direction::Up), ("left".to_owned(), Direction::Down)].into();
    mapping
}
fn read(rows: &[Vec<String>]) -> Result<(Vec<TablePlay>, Vec<Finding>), TableError> {
    read_plays(&text(rows, ','), None, &mapping(), RuleBook::College, "t.csv")
}
fn codes(findings: &[Finding]) -> Vec<&str> {
    findings.iter().map(|f| f.code.as_str()).collect()
}
/// Spoils rows of the first play and reads.
fn spoilt(spoil: impl Fn(&mut Vec<Vec<String>>)) -> (Vec<TablePlay>, Vec<Finding>) {
    let mut rows = table();
    spoil(&mut rows);
    read(&rows).unwrap_or_else(|e| panic!("{e}"))
}
fn seconds(r: &[String]) -> f64 {
    r[TIME].parse().unwrap_or(f64::NAN)
}

#[test]
fn a_sound_table_has_nothing_to_complain_of() {
    let (plays, findings) = read(&table()).unwrap();
    assert_eq!(plays.len(), 3);
    assert!(findings.is_empty(), "{findings:?}");
}

#[test]
fn each_fault_is_named_and_the_rest_is_kept() {
    let (_, findings) = spoilt(|r| r.retain(|c| !(c[ID] == "1007" && (9.5..10.4).contains(&seconds(c)))));
    assert!(findings.is_empty(), "a hole is a matter of the path, not of the table: {findings:?}");

    let (plays, findings) = spoilt(|r| {
        r.iter_mut().filter(|c| c[ID] == "1003" && seconds(c) > 10.0).for_each(|c| c[SIDE] = "VIS".into())
    });
    assert!(codes(&findings).contains(&"side-changes"), "{findings:?}");
    assert_eq!(plays.len(), 3);

    let (plays, findings) =
        spoilt(|r| r.iter_mut().filter(|c| c[ID] == "1009").for_each(|c| c[ID] = "1008".into()));
    assert!(
        codes(&findings).contains(&"double-rows") && codes(&findings).contains(&"not-eleven"),
        "{findings:?}"
    );
    assert_eq!(plays.len(), 3);

    let (plays, findings) = spoilt(|r| {
        let second: Vec<Vec<String>> = r
            .iter()
            .filter(|c| c[SIDE] == "ball")
            .map(|c| {
                let mut c = c.clone();
                c[X] = "70.00".into();
                c[Y] = "2.00".into();
                c
            })
            .collect();
        r.extend(second);
    });
    assert!(codes(&findings).contains(&"two-balls"), "{findings:?}");
    assert_eq!(plays.len(), 3, "{findings:?}");

    let (plays, findings) = spoilt(|r| r.retain(|c| c[SIDE] != "ball" || c[1] != "1"));
    assert_eq!(plays.len(), 2);
    assert!(codes(&findings).contains(&"play-left-out"), "{findings:?}");

    let (plays, findings) =
        spoilt(|r| r.retain(|c| !(c[1] == "1" && ["1001", "1002", "1012"].contains(&c[ID].as_str()))));
    assert_eq!(plays.len(), 3);
    assert!(codes(&findings).contains(&"not-eleven"), "{findings:?}");

    let (plays, findings) = spoilt(|r| {
        r.iter_mut().filter(|c| c[ID] == "1004" && c[1] == "1").take(5).for_each(|c| c[X] = "NA".into())
    });
    assert!(codes(&findings).contains(&"rows-unread"), "{findings:?}");
    assert_eq!(plays.len(), 3);

    let (plays, findings) =
        spoilt(|r| r.iter_mut().filter(|c| c[11] == "right").for_each(|c| c[11] = "left".into()));
    assert_eq!(plays.len(), 3);
    let turned = plays.iter().any(|p| p.situation.direction == Some(Direction::Up));
    assert_eq!(turned, codes(&findings).contains(&"direction-contradicted"), "{findings:?}");

    let (plays, findings) = spoilt(|r| {
        r.iter_mut().for_each(|c| {
            if c[EVENT] == "ball snap" {
                c[EVENT] = String::new()
            }
        })
    });
    assert!(codes(&findings).contains(&"snap-inferred"), "{findings:?}");
    for p in plays {
        assert!(p.tracked.moments.iter().any(|m| m.kind == MomentKind::Snap && m.at_s.se >= 0.1));
    }
}

#[test]
fn rows_in_any_order_are_the_same_plays() {
    let (sound, _) = read(&table()).unwrap();
    let mut rows = table();
    rows[1..].reverse();
    let (mut turned, _) = read(&rows).unwrap();
    turned.reverse();
    assert_eq!(sound, turned);
}

#[test]
fn hopeless_tables_are_refused_in_words() {
    let of = |bytes: &[u8]| propose(bytes, None, RuleBook::College).unwrap_err().to_string();
    assert!(of(b"").contains("no rows"));
    assert!(of(b"x,y,time,id,play\n").contains("no rows"));
    assert!(of(&[0xff, 0xfe, 0, 1]).contains("neither"));
    assert!(of(b"PK\x03\x04 broken").contains("cannot be read"));
    assert!(of(b"hello\nworld\n").contains("no column"));

    let mut rows = table();
    for c in rows.iter_mut().skip(1).step_by(5) {
        c[X] = "left of the hash".into();
    }
    let e = read(&rows).unwrap_err().to_string();
    assert!(
        e.contains("“x”") && e.contains("row 2") && e.contains("left of the hash") && e.contains("tenth"),
        "{e}"
    );

    let wrong = Mapping { sd_yd: 9.0, ..mapping() };
    let e = read_plays(&text(&table(), ','), None, &wrong, RuleBook::College, "t").unwrap_err().to_string();
    assert!(e.contains("9 yd") && e.contains("between 0.01 and 2"), "{e}");
    let mut wrong = mapping();
    wrong.columns.y = "width".into();
    let e = read_plays(&text(&table(), ','), None, &wrong, RuleBook::College, "t").unwrap_err().to_string();
    assert!(e.contains("“width”") && e.contains("the table has game, play"), "{e}");
    let mut without = table();
    without.retain(|c| c[SIDE] != "ball");
    let e = read(&without).unwrap_err().to_string();
    assert!(e.contains("no play in the table can be used"), "{e}");
}
