//! The project's own errands: `cargo xtask test`, `cargo xtask bench`, `cargo xtask vectors [--check]`.
//!
//! Each errand is a file; each runs from the root of the workspace, says what it runs, and fails at the first thing
//! that fails.

mod bench;
mod divan_report;
mod long_runs;
mod packages;
mod page;
mod process_cost;
mod shell;
mod test;
mod vectors;
mod venv;

use std::process::ExitCode;

/// What there is to ask for.
const ERRANDS: &str = "\
usage: cargo xtask ERRAND

  test               install what the tests need, then run every test
  bench              measure the program beside its references; prints a table for docs/measured.md
  vectors            run the programs in builders/ again
  vectors --check    the same, and fail if a file came out otherwise than it stands; changes nothing
";

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let done = match words.as_slice() {
        ["test"] => test::run(),
        ["bench"] => bench::run(),
        ["vectors"] => vectors::rebuild(),
        ["vectors", "--check"] => vectors::check(),
        _ => {
            eprint!("{ERRANDS}");
            return ExitCode::from(2);
        }
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("xtask: {error:#}");
            ExitCode::FAILURE
        }
    }
}
