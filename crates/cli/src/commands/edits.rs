use crate::say::{Answer, table};
use workbench::{Stepped, Workbench};

pub async fn history(bench: Workbench) -> anyhow::Result<Answer> {
    let past = bench.history(None).await?;
    let rows: Vec<_> = past
        .iter()
        .map(|e| {
            let play = e.play.as_ref().map(ToString::to_string).unwrap_or_default();
            vec![e.id.to_string(), e.label.clone(), play, format!("{:?}", e.state).to_lowercase()]
        })
        .collect();
    Answer::new(&past, table(&rows))
}

pub async fn undo(bench: Workbench) -> anyhow::Result<Answer> {
    said("undone", bench.undo().await?)
}

pub async fn redo(bench: Workbench) -> anyhow::Result<Answer> {
    said("redone", bench.redo().await?)
}

fn said(word: &str, s: Stepped) -> anyhow::Result<Answer> {
    let text = format!("{word}: {}", s.label);
    Answer::new(&s, text)
}
