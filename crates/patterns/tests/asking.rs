//! Questions of small studies: by hand, and of bad and partial data.

use patterns::ask::{AnswerKind, Needed, Only, Question, Worth, ask, ask_all, ask_among, ready};
use patterns::facts::{Cell, Line, together};
use play::{GameId, PlayId};
use stats::Estimate;
use std::collections::BTreeMap;

fn line(k: u32, cells: &[(&str, Cell)]) -> Line {
    Line {
        play: PlayId(format!("p{k}")),
        game: GameId(format!("g{}", k % 2 + 1)),
        number: k,
        cells: cells.iter().map(|(f, c)| ((*f).to_owned(), c.clone())).collect::<BTreeMap<_, _>>(),
    }
}
fn word(w: &str) -> Cell {
    Cell::Word(w.to_owned())
}
fn value(v: f64, se: f64) -> Cell {
    Cell::Value(Estimate::new(v, se))
}
fn yes(y: bool) -> Cell {
    word(if y { "yes" } else { "no" })
}

/// Newcombe 1998, table II, row (a): 56 of 70 against 48 of 80, as throws.
fn newcombe() -> Vec<Line> {
    (0..150)
        .map(|k| {
            let (pocket, complete) = if k < 70 { ("clean", k < 56) } else { ("pressured", k < 70 + 48) };
            line(k, &[("completions", yes(complete)), ("pressure", word(pocket))])
        })
        .collect()
}

#[test]
fn shares_by_group_are_the_papers() {
    let a = ask(&newcombe(), &Question::new("completions", "pressure")).unwrap();
    assert_eq!((a.kind, a.whole.n, a.whole.yes), (AnswerKind::Shares, 150, Some(104)));
    let words: Vec<&str> = a.groups.iter().map(|g| g.word.as_str()).collect();
    assert_eq!(words, ["clean", "pressured"], "in the field's own order");
    assert_eq!(a.groups.iter().map(|g| (g.yes, g.n)).collect::<Vec<_>>(), [(Some(56), 70), (Some(48), 80)]);
    let d = a.groups[0].difference.as_ref().unwrap();
    assert!(a.groups[1].difference.is_none(), "two groups are one comparison");
    assert_eq!(a.compared, 1);
    assert!((d.value - 0.2).abs() < 1e-12);
    // The paper's interval is at 95%: 0.0524 to 0.3339; at 90% it lies within.
    assert!(d.interval.low > 0.0524 && d.interval.high < 0.3339);
    // Fisher's exact test by SciPy 1.17; tests/reference.rs has others computed live.
    assert!((d.p - 0.012_521_13).abs() < 1e-7, "{}", d.p);
    assert_eq!((d.worth, d.needed, a.worth), (Worth::Carried, Needed::Nothing, Worth::Carried));
    assert!(a.said.contains("+20 points") && a.said.contains("carry"), "{}", a.said);
    // A bar opens its clips: the yes plays first.
    assert_eq!(a.groups[1].plays.len(), 80);
    assert!(a.groups[1].plays[..48].iter().all(|p| p.0[1..].parse::<u32>().unwrap() < 118));
}

#[test]
fn the_same_difference_among_many_questions_is_held_to_more() {
    let mut lines = newcombe();
    for (k, l) in lines.iter_mut().enumerate() {
        l.put("down", word(["1st", "2nd", "3rd", "4th"][k % 4]));
        l.put("concept", word(["stick", "smash", "mesh"][k % 3]));
    }
    let asked = Question::new("completions", "pressure");
    let others =
        [Question::new("completions", "down"), Question::new("completions", "concept"), asked.clone()];
    let a = ask_among(&lines, &asked, &others).unwrap();
    let d = a.groups[0].difference.as_ref().unwrap();
    assert_eq!(a.compared, 1 + 4 + 3, "the question itself counts once");
    assert!((d.q - 8.0 * d.p).abs() < 1e-9 && d.worth == Worth::Leans, "{d:?}");
}

