//! `windrode tell`: the crew speak to a watch that runs.

use std::io::Write;
use std::path::PathBuf;

use super::{Ending, Failure};
use crate::{crew_words, telling};

/// Says something to the watch that is kept on a data directory, and prints its answer
///
/// acknowledge · acknowledge ALARM · silence ALARM 10min · clear ALARM · veered 35 m · dropped LAT,LON (or here) ·
/// engine on|off · aweigh · end · status · feeds. The answer comes when what was said is on disk.
#[derive(clap::Args)]
pub(super) struct Arguments {
    /// The watch's data directory.
    #[arg(long, value_name = "DIR")]
    data: PathBuf,
    /// What is said.
    #[arg(required = true, trailing_var_arg = true, allow_hyphen_values = true)]
    words: Vec<String>,
}

/// Runs the command.
pub(super) fn run(arguments: &Arguments, out: &mut impl Write) -> Result<Ending, Failure> {
    let line = arguments.words.join(" ");
    crew_words::read(&line).map_err(Failure::input)?;
    let answer = telling::tell(&arguments.data, &line).map_err(|error| {
        Failure::input(format!("--data: no watch answers on {} ({error})", arguments.data.display()))
    })?;
    writeln!(out, "{answer}")?;
    Ok(if answer.starts_with("not heard") { Ending::Warned } else { Ending::Done })
}
