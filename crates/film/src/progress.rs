use crate::FilmError;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

/// How far a piece of long work has come.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Progress {
    /// Units done: frames or bytes, by the work.
    pub done: u64,
    /// Estimated units in all; `None` when the file does not say.
    pub total: Option<u64>,
    /// Units per second since the work began.
    pub per_second: f64,
    /// Estimated time left, s; `None` without a total or a rate yet.
    pub seconds_left: Option<f64>,
}

/// The caller's hold on long work: where progress goes and whether to stop.
pub struct Monitor<'a> {
    cancel: &'a AtomicBool,
    report: &'a mut dyn FnMut(Progress),
    started: Instant,
    last: Option<Instant>,
}

/// Reports are thinned to this: often enough to look alive, rare enough to cost nothing.
const REPORT_EVERY: Duration = Duration::from_millis(100);

impl<'a> Monitor<'a> {
    /// Work that stops soon after `cancel` turns true and tells `report` about ten times a second.
    pub fn new(cancel: &'a AtomicBool, report: &'a mut dyn FnMut(Progress)) -> Self {
        Self { cancel, report, started: Instant::now(), last: None }
    }
    /// `Cancelled` once the caller has asked for it.
    pub(crate) fn check(&self) -> Result<(), FilmError> {
        if self.cancel.load(Ordering::Relaxed) { Err(FilmError::Cancelled) } else { Ok(()) }
    }
    pub(crate) fn restart(&mut self) {
        self.started = Instant::now();
        self.last = None;
    }
    /// Tells the caller, unless it was told a moment ago.
    pub(crate) fn tell(&mut self, done: u64, total: Option<u64>) {
        if self.last.is_none_or(|t| t.elapsed() >= REPORT_EVERY) {
            self.tell_now(done, total);
        }
    }
    pub(crate) fn tell_now(&mut self, done: u64, total: Option<u64>) {
        self.last = Some(Instant::now());
        let seconds = self.started.elapsed().as_secs_f64();
        let per_second = if seconds > 0.0 { done as f64 / seconds } else { 0.0 };
        let seconds_left =
            total.filter(|_| per_second > 0.0).map(|t| t.saturating_sub(done) as f64 / per_second);
        (self.report)(Progress { done, total, per_second, seconds_left });
    }
}
