//! The bytes of a table to rows of cells: separated text or the first sheet of an XLSX workbook.

use crate::TableError;
use calamine::{Data, Range, Reader};
use csv::StringRecord;
use std::io::Cursor;

/// A table whose first row is its headings.
pub(crate) struct Sheet<'a> {
    headings: Vec<String>,
    body: Body<'a>,
}

enum Body<'a> {
    Text { text: &'a str, delimiter: u8 },
    Cells(Range<Data>),
}

impl<'a> Sheet<'a> {
    pub fn open(bytes: &'a [u8]) -> Result<Self, TableError> {
        let unreadable = |e: &dyn std::fmt::Display| TableError::Unreadable(e.to_string());
        // XLSX is a ZIP archive.
        if bytes.starts_with(b"PK") {
            let mut book: calamine::Xlsx<_> = calamine::open_workbook_from_rs(Cursor::new(bytes))
                .map_err(|e: calamine::XlsxError| unreadable(&e))?;
            let name = book.sheet_names().first().cloned().ok_or(TableError::Empty)?;
            let range = book.worksheet_range(&name).map_err(|e| unreadable(&e))?;
            let headings = range.rows().next().ok_or(TableError::Empty)?.iter().map(cell).collect();
            return Ok(Self { headings, body: Body::Cells(range) });
        }
        let text = std::str::from_utf8(bytes).map_err(|_| TableError::NoTable)?;
        let text = text.trim_start_matches('\u{feff}');
        let first = text.lines().next().ok_or(TableError::Empty)?;
        let count = |d: u8| first.bytes().filter(|b| *b == d).count();
        let delimiter = [b',', b';', b'\t', b'|'].into_iter().max_by_key(|d| count(*d)).unwrap_or(b',');
        let mut reader = reader(text, delimiter);
        let headings = reader.headers().map_err(|e| unreadable(&e))?;
        let headings = headings.iter().map(str::to_owned).collect();
        Ok(Self { headings, body: Body::Text { text, delimiter } })
    }
    pub fn headings(&self) -> &[String] {
        &self.headings
    }
    /// Where a heading stands.
    pub fn column(&self, heading: &str, what: &'static str) -> Result<usize, TableError> {
        self.headings.iter().position(|h| h == heading).ok_or_else(|| TableError::NoColumn {
            wanted: heading.to_owned(),
            what,
            have: self.headings.join(", "),
        })
    }
    /// Hands each row with its number (the headings being row 1) to `each` until that says stop.
    pub fn rows(&self, mut each: impl FnMut(u64, &StringRecord) -> bool) -> Result<(), TableError> {
        match &self.body {
            Body::Text { text, delimiter } => {
                let mut reader = reader(text, *delimiter);
                let mut record = StringRecord::new();
                let mut row = 1;
                loop {
                    let more =
                        reader.read_record(&mut record).map_err(|e| TableError::Unreadable(e.to_string()))?;
                    row += 1;
                    if !more || !each(row, &record) {
                        return Ok(());
                    }
                }
            }
            Body::Cells(range) => {
                for (k, cells) in range.rows().enumerate().skip(1) {
                    let record: StringRecord = cells.iter().map(cell).collect();
                    if !each(k as u64 + 1, &record) {
                        break;
                    }
                }
                Ok(())
            }
        }
    }
}

fn reader(text: &str, delimiter: u8) -> csv::Reader<&[u8]> {
    csv::ReaderBuilder::new()
        .flexible(true)
        .delimiter(delimiter)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes())
}

fn cell(d: &Data) -> String {
    match d {
        Data::Float(f) if f.fract() == 0.0 && f.abs() < 1e15 => format!("{f:.0}"),
        // Sheets count days; instants are wanted in seconds.
        Data::DateTime(t) => (t.as_f64() * 86_400.0).to_string(),
        other => other.to_string().trim().to_owned(),
    }
}

/// A cell's text; words that say "nothing here" count as empty.
pub(crate) fn content(record: &StringRecord, column: usize) -> Option<&str> {
    const NOTHING: [&str; 6] = ["na", "n/a", "nan", "null", "none", "-"];
    let text = record.get(column)?;
    (!text.is_empty() && !NOTHING.iter().any(|n| text.eq_ignore_ascii_case(n))).then_some(text)
}

/// A cell's number, with a decimal point or comma.
pub(crate) fn number(text: &str) -> Option<f64> {
    let value = text.parse().ok().or_else(|| text.replace(',', ".").replace('\u{2212}', "-").parse().ok())?;
    f64::is_finite(value).then_some(value)
}
