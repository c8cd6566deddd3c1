//! `windrode calibration`: is the sheet honest?

use std::io::Write;

use super::{Ending, Failure};
use crate::calibration::table::Calibration;
use crate::calibration::{Run, text, tried};

/// Plans simulated stays, lives them, and sets what the sheets said against what befell
///
/// The truth of a stay is drawn by other laws than the planner's. The same number and seed give the same answer, on any
/// number of threads.
#[derive(clap::Args)]
pub(super) struct Arguments {
    /// Stays.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=10_000_000))]
    stays: u32,
    /// The first one's number, to go on where another run ended.
    #[arg(long, value_name = "K", default_value_t = 0, value_parser = clap::value_parser!(u32).range(..=10_000_000))]
    from: u32,
    /// What chance begins with.
    #[arg(long, value_name = "S")]
    seed: u64,
    /// Threads; by default as many as the machine has.
    #[arg(long, value_name = "T", value_parser = clap::value_parser!(u32).range(1..=1024))]
    threads: Option<u32>,
    /// Writes JSON.
    #[arg(long)]
    json: bool,
}

/// Runs the command.
pub(super) fn run(arguments: &Arguments, out: &mut impl Write) -> Result<Ending, Failure> {
    let machine = || std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let threads = arguments.threads.unwrap_or_else(|| u32::try_from(machine()).unwrap_or(1));
    let run = Run { stays: arguments.stays, from: arguments.from, seed: arguments.seed, threads };
    let stays = tried(run).map_err(|error| Failure::Ours(anyhow::anyhow!(error)))?;
    let told = Calibration::of(run, &stays);
    if arguments.json {
        serde_json::to_writer(&mut *out, &told)?;
        writeln!(out)?;
    } else {
        text::write(&told, out)?;
    }
    Ok(Ending::Done)
}
