use super::{DICTIONARY, ExportCell, ExportError, ExportTable};
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, Workbook, Worksheet, XlsxError};

/// Names of the sheets.
const SHEETS: [&str; 3] = ["throws", "dictionary", "about"];
/// Most characters of one cell, by the format's own limits.
const LONGEST: usize = 32_767;

/// The table as an XLSX workbook: the rows, the data dictionary, and what makes it reproducible. Words are kept as words and marked
/// as quoted, so that one that begins with `=`, `+`, `-` or `@` is not run as a formula, not even after it is edited.
///
/// # Errors
/// `Refused`.
pub fn xlsx(table: &ExportTable) -> Result<Vec<u8>, ExportError> {
    written(table).map_err(|e| ExportError::Refused { form: "XLSX", reason: e.to_string() })
}

fn written(table: &ExportTable) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    book.set_properties(
        &DocProperties::new().set_creation_datetime(&ExcelDateTime::from_timestamp(table.as_of_s)?),
    );
    let words = Words { head: Format::new().set_bold(), quoted: Format::new().set_quote_prefix() };

    let sheet = book.add_worksheet().set_name(SHEETS[0])?;
    let headings: Vec<&str> = table.columns.iter().map(|c| c.name.as_str()).collect();
    words.headings(sheet, &headings)?;
    for (r, row) in table.rows.iter().enumerate() {
        for (c, cell) in row.iter().enumerate() {
            let (r, c) = (r as u32 + 1, c as u16);
            match cell {
                ExportCell::Text(t) => words.put(sheet, r, c, t)?,
                ExportCell::Number(v) => drop(sheet.write_number(r, c, *v)?),
                ExportCell::Empty => {}
            }
        }
    }
    if let (Some(last), false) = (table.columns.len().checked_sub(1), table.rows.is_empty()) {
        sheet.autofilter(0, 0, table.rows.len() as u32, last as u16)?;
    }
    sheet.set_freeze_panes(1, 1)?;

    let sheet = book.add_worksheet().set_name(SHEETS[1])?;
    words.headings(sheet, &DICTIONARY)?;
    for (r, column) in table.columns.iter().enumerate() {
        for (c, text) in column.entry().into_iter().enumerate() {
            words.put(sheet, r as u32 + 1, c as u16, text)?;
        }
    }
    for (c, width) in [28.0, 70.0, 8.0, 9.0, 52.0].into_iter().enumerate() {
        sheet.set_column_width(c as u16, width)?;
    }

    let sheet = book.add_worksheet().set_name(SHEETS[2])?;
    for (r, (label, said)) in table.about.iter().enumerate() {
        sheet.write_string_with_format(r as u32, 0, label, &words.head)?;
        words.put(sheet, r as u32, 1, said)?;
    }
    sheet.set_column_width(0, 24)?.set_column_width(1, 90)?;
    book.save_to_buffer()
}

struct Words {
    head: Format,
    quoted: Format,
}

impl Words {
    fn headings(&self, sheet: &mut Worksheet, names: &[&str]) -> Result<(), XlsxError> {
        for (c, name) in names.iter().enumerate() {
            sheet.write_string_with_format(0, c as u16, *name, &self.head)?;
            sheet.set_column_width(c as u16, (name.chars().count() as f64 + 2.0).clamp(8.0, 32.0))?;
        }
        Ok(())
    }
    fn put(&self, sheet: &mut Worksheet, r: u32, c: u16, text: &str) -> Result<(), XlsxError> {
        let kept: String = text.chars().take(LONGEST).collect();
        if !kept.is_empty() {
            sheet.write_string_with_format(r, c, kept, &self.quoted)?;
        }
        Ok(())
    }
}
