//! Figures and documents as bytes: drawn once here and used by the app and by the report. No IO: a document comes back as
//! bytes, fonts travel in the binary, and the date is passed in.

mod document;
mod export;
mod figures;
mod palette;
mod wording;

pub use document::{
    ClaimReport, ClipFilm, Extent, PlayReport, ReportError, StudyReport, SummaryRow, figure_lines, html, pdf,
};
#[cfg(feature = "parquet")]
pub use export::parquet;
pub use export::{ExportCell, ExportColumn, ExportError, ExportTable, csv, dictionary_csv, json, xlsx};
pub use figures::{
    Diagram, DrawnRace, DrawnWay, Feature, FeetFigure, PlacementFigure, Reliability, WindowsStrip,
};
pub use palette::Theme;
pub use wording::{estimate, outcome_word, seen, share};
