//! How long a table of 500 plays at ten samples a second takes from file to full windows and judgements, as JSON lines.
#![allow(clippy::print_stdout)]

#[allow(dead_code, reason = "shared with the accuracy figures")]
#[path = "support/tabled.rs"]
mod tabled;

use scrimmage::tables::Style;
use std::time::Instant;
use tabled::tabled;

const PLAYS: usize = 500;
const SEED: u64 = 53_000_000;

fn say(name: &str, value: f64, goal: f64, note: &str) {
    println!(
        "{{\"name\": \"{name}\", \"value\": {value:.1}, \"unit\": \"s\", \"goal\": {goal}, \"better\": \"lower\", \"holds\": {}, \"note\": \"{note}\"}}",
        value < goal
    );
}

#[tokio::main]
async fn main() {
    let folder = tempfile::tempdir().expect("a folder");
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    // Writing the tables is not the program's work; reading them again for their keys is left in.
    let began = Instant::now();
    let t = tabled(folder.path(), SEED, PLAYS, Style::plain(true)).await;
    let read = began.elapsed().as_secs_f64();
    let began = Instant::now();
    let mut windows = 0;
    for (id, _) in &t.plays {
        windows += t
            .bench
            .measurement(id)
            .await
            .expect("a play")
            .windows
            .iter()
            .map(|w| w.cells.len())
            .sum::<usize>();
        t.bench.judged(id).await.expect("a play");
    }
    let took = began.elapsed().as_secs_f64();
    let note = format!(
        "{} plays imported, {windows} windows with 200 repeats each, judged, on {cores} cores; writing and reading the tables took {read:.0} s more",
        t.plays.len()
    );
    say("reads.table_500_plays", took, 120.0, &note);
    t.bench.close().await;
}
