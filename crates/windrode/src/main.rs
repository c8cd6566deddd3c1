//! Windrode: the whole job of lying at anchor, in one on-board program.

mod cli;
mod stations;
mod own_constants;
mod forecast_file;
mod charts;
mod quantity;
mod crew_units;
mod mark_words;
mod files;
mod assemble;
mod changes;
mod two_threads;
mod recording;
mod alarm_score;
mod replay;
mod nights;
mod calibration;
mod words;
mod sheet_text;
mod sheet_json;
mod explain_json;
mod append;
mod helvetica;
mod drawing;
mod print_html;
mod print_pdf;
mod clock;
mod feed;
mod arming;
mod hub;
mod watchkeeper;
mod crew_words;
mod telling;
mod store;
mod ring;
mod watch_json;
mod supervisor;
mod ashore;
mod afloat;
mod serve;
#[cfg(test)]
mod sample;

use std::process::ExitCode;

fn main() -> ExitCode {
    cli::main()
}
