//! The commands: each is one use case of the workbench.

mod calibrate;
mod consistency;
mod edits;
mod export;
mod film;
mod judge;
mod line_up;
mod patterns;
mod people;
mod playbook;
mod study;
mod tables;
mod verdict;

use crate::arguments::Command;
use crate::say::Answer;
use anyhow::Context;
use play::PlayId;
use std::collections::HashMap;
use std::path::Path;
use workbench::{Job, JobStanding, Outside, PlaySummary, Workbench};

/// Runs a command that answers.
///
/// # Errors
/// What the use case refused, or what the system said.
pub async fn run(command: Command, outside: Outside) -> anyhow::Result<Answer> {
    match command {
        Command::New(a) => study::new(a, outside).await,
        Command::Serve(a) => study::serve(a, outside).await,
        Command::Openapi => {
            Ok(Answer { value: serde_json::from_str(&server::openapi_json())?, text: server::openapi_json() })
        }
        Command::Show(a) => with(&a.study, outside, study::show).await,
        Command::Game(a) => with(&a.study.clone(), outside, |b| study::game(b, a)).await,
        Command::Import(a) => with(&a.study.clone(), outside, |b| film::import(b, a)).await,
        Command::Films(a) => with(&a.study, outside, film::films).await,
        Command::Clips(a) => with(&a.study, outside, film::clips).await,
        Command::Frame(a) => with(&a.study.clone(), outside, |b| film::frame(b, a)).await,
        Command::Pair(a) => with(&a.study.clone(), outside, |b| study::pair(b, a)).await,
        Command::PlayList(a) => with(&a.study.clone(), outside, |b| study::play_list(b, a)).await,
        Command::Table(a) => with(&a.study.clone(), outside, |b| tables::table(b, a)).await,
        Command::Plays(a) => with(&a.study, outside, study::plays).await,
        Command::Play(a) => with(&a.study.clone(), outside, |b| study::play(b, a)).await,
        Command::Chart(a) => with(&a.study.clone(), outside, |b| study::chart(b, a)).await,
        Command::Enter(a) => with(&a.study.clone(), outside, |b| study::enter(b, a)).await,
        Command::Click(a) => with(&a.study.clone(), outside, |b| line_up::click(b, a)).await,
        Command::Solve(a) => with(&a.study.clone(), outside, |b| line_up::solve(b, a)).await,
        Command::LineUpGame(a) => with(&a.study.clone(), outside, |b| line_up::game(b, a)).await,
        Command::ReadField(a) => with(&a.study.clone(), outside, |b| line_up::read(b, a)).await,
        Command::Follow(a) => with(&a.clips.study.clone(), outside, |b| line_up::follow(b, a)).await,
        Command::LineUp(a) => with(&a.study.clone(), outside, |b| line_up::show(b, a)).await,
        Command::Find(a) => with(&a.study.clone(), outside, |b| people::find(b, a)).await,
        Command::People(a) => with(&a.study.clone(), outside, |b| people::show(b, a)).await,
        Command::Ground(a) => with(&a.study.clone(), outside, |b| line_up::ground(b, a)).await,
        Command::Measure(a) => with(&a.study.clone(), outside, |b| judge::measure(b, a)).await,
        Command::Recognise(a) => with(&a.of.study.clone(), outside, |b| judge::recognise(b, a)).await,
        Command::Judge(a) => with(&a.study.clone(), outside, |b| judge::judge(b, a)).await,
        Command::Figure(a) => with(&a.study.clone(), outside, |b| judge::figure(b, a)).await,
        Command::Claim(a) => with(&a.study.clone(), outside, |b| verdict::claim(b, a)).await,
        Command::Playbook(a) => with(&a.study.clone(), outside, |b| playbook::show(b, a)).await,
        Command::Draw(a) => with(&a.study, outside, playbook::draw).await,
        Command::Undraw(a) => with(&a.study.clone(), outside, |b| playbook::undraw(b, a)).await,
        Command::ThrowMade(a) => with(&a.study.clone(), outside, |b| judge::throw_made(b, a)).await,
        Command::Verdict(a) => with(&a.study, outside, verdict::verdict).await,
        Command::Measures(a) => with(&a.study, outside, verdict::measures).await,
        Command::Patterns(a) => with(&a.study.clone(), outside, |b| patterns::patterns(b, a)).await,
        Command::Again(a) => with(&a.study.clone(), outside, |b| patterns::again(b, a)).await,
        Command::Learned(a) => with(&a.study, outside, patterns::learned).await,
        Command::Apart(a) => with(&a.study.clone(), outside, |b| patterns::apart(b, a)).await,
        Command::Passers(a) => with(&a.study.clone(), outside, |b| patterns::passers(b, a)).await,
        Command::Facts(a) => with(&a.study, outside, patterns::facts).await,
        Command::Report(a) => with(&a.study.clone(), outside, |b| verdict::report(b, a)).await,
        Command::Session(a) => with(&a.study.clone(), outside, |b| verdict::session(b, a)).await,
        Command::OpenQuestions(a) => with(&a.study.clone(), outside, |b| verdict::open_questions(b, a)).await,
        Command::Drafts(a) => with(&a.study.clone(), outside, |b| verdict::drafts(b, a)).await,
        Command::BlindSet(a) => with(&a.study.clone(), outside, |b| consistency::pick(b, a)).await,
        Command::Consistency(a) => with(&a.study, outside, consistency::show).await,
        Command::Compare(a) => with(&a.study.clone(), outside, |b| consistency::compare(b, a)).await,
        Command::Export(a) => with(&a.study.clone(), outside, |b| export::export(b, a)).await,
        Command::Calibrate(a) => with(&a.study.clone(), outside, |b| calibrate::calibrate(b, a)).await,
        Command::History(a) => with(&a.study, outside, edits::history).await,
        Command::Undo(a) => with(&a.study, outside, edits::undo).await,
        Command::Redo(a) => with(&a.study, outside, edits::redo).await,
    }
}

