use crate::FilmError;
use std::ffi::OsString;
use std::fs::{self, File};
use std::path::{Path, PathBuf};

/// A file being written under another name, so that whoever finds the real name finds it whole.
///
/// The temporary name is fixed, not random: work killed outright leaves one file that the next run replaces.
pub(crate) struct Partial {
    target: PathBuf,
    temporary: PathBuf,
    kept: bool,
}

impl Partial {
    pub fn new(target: &Path) -> Result<Self, FilmError> {
        let name = target.file_name().ok_or_else(|| FilmError::NotAFile { path: target.into() })?;
        let mut hidden = OsString::from(".");
        hidden.push(name);
        hidden.push(".part");
        Ok(Self { target: target.into(), temporary: target.with_file_name(hidden), kept: false })
    }
    pub fn path(&self) -> &Path {
        &self.temporary
    }
    /// Makes the temporary file, replacing what a killed run left.
    pub fn create(&self) -> Result<File, FilmError> {
        File::create(&self.temporary).map_err(|e| FilmError::write(&self.target, 0, e))
    }
    /// Flushes to the disk and gives the file its real name.
    pub fn keep(mut self) -> Result<(), FilmError> {
        let fail = |e| FilmError::write(&self.target, 0, e);
        let file = File::options().append(true).open(&self.temporary).map_err(fail)?;
        file.sync_all().map_err(fail)?;
        drop(file); // an open file cannot be renamed everywhere
        fs::rename(&self.temporary, &self.target).map_err(fail)?;
        self.kept = true;
        Ok(())
    }
}

impl Drop for Partial {
    fn drop(&mut self) {
        if !self.kept {
            // Best effort: the folder itself may be gone, and there is nobody left to tell.
            let _ = fs::remove_file(&self.temporary);
        }
    }
}
