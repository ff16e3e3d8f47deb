//! What the program and the evaluator say of a play's decision.

use crate::{Workbench, WorkError};
use play::{Judgement, OwnCall, Play, PlayId};
use store::{Change, OfPlay};

impl Workbench {
    /// The program's judgements, the evaluator's first plan first.
    ///
    /// # Errors
    /// `NotReady` with what is missing.
    pub async fn judgements(&self, id: &PlayId) -> Result<Vec<Judgement>, WorkError> {
        self.store.get::<Play>(id.as_str()).await?;
        Ok(Vec::new())
    }
    /// Keeps the evaluator's own call under a plan.
    ///
    /// # Errors
    /// `Store` with `NoRecord`; `Invalid` for a reason of more than 2000 characters.
    pub async fn call(&self, id: &PlayId, call: OwnCall) -> Result<OwnCall, WorkError> {
        let _guard = self.editing.lock().await;
        self.store.get::<Play>(id.as_str()).await?;
        let n = call.why.chars().count();
        if n > 2000 {
            return Err(WorkError::Invalid(format!("the reason has {n} characters; at most 2000 are kept")));
        }
        crate::games::named("the plan", &call.plan)?;
        let change = Change::put(&OfPlay { play: id.clone(), part: call.clone() });
        self.change_merging("call the decision", Some(id), Some("call"), &[change]).await?;
        Ok(call)
    }
    /// Takes the evaluator's call under a plan back.
    ///
    /// # Errors
    /// Those of the store.
    pub async fn delete_call(&self, id: &PlayId, plan: &str) -> Result<(), WorkError> {
        let _guard = self.editing.lock().await;
        let change = Change::delete(store::Kind::Call, format!("{id}/{plan}"));
        self.change("take the call back", Some(id), &[change]).await
    }
}
