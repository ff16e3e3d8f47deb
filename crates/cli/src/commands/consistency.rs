use crate::arguments::{BlindSet, Compare};
use crate::say::Answer;
use workbench::{Agreement, NewBlindSet, Workbench};

pub async fn pick(bench: Workbench, a: BlindSet) -> anyhow::Result<Answer> {
    let set = bench.pick_blind_set(NewBlindSet { decisions: a.decisions, seed: a.seed }).await?;
    let plays: Vec<String> = set.items.iter().map(|i| format!("{} under {}", i.play, i.plan)).collect();
    Answer::new(&set, format!("set {}, seed {}\n{}", set.id, set.seed, plays.join("\n")))
}

pub async fn show(bench: Workbench) -> anyhow::Result<Answer> {
    let c = bench.consistency().await?;
    let mut text = format!("{}\n{}\n", c.agreement.words, c.drift.words);
    for s in &c.sets {
        let said = s.agreement.as_ref().map_or_else(
            || {
                format!(
                    "{} of {} called",
                    s.items.iter().filter(|i| i.again.is_some()).count(),
                    s.items.len()
                )
            },
            said,
        );
        text.push_str(&format!("set {}: {said}\n", s.id));
        for d in &s.disagreements {
            text.push_str(&format!("  {}: {}, then {}\n", d.play, d.one, d.other));
        }
    }
    Answer::new(&c, text)
}

pub async fn compare(bench: Workbench, a: Compare) -> anyhow::Result<Answer> {
    let c = bench.compare(&a.other).await?;
    let mut text =
        format!("{} and {}: {} plays in both, {} only here\n", c.one, c.other, c.matched, c.unmatched);
    for w in &c.words {
        text.push_str(&format!("{}: {}\n", w.what, said(&w.agreement)));
        for d in &w.disagreements {
            text.push_str(&format!("  {}: {} / {}\n", d.play, d.one, d.other));
        }
    }
    for m in &c.measures {
        text.push_str(&format!("{}: {}\n", m.of.label, m.words));
    }
    Answer::new(&c, text)
}

fn said(a: &Agreement) -> String {
    a.words.clone()
}
