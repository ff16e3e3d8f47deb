use super::standard_input;
use crate::arguments::{PlaybookOut, Undraw};
use crate::say::Answer;
use anyhow::Context;
use workbench::Workbench;

pub async fn show(bench: Workbench, a: PlaybookOut) -> anyhow::Result<Answer> {
    if let Some(out) = a.out {
        std::fs::write(&out, bench.playbook_file().await?)
            .with_context(|| format!("writing {}", out.display()))?;
        return Answer::new(&out, format!("wrote {}", out.display()));
    }
    let open = bench.open_playbook().await?;
    let mut text = String::new();
    for c in &open.concepts {
        let mark = if c.own { " (drawn in this study)" } else { "" };
        text.push_str(&format!("{:24} {}{mark}\n", c.concept.id, c.concept.name));
        for p in &c.concept.plans {
            let looks: Vec<&str> = p.looks.iter().map(|l| l.slot.as_str()).collect();
            text.push_str(&format!("{:24}   {}: {}\n", "", p.name, looks.join(", ")));
        }
    }
    for f in &open.findings {
        text.push_str(&format!("! {}\n", f.message));
    }
    Answer::new(&open, text)
}

pub async fn draw(bench: Workbench) -> anyhow::Result<Answer> {
    let concept = serde_json::from_str(&standard_input()?).context("standard input is not a concept")?;
    let drawn = bench.draw_concept(concept).await?;
    Answer::new(&drawn, drawn.concept.id.clone())
}

pub async fn undraw(bench: Workbench, a: Undraw) -> anyhow::Result<Answer> {
    bench.undraw_concept(&a.concept).await?;
    Answer::new(&a.concept, format!("{} is as it came", a.concept))
}
