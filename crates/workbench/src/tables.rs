//! Plays out of tables of positions.

use crate::error::blocking;
use crate::{WorkError, Workbench, paths};
use play::{Chart, Finding, Game, GameId, Play, PlayId, Severity};
use serde::{Deserialize, Serialize};
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use store::{Change, OfPlay, TableMapping};
use tables::{Mapping, Proposal, TablePlay, propose, read_plays};

/// Endings of files that are offered as tables, without the dot.
pub const TABLE_ENDINGS: [&str; 4] = ["csv", "tsv", "txt", "xlsx"];

/// Largest table, bytes.
const LARGEST: u64 = 2 << 30;

/// Tables to look at, within named folders or handed over.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct TableFiles {
    /// Positions: a row for each person and instant.
    pub positions: String,
    /// A row for each play, where there is such a table.
    #[serde(default)]
    pub plays: Option<String>,
    /// The game they are of; where the positions tell of several, the one that says what the field is like.
    pub game: GameId,
}

/// Tables to import.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct TableImport {
    /// The tables.
    pub files: TableFiles,
    /// How to read them.
    pub mapping: Mapping,
}

/// What an import of tables came to.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct ImportedTable {
    /// The plays made, in the table's order.
    pub plays: Vec<PlayId>,
    /// What was left out or is weak.
    pub findings: Vec<Finding>,
}

fn refused(e: tables::TableError) -> WorkError {
    WorkError::Invalid(e.to_string())
}

fn bytes(path: &Path) -> Result<Vec<u8>, WorkError> {
    let fail = |e| WorkError::io("reading", path, e);
    let size = std::fs::metadata(path).map_err(fail)?.len();
    if size > LARGEST {
        return Err(WorkError::Invalid(format!(
            "{} has {size} bytes; a table may have {LARGEST}. Cut it by games",
            path.display()
        )));
    }
    std::fs::read(path).map_err(fail)
}

