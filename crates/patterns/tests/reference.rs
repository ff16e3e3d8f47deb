//! A small invented study's answers against NumPy, SciPy and statsmodels, run live by `checks/patterns_reference.py` and
//! `checks/several_reference.py`.
#![allow(clippy::unwrap_used)]

use patterns::ask::{Question, Ranged, ask_all};
use patterns::facts::{Cell, Line};
use patterns::several::{SeveralAsked, several};
use serde_json::{Value, json};
use stats::{Estimate, Interval};
use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

#[allow(clippy::disallowed_methods)] // a test runs the reference library; the product runs nothing here
fn reference(script: &str, given: &Value) -> Value {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let python = root.join("checks/.venv/bin/python");
    assert!(python.exists(), "the reference libraries are missing: run `make checks-env`");
    let mut child = Command::new(python)
        .arg(root.join("checks").join(script))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(given.to_string().as_bytes()).unwrap();
    let out = child.wait_with_output().unwrap();
    assert!(out.status.success(), "checks/{script} failed: run `make checks-env` if a package is missing");
    serde_json::from_slice(&out.stdout).unwrap()
}

/// Ninety plays by fixed rules without any chance: every field has holes somewhere.
fn study() -> Vec<Line> {
    (0..90u32)
        .map(|k| {
            let mut l = Line {
                play: format!("p{k}").into(),
                game: "g1".into(),
                number: k + 1,
                cells: Default::default(),
            };
            let word = |w: &str| Cell::Word(w.to_owned());
            let hash = |m: u32| f64::from((k * 7919 + m * 104_729) % 1000) / 1000.0;
            if k % 11 != 0 {
                l.put("completions", word(if hash(1) < 0.62 { "yes" } else { "no" }));
            }
            l.put("pressure", word(if k % 3 == 0 { "pressured" } else { "clean" }));
            l.put("down", word(["1st", "2nd", "3rd", "4th"][((k * k) % 7 % 4) as usize]));
            if k % 5 != 0 {
                let feet = 24.0 * hash(2) - 12.0;
                l.put("feet-error", Cell::Value(Estimate::new(feet, 3.0 + 2.0 * hash(3))));
                l.put("miss-across", Cell::Value(Estimate::new(0.03 * feet + hash(4), 0.2)));
            }
            l.put("time-to-throw", Cell::Value(Estimate::new(1.5 + 2.0 * hash(5), 0.03)));
            l
        })
        .collect()
}

fn near(what: &str, got: f64, want: &Value) {
    let want = want.as_f64().unwrap();
    assert!((got - want).abs() < 1e-8 * (1.0 + want.abs()), "{what}: {got} for {want}");
}
fn interval(what: &str, got: Interval, want: &Value) {
    near(what, got.low, &want[0]);
    near(what, got.high, &want[1]);
}
fn ranged(what: &str, got: Ranged, want: &Value) {
    near(what, got.value, &want["value"]);
    interval(what, got.interval.unwrap(), &want["interval"]);
}

#[test]
fn every_figure_of_a_study_is_scipys() {
    let lines = study();
    let asked = [
        ("completions", "pressure"),
        ("completions", "down"),
        ("time-to-throw", "pressure"),
        ("time-to-throw", "down"),
        ("miss-across", "feet-error"),
    ];
    let given: Vec<Value> = lines
        .iter()
        .map(|l| {
            let cells = l.cells.iter().filter_map(|(f, c)| match c {
                Cell::Word(w) => Some((f.clone(), json!(w))),
                Cell::Value(v) => Some((f.clone(), json!([v.value, v.se]))),
                Cell::NotSeen(_) => None,
            });
            Value::Object(cells.collect())
        })
        .collect();
    let want = reference("patterns_reference.py", &json!({ "lines": given, "questions": asked }));
    let questions: Vec<Question> = asked.iter().map(|(of, by)| Question::new(of, by)).collect();
    let mut compared = 0;
    for (a, want) in ask_all(&lines, &questions).unwrap().iter().zip(want.as_array().unwrap()) {
        if let Some(s) = &a.slope {
            ranged(&a.title, s.plain, &want["slope"]);
            near(&a.title, s.p, &want["slope"]["p"]);
            near(&a.title, s.q, &want["slope"]["q"]);
            near(&a.title, s.reliability, &want["reliability"]);
            compared += 1;
            continue;
        }
        assert_eq!(a.groups.len(), want["groups"].as_object().unwrap().len());
        for g in &a.groups {
            let (what, want) = (format!("{} {}", a.title, g.word), &want["groups"][&g.word]);
            assert_eq!(g.n as u64, want["n"].as_u64().unwrap(), "{what}");
            ranged(&what, g.figure.unwrap(), want);
            if let Some(d) = &g.difference {
                near(&what, d.value, &want["apart"]["value"]);
                interval(&what, d.interval, &want["apart"]["interval"]);
                near(&what, d.p, &want["apart"]["p"]);
                near(&what, d.q, &want["apart"]["q"]);
                compared += 1;
            }
        }
    }
    // Squares leave three residues here: three downs.
    assert_eq!(compared, 1 + 3 + 1 + 3 + 1);
}

