//! Windrode: the whole job of lying at anchor, in one on-board program.

mod cli;
mod stations;
mod quantity;
mod crew_units;
mod mark_words;
mod files;
mod sheet_json;

use std::process::ExitCode;

fn main() -> ExitCode {
    cli::main()
}
