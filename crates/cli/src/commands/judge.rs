use crate::arguments::{Figure, FigureKind, OfPlay, Plays, Recognise};
use crate::say::Answer;
use anyhow::Context;
use play::{PersonId, PlayId, Seen};
use std::collections::BTreeMap;
use workbench::{FigureWish, LooksLike, Recognised, Workbench};

pub async fn measure(bench: Workbench, a: Plays) -> anyhow::Result<Answer> {
    let mut all = BTreeMap::new();
    let mut text = String::new();
    for id in asked(&bench, a.plays).await? {
        let m = bench.measurement(&id).await.with_context(|| format!("play {id}"))?;
        text.push_str(&format!("{id}\n"));
        for (label, figure) in report::figure_lines(&m) {
            text.push_str(&format!("  {label:24} {figure}\n"));
        }
        for f in &m.findings {
            text.push_str(&format!("  ! {}\n", f.message));
        }
        all.insert(id, m);
    }
    Answer::new(&all, text)
}

pub async fn recognise(bench: Workbench, a: Recognise) -> anyhow::Result<Answer> {
    let ids = asked(&bench, a.of.plays).await?;
    let mut all = BTreeMap::new();
    let mut text = String::new();
    for id in &ids {
        let r = bench.recognised(id).await.with_context(|| format!("play {id}"))?;
        text.push_str(&told(id, &r));
        all.insert(id.clone(), r);
    }
    if a.take {
        let taken = bench.take_recognised(&ids).await?;
        text.push_str(&format!("charted in {} plays where nothing was charted\n", taken.len()));
    }
    Answer::new(&all, text)
}

/// What is recognised of a play, a line each.
fn told(id: &PlayId, r: &Recognised) -> String {
    let shares = |l: &[LooksLike]| {
        let words: Vec<String> =
            l.iter().take(2).map(|l| format!("{} {:.0}%", l.word, 100.0 * l.share)).collect();
        words.join(", ")
    };
    let mut text = format!("{id}  {}\n", r.chart.formation);
    let before = r.shell.map_or("shell not seen".to_owned(), |n| format!("{n} deep before the snap"));
    text.push_str(&format!("  coverage {}; {before}\n", shares(&r.coverage)));
    for route in &r.routes {
        let depth = route.depth_yd.map_or(String::new(), |d| format!(", breaks at {:.1} yd", d.value));
        text.push_str(&format!("  {:3} {}{depth}\n", route.slot, shares(&route.looks_like)));
    }
    if let Some(c) = r.concepts.first() {
        let sure = if c.sure { "" } else { "; not sure enough to stand for a charted one" };
        text.push_str(&format!("  concept {} {:.0}%{sure}\n", c.concept, 100.0 * c.share));
    }
    for f in &r.findings {
        text.push_str(&format!("  ! {}\n", f.message));
    }
    text
}

pub async fn judge(bench: Workbench, a: Plays) -> anyhow::Result<Answer> {
    let mut all = BTreeMap::new();
    let mut text = String::new();
    for id in asked(&bench, a.plays).await? {
        let judged = bench.judged(&id).await.with_context(|| format!("play {id}"))?;
        text.push_str(&format!("{id}\n"));
        for f in &judged.findings {
            text.push_str(&format!("  ! {}\n", f.message));
        }
        for j in &judged.judgements {
            let likely = j.outcomes.first().map_or_else(String::new, |w| {
                format!("{}, {:.0}%", report::outcome_word(w.outcome), 100.0 * w.probability)
            });
            text.push_str(&format!("  under “{}”: {likely}. {}\n", j.plan_name, j.reason));
        }
        all.insert(id, judged);
    }
    Answer::new(&all, text)
}

pub async fn throw_made(bench: Workbench, a: OfPlay) -> anyhow::Result<Answer> {
    let made = bench.throw_made(&a.play.into()).await?;
    let text = match &made {
        Seen::NotSeen(why) => format!("not seen: {why}"),
        Seen::Seen(t) => format!(
            "to {} at {:.2} s: margin {}, best ball {}\nlost by placement {}, by waiting {}",
            t.receiver,
            t.thrown.release_s,
            report::estimate(t.thrown.margin_s, "s"),
            report::estimate(t.best.margin_s, "s"),
            report::estimate(t.placement_s, "s"),
            t.lateness_s.map_or_else(|| "nothing".to_owned(), |e| report::estimate(e, "s")),
        ),
    };
    Answer::new(&made, text)
}

pub async fn figure(bench: Workbench, a: Figure) -> anyhow::Result<Answer> {
    let kind = match a.kind {
        FigureKind::Diagram => workbench::FigureKind::Diagram,
        FigureKind::Windows => workbench::FigureKind::Windows,
        FigureKind::Feet => workbench::FigureKind::Feet,
        FigureKind::Placement => workbench::FigureKind::Placement,
    };
    let race = a.race.map(PersonId).zip(a.release);
    let wish = FigureWish { at_s: a.at, race };
    let svg = bench.figure(&a.play.into(), kind, report::Theme::Paper, wish).await?;
    std::fs::write(&a.out, svg).with_context(|| format!("writing {}", a.out.display()))?;
    Answer::new(&a.out, format!("wrote {}", a.out.display()))
}

/// The plays asked for; all of the study when none is named.
pub(super) async fn asked(bench: &Workbench, ids: Vec<String>) -> anyhow::Result<Vec<PlayId>> {
    if !ids.is_empty() {
        return Ok(ids.into_iter().map(PlayId).collect());
    }
    Ok(bench.plays().await?.into_iter().map(|p| p.id).collect())
}