/// Opens the study, does the work, and closes it again whatever came of it.
async fn with<F: Future<Output = anyhow::Result<Answer>>>(
    study: &Path,
    outside: Outside,
    work: impl FnOnce(Workbench) -> F,
) -> anyhow::Result<Answer> {
    let bench = Workbench::open(study, outside).await?;
    let answer = work(bench.clone()).await;
    bench.close().await;
    answer
}

/// Waits for a job, telling its progress on standard error.
async fn finish(bench: &Workbench, job: Job) -> anyhow::Result<Job> {
    let watched = bench.clone();
    let id = job.id;
    let teller = tokio::spawn(async move {
        let mut last = String::new();
        loop {
            tokio::time::sleep(std::time::Duration::from_millis(500)).await;
            let Ok(j) = watched.job(id).await else { break };
            let share = j
                .total
                .map(|t| format!(" {:.0}%", 100.0 * j.done as f64 / t.max(1) as f64))
                .unwrap_or_default();
            let left = j.seconds_left.map(|s| format!(", {s:.0} s left")).unwrap_or_default();
            let doing = if j.message.is_empty() { String::new() } else { format!(": {}", j.message) };
            let line = format!("{}{doing}{share}{left}", j.title);
            if line != last {
                eprintln!("{line}");
                last = line;
            }
        }
    });
    let done = bench.wait(id).await;
    teller.abort();
    let done = done?;
    anyhow::ensure!(done.state == JobStanding::Done, "{}: {}", done.title, done.message);
    Ok(done)
}

/// The asked-for game, or the only one.
async fn game_or_only(bench: &Workbench, asked: Option<String>) -> anyhow::Result<play::GameId> {
    if let Some(id) = asked {
        return Ok(id.into());
    }
    let games = bench.study().await?.games;
    match games.as_slice() {
        [only] => Ok(only.id.clone()),
        [] => anyhow::bail!("the study has no game yet: add one with `tapemeasure game`"),
        many => anyhow::bail!(
            "the study has {} games: name one with --game ({})",
            many.len(),
            many.iter().map(|g| g.id.as_str()).collect::<Vec<_>>().join(", ")
        ),
    }
}

/// What plays are called: by number, and by game where there are several.
struct PlayNames(HashMap<PlayId, String>);

impl PlayNames {
    async fn of(bench: &Workbench) -> anyhow::Result<Self> {
        let games = bench.study().await?.games;
        let named = |p: &PlaySummary| match games.iter().find(|g| g.id == p.game) {
            Some(g) if games.len() > 1 => format!("play {}, {}", p.number, g.name),
            _ => format!("play {}", p.number),
        };
        Ok(Self(bench.plays().await?.iter().map(|p| (p.id.clone(), named(p))).collect()))
    }
    fn name<'a>(&'a self, id: &'a PlayId) -> &'a str {
        self.0.get(id).map_or_else(|| id.as_str(), String::as_str)
    }
}

/// All of standard input.
fn standard_input() -> anyhow::Result<String> {
    std::io::read_to_string(std::io::stdin()).context("reading standard input")
}
