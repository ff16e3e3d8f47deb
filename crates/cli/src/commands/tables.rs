use super::game_or_only;
use crate::arguments::Table;
use crate::say::Answer;
use anyhow::Context;
use std::path::Path;
use workbench::{TableFiles, TableImport, TableProposal, TableReading, Workbench};

pub async fn table(bench: Workbench, a: Table) -> anyhow::Result<Answer> {
    let game = game_or_only(&bench, a.game).await?;
    let positions = named(&bench, &a.positions).await?;
    let plays = match &a.plays {
        Some(p) => Some(named(&bench, p).await?),
        None => None,
    };
    let files = TableFiles { positions, plays, game };
    if a.propose {
        let proposal = bench.propose_table(&files).await?;
        let text = told(&proposal)?;
        // The mapping alone is what --mapping takes back.
        return Answer::new(&proposal.mapping, text);
    }
    let mapping: TableReading = match &a.mapping {
        Some(file) => {
            let text =
                std::fs::read_to_string(file).with_context(|| format!("reading {}", file.display()))?;
            serde_json::from_str(&text).with_context(|| format!("{} is no mapping", file.display()))?
        }
        None => bench.propose_table(&files).await?.mapping,
    };
    let done = bench.import_table(TableImport { files, mapping }).await?;
    let mut text = format!("{} plays imported", done.plays.len());
    for f in &done.findings {
        text.push_str(&format!("\n{}", f.message));
    }
    Answer::new(&done, text)
}

/// Naming a table on the command line names its folder: the user has said where tables may be read.
async fn named(bench: &Workbench, file: &Path) -> anyhow::Result<String> {
    let path = file.canonicalize().with_context(|| format!("looking for {}", file.display()))?;
    bench.name_folder(path.parent().context("a file lies in a folder")?).await?;
    let text = path.to_str().with_context(|| format!("{} is not UTF-8; rename it", path.display()))?;
    Ok(text.to_owned())
}

fn told(p: &TableProposal) -> anyhow::Result<String> {
    let mut text = serde_json::to_string_pretty(&p.mapping)?;
    for f in &p.findings {
        text.push_str(&format!("\n{}", f.message));
    }
    Ok(text)
}
