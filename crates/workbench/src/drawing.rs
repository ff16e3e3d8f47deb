//! Concepts drawn and changed by the evaluator.

use crate::{WorkError, Workbench};
use play::{Finding, OwnConcept};
use reads::playbook::{Concept, Playbook, Route};
use serde::Serialize;
use store::{Change, Kind};

/// A concept with where it comes from.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct DrawnConcept {
    /// As it is in force.
    pub concept: Concept,
    /// Drawn or changed in this study.
    pub own: bool,
    /// Whether it is there without that, so that taking the change back leaves it.
    pub known: bool,
}

/// A drop to choose from.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct DropChoice {
    /// Unique.
    pub id: String,
    /// In trade words.
    pub name: String,
    /// When its last step lands, s from the snap.
    pub set_s: f64,
}

/// The playbook laid open for drawing.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct OpenPlaybook {
    /// In file order, the evaluator's new ones last.
    pub concepts: Vec<DrawnConcept>,
    /// Routes with their waypoints.
    pub routes: Vec<Route>,
    /// Drops.
    pub drops: Vec<DropChoice>,
    /// What is wrong with files or drawings that are left out.
    pub findings: Vec<Finding>,
}

impl Workbench {
    /// The playbook laid open for drawing.
    ///
    /// # Errors
    /// `Store`.
    pub async fn open_playbook(&self) -> Result<OpenPlaybook, WorkError> {
        let own: Vec<OwnConcept> = self.store.list().await?;
        let book = self.playbook().await;
        let ours = Playbook::ours();
        let drawn = |c: &Concept| DrawnConcept {
            concept: c.clone(),
            own: own.iter().any(|o| o.id == c.id),
            known: ours.concepts.iter().any(|o| o.id == c.id),
        };
        let drop =
            |d: &reads::playbook::Drop| DropChoice { id: d.id.clone(), name: d.name.clone(), set_s: d.set };
        Ok(OpenPlaybook {
            concepts: book.book.concepts.iter().map(drawn).collect(),
            routes: book.book.routes.clone(),
            drops: book.book.drops.iter().map(drop).collect(),
            findings: book.findings.clone(),
        })
    }

    /// Keeps a concept as drawn, over the playbook's own of its id or beside it; plays charted with it are judged by it from now on.
    ///
    /// # Errors
    /// `Invalid` with everything that is wrong in it.
    pub async fn draw_concept(&self, concept: Concept) -> Result<DrawnConcept, WorkError> {
        let _guard = self.editing.lock().await;
        let text = concept.text().map_err(|e| WorkError::Invalid(e.to_string()))?;
        let book = self.playbook().await;
        if let Err(errors) = book.book.clone().overlay(&concept.id, &text) {
            let said: Vec<&str> = errors.iter().map(|e| e.message.as_str()).collect();
            return Err(WorkError::Invalid(said.join("; ")));
        }
        let own = OwnConcept { id: concept.id.clone(), text };
        let known = Playbook::ours().concepts.iter().any(|c| c.id == concept.id);
        let name = format!("draw the concept {}", concept.name);
        let merge = format!("concept {}", concept.id);
        self.change_merging(&name, None, Some(&merge), &[Change::put(&own)]).await?;
        Ok(DrawnConcept { concept, own: true, known })
    }

    /// Takes a drawing back: the playbook's own concept of that id stands again, a new one is gone.
    ///
    /// # Errors
    /// `Store` with `NoRecord` when none is drawn.
    pub async fn undraw_concept(&self, id: &str) -> Result<(), WorkError> {
        let _guard = self.editing.lock().await;
        self.store.get::<OwnConcept>(id).await?;
        self.change("take a drawn concept back", None, &[Change::delete(Kind::Concept, id)]).await
    }

    /// What the evaluator drew as one playbook file, for other studies: put it into their folder `playbook`.
    ///
    /// # Errors
    /// `Store`; `NotReady` when nothing is drawn.
    pub async fn playbook_file(&self) -> Result<String, WorkError> {
        let own: Vec<OwnConcept> = self.store.list().await?;
        if own.is_empty() {
            return Err(WorkError::NotReady("no concept is drawn in this study".into()));
        }
        Ok(own.into_iter().map(|o| o.text).collect::<Vec<_>>().join("\n"))
    }
}
