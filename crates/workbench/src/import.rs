//! Films in: probe, fingerprint, copy or reference, one decoding, proposed clips.

use crate::error::blocking;
use crate::films::film_findings;
use crate::folders::{is_film_name, natural};
use crate::jobs::{Job, Ticket};
use crate::{WorkError, Workbench, clips, paths};
use film::{FilmError, Monitor, Probe};
use play::{Finding, GameId, Severity};
use serde::{Deserialize, Serialize};
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use store::{Change, FilmRow};

/// What to import.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct ImportRequest {
    /// Files, within named folders.
    #[serde(default)]
    pub paths: Vec<String>,
    /// A folder whose film files are all imported, within named folders.
    #[serde(default)]
    pub folder: Option<String>,
    /// The game they show.
    pub game: GameId,
    /// Copy the files into the study, or read them where they are.
    #[serde(default)]
    pub copy: bool,
}

/// What one file came to.
enum Came {
    New,
    Known(String),
}

impl Workbench {
    /// Starts to import films. Files are imported one after the other; one that cannot be read is reported and left
    /// out. An import cut short by the program's end goes on when the study is next opened.
    ///
    /// # Errors
    /// `Outside` for a path that lies in no named folder; `Invalid` when there is nothing to import.
    pub async fn import(&self, request: ImportRequest) -> Result<Job, WorkError> {
        self.store.get::<play::Game>(request.game.as_str()).await?;
        let roots = self.roots().await?;
        let asked = request.clone();
        let files = blocking(move || chosen(&asked, &roots)).await?;
        let title = match files.as_slice() {
            [] => return Err(WorkError::Invalid("there is no film file among what was chosen".into())),
            [one] => format!("Import {}", one.file_name().unwrap_or_default().to_string_lossy()),
            many => format!("Import {} films", many.len()),
        };
        let paths = files.iter().map(|p| paths::to_text(p)).collect::<Result<_, _>>()?;
        let pending = ImportRequest { paths, folder: None, ..request };
        let text = serde_json::to_string(&pending)?;
        self.start("import", title, &text, move |bench, ticket| bench.run_import(pending, ticket)).await
    }
    /// Imports one file after the other.
    pub(crate) async fn run_import(
        self,
        mut pending: ImportRequest,
        ticket: Arc<Ticket>,
    ) -> Result<String, WorkError> {
        let mut files: Vec<(PathBuf, u64)> = Vec::new();
        for text in &pending.paths {
            let path = paths::from_text(text)?;
            let size = std::fs::metadata(&path).map_or(0, |m| m.len());
            files.push((path, size));
        }
        let total: u64 = files.iter().map(|f| f.1).sum::<u64>().max(1);
        let (mut done, mut new, mut known, mut failed) = (0, 0u32, 0u32, 0u32);
        let mut last = String::new();
        for (path, size) in files {
            let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
            ticket.say(format!("Reading {name}"));
            match self.import_one(&path, &pending, &ticket, (done, size, total)).await {
                Ok(Came::New) => new += 1,
                Ok(Came::Known(as_name)) => {
                    known += 1;
                    let said = format!("{name} is in the study already, as {as_name}");
                    ticket.find(Finding::new(Severity::Note, "known-film", said));
                }
                Err(WorkError::Film(FilmError::Cancelled)) => return Err(FilmError::Cancelled.into()),
                // Without room or the tool every further file would fail the same way.
                Err(
                    e @ WorkError::Film(
                        FilmError::DiskFull { .. }
                        | FilmError::ToolMissing { .. }
                        | FilmError::ToolUnfit { .. },
                    ),
                ) => {
                    return Err(e);
                }
                Err(e @ WorkError::Store(_)) => return Err(e),
                Err(e) => {
                    failed += 1;
                    last = e.to_string();
                    ticket.find(Finding::new(Severity::Missing, "film-refused", last.clone()));
                }
            }
            done += size;
            ticket.progress(done, total);
            pending.paths.remove(0);
            self.store.set_job_request(ticket.id, &serde_json::to_string(&pending)?).await?;
        }
        match (new, known, failed) {
            (0, 0, _) => Err(WorkError::Invalid(last)),
            (n, 0, 0) => Ok(format!("{n} imported")),
            (n, k, 0) => Ok(format!("{n} imported, {k} known already")),
            (n, k, f) => Ok(format!("{n} imported, {k} known already, {f} refused")),
        }
    }
    async fn import_one(
        &self,
        path: &Path,
        request: &ImportRequest,
        ticket: &Arc<Ticket>,
        (before, size, total): (u64, u64, u64),
    ) -> Result<Came, WorkError> {
        let (tool, source) = (self.outside.tool.clone(), path.to_owned());
        let probe = blocking(move || film::probe(&tool, &source)).await?;
        // Shares of a film's time by eye: reading it through is quick against decoding and coding it.
        let part = move |from: f64, to: f64| (before as f64 + from * size as f64, (to - from) * size as f64);
        let fingerprint = self
            .monitored(ticket, part(0.0, 0.04), total, {
                let source = path.to_owned();
                move |m| film::fingerprint(&source, m)
            })
            .await?;
        if let Some(mut row) = self.store.film_by_fingerprint(fingerprint.as_hex()).await? {
            let as_name = row.name.clone();
            let id = row.id.clone();
            // The same film found elsewhere while its file is gone: take the new place.
            if !row.copied && !paths::from_text(&row.path)?.exists() {
                row.path = paths::to_text(path)?;
                self.store.put_film(&row).await?;
                self.forget_film(&id);
            }
            if self.handed_over(path).is_some_and(|(kept, _)| kept != row.path) {
                // The study has these bytes already; a second copy would only take room.
                let _ = std::fs::remove_file(path);
            }
            self.propose_first(&id).await?;
            return Ok(Came::Known(as_name));
        }
        let id = self.id("f").await?;
        let own = self.handed_over(path);
        let name = match &own {
            Some((_, given)) => given.clone(),
            None => path.file_name().unwrap_or_default().to_string_lossy().into_owned(),
        };
        let copied = request.copy || own.is_some();
        let copied_now = request.copy && own.is_none();
        let (original, stored_path) = if let Some((kept, _)) = own {
            (path.to_owned(), kept)
        } else if copied_now {
            let ending = path.extension().map(|e| format!(".{}", e.to_string_lossy())).unwrap_or_default();
            let target = self.place().film().join(format!("{id}{ending}"));
            let (from, to) = (path.to_owned(), target.clone());
            ticket.say(format!("Copying {name}"));
            let cancel = ticket.cancel.clone();
            blocking(move || copy(&from, &to, &cancel)).await?;
            (target, format!("film/{id}{ending}"))
        } else {
            (path.to_owned(), paths::to_text(path)?)
        };
        let ingested = self.decode(ticket, part(0.1, 1.0), total, &id, &original, &probe).await;
        let ingested = match ingested {
            Ok(i) => i,
            Err(e) => {
                if copied_now {
                    // The copy is worth nothing without its proxy.
                    let _ = std::fs::remove_file(&original);
                }
                return Err(e);
            }
        };
        for f in film_findings(&ingested.findings) {
            ticket.find(Finding { message: format!("{name}: {}", f.message), ..f });
        }
        let row = FilmRow {
            id: id.clone(),
            game: Some(request.game.0.clone()),
            name,
            path: stored_path,
            copied,
            fingerprint: fingerprint.to_string(),
            probe: serde_json::to_string(&probe)?,
            ingested: serde_json::to_string(&ingested)?,
            added_ms: self.now_ms(),
        };
        self.store.put_film(&row).await?;
        self.propose_first(&id).await?;
        Ok(Came::New)
    }
    /// Proposes clips for a film that has none: a new one, or one whose import was cut short before this step.
    async fn propose_first(&self, id: &str) -> Result<(), WorkError> {
        let _guard = self.editing.lock().await;
        if !self.store.list_of::<play::Clip>(id).await?.is_empty() {
            return Ok(());
        }
        let film = self.film(id).await?;
        let proposed = clips::propose(&film, &self.ids("c", clips::cuts_of(&film).len()).await?);
        let changes: Vec<Change> = proposed.iter().map(Change::put).collect();
        self.change(&format!("cut {} into clips", film.name), None, &changes).await
    }
    async fn decode(
        &self,
        ticket: &Arc<Ticket>,
        span: (f64, f64),
        total: u64,
        id: &str,
        original: &Path,
        probe: &Probe,
    ) -> Result<film::Ingested, WorkError> {
        let (tool, original, probe) = (self.outside.tool.clone(), original.to_owned(), probe.clone());
        let proxy = self.proxy_path(id);
        self.monitored(ticket, span, total, move |m| film::ingest(&tool, &original, &probe, &proxy, m)).await
    }
    /// Runs work on a film whose progress is the given span of the job's.
    async fn monitored<T: Send + 'static>(
        &self,
        ticket: &Arc<Ticket>,
        (from, span): (f64, f64),
        total: u64,
        work: impl FnOnce(&mut Monitor<'_>) -> Result<T, FilmError> + Send + 'static,
    ) -> Result<T, WorkError> {
        let ticket = ticket.clone();
        blocking(move || {
            let cancel = ticket.cancel.clone();
            let mut report = |p: film::Progress| {
                let share = p.total.map_or(0.0, |t| p.done as f64 / t.max(1) as f64).min(1.0);
                ticket.progress((from + share * span) as u64, total);
            };
            work(&mut Monitor::new(&cancel, &mut report))
        })
        .await
    }
}

