use crate::films::FilmCache;
use crate::jobs::Jobs;
use crate::lineup::CameraCache;
use crate::measuring::MeasureCache;
use crate::playbook::PlaybookCache;
use crate::{WorkError, edits};
use film::VideoTool;
use play::{PlayId, Study};
use std::path::Path;
use std::sync::Arc;
use store::{Change, Edit, Place, Store};

/// The time of day, ms since 1970. Passed in, so that tests and scripts are the same every time.
pub type Now = Arc<dyn Fn() -> i64 + Send + Sync>;

/// What the workbench is given from outside.
#[derive(Clone)]
pub struct Outside {
    /// The video tool.
    pub tool: VideoTool,
    /// The clock.
    pub now: Now,
}

/// An open study and everything that can be done with it. Cheap to clone.
#[derive(Clone)]
pub struct Workbench {
    pub(crate) store: Store,
    pub(crate) outside: Outside,
    pub(crate) films: Arc<FilmCache>,
    pub(crate) cameras: Arc<CameraCache>,
    pub(crate) measuring: Arc<MeasureCache>,
    pub(crate) found: Arc<crate::people::FoundCache>,
    pub(crate) asking: Arc<crate::asking::AskedCache>,
    pub(crate) playbook: Arc<PlaybookCache>,
    pub(crate) jobs: Arc<Jobs>,
    /// Held from reading a record to writing its changed form, so that two requests cannot undo each other's work.
    pub(crate) editing: Arc<tokio::sync::Mutex<()>>,
}

impl Workbench {
    /// Makes a study at `path` and opens it.
    ///
    /// # Errors
    /// `Store`.
    pub async fn create(path: &Path, study: &Study, outside: Outside) -> Result<Self, WorkError> {
        let store = Store::create(Place::new(path)?).await?;
        crate::games::named("the study", &study.name)?;
        store.seed(&[Change::put(study)]).await?;
        Ok(Self::over(store, outside))
    }
    /// Opens the study at `path`. Work that was under way when the program last ended is taken up again by
    /// [`Workbench::resume`].
    ///
    /// # Errors
    /// `Store`.
    pub async fn open(path: &Path, outside: Outside) -> Result<Self, WorkError> {
        Ok(Self::over(Store::open(Place::new(path)?).await?, outside))
    }
    pub(crate) fn over(store: Store, outside: Outside) -> Self {
        Self {
            store,
            outside,
            films: Arc::default(),
            cameras: Arc::default(),
            measuring: Arc::default(),
            found: Arc::default(),
            asking: Arc::default(),
            playbook: Arc::default(),
            jobs: Arc::default(),
            editing: Arc::default(),
        }
    }
    /// The study's folder.
    pub fn place(&self) -> &Place {
        self.store.place()
    }
    /// Whether a path is this study's.
    pub(crate) fn is_this(&self, path: &Path) -> bool {
        matches!((path.canonicalize(), self.place().folder().canonicalize()), (Ok(a), Ok(b)) if a == b)
    }
    /// Stops all jobs and closes the study; jobs stopped this way go on when it is next opened.
    pub async fn close(self) {
        self.jobs.stop_all().await;
        self.store.close().await;
    }
    pub(crate) fn now_ms(&self) -> i64 {
        (self.outside.now)()
    }
    /// One undoable edit.
    pub(crate) async fn change(
        &self,
        label: &str,
        play: Option<&PlayId>,
        changes: &[Change],
    ) -> Result<(), WorkError> {
        self.change_merging(label, play, None, changes).await
    }
    /// One undoable edit that may continue the one before (typing).
    pub(crate) async fn change_merging(
        &self,
        label: &str,
        play: Option<&PlayId>,
        merge: Option<&str>,
        changes: &[Change],
    ) -> Result<(), WorkError> {
        let edit = Edit { label, play, at_ms: self.now_ms(), merge };
        self.store.edit(&edit, changes).await?;
        Ok(())
    }
    /// A fresh id: the prefix and a number never given before in this study.
    pub(crate) async fn id(&self, prefix: &str) -> Result<String, WorkError> {
        Ok(self.ids(prefix, 1).await?.remove(0))
    }
    /// `n` fresh ids.
    pub(crate) async fn ids(&self, prefix: &str, n: usize) -> Result<Vec<String>, WorkError> {
        if n == 0 {
            return Ok(Vec::new());
        }
        let first = self.store.numbers(n as u32).await?;
        Ok((0..n as i64).map(|k| format!("{prefix}{}", first + k)).collect())
    }
    /// Past edits, newest first.
    ///
    /// # Errors
    /// `Store`.
    pub async fn history(&self, play: Option<&PlayId>) -> Result<Vec<edits::PastEdit>, WorkError> {
        Ok(self.store.history(play, 500).await?.into_iter().map(Into::into).collect())
    }
    /// Takes back the last edit.
    ///
    /// # Errors
    /// `Store` with `NothingToUndo`.
    pub async fn undo(&self) -> Result<edits::Stepped, WorkError> {
        let _guard = self.editing.lock().await;
        Ok(self.store.undo().await?.into())
    }
    /// Brings back the edit undone last.
    ///
    /// # Errors
    /// `Store` with `NothingToRedo`.
    pub async fn redo(&self) -> Result<edits::Stepped, WorkError> {
        let _guard = self.editing.lock().await;
        Ok(self.store.redo().await?.into())
    }
}
