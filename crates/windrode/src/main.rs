//! Windrode: the whole job of lying at anchor, in one on-board program.

mod cli;
#[cfg_attr(not(test), expect(dead_code, reason = "the plan reads what `check` does not print"))]
mod files;
mod quantity;
#[cfg_attr(not(test), expect(dead_code, reason = "the sheet rounds in ways that `check` does not need"))]
mod crew_units;
mod mark_words;

use std::process::ExitCode;

fn main() -> ExitCode {
    cli::main()
}
