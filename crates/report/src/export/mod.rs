//! Tables out: rows with a data dictionary, as XLSX, CSV and JSON.
//!
//! What was not seen is an empty cell, never a number; the column beside it says why. A file made again from the same table is the
//! same, byte for byte.

mod csv;
mod json;
#[cfg(feature = "parquet")]
mod parquet;
mod xlsx;

pub use csv::{csv, dictionary_csv};
pub use json::json;
#[cfg(feature = "parquet")]
pub use parquet::parquet;
pub use xlsx::xlsx;

/// One cell.
#[derive(Clone, Debug, PartialEq)]
pub enum ExportCell {
    /// Words.
    Text(String),
    /// A number in the column's unit.
    Number(f64),
    /// Nothing: not seen, not charted, or it does not apply.
    Empty,
}

impl From<Option<f64>> for ExportCell {
    fn from(v: Option<f64>) -> Self {
        v.filter(|x| x.is_finite()).map_or(Self::Empty, Self::Number)
    }
}
impl From<&str> for ExportCell {
    /// Empty words are an empty cell.
    fn from(s: &str) -> Self {
        if s.is_empty() { Self::Empty } else { Self::Text(s.to_owned()) }
    }
}
impl From<String> for ExportCell {
    fn from(s: String) -> Self {
        Self::from(s.as_str())
    }
}

/// What a column holds, as the data dictionary says it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ExportColumn {
    /// Heading: lower case, words joined by `_`.
    pub name: String,
    /// What it means, in a sentence.
    pub meaning: String,
    /// Unit; empty for words and plain numbers.
    pub unit: String,
    /// Level of the interval whose end it is, for example "90%"; empty for what is no end of an interval.
    pub level: String,
    /// What an empty cell says.
    pub empty: String,
    /// True where the cells are numbers.
    pub number: bool,
}

/// A table with its dictionary.
#[derive(Clone, Debug, PartialEq)]
pub struct ExportTable {
    /// Columns, left to right.
    pub columns: Vec<ExportColumn>,
    /// Rows, each with a cell for every column.
    pub rows: Vec<Vec<ExportCell>>,
    /// What makes the table reproducible: label and words.
    pub about: Vec<(String, String)>,
    /// When its data were last changed, s since 1970: the date a file that must carry one gets.
    pub as_of_s: i64,
}

/// Why a table could not be written.
#[derive(Debug, thiserror::Error)]
pub enum ExportError {
    /// The writer refused, with its words.
    #[error("the table could not be written as {form}: {reason}")]
    Refused {
        /// Form of the file.
        form: &'static str,
        /// What the writer said.
        reason: String,
    },
}

/// Headings of the dictionary.
const DICTIONARY: [&str; 5] = ["name", "meaning", "unit", "interval", "empty cell"];

impl ExportColumn {
    fn entry(&self) -> [&str; 5] {
        [&self.name, &self.meaning, &self.unit, &self.level, &self.empty]
    }
}
