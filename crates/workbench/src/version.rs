//! What a report or table must name so that it can be made again: the state of the data, the program, the settings.

use crate::{WorkError, Workbench};
use serde::Serialize;
use store::Kind;

/// The state of a study's data and what is computed with.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct DataVersion {
    /// Counts every change of any record, also by undo and redo.
    pub revision: i64,
    /// Number of the last edit in force.
    pub edit: i64,
    /// Fingerprint of every record: two studies with the same one hold the same.
    pub fingerprint: String,
    /// When the data were last changed, ms since 1970.
    pub as_of_ms: i64,
    /// The same as a day, UTC.
    pub as_of: String,
    /// Program and its version.
    pub program: String,
    /// Settings that figures depend on: label and words.
    pub settings: Vec<(String, String)>,
}

/// Digits of a fingerprint: 64 bits tell studies apart.
const DIGITS: usize = 16;

impl Workbench {
    /// The state of the data and what is computed with.
    ///
    /// # Errors
    /// `Store`.
    pub async fn data_version(&self) -> Result<DataVersion, WorkError> {
        let contents = self.store.contents().await?;
        let mut hash = blake3::Hasher::new();
        // Folders name places on this machine, not facts about the passer.
        for record in contents.records.iter().filter(|r| r.0 != Kind::Folder.word()) {
            hash.update(&serde_json::to_vec(record)?);
        }
        let playbook = self.playbook().await;
        let book = &playbook.book;
        let own = if playbook.findings.is_empty() { "" } else { ", with files left out" };
        let reach = self.store.find::<play::ReachFit>("reach fit").await?.filter(|f| f.used);
        let request = window::Request::default();
        let settings = vec![
            ("intervals".to_owned(), format!("{:.0}%", 100.0 * patterns::LEVEL)),
            (
                "false differences borne".to_owned(),
                format!("{:.0}% of those called carried", 100.0 * patterns::ask::BORNE),
            ),
            (
                "playbook".to_owned(),
                format!(
                    "{}{own}",
                    crate::key_of(&(&book.coverages, &book.routes, &book.concepts))?[..DIGITS].to_owned()
                ),
            ),
            (
                "reach and arm".to_owned(),
                reach.map_or_else(
                    || "as the program comes".to_owned(),
                    |f| format!("fitted to {} throws", f.throws),
                ),
            ),
            ("windows".to_owned(), format!("{} repeats by seed {}", request.draws, request.seed)),
            (
                "judgement".to_owned(),
                crate::key_of(&reads::judge::Parameters::default())?[..DIGITS].to_owned(),
            ),
        ];
        Ok(DataVersion {
            revision: contents.revision,
            edit: contents.edit,
            fingerprint: hash.finalize().to_hex()[..DIGITS].to_owned(),
            as_of_ms: contents.at_ms,
            as_of: day(contents.at_ms),
            program: format!("tapemeasure {}", env!("CARGO_PKG_VERSION")),
            settings,
        })
    }
}

impl DataVersion {
    /// Label and words of everything, for a page or sheet.
    pub(crate) fn lines(&self) -> Vec<(String, String)> {
        let mut lines = vec![
            ("data".to_owned(), format!("edit {}, fingerprint {}", self.edit, self.fingerprint)),
            ("last changed".to_owned(), self.as_of.clone()),
            ("program".to_owned(), self.program.clone()),
        ];
        lines.extend(self.settings.iter().cloned());
        lines
    }
}

/// The day of an instant, UTC, as "25 November 2026".
pub(crate) fn day(ms: i64) -> String {
    time::OffsetDateTime::from_unix_timestamp(ms.div_euclid(1000))
        .map_or_else(|_| "an unknown day".to_owned(), |t| format!("{} {} {}", t.day(), t.month(), t.year()))
}

#[cfg(test)]
mod tests {
    /// POSIX: time 0 is 1 January 1970; 2024 is a leap year.
    #[test]
    fn days_are_the_calendars() {
        assert_eq!(super::day(0), "1 January 1970");
        assert_eq!(super::day(1_709_164_800_000), "29 February 2024");
    }
}
