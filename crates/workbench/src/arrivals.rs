//! Files handed over as bytes: a page may not say where a dropped file lies, so its bytes are kept in the study.

use crate::folders::is_film_name;
use crate::tables::TABLE_ENDINGS;
use crate::{ListedFile, WorkError, Workbench, paths};
use film::FilmError;
use std::path::{Path, PathBuf};
use tokio::io::AsyncWriteExt;

/// Folder within the study's folder of films.
const HANDED_OVER: &str = "handed-over";

/// A film or table on its way into the study, piece by piece. One that is dropped before [`Arrival::finish`] leaves nothing.
#[derive(Debug)]
pub struct Arrival {
    file: tokio::fs::File,
    partial: PathBuf,
    target: PathBuf,
    written: u64,
    whole: bool,
}

impl Workbench {
    /// Where films that were handed over lie, with links resolved as soon as the folder is there.
    pub(crate) fn arrived(&self) -> PathBuf {
        let folder = self.place().film().join(HANDED_OVER);
        folder.canonicalize().unwrap_or(folder)
    }
    /// A handed-over film's path within the study and the name it came with; `None` for any other film.
    pub(crate) fn handed_over(&self, path: &Path) -> Option<(String, String)> {
        let kept = path.strip_prefix(self.arrived()).ok()?.to_str()?;
        let (_number, given) = kept.split_once(' ')?;
        Some((format!("film/{HANDED_OVER}/{kept}"), given.to_owned()))
    }
    /// Begins to take over a film or table of that file name; a folder in front of the name is left out.
    ///
    /// # Errors
    /// `Invalid` when the name's ending is neither a film's nor a table's; `Io`.
    pub async fn take_over(&self, name: &str) -> Result<Arrival, WorkError> {
        let last = name.rsplit(['/', '\\']).next().unwrap_or_default().trim();
        let ending = Path::new(last).extension().unwrap_or_default();
        let table = TABLE_ENDINGS.iter().any(|e| ending.eq_ignore_ascii_case(e));
        if !table && !is_film_name(Path::new(last)) {
            return Err(WorkError::Invalid(format!("{last} is neither film nor table by its ending")));
        }
        let folder = self.arrived();
        tokio::fs::create_dir_all(&folder).await.map_err(|e| WorkError::io("making", &folder, e))?;
        let folder = self.arrived();
        // The number keeps two films of one name apart, and a folder's order as it was.
        let target = folder.join(format!("{} {last}", self.id("in").await?));
        let partial = target.with_extension("part");
        let file =
            tokio::fs::File::create(&partial).await.map_err(|e| WorkError::io("writing", &partial, e))?;
        Ok(Arrival { file, partial, target, written: 0, whole: false })
    }
}

impl Arrival {
    /// Takes the next piece.
    ///
    /// # Errors
    /// `Film` with `DiskFull`; `Io`.
    pub async fn write(&mut self, piece: &[u8]) -> Result<(), WorkError> {
        let put = self.file.write_all(piece).await;
        put.map_err(|e| self.failed(e))?;
        self.written += piece.len() as u64;
        Ok(())
    }
    /// The film is whole: gives it its name.
    ///
    /// # Errors
    /// `Invalid` when nothing came; `Film` with `DiskFull`; `Io`.
    pub async fn finish(mut self) -> Result<ListedFile, WorkError> {
        let name = self.target.file_name().unwrap_or_default().to_string_lossy().into_owned();
        if self.written == 0 {
            return Err(WorkError::Invalid(format!("{name} is empty (0 bytes)")));
        }
        // Written pieces may still be under way; the error of the last one shows only here.
        let put = match self.file.flush().await {
            Ok(()) => self.file.sync_all().await,
            failed => failed,
        };
        put.map_err(|e| self.failed(e))?;
        let named = tokio::fs::rename(&self.partial, &self.target).await;
        named.map_err(|e| WorkError::io("writing", &self.target, e))?;
        self.whole = true;
        Ok(ListedFile { name, path: paths::to_text(&self.target)?, size_bytes: self.written })
    }
    fn failed(&self, e: std::io::Error) -> WorkError {
        match e.kind() {
            std::io::ErrorKind::StorageFull | std::io::ErrorKind::QuotaExceeded => {
                FilmError::DiskFull { path: self.partial.clone(), written_bytes: self.written }.into()
            }
            _ => WorkError::io("writing", &self.partial, e),
        }
    }
}

impl Drop for Arrival {
    fn drop(&mut self) {
        if !self.whole {
            let _ = std::fs::remove_file(&self.partial); // half a film is worth nothing
        }
    }
}
