use serde::{Deserialize, Serialize};

/// How much a finding matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// Worth knowing.
    Note,
    /// Some of the result is missing or weak.
    Weak,
    /// The result could not be had.
    Missing,
}

/// Something the evaluator should know about a partial result.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Finding {
    /// How much it matters.
    pub severity: Severity,
    /// Short stable word for tests and filters, for example "no-release".
    pub code: String,
    /// One sentence in plain words, with value, unit and limit where there are any.
    pub message: String,
}

impl Finding {
    /// A finding.
    pub fn new(severity: Severity, code: &str, message: impl Into<String>) -> Self {
        Self { severity, code: code.to_owned(), message: message.into() }
    }
}
