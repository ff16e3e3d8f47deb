use super::{DICTIONARY, ExportCell, ExportError, ExportTable};
use std::borrow::Cow;

/// The rows as CSV by RFC 4180, UTF-8, with one heading line.
///
/// Spreadsheets run a cell that begins with `=`, `+`, `-` or `@` (or with a tab or line end before one) as a formula, whatever its
/// quotes; such words get an apostrophe before them. Numbers are never touched.
///
/// # Errors
/// `Refused`.
pub fn csv(table: &ExportTable) -> Result<Vec<u8>, ExportError> {
    let headings = table.columns.iter().map(|c| Cow::Borrowed(c.name.as_str())).collect();
    let rows = table.rows.iter().map(|r| r.iter().map(written).collect());
    lines(std::iter::once(headings).chain(rows))
}

/// The data dictionary as CSV: one line a column, then what makes the table reproducible.
///
/// # Errors
/// `Refused`.
pub fn dictionary_csv(table: &ExportTable) -> Result<Vec<u8>, ExportError> {
    let headings = DICTIONARY.map(Cow::Borrowed).to_vec();
    let columns = table.columns.iter().map(|c| c.entry().map(harmless).to_vec());
    let about = table.about.iter().map(|(label, words)| {
        let [blank_a, blank_b, blank_c] = [""; 3].map(Cow::Borrowed);
        vec![Cow::Owned(format!("({label})")), harmless(words), blank_a, blank_b, blank_c]
    });
    lines(std::iter::once(headings).chain(columns).chain(about))
}

fn lines<'a>(rows: impl Iterator<Item = Vec<Cow<'a, str>>>) -> Result<Vec<u8>, ExportError> {
    let refused = |reason: String| ExportError::Refused { form: "CSV", reason };
    let mut writer = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    for row in rows {
        writer.write_record(row.iter().map(|c| c.as_bytes())).map_err(|e| refused(e.to_string()))?;
    }
    writer.into_inner().map_err(|e| refused(e.to_string()))
}

fn written(cell: &ExportCell) -> Cow<'_, str> {
    match cell {
        ExportCell::Text(t) => harmless(t),
        // The shortest digits that read back as the same number.
        ExportCell::Number(v) => Cow::Owned(v.to_string()),
        ExportCell::Empty => Cow::Borrowed(""),
    }
}

/// Words that no spreadsheet takes for a formula.
fn harmless(text: &str) -> Cow<'_, str> {
    if text.starts_with(['=', '+', '-', '@', '\t', '\r', '\n']) {
        Cow::Owned(format!("'{text}"))
    } else {
        Cow::Borrowed(text)
    }
}
