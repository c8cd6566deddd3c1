//! `windrode tide`.

use std::io::Write;

use super::{Ending, Failure};

/// Placeholder until the command is written.
#[derive(clap::Args)]
pub(super) struct Arguments {}

/// Runs the command.
pub(super) fn run(_arguments: &Arguments, _out: &mut impl Write) -> Result<Ending, Failure> {
    Ok(Ending::Done)
}
