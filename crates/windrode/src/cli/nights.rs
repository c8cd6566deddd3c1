//! `windrode nights`: simulated nights by the thousand, and what the watch made of them.

use std::io::Write;
use std::path::PathBuf;

use super::{Ending, Failure};
use crate::nights::{self, Run, json, scenario_file, table, text};

/// Lives simulated nights and scores the watch and the plain circle in them
///
/// The scenario file names the kinds of night and what is on board (see docs/files.md). The same file, number and
/// seed give the same answer, on any number of threads.
#[derive(clap::Args)]
pub(super) struct Arguments {
    /// The scenario file.
    #[arg(long, value_name = "FILE")]
    scenario: PathBuf,
    /// Nights of each case, spread evenly over its kinds.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=10_000_000))]
    nights: u32,
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
    let file = scenario_file::load(&arguments.scenario)
        .map_err(|problems| Failure::BadInput(problems.iter().map(ToString::to_string).collect()))?;
    let machine = || std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let threads = arguments.threads.unwrap_or_else(|| u32::try_from(machine()).unwrap_or(1));
    let run = Run { nights: arguments.nights, seed: arguments.seed, threads };
    let mut rows = Vec::new();
    for case in &file.cases {
        let lived = nights::lived(case, run).map_err(|error| Failure::Ours(anyhow::anyhow!(error)))?;
        rows.extend(table::rows(&case.name, &lived));
    }
    if arguments.json {
        serde_json::to_writer(&mut *out, &json::NightsView::of(&file, run, &rows))?;
        writeln!(out)?;
    } else {
        text::write(run, &rows, out)?;
    }
    Ok(Ending::Done)
}