#[test]
fn averages_by_group_are_welchs() {
    // By hand: means 2 and 5, variances 1 and 4, with a play of no value added to each group.
    let mut lines: Vec<Line> = [1.0, 2.0, 3.0, 2.0]
        .iter()
        .enumerate()
        .map(|(k, v)| line(k as u32, &[("base", value(*v, 0.1)), ("man-zone", word("man"))]))
        .collect();
    for (k, v) in [3.0, 5.0, 7.0, 5.0].iter().enumerate() {
        lines.push(line(10 + k as u32, &[("base", value(*v, 0.1)), ("man-zone", word("zone"))]));
    }
    lines.push(line(20, &[("base", Cell::NotSeen("the feet are hidden".into())), ("man-zone", word("man"))]));
    lines.push(line(21, &[("base", value(9.0, 0.1)), ("man-zone", Cell::NotSeen("not charted".into()))]));
    lines.push(line(22, &[("man-zone", word("man"))]));
    let a = ask(&lines, &Question::new("base", "man-zone")).unwrap();
    assert_eq!((a.kind, a.not_seen, a.outside), (AnswerKind::Means, 2, 1));
    let why: Vec<&str> = a.left.iter().map(|l| l.why.as_str()).collect();
    assert!(
        why.contains(&"the feet are hidden") && why.contains(&"not charted"),
        "named, not dropped: {why:?}"
    );
    let d = a.groups[0].difference.as_ref().unwrap();
    // Variances 2/3 and 8/3 over four each: se² = 10/12.
    assert!((d.value + 3.0).abs() < 1e-12);
    let half = 0.5 * d.interval.width();
    // Welch-Satterthwaite by hand: (10/12)² / ((1/6)²/3 + (2/3)²/3) = 75/17; t(0.95; 75/17) = 2.0759 (SciPy).
    assert!((half / (10.0f64 / 12.0).sqrt() - 2.0759).abs() < 1e-4, "{half}");
    assert_eq!(a.whole.n, 8);
}

#[test]
fn a_slope_says_how_much_of_it_errors_hide() {
    // y = 2 x exactly at x = −2..2, but x is seen with a standard error of 1: var(x) = 2.5, so 0.6 of the spread is real.
    let lines: Vec<Line> = (-2..=2)
        .map(|k| {
            let x = f64::from(k);
            line((k + 3) as u32, &[("miss-across", value(2.0 * x, 0.2)), ("feet-error", value(x, 1.0))])
        })
        .collect();
    let a = ask(&lines, &Question::new("miss-across", "feet-error")).unwrap();
    let s = a.slope.as_ref().unwrap();
    assert_eq!((a.kind, a.dots.len()), (AnswerKind::Dots, 5));
    assert!((s.plain.value - 2.0).abs() < 1e-9 && (s.reliability - 0.6).abs() < 1e-9);
    assert!((s.corrected.unwrap().value - 2.0 / 0.6).abs() < 1e-9);
    assert!(s.words.contains("errors of measurement"), "{}", s.words);
}

/// Anscombe 1973, Am. Stat. 27, 17, third set as throws: one far off the line of the ten others. Without it the slope is .345 (by least
/// squares in NumPy) and not .500.
#[test]
fn a_play_that_by_itself_decides_a_slope_is_named_and_carries_nothing() {
    let x = [10.0, 8.0, 13.0, 9.0, 11.0, 14.0, 6.0, 4.0, 12.0, 7.0, 5.0];
    let y = [7.46, 6.77, 12.74, 7.11, 7.81, 8.84, 6.08, 5.39, 8.15, 6.42, 5.73];
    let asked = |x: &[f64], y: &[f64]| {
        let plays = x.iter().zip(y).zip(0..);
        let lines: Vec<Line> = plays
            .map(|((x, y), k)| line(k, &[("miss-across", value(*y, 0.0)), ("feet-error", value(*x, 0.0))]))
            .collect();
        ask(&lines, &Question::new("miss-across", "feet-error")).unwrap().slope.unwrap()
    };
    let s = asked(&x, &y);
    let sway = s.sway.as_ref().unwrap();
    assert_eq!(sway.play, PlayId("p2".into()));
    assert!(
        (s.plain.value - 0.4997).abs() < 1e-3 && (sway.without.unwrap().value - 0.3454).abs() < 1e-3,
        "{s:?}"
    );
    assert_eq!(s.worth, Worth::Carried, "without it the data carry it, too");
    assert!(s.words.contains("one play by itself decides this"), "{}", s.words);
    // Ten throws that show nothing and one far away (scipy.stats.linregress: p < .001 with it, .96 without).
    let x = [10.0, 8.0, 13.0, 9.0, 11.0, 40.0, 6.0, 4.0, 12.0, 7.0, 5.0];
    let s = asked(&x, &[6.0, 6.4, 5.9, 5.6, 6.2, 12.0, 6.4, 6.0, 6.1, 5.7, 5.8]);
    assert!(s.p < 0.001 && s.sway.as_ref().unwrap().p > 0.9, "{s:?}");
    assert_eq!(s.worth, Worth::Leans);
    // The fourth set: all but one at the same place.
    let x = [8.0, 8.0, 8.0, 8.0, 8.0, 8.0, 8.0, 19.0, 8.0, 8.0, 8.0];
    let s = asked(&x, &[6.58, 5.76, 7.71, 8.84, 8.47, 7.04, 5.25, 12.50, 5.56, 7.91, 6.89]);
    assert!(s.p < 0.01 && s.worth == Worth::Leans, "{s:?}");
    assert!(s.words.contains("without it there is no line"), "{}", s.words);
}

