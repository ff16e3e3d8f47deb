use crate::arguments::{Figure, FigureKind, Plays};
use crate::say::Answer;
use anyhow::Context;
use play::PlayId;
use std::collections::BTreeMap;
use workbench::Workbench;

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

pub async fn judge(bench: Workbench, a: Plays) -> anyhow::Result<Answer> {
    let mut all = BTreeMap::new();
    let mut text = String::new();
    for id in asked(&bench, a.plays).await? {
        let judgements = bench.judgements(&id).await.with_context(|| format!("play {id}"))?;
        text.push_str(&format!("{id}\n"));
        for j in &judgements {
            let likely = j.outcomes.first().map_or_else(String::new, |w| {
                format!("{}, {:.0}%", report::outcome_word(w.outcome), 100.0 * w.probability)
            });
            text.push_str(&format!("  under “{}”: {likely}. {}\n", j.plan_name, j.reason));
        }
        all.insert(id, judgements);
    }
    Answer::new(&all, text)
}

pub async fn figure(bench: Workbench, a: Figure) -> anyhow::Result<Answer> {
    let kind = match a.kind {
        FigureKind::Diagram => workbench::FigureKind::Diagram,
        FigureKind::Windows => workbench::FigureKind::Windows,
        FigureKind::Feet => workbench::FigureKind::Feet,
        FigureKind::Placement => workbench::FigureKind::Placement,
    };
    let svg = bench.figure(&a.play.into(), kind, report::Theme::Paper, None).await?;
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
