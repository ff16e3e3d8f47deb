use crate::arguments::{Calibrate, FitUse};
use crate::say::{Answer, table};
use anyhow::Context;
use report::Theme;
use stats::Scores;
use workbench::{UseFit, Workbench};

pub async fn calibrate(bench: Workbench, a: Calibrate) -> anyhow::Result<Answer> {
    let wanted = match a.parameters {
        None => UseFit::AsItWas,
        Some(FitUse::Ours) => UseFit::Ours,
        Some(FitUse::Fitted) => UseFit::Fitted,
    };
    let c = bench
        .calibrate(wanted, |done, of| {
            if done.is_multiple_of(25) || done == of {
                eprintln!("{done} of {of} plays");
            }
        })
        .await?;
    let mut text = format!("{} throws with target, outcome and paths\n", c.throws);
    for l in &c.left_out {
        text.push_str(&format!("  {} plays left out: {}\n", l.plays, l.why));
    }
    let mut rows = vec![
        ["", "Brier (90%)", "log loss (90%)", "what came = a + b × log odds claimed"]
            .map(String::from)
            .to_vec(),
    ];
    let sets = [
        ("best ball to the target, parameters as they come", &c.ours),
        ("the same, fitted, each throw unseen by its fit", &c.fitted),
        ("the ball as thrown, parameters as they come", &c.thrown),
    ];
    for (name, scores) in sets {
        if let Some(s) = scores {
            rows.push(row(name, s));
        }
    }
    text.push_str(&table(&rows));
    if let Some(s) = &c.ours {
        text.push_str(&format!(
            "\nalways claiming the plain rate would score Brier {:.3}\n",
            s.brier_of_the_rate
        ));
        for b in &s.bins {
            text.push_str(&format!(
                "  claimed {:3.0}%, came {:3.0}% ({:.0} to {:.0}%) of {}\n",
                100.0 * b.claimed,
                100.0 * b.came,
                100.0 * b.interval.low,
                100.0 * b.interval.high,
                b.n
            ));
        }
    }
    if let Some(f) = &c.fit {
        text.push_str(if f.used {
            "windows are computed with the fit:\n"
        } else {
            "the fit, kept but not used:\n"
        });
        for v in &f.values {
            text.push_str(&format!(
                "  {:26} {:.3} ({:.3} to {:.3}), ours {:.3}\n",
                v.name, v.fitted, v.interval.low, v.interval.high, v.ours
            ));
        }
    }
    text.push_str(&c.said);
    text.push('\n');
    if let Some(out) = &a.out {
        let svg = c.svg(Theme::Paper).context("there is no throw to draw")?;
        std::fs::write(out, svg).with_context(|| format!("writing {}", out.display()))?;
        text.push_str(&format!("wrote {}\n", out.display()));
    }
    Answer::new(&c, text)
}

fn row(name: &str, s: &Scores) -> Vec<String> {
    let line = s.line.map_or_else(
        || "cannot be told".to_owned(),
        |[a, b]| format!("{:+.2} ± {:.2}, {:.2} ± {:.2}", a.value, 1.645 * a.se, b.value, 1.645 * b.se),
    );
    vec![
        name.to_owned(),
        format!("{:.3} ({:.3} to {:.3})", s.brier, s.brier_interval.low, s.brier_interval.high),
        format!("{:.3} ({:.3} to {:.3})", s.log_loss, s.log_loss_interval.low, s.log_loss_interval.high),
        line,
    ]
}
