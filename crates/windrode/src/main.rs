//! Windrode: the whole job of lying at anchor, in one on-board program.

mod cli;
mod append;
mod crew_units;
mod words;
mod helvetica;
mod drawing;
mod sheet_text;
mod print_html;
mod print_pdf;
#[cfg(test)]
mod sample;

use std::process::ExitCode;

fn main() -> ExitCode {
    cli::main()
}
