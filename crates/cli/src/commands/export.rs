use crate::arguments::{Export, ExportForm as Asked};
use crate::say::Answer;
use anyhow::Context;
use std::path::PathBuf;
use workbench::{ExportForm, Workbench};

pub async fn export(bench: Workbench, a: Export) -> anyhow::Result<Answer> {
    let mut files = vec![(a.out.clone(), form(a.format))];
    if a.format == Asked::Csv {
        files.push((a.out.with_extension("dictionary.csv"), ExportForm::Dictionary));
    }
    let mut written: Vec<PathBuf> = Vec::new();
    for (path, form) in files {
        let bytes = bench.export(form).await?;
        std::fs::write(&path, bytes).with_context(|| format!("writing {}", path.display()))?;
        written.push(path);
    }
    let lines: Vec<String> = written.iter().map(|p| format!("wrote {}", p.display())).collect();
    Answer::new(&written, lines.join("\n"))
}

const fn form(asked: Asked) -> ExportForm {
    match asked {
        Asked::Xlsx => ExportForm::Xlsx,
        Asked::Csv => ExportForm::Csv,
        Asked::Json => ExportForm::Json,
        Asked::Parquet => ExportForm::Parquet,
    }
}