impl Workbench {
    /// Resolves tables' paths, each of which must lie in a named folder or be handed over.
    async fn table_paths(&self, files: &TableFiles) -> Result<(PathBuf, Option<PathBuf>), WorkError> {
        let roots = self.roots().await?;
        let resolve = |text: &String| paths::within(&paths::from_text(text)?, &roots);
        Ok((resolve(&files.positions)?, files.plays.as_ref().map(resolve).transpose()?))
    }
    /// How tables would be read: as ones of the same headings were read before, else by what headings and cells look like.
    ///
    /// # Errors
    /// `Outside`, `Io`; `Invalid` for what is no table of positions.
    pub async fn propose_table(&self, files: &TableFiles) -> Result<Proposal, WorkError> {
        let game: Game = self.store.get(files.game.as_str()).await?;
        let (positions, plays) = self.table_paths(files).await?;
        let mut proposal = blocking(move || {
            let (positions, plays) = (bytes(&positions)?, plays.as_deref().map(bytes).transpose()?);
            propose(&positions, plays.as_deref(), game.rule_book).map_err(refused)
        })
        .await?;
        let headings: Vec<String> = proposal.columns.iter().map(|c| c.heading.clone()).collect();
        let kept: Vec<TableMapping> = self.store.list().await?;
        if let Some(known) = kept.iter().find(|k| k.headings == headings)
            && let Ok(mapping) = serde_json::from_value::<Mapping>(known.mapping.clone())
        {
            // Words that are new since then keep the meaning proposed for them.
            let mut events = proposal.mapping.events.clone();
            events.extend(mapping.events.clone());
            let plays = proposal.mapping.plays.take();
            proposal.mapping = Mapping { events, plays: mapping.plays.clone().or(plays), ..mapping };
            let text = "a table with these headings was read before; it would be read the same way";
            proposal.findings.insert(0, Finding::new(Severity::Note, "known-headings", text));
        }
        Ok(proposal)
    }
    /// Makes a play of each play of the tables, as one undoable edit, and remembers how they were read. Where the table tells of
    /// several games, each becomes one of its own, called by the chosen game's name and the table's.
    ///
    /// # Errors
    /// `Outside`, `Io`; `Invalid` when a column is missing or no play can be used.
    pub async fn import_table(&self, request: TableImport) -> Result<ImportedTable, WorkError> {
        let game: Game = self.store.get(request.files.game.as_str()).await?;
        let (positions, plays) = self.table_paths(&request.files).await?;
        let source = positions.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let source = self.handed_over(&positions).map_or(source, |(_, given)| given);
        let (mapping, book) = (request.mapping.clone(), game.rule_book);
        let (read, headings, mut findings) = blocking(move || {
            let (positions, plays) = (bytes(&positions)?, plays.as_deref().map(bytes).transpose()?);
            let (read, findings) =
                read_plays(&positions, plays.as_deref(), &mapping, book, &source).map_err(refused)?;
            Ok::<_, WorkError>((read, tables::headings_of(&positions).map_err(refused)?, findings))
        })
        .await?;
        let _guard = self.editing.lock().await;
        let ids = self.ids("p", read.len()).await?;
        let mut changes = Vec::with_capacity(read.len() * 26);
        let mut games = self.games_of(&read, game, &mut changes, &mut findings).await?;
        for (table, id) in read.iter().zip(&ids) {
            let id = PlayId(id.clone());
            let (game, last) = games.get_mut(&table.game).expect("every play's game was looked up");
            *last += 1;
            changes.push(Change::put(&Play {
                id: id.clone(),
                game: game.clone(),
                number: *last,
                situation: table.situation.clone(),
            }));
            changes.push(Change::put(&OfPlay::<Chart> { play: id.clone(), part: table.chart.clone() }));
            for person in &table.people {
                changes.push(Change::put(&OfPlay { play: id.clone(), part: person.clone() }));
            }
            changes.push(Change::put(&OfPlay { play: id.clone(), part: table.tracked.clone() }));
        }
        let kept: Vec<TableMapping> = self.store.list().await?;
        let id = match kept.into_iter().find(|k| k.headings == headings) {
            Some(k) => k.id,
            None => self.id("tm").await?,
        };
        let mapping = serde_json::to_value(&request.mapping)?;
        changes.push(Change::put(&TableMapping { id, headings, mapping }));
        self.change(&format!("import {} plays of a table", read.len()), None, &changes).await?;
        Ok(ImportedTable { plays: ids.into_iter().map(PlayId).collect(), findings })
    }
    /// The game of each of a table's games with the highest number of its plays; a game that the study lacks is made.
    async fn games_of(
        &self,
        read: &[TablePlay],
        chosen: Game,
        changes: &mut Vec<Change>,
        findings: &mut Vec<Finding>,
    ) -> Result<HashMap<Option<String>, (GameId, u32)>, WorkError> {
        let mut names: Vec<&Option<String>> = Vec::new();
        for p in read {
            if !names.contains(&&p.game) {
                names.push(&p.game);
            }
        }
        let several = names.len() > 1;
        if several {
            let text = format!("the table tells of {} games; each is a game of its own here", names.len());
            findings.push(Finding::new(Severity::Note, "several-games", text));
        }
        let known: Vec<Game> = self.store.list().await?;
        let mut out = HashMap::new();
        for name in names {
            let called = name.as_ref().filter(|_| several).map(|n| format!("{}, {n}", chosen.name));
            let id = match called {
                None => chosen.id.clone(),
                Some(called) => match known.iter().find(|g| g.name == called) {
                    Some(g) => g.id.clone(),
                    None => {
                        let made = Game { id: GameId(self.id("g").await?), name: called, ..chosen.clone() };
                        changes.push(Change::put(&made));
                        made.id
                    }
                },
            };
            let plays = self.store.list_of::<Play>(id.as_str()).await?;
            let last = plays.iter().map(|p| p.number).max().unwrap_or(0);
            out.insert(name.clone(), (id, last));
        }
        Ok(out)
    }
}