/// Several measures at once over one game: under its weak priors the sampler is statsmodels' least squares and maximum likelihood, but for
/// the error of some hundred effective draws (a tenth of a standard error) and, of the shares, the pull of the prior.
#[test]
fn several_at_once_is_statsmodels() {
    // Completed or not by another rule: the study's is a comb of the feet, for which the likelihood has no maximum.
    let mut lines = study();
    for (l, k) in lines.iter_mut().zip(0u32..) {
        let odd = (k * k * 37 + k * 11) % 101 < 55;
        l.put("completions", Cell::Word(if odd { "yes" } else { "no" }.to_owned()));
    }
    let known: Vec<&Line> = lines
        .iter()
        .filter(|l| ["miss-across", "feet-error", "completions"].iter().all(|f| l.cell(f).is_some()))
        .collect();
    let of = |f: &str| known.iter().map(|l| l.value(f).unwrap().value).collect::<Vec<f64>>();
    let variance: Vec<[f64; 2]> = known
        .iter()
        .map(|l| ["feet-error", "time-to-throw"].map(|f| l.value(f).unwrap().se.powi(2)))
        .collect();
    let (feet, time) = (of("feet-error"), of("time-to-throw"));
    let x: Vec<[f64; 2]> = feet.iter().zip(&time).map(|(a, b)| [*a, *b]).collect();
    let yes: Vec<f64> =
        known.iter().map(|l| f64::from(u8::from(l.word("completions") == Some("yes")))).collect();
    let want = reference(
        "several_reference.py",
        &json!({ "x": x, "variance": variance, "value": of("miss-across"), "yes": yes }),
    );
    let lines: Vec<Line> = known.into_iter().cloned().collect();
    let ask = |of: &str| {
        let by = vec!["feet-error".to_owned(), "time-to-throw".to_owned()];
        several(&lines, &SeveralAsked { of: of.into(), by, ..Default::default() }).unwrap()
    };
    let value = ask("miss-across");
    let share = ask("completions");
    assert_eq!((value.plays, share.plays), (lines.len(), lines.len()));
    for k in 0..2 {
        let number = |of: &str, what: &str| want[of][what][k].as_f64().unwrap();
        let (slope, se) = (number("value", "slope"), number("value", "se"));
        let got = value.terms[k].effect;
        assert!((got.value - slope).abs() < 0.3 * se, "{k}: {got:?} for {slope} ± {se}");
        let half = 0.5 * got.interval.unwrap().width() / 1.645;
        assert!((half / se - 1.0).abs() < 0.15, "{k}: {half} for {se}");
        let (slope, se) = (number("yes", "slope"), number("yes", "se"));
        let at = want["yes"]["at"].as_f64().unwrap();
        let points = |b: f64| 1.0 / (1.0 + (-at - 0.5 * b).exp()) - 1.0 / (1.0 + (-at + 0.5 * b).exp());
        let got = share.terms[k].effect.value;
        assert!((got - points(slope)).abs() < 0.3 * (points(slope + se) - points(slope)), "{k}: {got}");
    }
}
