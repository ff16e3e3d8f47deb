/// Why a table is refused.
#[derive(Debug, thiserror::Error)]
pub enum TableError {
    /// Neither text nor a workbook.
    #[error("this is neither an XLSX workbook nor separated text in UTF-8")]
    NoTable,
    /// Not readable.
    #[error("the table cannot be read: {0}")]
    Unreadable(String),
    /// Only headings, or nothing.
    #[error("the table has no rows")]
    Empty,
    /// A column that the mapping names is not there.
    #[error("there is no column “{wanted}” (for {what}); the table has {have}")]
    NoColumn {
        /// What the mapping says.
        wanted: String,
        /// What it is for.
        what: &'static str,
        /// Headings that are there.
        have: String,
    },
    /// Too little of a column can be read.
    #[error(
        "column “{column}” holds no {what} in {bad} of {rows} rows (first in row {row}: “{cell}”); at most a tenth may be missing"
    )]
    BadColumn {
        /// Which.
        column: String,
        /// What it should hold.
        what: &'static str,
        /// How many cells are not.
        bad: u64,
        /// Of how many.
        rows: u64,
        /// Row of the first, the headings being row 1.
        row: u64,
        /// The first.
        cell: String,
    },
    /// A value of the mapping cannot be.
    #[error("{what} is {value} {unit}; it must lie between {low} and {high}")]
    OutOfRange {
        /// Which.
        what: &'static str,
        /// What the mapping says.
        value: f64,
        /// Its unit.
        unit: &'static str,
        /// Smallest.
        low: f64,
        /// Largest.
        high: f64,
    },
    /// Nothing that could be a play.
    #[error("no play in the table can be used: {0}")]
    NoPlay(String),
}
