//! Long work: told apart by kind, one of a kind at a time, with progress, cancel and resume.

use crate::{WorkError, Workbench};
use play::Finding;
use serde::Serialize;
use std::collections::{BTreeMap, HashMap};
use std::future::Future;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Instant;
use store::JobState;
use tokio::sync::Semaphore;

/// A job as it is shown.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Job {
    /// Unique in the study.
    pub id: i64,
    /// Which kind of work: import, follow, report.
    pub kind: String,
    /// In plain words.
    pub title: String,
    /// Where it stands.
    pub state: JobStanding,
    /// Units done.
    pub done: u64,
    /// Units in all; `None` until known.
    pub total: Option<u64>,
    /// Estimated time left, s.
    pub seconds_left: Option<f64>,
    /// What it is doing, what came of it, or why it failed.
    pub message: String,
    /// What the user should know of the result.
    pub findings: Vec<Finding>,
}

/// Where a job stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum JobStanding {
    /// Not begun.
    Waiting,
    /// Under way.
    Running,
    /// Finished.
    Done,
    /// Gave up.
    Failed,
    /// Stopped on request.
    Cancelled,
}

impl From<JobState> for JobStanding {
    fn from(s: JobState) -> Self {
        match s {
            JobState::Waiting => Self::Waiting,
            JobState::Running => Self::Running,
            JobState::Done => Self::Done,
            JobState::Failed => Self::Failed,
            JobState::Cancelled => Self::Cancelled,
        }
    }
}

/// A running job's hold on the world: where progress goes and whether to stop.
pub(crate) struct Ticket {
    pub id: i64,
    pub cancel: Arc<AtomicBool>,
    live: Mutex<Live>,
}

struct Live {
    job: Job,
    started: Option<Instant>,
}

impl Ticket {
    fn live(&self) -> std::sync::MutexGuard<'_, Live> {
        // A panic while a number was being set leaves nothing half-done here.
        self.live.lock().unwrap_or_else(PoisonError::into_inner)
    }
    fn job(&self) -> Job {
        self.live().job.clone()
    }
    pub fn cancelled(&self) -> bool {
        self.cancel.load(Ordering::Relaxed)
    }
    /// Units done so far; the time left follows from the speed since the job began.
    pub fn progress(&self, done: u64, total: u64) {
        let mut live = self.live();
        let elapsed = live.started.map_or(0.0, |s| s.elapsed().as_secs_f64());
        live.job.done = done;
        live.job.total = Some(total);
        live.job.seconds_left = (done > 0).then(|| elapsed * total.saturating_sub(done) as f64 / done as f64);
    }
    /// Units in all, as told last.
    pub fn total(&self) -> Option<u64> {
        self.live().job.total
    }
    pub fn say(&self, message: impl Into<String>) {
        self.live().job.message = message.into();
    }
    pub fn find(&self, finding: Finding) {
        self.live().job.findings.push(finding);
    }
}

/// Jobs of this run.
#[derive(Default)]
pub(crate) struct Jobs {
    tickets: Mutex<BTreeMap<i64, Arc<Ticket>>>,
    lanes: Mutex<HashMap<&'static str, Arc<Semaphore>>>,
    stopping: AtomicBool,
}

impl Jobs {
    fn lane(&self, kind: &'static str) -> Arc<Semaphore> {
        let mut lanes = self.lanes.lock().unwrap_or_else(PoisonError::into_inner);
        lanes.entry(kind).or_insert_with(|| Arc::new(Semaphore::new(1))).clone()
    }
    fn tickets(&self) -> std::sync::MutexGuard<'_, BTreeMap<i64, Arc<Ticket>>> {
        self.tickets.lock().unwrap_or_else(PoisonError::into_inner)
    }
    /// Asks all jobs to stop and waits for it; their rows stay unfinished, so that they go on next time.
    pub async fn stop_all(&self) {
        self.stopping.store(true, Ordering::Relaxed);
        self.tickets().values().for_each(|t| t.cancel.store(true, Ordering::Relaxed));
        while self.tickets().values().any(|t| t.live().job.state == JobStanding::Running) {
            tokio::time::sleep(std::time::Duration::from_millis(20)).await;
        }
    }
}

