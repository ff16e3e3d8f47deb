//! The tapemeasure command.
#![allow(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "the command line speaks to people and scripts"
)]

mod arguments;
mod commands;
mod say;

use arguments::Cli;
use clap::Parser;
use film::VideoTool;
use std::process::ExitCode;
use std::sync::Arc;
use std::time::{SystemTime, UNIX_EPOCH};
use workbench::Outside;

#[tokio::main]
async fn main() -> ExitCode {
    let cli = Cli::parse();
    let tool = cli.video_tool.as_deref().map_or_else(VideoTool::on_path, VideoTool::in_folder);
    let outside = Outside { tool, now: Arc::new(now_ms) };
    match commands::run(cli.command, outside).await.and_then(|answer| answer.say(cli.json)) {
        Ok(()) => ExitCode::SUCCESS,
        // One line with its causes; a backtrace would bury what the user has to do.
        Err(e) => {
            eprintln!("{e:#}");
            ExitCode::FAILURE
        }
    }
}

#[allow(
    clippy::disallowed_methods,
    reason = "the one place that reads the clock; everything below is told the time"
)]
fn now_ms() -> i64 {
    SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |d| d.as_millis() as i64)
}
