use crate::StoreError;
use std::path::{Path, PathBuf};

/// A study's folder and what lies where in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place(PathBuf);

/// Ending of a study folder's name.
const ENDING: &str = "tape";

impl Place {
    /// The folder at `path`, whose name must end in `.tape`.
    ///
    /// # Errors
    /// `FolderName`.
    pub fn new(path: &Path) -> Result<Self, StoreError> {
        if path.extension().is_some_and(|e| e == ENDING) {
            Ok(Self(path.into()))
        } else {
            Err(StoreError::FolderName { path: path.into() })
        }
    }
    /// Makes the folder and those within it; those that exist are left alone.
    pub(crate) fn make(&self) -> Result<(), StoreError> {
        for folder in [self.folder().into(), self.proxies(), self.film(), self.reports()] {
            std::fs::create_dir_all(&folder).map_err(|e| StoreError::io("making", &folder, e))?;
        }
        Ok(())
    }
    /// The folder itself.
    pub fn folder(&self) -> &Path {
        &self.0
    }
    /// The database.
    pub fn database(&self) -> PathBuf {
        self.0.join("study.db")
    }
    /// Where proxies are.
    pub fn proxies(&self) -> PathBuf {
        self.0.join("proxies")
    }
    /// Where copied films are.
    pub fn film(&self) -> PathBuf {
        self.0.join("film")
    }
    /// Where finished reports are.
    pub fn reports(&self) -> PathBuf {
        self.0.join("reports")
    }
}
