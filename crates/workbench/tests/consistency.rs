//! Decisions called again, and two evaluators' studies of one game.
#![allow(clippy::unwrap_used, reason = "helpers of tests")]

use film::VideoTool;
use play::{Chart, Outcome, OwnCall, PlayId, Study, Team};
use std::path::Path;
use std::sync::Arc;
use workbench::{GameEdit, NewBlindSet, NewPlay, Outside, WorkError, Workbench};

async fn study(at: &Path, evaluator: &str, game: &str, calls: &[Outcome]) -> (Workbench, Vec<PlayId>) {
    let outside = Outside { tool: VideoTool::on_path(), now: Arc::new(|| 1_764_028_800_000) };
    let study =
        Study { name: "Test".into(), passer: String::new(), right_handed: true, evaluator: evaluator.into() };
    let bench = Workbench::create(at, &study, outside).await.unwrap();
    let team = || Team { name: String::new(), shirt: None };
    let edit = GameEdit {
        name: game.into(),
        rule_book: field::RuleBook::College,
        offense: team(),
        defense: team(),
        air: play::Air::default(),
        crown: None,
    };
    let game = bench.add_game(edit).await.unwrap().id;
    let mut plays = Vec::new();
    for outcome in calls {
        let play =
            bench.add_play(NewPlay { game: game.clone(), situation: Default::default() }).await.unwrap().id;
        let call = OwnCall { plan: "a".into(), outcome: *outcome, why: String::new() };
        bench.call(&play, call).await.unwrap();
        plays.push(play);
    }
    (bench, plays)
}

#[tokio::test]
async fn a_blind_set_hides_until_it_is_over_and_undoes() {
    let dir = tempfile::tempdir().unwrap();
    let calls = [Outcome::InRhythm, Outcome::Behind, Outcome::Forced, Outcome::InRhythm];
    let (bench, _) = study(&dir.path().join("a.tape"), "one", "G", &calls).await;
    assert!(matches!(
        bench.pick_blind_set(NewBlindSet { decisions: 0, seed: None }).await,
        Err(WorkError::Invalid(_))
    ));
    let set = bench.pick_blind_set(NewBlindSet { decisions: 3, seed: Some(5) }).await.unwrap();
    assert_eq!(set.items.len(), 3);
    assert!(bench.pick_blind_set(NewBlindSet { decisions: 3, seed: None }).await.is_err(), "one at a time");
    for (k, item) in set.items.iter().enumerate() {
        let now = bench.call_again(&set.id, &item.play, Outcome::InRhythm).await.unwrap();
        assert_eq!(now.items.iter().any(|i| i.earlier.is_some()), k == 2, "shown only at the end");
    }
    let c = bench.consistency().await.unwrap();
    assert_eq!(c.agreement.n, 3);
    assert_eq!(c.agreement.same as usize + c.sets[0].disagreements.len(), 3);
    bench.undo().await.unwrap();
    let c = bench.consistency().await.unwrap();
    assert!(!c.sets[0].finished && c.agreement.n == 0, "a call again can be taken back");
}

#[tokio::test]
async fn two_studies_are_matched_by_number_and_the_other_is_only_read() {
    use Outcome::{Behind, Forced, InRhythm};
    let dir = tempfile::tempdir().unwrap();
    let (one, plays) = study(&dir.path().join("a.tape"), "one", "Week 1", &[InRhythm, Behind, Forced]).await;
    let (other, others) = study(&dir.path().join("b.tape"), "two", "week 1 ", &[InRhythm, Forced]).await;
    let chart = |coverage: &str| Chart { coverage_after: coverage.into(), ..Chart::default() };
    one.edit_chart(&plays[0], chart("quarters")).await.unwrap();
    other.edit_chart(&others[0], chart("Quarters")).await.unwrap();
    other.close().await;
    let before = std::fs::read(dir.path().join("b.tape/study.db")).unwrap();
    let c = one.compare_listed(&dir.path().join("b.tape")).await.unwrap();
    assert_eq!((c.one.as_str(), c.other.as_str(), c.matched, c.unmatched), ("one", "two", 2, 1));
    assert_eq!(c.words[0].what, "decision");
    assert_eq!((c.words[0].agreement.same, c.words[0].agreement.n), (1, 2));
    assert_eq!(c.words[0].disagreements[0].play, plays[1]);
    assert!(c.measures.is_empty(), "two plays give no limits");
    let coverage = c.words.iter().find(|w| w.what == "coverage played").unwrap();
    assert_eq!((coverage.agreement.same, coverage.agreement.n), (1, 1), "upper and lower case are one word");
    assert_eq!(before, std::fs::read(dir.path().join("b.tape/study.db")).unwrap(), "only read");

    assert!(one.compare(&dir.path().join("a.tape")).await.is_err(), "not with itself");
    let elsewhere = tempfile::tempdir().unwrap();
    let asked = one.compare_listed(&elsewhere.path().join("c.tape")).await;
    assert!(matches!(asked, Err(WorkError::Outside { .. })), "only where the user let it look");
}

#[tokio::test]
async fn another_passer_is_compared_and_his_study_only_read() {
    let dir = tempfile::tempdir().unwrap();
    let results =
        |n: usize, complete: usize| (0..n).map(move |k| if k < complete { Complete } else { Incomplete });
    use play::ThrowResult::{Complete, Incomplete};
    let (one, plays) = study(&dir.path().join("a.tape"), "one", "G", &[Outcome::InRhythm; 12]).await;
    let (other, others) = study(&dir.path().join("b.tape"), "two", "G", &[Outcome::InRhythm; 10]).await;
    for (bench, plays, complete) in [(&one, &plays, 11), (&other, &others, 3)] {
        for (play, r) in plays.iter().zip(results(plays.len(), complete)) {
            bench.edit_chart(play, Chart { result: Some(r), ..Chart::default() }).await.unwrap();
        }
    }
    other.close().await;
    let before = std::fs::read(dir.path().join("b.tape/study.db")).unwrap();
    let c = one.compare_passers_listed(&dir.path().join("b.tape"), &[]).await.unwrap();
    assert_eq!((c.one.as_str(), c.other.as_str()), ("this passer", "the other passer"));
    let row = c.rows.iter().find(|r| r.of.id == "completions").unwrap();
    assert_eq!((row.one.yes, row.one.n, row.other.yes, row.other.n), (Some(11), 12, Some(3), 10));
    let d = row.one.difference.as_ref().unwrap();
    assert!((d.value - (11.0 / 12.0 - 0.3)).abs() < 1e-12 && !d.interval.contains(0.0));
    assert!(c.cautions.iter().any(|x| x.contains("two evaluators")), "{:?}", c.cautions);
    assert_eq!(c.one_rated.passing.attempts, 1, "completions without a charted gain cannot be rated");
    assert_eq!(before, std::fs::read(dir.path().join("b.tape/study.db")).unwrap(), "only read");
    assert!(one.compare_passers(&dir.path().join("a.tape"), &[]).await.is_err(), "not with itself");
    let elsewhere = tempfile::tempdir().unwrap();
    let asked = one.compare_passers_listed(&elsewhere.path().join("c.tape"), &[]).await;
    assert!(matches!(asked, Err(WorkError::Outside { .. })), "only where the user let it look");
}
