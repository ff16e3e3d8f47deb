//! The tapemeasure command.
#![allow(clippy::print_stdout, reason = "the command line speaks to stdout")]
#![allow(clippy::disallowed_methods, reason = "the one place that reads the clock")]

use anyhow::Context;
use clap::{Parser, Subcommand};
use film::VideoTool;
use std::net::{IpAddr, Ipv4Addr};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{SystemTime, UNIX_EPOCH};
use workbench::{Outside, Workbench};

/// Ties football film to the field and judges throws under stated reading rules.
#[derive(Parser)]
#[command(version)]
struct Cli {
    /// Folder that holds ffmpeg and ffprobe; the search path when left out.
    #[arg(long, global = true, value_name = "FOLDER")]
    video_tool: Option<PathBuf>,
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Make a study.
    New {
        /// Title.
        name: String,
        /// Folder to make; its name ends in .tape.
        study: PathBuf,
        /// The passer as you call him.
        #[arg(long, default_value = "")]
        passer: String,
        /// He throws with the left hand.
        #[arg(long)]
        left_handed: bool,
        /// Who judges.
        #[arg(long, default_value = "")]
        evaluator: String,
    },
    /// Serve a study to a browser on this machine.
    Serve {
        /// The study's folder.
        study: PathBuf,
        /// Port; one that is free when left out.
        #[arg(long, default_value_t = 0)]
        port: u16,
        /// Address to listen at; loopback only.
        #[arg(long, default_value_t = IpAddr::V4(Ipv4Addr::LOCALHOST))]
        address: IpAddr,
        /// Do not open the browser.
        #[arg(long)]
        no_open: bool,
    },
    /// Print the description of the HTTP API.
    Openapi,
}

#[tokio::main]
async fn main() -> anyhow::Result<()> {
    let cli = Cli::parse();
    let tool = cli.video_tool.as_deref().map_or_else(VideoTool::on_path, VideoTool::in_folder);
    let outside = Outside { tool, now: Arc::new(now_ms) };
    match cli.command {
        Command::New { name, study, passer, left_handed, evaluator } => {
            let facts = play::Study { name, passer, right_handed: !left_handed, evaluator };
            Workbench::create(&study, &facts, outside).await?.close().await;
        }
        Command::Serve { study, port, address, no_open } => {
            serve(&study, server::Options { address, port }, !no_open, outside).await?;
        }
        Command::Openapi => print!("{}", server::openapi_json()),
    }
    Ok(())
}

fn now_ms() -> i64 {
    SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |d| d.as_millis() as i64)
}

async fn serve(study: &Path, options: server::Options, browser: bool, outside: Outside) -> anyhow::Result<()> {
    let bench = Workbench::open(study, outside).await?;
    bench.resume().await?;
    let serving = server::serve(bench.clone(), options).await?;
    let url = serving.url();
    println!("{url}");
    if browser && let Err(e) = open::that(&url) {
        eprintln!("The browser could not be opened ({e}); open the address above yourself.");
    }
    tokio::signal::ctrl_c().await.context("waiting for Ctrl-C")?;
    serving.stop().await?;
    bench.close().await;
    Ok(())
}
