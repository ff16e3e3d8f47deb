//! What is missing or weak in a play.

use play::{Finding, Severity};

/// What was found while a play was read.
pub(super) struct Notes(pub Vec<Finding>);

impl Notes {
    pub fn add(&mut self, severity: Severity, code: &str, text: impl Into<String>) {
        self.0.push(Finding::new(severity, code, text));
    }
    pub fn has(&self, code: &str) -> bool {
        self.0.iter().any(|f| f.code == code)
    }
}