#[test]
fn numbers_are_cut_into_bands_when_words_are_split_by_them() {
    let lines: Vec<Line> = (0..30)
        .map(|k| line(k, &[("completions", yes(k % 3 > 0)), ("target-depth", value(f64::from(k), 0.3))]))
        .collect();
    let a = ask(&lines, &Question::new("completions", "target-depth")).unwrap();
    let words: Vec<&str> = a.groups.iter().map(|g| g.word.as_str()).collect();
    assert_eq!(words, ["behind the line", "short, under 10", "10 to 19", "deep, 20 and more"][1..]);
    // 0, 10 and 20 themselves lie on a border: they are named, not guessed.
    assert_eq!(a.not_seen, 3);
    let by_thirds = Question::new("completions", "release-speed");
    let lines: Vec<Line> = (0..30)
        .map(|k| line(k, &[("completions", yes(k % 3 > 0)), ("release-speed", value(f64::from(k), 0.3))]))
        .collect();
    assert_eq!(ask(&lines, &by_thirds).unwrap().groups.iter().map(|g| g.n).collect::<Vec<_>>(), [10, 10, 10]);
}

#[test]
fn words_of_many_are_shares_of_one_of_them() {
    let results = ["complete", "complete", "incomplete", "sacked"];
    let lines: Vec<Line> = (0..40)
        .map(|k| line(k, &[("result", word(results[k as usize % 4])), ("half", word("first half"))]))
        .collect();
    let a =
        ask(&lines, &Question { word: Some("sacked".into()), ..Question::new("result", "half") }).unwrap();
    assert_eq!(a.words, ["complete", "incomplete", "sacked"]);
    assert_eq!((a.groups[0].yes, a.groups[0].n), (Some(10), 40));
    assert!(a.title.contains("“sacked”"));
    assert!(a.said.contains("All plays are of one kind"), "{}", a.said);
}

#[test]
fn filters_keep_plays_and_count_those_that_cannot_be_kept_or_left() {
    let mut lines = newcombe();
    for (k, l) in lines.iter_mut().enumerate() {
        l.put("down", if k < 10 { Cell::NotSeen("it is not in the play list".into()) } else { word("3rd") });
    }
    let only = vec![Only { field: "down".into(), words: vec!["3rd".into()] }];
    let a = ask(&lines, &Question { only, ..Question::new("completions", "pressure") }).unwrap();
    assert_eq!((a.whole.n, a.not_seen), (140, 10));
    let g1 = ask(&lines, &Question::new("completions", "pressure").over(&["g1".into()])).unwrap();
    assert_eq!(g1.whole.n, 75);
    let without = Question { without: vec!["p0".into()], ..Question::new("completions", "pressure") };
    assert_eq!(ask(&lines, &without).unwrap().whole.n, 149);
}

#[test]
fn nothing_one_play_and_one_kind_are_answered_without_a_claim() {
    let questions: Vec<Question> = ready().into_iter().map(|r| r.question).collect();
    for lines in [vec![], newcombe()[..1].to_vec(), newcombe()[..70].to_vec(), vec![line(1, &[])]] {
        for a in ask_all(&lines, &questions).unwrap() {
            assert_eq!(a.worth, Worth::CannotTell, "{}", a.title);
            assert!(!a.said.is_empty());
        }
    }
    let one = ask(&newcombe()[..1], &Question { by: None, ..Question::new("completions", "x") }).unwrap();
    assert_eq!((one.whole.n, one.said.as_str()), (1, one.whole.words.as_str()));
}

#[test]
fn what_cannot_be_asked_is_refused_by_name() {
    let e = ask(&[], &Question::new("completions", "shoe-size")).unwrap_err();
    assert_eq!(e.to_string(), "there is no fact or measure “shoe-size”; the list of fields names them");
    assert!(ask(&[], &Question::new("completions", "completions")).is_err());
    let only = vec![Only { field: "base".into(), words: vec!["1".into()] }];
    assert!(ask(&[], &Question { only, ..Question::new("completions", "pressure") }).is_err());
}

#[test]
fn a_games_dropbacks_are_halved_in_their_order() {
    let lines = together((1..=10).rev().map(|k| line(k, &[])).collect());
    // g2 holds 1, 3, 5, 7, 9; g1 the even ones.
    let early: Vec<&str> = lines
        .iter()
        .filter(|l| l.word("early-late") == Some("the earlier ones"))
        .map(|l| l.play.as_str())
        .collect();
    assert_eq!(early, ["p2", "p4", "p6", "p1", "p3", "p5"]);
}
