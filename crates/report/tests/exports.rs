//! Tables out, read back by readers that are not ours.
#![allow(clippy::unwrap_used, reason = "helpers of tests")]
#![allow(clippy::disallowed_methods, reason = "tests may run the reference packages")]

use report::{ExportCell, ExportColumn, ExportTable, csv, dictionary_csv, json, xlsx};
use std::path::{Path, PathBuf};
use std::process::Command;

fn column(name: &str, unit: &str, number: bool) -> ExportColumn {
    ExportColumn {
        name: name.into(),
        meaning: format!("{name} in words, \"quoted\""),
        unit: unit.into(),
        level: if number { "90%".into() } else { String::new() },
        empty: "not seen".into(),
        number,
    }
}

/// A row of ordinary cells, one with everything that spreadsheets and CSV readers trip over, and one with nothing seen.
fn example() -> ExportTable {
    let text = |t: &str| ExportCell::Text(t.into());
    ExportTable {
        columns: vec![
            column("play", "", false),
            column("notes", "", false),
            column("feet_error_deg", "deg", true),
        ],
        rows: vec![
            vec![text("p1"), text("high, \"late\"\nagain"), ExportCell::Number(-12.1 / 3.0)],
            vec![text("@p2"), text("=HYPERLINK(\"x\")"), ExportCell::Number(0.0)],
            vec![text("-p3"), text("+1"), ExportCell::Empty],
        ],
        about: vec![("data".into(), "edit 7".into()), ("passer".into(), "=1+1".into())],
        as_of_s: 1_764_028_800,
    }
}

/// What Python reads in the files, as JSON.
fn read_back(files: &[&Path]) -> serde_json::Value {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let python = root.join("checks/.venv/bin/python");
    assert!(python.exists(), "the reference packages are not installed: run `make checks`");
    let out = Command::new(python).arg(root.join("checks/exports.py")).args(files).output().unwrap();
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    serde_json::from_slice(&out.stdout).unwrap()
}

fn put(dir: &Path, name: &str, bytes: Vec<u8>) -> PathBuf {
    let path = dir.join(name);
    std::fs::write(&path, bytes).unwrap();
    path
}

/// openpyxl (PyPI) and Python's csv module, run live: numbers come back to the last bit, empty cells stay empty, and nothing that
/// begins like a formula is one.
#[test]
fn openpyxl_and_pythons_csv_read_what_was_written() {
    let table = example();
    let dir = tempfile::tempdir().unwrap();
    let book = put(dir.path(), "a.xlsx", xlsx(&table).unwrap());
    let rows = put(dir.path(), "a.csv", csv(&table).unwrap());
    let dictionary = put(dir.path(), "a.dictionary.csv", dictionary_csv(&table).unwrap());
    let read = read_back(&[&book, &rows, &dictionary]);

    let sheet = &read["a.xlsx"]["throws"];
    assert_eq!(sheet[0], serde_json::json!([["s", "play"], ["s", "notes"], ["s", "feet_error_deg"]]));
    assert_eq!(sheet[1][2], serde_json::json!(["n", -12.1 / 3.0]));
    assert_eq!(sheet[1][1], serde_json::json!(["s", "high, \"late\"\nagain"]));
    // openpyxl's type "f" would be a formula; "s" is words.
    assert_eq!(sheet[2], serde_json::json!([["s", "@p2"], ["s", "=HYPERLINK(\"x\")"], ["n", 0]]));
    assert_eq!(sheet[3][2], serde_json::json!(["n", null]), "not seen is empty, never 0");
    assert_eq!(read["a.xlsx"]["dictionary"].as_array().unwrap().len(), 4);
    assert_eq!(read["a.xlsx"]["dictionary"][3][3], serde_json::json!(["s", "90%"]));
    assert_eq!(read["a.xlsx"]["about"][1][1], serde_json::json!(["s", "=1+1"]));

    let lines = &read["a.csv"];
    assert_eq!(lines[1][1], "high, \"late\"\nagain");
    assert_eq!(
        lines[1][2].as_str().unwrap().parse::<f64>().unwrap(),
        -12.1 / 3.0,
        "a number keeps its minus"
    );
    assert_eq!(lines[2], serde_json::json!(["'@p2", "'=HYPERLINK(\"x\")", "0"]));
    assert_eq!(lines[3], serde_json::json!(["'-p3", "'+1", ""]));
    assert_eq!(read["a.dictionary.csv"][1][0], "play");
    assert_eq!(read["a.dictionary.csv"][5][1], "'=1+1");
}

#[test]
fn the_same_table_gives_the_same_bytes() {
    assert_eq!(xlsx(&example()).unwrap(), xlsx(&example()).unwrap());
    assert_eq!(csv(&example()).unwrap(), csv(&example()).unwrap());
}

#[test]
fn json_says_null_for_what_was_not_seen() {
    let v = json(&example());
    assert_eq!(v["rows"][2]["feet_error_deg"], serde_json::Value::Null);
    assert_eq!(v["rows"][0]["play"], "p1");
    assert_eq!(v["columns"][2]["unit"], "deg");
}

/// The format's own reader of the same library, and the four bytes "PAR1" at both ends (Apache Parquet format specification).
#[cfg(feature = "parquet")]
#[test]
fn parquet_keeps_numbers_words_and_nulls() {
    use parquet::file::reader::{FileReader, SerializedFileReader};
    let bytes = report::parquet(&example()).unwrap();
    assert!(bytes.starts_with(b"PAR1") && bytes.ends_with(b"PAR1"));
    let dir = tempfile::tempdir().unwrap();
    let path = put(dir.path(), "a.parquet", bytes);
    let reader = SerializedFileReader::new(std::fs::File::open(path).unwrap()).unwrap();
    let rows: Vec<_> = reader.get_row_iter(None).unwrap().map(|r| r.unwrap().to_string()).collect();
    assert_eq!(rows.len(), 3);
    assert!(rows[2].contains("feet_error_deg: null"), "{rows:?}");
    assert!(rows[1].contains("=HYPERLINK"), "words are kept as they are: {rows:?}");
}
