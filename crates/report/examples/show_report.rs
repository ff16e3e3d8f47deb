//! Writes the tests' example report for looking at: `cargo run -p report --example show_report DIR`.
#[path = "../tests/documents.rs"]
#[allow(dead_code, unused_imports, reason = "only the example value is used here")]
mod documents;

fn main() {
    let dir = std::path::PathBuf::from(std::env::args().nth(1).expect("a folder to write to"));
    let r = documents::example();
    std::fs::write(dir.join("report.html"), report::html(&r, report::Extent::Full, &[]))
        .expect("a writable folder");
    std::fs::write(dir.join("report.pdf"), report::pdf(&r, report::Extent::Full).expect("a report"))
        .expect("a writable folder");
}
