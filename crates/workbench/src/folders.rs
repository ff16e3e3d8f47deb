//! The folders that films may be taken from.

use crate::error::blocking;
use crate::{WorkError, Workbench, paths};
use serde::Serialize;
use std::path::{Path, PathBuf};
use store::{Change, FilmFolder};

/// A folder that the user named.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct NamedFolder {
    /// Unique in the study.
    pub id: String,
    /// Absolute path.
    pub path: String,
}

/// What a folder holds.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Listing {
    /// The folder.
    pub path: String,
    /// Folders in it.
    pub folders: Vec<ListedFolder>,
    /// Files in it that may be film, by their names' endings.
    pub files: Vec<ListedFile>,
}

/// A folder in a folder.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct ListedFolder {
    /// Its name.
    pub name: String,
    /// Its path.
    pub path: String,
}

/// A file in a folder.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct ListedFile {
    /// Its name.
    pub name: String,
    /// Its path.
    pub path: String,
    /// Its size, bytes.
    pub size_bytes: u64,
}

/// Endings of files that are offered as film. Any other file can still be named outright.
pub const FILM_ENDINGS: [&str; 16] = [
    "mp4", "mov", "m4v", "avi", "mkv", "mts", "m2ts", "ts", "mpg", "mpeg", "mxf", "wmv", "webm", "3gp",
    "flv", "asf",
];

impl Workbench {
    /// The named folders.
    ///
    /// # Errors
    /// `Store`.
    pub async fn folders(&self) -> Result<Vec<NamedFolder>, WorkError> {
        let all: Vec<FilmFolder> = self.store.list().await?;
        Ok(all.into_iter().map(|f| NamedFolder { id: f.id, path: f.path }).collect())
    }
    /// Names a folder that films may be taken from.
    ///
    /// # Errors
    /// `Invalid` when it is not a folder that can be read.
    pub async fn name_folder(&self, path: &Path) -> Result<NamedFolder, WorkError> {
        let _guard = self.editing.lock().await;
        let given: PathBuf = path.into();
        let real = blocking(move || {
            let real = given.canonicalize().map_err(|e| {
                WorkError::Invalid(format!("{} cannot be read as a folder: {e}", given.display()))
            })?;
            if !real.is_dir() {
                return Err(WorkError::Invalid(format!("{} is not a folder", given.display())));
            }
            Ok(real)
        })
        .await?;
        let text = paths::to_text(&real)?;
        if let Some(known) = self.folders().await?.into_iter().find(|f| f.path == text) {
            return Ok(known);
        }
        let folder = FilmFolder { id: self.id("dir").await?, path: text };
        self.change("name a film folder", None, &[Change::put(&folder)]).await?;
        Ok(NamedFolder { id: folder.id, path: folder.path })
    }
    /// The folders that may be read: the named ones, and the study's own of films handed over.
    pub(crate) async fn roots(&self) -> Result<Vec<PathBuf>, WorkError> {
        let named = self.folders().await?;
        let mut roots: Vec<PathBuf> =
            named.iter().map(|f| paths::from_text(&f.path)).collect::<Result<_, _>>()?;
        roots.push(self.arrived());
        Ok(roots)
    }
    /// What a folder within the named ones holds, by name.
    ///
    /// # Errors
    /// `Outside`, `Io`.
    pub async fn list_folder(&self, path: &str) -> Result<Listing, WorkError> {
        let roots = self.roots().await?;
        let asked = paths::from_text(path)?;
        blocking(move || list(&paths::within(&asked, &roots)?)).await
    }
}

fn list(folder: &Path) -> Result<Listing, WorkError> {
    let fail = |e| WorkError::io("listing", folder, e);
    let mut listing = Listing { path: paths::to_text(folder)?, folders: Vec::new(), files: Vec::new() };
    for entry in std::fs::read_dir(folder).map_err(fail)? {
        let entry = entry.map_err(fail)?;
        let (name, path) = (entry.file_name().to_string_lossy().into_owned(), paths::to_text(&entry.path())?);
        // What vanishes or may not be read between listing and looking is left out.
        let Ok(about) = std::fs::metadata(entry.path()) else { continue };
        if name.starts_with('.') {
            continue;
        }
        if about.is_dir() {
            listing.folders.push(ListedFolder { name, path });
        } else if is_film_name(&entry.path()) {
            listing.files.push(ListedFile { name, path, size_bytes: about.len() });
        }
    }
    listing.folders.sort_by(|a, b| natural(&a.name, &b.name));
    listing.files.sort_by(|a, b| natural(&a.name, &b.name));
    Ok(listing)
}

/// Whether a file's name says that it is film.
pub(crate) fn is_film_name(path: &Path) -> bool {
    path.extension().is_some_and(|e| FILM_ENDINGS.iter().any(|k| e.eq_ignore_ascii_case(k)))
}

/// Order of names in which "play 2" comes before "play 10".
pub(crate) fn natural(a: &str, b: &str) -> std::cmp::Ordering {
    let (a, b) = (pieces(a), pieces(b));
    a.cmp(&b)
}

/// A name cut into words and numbers; numbers come before words and are compared by value.
fn pieces(name: &str) -> Vec<(u8, u128, String)> {
    let mut out: Vec<(u8, u128, String)> = Vec::new();
    for c in name.chars() {
        match (c.to_digit(10), out.last_mut()) {
            (Some(d), Some((0, value, _))) if *value < u128::MAX / 10 - 9 => {
                *value = *value * 10 + u128::from(d)
            }
            (Some(d), _) => out.push((0, u128::from(d), String::new())),
            (None, Some((1, _, word))) => word.extend(c.to_lowercase()),
            (None, _) => out.push((1, 0, c.to_lowercase().collect())),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_in_names_sort_by_value() {
        let mut names = ["play 10.mp4", "Play 2.mp4", "play 1.mp4", "play 02b.mp4"];
        names.sort_by(|a, b| natural(a, b));
        assert_eq!(names, ["play 1.mp4", "Play 2.mp4", "play 02b.mp4", "play 10.mp4"]);
    }
}
