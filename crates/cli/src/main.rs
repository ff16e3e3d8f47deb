//! The tapemeasure command.
#![allow(clippy::print_stdout, clippy::print_stderr, reason = "the command line speaks to people and scripts")]

mod arguments;
mod commands;
mod say;

use arguments::Cli;
use clap::Parser;
use film::VideoTool;
use std::sync::Arc;
use std::time::{SystemTime, UNIX_EPOCH};
use workbench::Outside;

#[tokio::main]
async fn main() -> anyhow::Result<()> {
    let cli = Cli::parse();
    let tool = cli.video_tool.as_deref().map_or_else(VideoTool::on_path, VideoTool::in_folder);
    let outside = Outside { tool, now: Arc::new(now_ms) };
    commands::run(cli.command, outside).await?.say(cli.json)
}

#[allow(clippy::disallowed_methods, reason = "the one place that reads the clock; everything below is told the time")]
fn now_ms() -> i64 {
    SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |d| d.as_millis() as i64)
}
