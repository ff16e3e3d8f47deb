use super::{game_or_only, standard_input};
use crate::arguments::Report;
use crate::say::{Answer, table};
use anyhow::Context;
use workbench::{ReportForm, Workbench};

pub async fn claim(bench: Workbench) -> anyhow::Result<Answer> {
    let edit = serde_json::from_str(&standard_input()?).context("standard input is not a statement")?;
    let claim = bench.add_claim(edit).await?;
    Answer::new(&claim, claim.id.to_string())
}

pub async fn verdict(bench: Workbench) -> anyhow::Result<Answer> {
    let claims = bench.claims().await?;
    let mut text = String::new();
    for c in &claims {
        text.push_str(&format!("{}. {}\n   {}\n", c.claim.order, c.claim.text, c.strength));
        for f in &c.figures {
            text.push_str(&format!("   {f}\n"));
        }
        if c.unsupported {
            text.push_str("   the figures do not carry this sentence\n");
        }
    }
    Answer::new(&claims, text)
}

pub async fn measures(bench: Workbench) -> anyhow::Result<Answer> {
    let measures = bench.measures().await?;
    let rows: Vec<_> = measures.iter().map(|m| vec![m.label.clone(), m.words.clone()]).collect();
    Answer::new(&measures, table(&rows))
}

pub async fn report(bench: Workbench, a: Report) -> anyhow::Result<Answer> {
    let form = match a.out.extension().and_then(|e| e.to_str()) {
        Some("pdf") => ReportForm::Pdf,
        Some("html") => ReportForm::Html,
        _ => anyhow::bail!("{}: a report's file ends in .pdf or .html", a.out.display()),
    };
    let bytes = bench.report(&game_or_only(&bench, a.game).await?, form).await?;
    std::fs::write(&a.out, bytes).with_context(|| format!("writing {}", a.out.display()))?;
    Answer::new(&a.out, format!("wrote {}", a.out.display()))
}
