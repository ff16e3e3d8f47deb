//! The answer of a command: JSON for scripts, lines for people.

use serde::Serialize;
use serde_json::Value;
use std::io::{ErrorKind, Write};

/// What a command answers.
pub struct Answer {
    /// For scripts.
    pub value: Value,
    /// For people.
    pub text: String,
}

impl Answer {
    /// From anything that can be written as JSON, and its lines.
    ///
    /// # Errors
    /// When it cannot.
    pub fn new(value: &impl Serialize, text: impl Into<String>) -> anyhow::Result<Self> {
        Ok(Self { value: serde_json::to_value(value)?, text: text.into() })
    }
    /// Prints it. A reader that stops reading, as `head` does, is no failure.
    ///
    /// # Errors
    /// When the JSON cannot be made, or standard output cannot be written.
    pub fn say(&self, json: bool) -> anyhow::Result<()> {
        let text = match json {
            true => serde_json::to_string_pretty(&self.value)?,
            false => self.text.trim_end().to_owned(),
        };
        if text.is_empty() {
            return Ok(());
        }
        match writeln!(std::io::stdout(), "{text}") {
            Err(e) if e.kind() == ErrorKind::BrokenPipe => Ok(()),
            done => Ok(done?),
        }
    }
}

/// Rows of cells as lines with even columns.
pub fn table(rows: &[Vec<String>]) -> String {
    let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
    let width = |k: usize| rows.iter().filter_map(|r| r.get(k)).map(|c| c.chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..columns).map(width).collect();
    rows.iter()
        .map(|r| {
            let cells: Vec<String> = r.iter().zip(&widths).map(|(c, w)| format!("{c:w$}")).collect();
            cells.join("  ").trim_end().to_owned()
        })
        .collect::<Vec<_>>()
        .join("\n")
}
