//! The words and concepts: ours, with the study's own laid over them.

use crate::Workbench;
use play::{Finding, OwnConcept, Plan, RouteCall, Severity};
use reads::playbook::{DataError, Playbook, WordList};
use serde::Serialize;
use std::path::Path;
use std::sync::Arc;

/// Trade words for each field of the chart, for type-ahead. Any other word may be charted too.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct ChartWords {
    /// Sets of the offense.
    pub formation: Vec<String>,
    /// Motion before the snap.
    pub motion: Vec<String>,
    /// Protections.
    pub protection: Vec<String>,
    /// Coverage shown before the snap.
    pub coverage_before: Vec<String>,
    /// Coverage played.
    pub coverage_after: Vec<String>,
    /// Concepts, by name.
    pub concept: Vec<String>,
    /// Routes, by name.
    pub route: Vec<String>,
    /// Pocket.
    pub pocket: Vec<String>,
    /// Drops.
    pub drop: Vec<String>,
    /// How a ball missed.
    pub miss: Vec<String>,
    /// Results.
    pub result: Vec<String>,
}

/// A concept to choose from.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct ConceptSummary {
    /// Unique.
    pub id: String,
    /// In trade words; the chart keeps this.
    pub name: String,
    /// Kind of concept, for menus.
    pub family: String,
    /// Its drop, by name.
    pub drop: String,
    /// Routes by slot, by name.
    pub routes: Vec<RouteCall>,
    /// Read plans.
    pub plans: Vec<Plan>,
}

/// The playbook's concepts.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Concepts {
    /// In file order.
    pub concepts: Vec<ConceptSummary>,
    /// What is wrong in the study's own playbook files; such a file is left out whole.
    pub findings: Vec<Finding>,
}

/// The playbook in force.
pub(crate) struct StudyPlaybook {
    pub book: Playbook,
    pub findings: Vec<Finding>,
    /// Names what it says.
    pub stamp: String,
}

/// The playbook as last laid together, and what the evaluator had drawn then.
#[derive(Default)]
pub(crate) struct PlaybookCache(tokio::sync::Mutex<Option<(Vec<OwnConcept>, Arc<StudyPlaybook>)>>);

/// Folder in the study for a coach's own TOML files.
const FOLDER: &str = "playbook";

impl Workbench {
    /// The playbook in force: ours, with the study's `playbook/*.toml` laid over it, and over those what the evaluator drew. Files are
    /// read once a run.
    pub(crate) async fn playbook(&self) -> Arc<StudyPlaybook> {
        // A study that cannot be read fails where something is asked of it; the words stay ours.
        let own: Vec<OwnConcept> = self.store.list().await.unwrap_or_default();
        let mut held = self.playbook.0.lock().await;
        if let Some((drawn, book)) = &*held
            && *drawn == own
        {
            return book.clone();
        }
        let (folder, drawn) = (self.place().folder().join(FOLDER), own.clone());
        let read = tokio::task::spawn_blocking(move || Arc::new(read(&folder, &drawn)));
        let book = read.await.unwrap_or_else(|_| Arc::new(StudyPlaybook::new(Playbook::ours(), Vec::new())));
        *held = Some((own, book.clone()));
        book
    }
    /// Trade words for the chart.
    pub async fn words(&self) -> ChartWords {
        let p = self.playbook().await;
        let list = |l| p.book.words(l).into_iter().map(str::to_owned).collect();
        ChartWords {
            formation: list(WordList::Formation),
            motion: list(WordList::Motion),
            protection: list(WordList::Protection),
            coverage_before: list(WordList::CoverageBefore),
            coverage_after: list(WordList::CoverageAfter),
            concept: list(WordList::Concept),
            route: list(WordList::Route),
            pocket: list(WordList::Pocket),
            drop: list(WordList::Drop),
            miss: list(WordList::Miss),
            result: list(WordList::Result),
        }
    }
    /// The concepts with routes and read plans.
    pub async fn concepts(&self) -> Concepts {
        let p = self.playbook().await;
        let named = |id: &str| p.book.route(id).map_or_else(|| id.to_owned(), |r| r.name.clone());
        let concepts = p
            .book
            .concepts
            .iter()
            .map(|c| ConceptSummary {
                id: c.id.clone(),
                name: c.name.clone(),
                family: c.family.clone(),
                drop: p.book.drop(&c.drop).map_or_else(|| c.drop.clone(), |d| d.name.clone()),
                routes: c
                    .routes
                    .iter()
                    .map(|(slot, route)| RouteCall { slot: slot.clone(), route: named(route) })
                    .collect(),
                plans: c.plans.clone(),
            })
            .collect();
        Concepts { concepts, findings: p.findings.clone() }
    }
}

impl StudyPlaybook {
    fn new(book: Playbook, findings: Vec<Finding>) -> Self {
        let named = (&book.routes, &book.concepts, &book.coverages, &book.drops);
        // Only numbers, words and lists: they always have a form.
        let stamp = crate::key_of(&named).expect("a playbook is plain data");
        Self { book, findings, stamp }
    }
}

fn read(folder: &Path, drawn: &[OwnConcept]) -> StudyPlaybook {
    let (mut book, mut findings) = laid_over(folder);
    for own in drawn {
        // What was kept was right when it was kept; a route it needs may have left a file since.
        if let Err(errors) = book.overlay(&own.id, &own.text) {
            let said = |e: &DataError| {
                format!("the concept {} as drawn in this study is left out: {}", own.id, e.message)
            };
            findings.extend(errors.iter().map(|e| Finding::new(Severity::Weak, "playbook", said(e))));
        }
    }
    StudyPlaybook::new(book, findings)
}

fn laid_over(folder: &Path) -> (Playbook, Vec<Finding>) {
    let (mut book, mut found) = (Playbook::ours(), Vec::new());
    let Ok(entries) = std::fs::read_dir(folder) else { return (book, found) };
    let mut files: Vec<_> = entries
        .filter_map(|e| Some(e.ok()?.path()))
        .filter(|p| p.extension().is_some_and(|e| e == "toml"))
        .collect();
    files.sort();
    for path in files {
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let complain = |said: String| Finding::new(Severity::Weak, "playbook", said);
        match std::fs::read_to_string(&path) {
            Err(e) => found.push(complain(format!("{name} cannot be read: {e}"))),
            Ok(text) => {
                if let Err(errors) = book.overlay(&name, &text) {
                    found.extend(errors.iter().map(|e| complain(e.to_string())));
                }
            }
        }
    }
    (book, found)
}
