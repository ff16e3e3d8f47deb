//! The whole demonstration game by the command line alone: film in, paired, lined up, marked, measured, judged, reported; and
//! then every measured figure against the truth, which only this test opens.
//!
//! The table that it prints gives, per figure, the RMS error and the share of claimed 90% intervals that held the truth.

#![allow(clippy::disallowed_methods, reason = "the test runs the product as a script would")]

mod compare;

use compare::Tally;
use play::{Measurement, PlayId};
use scrimmage::truth::PlayTruth;
use std::collections::BTreeMap;
use std::io::Write;
use std::path::Path;
use std::process::Command;

/// Plays of the demonstration game.
const PLAYS: usize = 26;

fn tapemeasure(arguments: &[&str]) -> serde_json::Value {
    let out = Command::new(env!("CARGO_BIN_EXE_tapemeasure"))
        .args(arguments)
        .arg("--json")
        .output()
        .expect("the program runs");
    let said = String::from_utf8_lossy(&out.stderr);
    assert!(out.status.success(), "tapemeasure {arguments:?}: {said}");
    serde_json::from_slice(&out.stdout)
        .unwrap_or_else(|e| panic!("tapemeasure {arguments:?} answered no JSON: {e}"))
}

fn read<T: serde::de::DeserializeOwned>(path: &Path) -> T {
    serde_json::from_slice(&std::fs::read(path).expect("a file that the generator wrote"))
        .expect("the generator's JSON")
}

#[test]
fn the_whole_game_by_command_line_agrees_with_the_truth() {
    let folder = tempfile::tempdir().expect("a folder");
    let at = |name: &str| folder.path().join(name).to_str().expect("a plain path").to_owned();
    let (study, film) = (at("game.tape"), at("film"));
    let game = scrimmage::command::Command::Demo {
        out: folder.path().to_owned(),
        seed: scrimmage::command::DEMO_SEED,
        game: 1,
        plays: PLAYS,
        height: 720,
        only: Vec::new(),
    };
    scrimmage::command::run(game).expect("film");

    tapemeasure(&["new", "Whole game", &study]);
    tapemeasure(&["game", &study, "First game", "--rule-book", "college"]);
    tapemeasure(&["import", &study, &film]);
    tapemeasure(&["pair", &study]);
    let listed = tapemeasure(&["play-list", &study, &at("playlist.csv")]);
    assert_eq!(listed["rows"], PLAYS);
    let mut sheets: Vec<String> = std::fs::read_dir(at("hands"))
        .expect("hands")
        .map(|e| e.expect("an entry").path().to_str().expect("a plain path").to_owned())
        .collect();
    sheets.sort();
    let mut enter = vec!["enter", &study];
    enter.extend(sheets.iter().map(String::as_str));
    let entered = tapemeasure(&enter);
    tapemeasure(&["follow", &study]);
    let measured: BTreeMap<PlayId, Measurement> =
        serde_json::from_value(tapemeasure(&["measure", &study])).expect("measurements");
    let judged = tapemeasure(&["judge", &study]);
    let report = at("report.pdf");
    tapemeasure(&["report", &study, "--out", &report]);
    assert!(std::fs::read(&report).expect("the report").starts_with(b"%PDF-"));

    let mut tally = Tally::default();
    for (k, sheet) in sheets.iter().enumerate() {
        let id = PlayId(entered[k]["play"].as_str().expect("a play").to_owned());
        let truth: PlayTruth =
            read(&folder.path().join("truth").join(Path::new(sheet).file_name().expect("a name")));
        tally.play(&measured[&id], &truth);
        // A view that would not line up is said to be so, and without places there is nothing to judge.
        let doubtful = measured[&id].findings.iter().any(|f| f.code == "line-up-doubtful");
        let judgements = judged[id.as_str()]["judgements"].as_array().expect("judgements").len();
        assert!(judgements > 0 || doubtful, "{id} has no judgement, and no view of it is in doubt");
    }
    compare::cameras(&study, &entered, folder.path(), &mut tally);
    // Past the test runner's capture: the figures are shown whether they hold or not.
    writeln!(std::io::stderr(), "{}", tally.table()).expect("standard error takes the table");
    tally.check();
}
