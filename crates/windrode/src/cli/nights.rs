//! `windrode nights`: simulated nights by the thousand, and what the watch made of them.

use std::io::Write;
use std::path::{Path, PathBuf};

use super::{Ending, Failure};
use crate::nights::scenario_file::Case;
use crate::nights::{self, Run, json, scenario_file, table, text, written};

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
    /// Writes down one night of the first case in place of scoring: the log of her instruments to this file, and where
    /// the anchor truly lay beside it, to the same name with `.truth.csv`.
    #[arg(long, value_name = "FILE", requires = "night")]
    write: Option<PathBuf>,
    /// The number of that night, from 0.
    #[arg(long, value_name = "K", requires = "write")]
    night: Option<u32>,
}

/// Runs the command.
pub(super) fn run(arguments: &Arguments, out: &mut impl Write) -> Result<Ending, Failure> {
    let file = scenario_file::load(&arguments.scenario)
        .map_err(|problems| Failure::BadInput(problems.iter().map(ToString::to_string).collect()))?;
    if let (Some(path), Some(night), Some(case)) = (&arguments.write, arguments.night, file.cases.first()) {
        return write_down(path, case, arguments.seed, night, out);
    }
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

fn write_down(
    path: &Path,
    case: &Case,
    seed: u64,
    night: u32,
    out: &mut impl Write,
) -> Result<Ending, Failure> {
    let ours = |error: String| Failure::Ours(anyhow::anyhow!(error));
    if case.neighbour.is_some() {
        return Err(Failure::input(
            "--write: the first case is of a vessel near by, which leaves no log aboard",
        ));
    }
    let written = written::written(case, seed, night).map_err(ours)?;
    let truth_path = path.with_added_extension("truth.csv");
    for (path, text) in [(path, &written.log), (&truth_path, &written.truth)] {
        std::fs::write(path, text).map_err(|error| {
            Failure::input(format!("--write: {} cannot be written: {error}", path.display()))
        })?;
    }
    writeln!(out, "{} and {}", path.display(), truth_path.display())?;
    Ok(Ending::Done)
}
