//! Windrode: the whole job of lying at anchor, in one on-board program.

mod cli;
<<<<<<< HEAD
mod stations;
mod quantity;
mod crew_units;
mod mark_words;
mod files;
mod sheet_json;
=======
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
>>>>>>> drawing

use std::process::ExitCode;

fn main() -> ExitCode {
    cli::main()
}