/// The files of a request, resolved and in natural order, each allowed.
fn chosen(request: &ImportRequest, roots: &[PathBuf]) -> Result<Vec<PathBuf>, WorkError> {
    let mut files = Vec::new();
    for text in &request.paths {
        files.push(paths::within(&paths::from_text(text)?, roots)?);
    }
    if let Some(folder) = &request.folder {
        let folder = paths::within(&paths::from_text(folder)?, roots)?;
        let fail = |e| WorkError::io("listing", &folder, e);
        let mut found = Vec::new();
        for entry in std::fs::read_dir(&folder).map_err(fail)? {
            let path = entry.map_err(fail)?.path();
            if path.is_file() && is_film_name(&path) {
                found.push(paths::within(&path, roots)?);
            }
        }
        found.sort_by(|a, b| natural(&a.to_string_lossy(), &b.to_string_lossy()));
        files.extend(found);
    }
    let mut seen = std::collections::HashSet::new();
    files.retain(|f| seen.insert(f.clone()));
    Ok(files)
}

/// Copies a film in pieces, so that it can be stopped. The copy appears under its name only when whole.
fn copy(from: &Path, to: &Path, cancel: &AtomicBool) -> Result<(), WorkError> {
    let partial = to.with_extension("part");
    let result = copy_into(from, &partial, cancel)
        .and_then(|()| std::fs::rename(&partial, to).map_err(|e| WorkError::io("writing", to, e)));
    if result.is_err() {
        let _ = std::fs::remove_file(&partial); // there may be none
    }
    result
}

fn copy_into(from: &Path, partial: &Path, cancel: &AtomicBool) -> Result<(), WorkError> {
    let mut source = std::fs::File::open(from).map_err(|e| WorkError::io("reading", from, e))?;
    let mut target = std::fs::File::create(partial).map_err(|e| WorkError::io("writing", partial, e))?;
    let mut buffer = vec![0; 1 << 20];
    let mut written = 0;
    loop {
        if cancel.load(std::sync::atomic::Ordering::Relaxed) {
            return Err(FilmError::Cancelled.into());
        }
        let n = source.read(&mut buffer).map_err(|e| WorkError::io("reading", from, e))?;
        if n == 0 {
            return target.sync_all().map_err(|e| WorkError::io("writing", partial, e));
        }
        target.write_all(&buffer[..n]).map_err(|e| match e.kind() {
            std::io::ErrorKind::StorageFull | std::io::ErrorKind::QuotaExceeded => {
                WorkError::Film(FilmError::DiskFull { path: partial.into(), written_bytes: written })
            }
            _ => WorkError::io("writing", partial, e),
        })?;
        written += n as u64;
    }
}
