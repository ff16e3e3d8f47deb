use serde::{Deserialize, Serialize};

/// A concept as the evaluator drew it, over the playbook's own of that id or beside it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct OwnConcept {
    /// The concept's id.
    pub id: String,
    /// It in the form of the playbook files, so that one check serves both.
    pub text: String,
}