impl Workbench {
    /// Keeps a job and starts it as soon as no other of its kind runs.
    pub(crate) async fn start<F, W>(
        &self,
        kind: &'static str,
        title: String,
        request: &str,
        work: W,
    ) -> Result<Job, WorkError>
    where
        W: FnOnce(Workbench, Arc<Ticket>) -> F + Send + 'static,
        F: Future<Output = Result<String, WorkError>> + Send + 'static,
    {
        let id = self.store.add_job(kind, &title, request, self.now_ms()).await?;
        Ok(self.launch(id, kind, title, work))
    }
    /// Starts a job that is kept already.
    pub(crate) fn launch<F, W>(&self, id: i64, kind: &'static str, title: String, work: W) -> Job
    where
        W: FnOnce(Workbench, Arc<Ticket>) -> F + Send + 'static,
        F: Future<Output = Result<String, WorkError>> + Send + 'static,
    {
        let job = Job {
            id,
            kind: kind.to_owned(),
            title,
            state: JobStanding::Waiting,
            done: 0,
            total: None,
            seconds_left: None,
            message: String::new(),
            findings: Vec::new(),
        };
        let ticket = Arc::new(Ticket {
            id,
            cancel: Arc::default(),
            live: Mutex::new(Live { job: job.clone(), started: None }),
        });
        self.jobs.tickets().insert(id, ticket.clone());
        let bench = self.clone();
        let lane = self.jobs.lane(kind);
        tokio::spawn(async move {
            let _turn = lane.acquire().await;
            let result = if ticket.cancelled() {
                Err(WorkError::Film(film::FilmError::Cancelled))
            } else {
                {
                    let mut live = ticket.live();
                    live.job.state = JobStanding::Running;
                    live.started = Some(Instant::now());
                }
                // A lost row only means that the job is not taken up again after a kill.
                let _ = bench.store.set_job(id, JobState::Running, "").await;
                work(bench.clone(), ticket.clone()).await
            };
            bench.finish(&ticket, result).await;
        });
        job
    }
    async fn finish(&self, ticket: &Ticket, result: Result<String, WorkError>) {
        let (state, mut message) = match result {
            Ok(message) => (JobState::Done, message),
            Err(WorkError::Film(film::FilmError::Cancelled)) => {
                (JobState::Cancelled, "stopped on request".into())
            }
            Err(e) => (JobState::Failed, e.to_string()),
        };
        let stays = state == JobState::Cancelled && self.jobs.stopping.load(Ordering::Relaxed);
        if !stays {
            // The work is done or not whatever the list says; the user should know that the list may be wrong later.
            if let Err(e) = self.store.set_job(ticket.id, state, &message).await {
                message = format!("{message} (its end could not be noted: {e})");
            }
        }
        let mut live = ticket.live();
        live.job.state = state.into();
        live.job.seconds_left = None;
        live.job.message = message;
        if state == JobState::Done {
            live.job.done = live.job.total.unwrap_or(live.job.done);
        }
    }
    /// The newest jobs, newest first: this run's with progress, earlier ones as they ended.
    ///
    /// # Errors
    /// `Store`.
    pub async fn jobs(&self) -> Result<Vec<Job>, WorkError> {
        let rows = self.store.jobs(50).await?;
        let tickets = self.jobs.tickets();
        Ok(rows
            .into_iter()
            .map(|row| {
                tickets.get(&row.id).map_or_else(
                    || Job {
                        id: row.id,
                        kind: row.kind,
                        title: row.title,
                        state: row.state.into(),
                        done: 0,
                        total: None,
                        seconds_left: None,
                        message: row.message,
                        findings: Vec::new(),
                    },
                    |t| t.job(),
                )
            })
            .collect())
    }
    /// One job.
    ///
    /// # Errors
    /// `NotFound`, `Store`.
    pub async fn job(&self, id: i64) -> Result<Job, WorkError> {
        if let Some(t) = self.jobs.tickets().get(&id) {
            return Ok(t.job());
        }
        self.jobs().await?.into_iter().find(|j| j.id == id).ok_or_else(|| WorkError::missing("job", id))
    }
    /// Asks a job to stop. It ends soon after; nothing half-made is kept.
    ///
    /// # Errors
    /// `NotFound`.
    pub async fn cancel(&self, id: i64) -> Result<Job, WorkError> {
        let ticket = self.jobs.tickets().get(&id).cloned().ok_or_else(|| WorkError::missing("job", id))?;
        ticket.cancel.store(true, Ordering::Relaxed);
        Ok(ticket.job())
    }
    /// Waits until a job has ended.
    ///
    /// # Errors
    /// `NotFound`, `Store`.
    pub async fn wait(&self, id: i64) -> Result<Job, WorkError> {
        loop {
            let job = self.job(id).await?;
            if !matches!(job.state, JobStanding::Waiting | JobStanding::Running) {
                return Ok(job);
            }
            tokio::time::sleep(std::time::Duration::from_millis(50)).await;
        }
    }
}
