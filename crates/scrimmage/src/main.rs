//! Makes film with known truth.

use anyhow::Result;
use clap::Parser;
use scrimmage::command::{Command, run};

/// Invented plays on film, with their truth apart.
#[derive(Parser)]
#[command(name = "scrimmage")]
struct Args {
    #[command(subcommand)]
    command: Command,
}

fn main() -> Result<()> {
    run(Args::parse().command)
}
