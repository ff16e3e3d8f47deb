//! A study of plays out of invented tables.

#[path = "study.rs"]
mod study;

use play::PlayId;
use scrimmage::tables::{Listed, Style, Written, season, write};
use std::path::Path;
pub use study::BOOK;
use workbench::{TableFiles, TableImport, Workbench};

/// A study, what its plays were written from, and each play's key.
pub struct Tabled {
    pub bench: Workbench,
    pub season: Vec<Listed>,
    pub written: Written,
    /// Plays of the study with the key the table gives them.
    pub plays: Vec<(PlayId, String)>,
}

/// Imports `plays` plays of a season by seed into a study in `folder`, as the program proposes to read them.
pub async fn tabled(folder: &Path, seed: u64, plays: usize, style: Style) -> Tabled {
    let season = season(seed, plays, &style);
    let written = write(&season, &style, seed);
    let at = |name: &str| folder.join(name);
    std::fs::write(at("positions.csv"), &written.positions).expect("a folder that can be written");
    std::fs::write(at("plays.csv"), &written.plays).expect("a folder that can be written");
    let (bench, game) = study::study(&at("study.tape"), folder).await;
    let path = |name: &str| at(name).to_str().expect("a plain path").to_owned();
    let files = TableFiles { positions: path("positions.csv"), plays: Some(path("plays.csv")), game };
    let proposal = bench.propose_table(&files).await.expect("a table");
    let mut mapping = proposal.mapping;
    // Where few plays leave open from which line x is counted the program asks; the one answer a user would give.
    if proposal.findings.iter().any(|f| f.code == "origin-guessed") && style.origin[0] == 0.0 {
        mapping.origin = tables::Origin::GoalLine;
    }
    let done = bench.import_table(TableImport { files, mapping: mapping.clone() }).await.expect("plays");
    // The table's names of the plays, in the same order.
    let second = written.plays.as_bytes();
    let (read, _) =
        tables::read_plays(written.positions.as_bytes(), Some(second), &mapping, BOOK, "positions.csv")
            .expect("as before");
    let plays = done.plays.into_iter().zip(read.into_iter().map(|p| p.key)).collect();
    Tabled { bench, season, written, plays }
}
