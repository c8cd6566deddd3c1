//! The command line: parse, dispatch, say what went wrong, choose the exit code.
//!
//! Exit codes are a public contract: 0 done; 1 the answer is a warning or refusal that the caller must see; 2 bad
//! input; 3 our own failure.

pub(crate) mod arguments;
mod ashore;
pub(crate) mod check;
mod demo;
mod explain;
mod nights;
mod calibration;
mod plan;
mod replay;
mod ringing;
mod serve;
pub(crate) mod rode;
mod tell;
mod tide;
mod watch;
pub(crate) mod wind;
mod chart;

use std::io::Write;
use std::process::ExitCode;

use clap::{Parser, Subcommand};

/// Plans a stay at anchor: berth, water, rode, loads, holding, room.
///
/// An aid only. It is no substitute for a proper look-out; local rules and prohibited areas come first.
#[derive(Parser)]
#[command(name = "windrode", version)]
struct CommandLine {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    Plan(plan::Arguments),
    Explain(explain::Arguments),
    Demo(demo::Arguments),
    Check(check::Arguments),
    Tide(tide::Arguments),
    Rode(rode::Arguments),
    Wind(wind::Arguments),
    #[command(subcommand)]
    Chart(chart::Question),
    Replay(replay::Arguments),
    Nights(nights::Arguments),
    Calibration(calibration::Arguments),
    Watch(Box<watch::Arguments>),
    Serve(Box<serve::Arguments>),
    Tell(tell::Arguments),
    Ashore(ashore::Arguments),
}

/// How a command ends when it does its work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Ending {
    /// Exit code 0.
    Done,
    /// The answer is a warning or a refusal: exit code 1.
    Warned,
}

/// How a command ends when it does not.
#[derive(Debug)]
enum Failure {
    /// What the caller gave cannot be used; one line a problem, each naming field, value and mend: exit code 2.
    BadInput(Vec<String>),
    /// Our own failure: exit code 3.
    Ours(anyhow::Error),
}

impl Failure {
    /// One problem with the input.
    fn input(problem: impl Into<String>) -> Self {
        Self::BadInput(vec![problem.into()])
    }
}

/// A closed pipe is no failure of ours worth a backtrace, but it is one all the same.
impl From<std::io::Error> for Failure {
    fn from(error: std::io::Error) -> Self {
        Self::Ours(error.into())
    }
}

impl From<serde_json::Error> for Failure {
    fn from(error: serde_json::Error) -> Self {
        Self::Ours(error.into())
    }
}

/// Runs the command that the process was started with.
pub(crate) fn main() -> ExitCode {
    let line = match CommandLine::try_parse() {
        Ok(line) => line,
        Err(refusal) => {
            let asked_for_help = !refusal.use_stderr();
            // Nothing can be done about a terminal that takes no text.
            let _ = refusal.print();
            return ExitCode::from(if asked_for_help { 0 } else { 2 });
        }
    };
    let mut out = std::io::BufWriter::new(std::io::stdout());
    let ended = dispatch(line.command, &mut out).and_then(|ending| {
        out.flush()?;
        Ok(ending)
    });
    match &ended {
        Ok(_) => {}
        Err(Failure::BadInput(problems)) => problems.iter().for_each(|problem| report(problem)),
        Err(Failure::Ours(error)) => report(&format!("{error:#}")),
    }
    ExitCode::from(exit_code(&ended))
}

/// 0 done; 1 a warning or refusal; 2 bad input; 3 our own failure.
const fn exit_code(ended: &Result<Ending, Failure>) -> u8 {
    match ended {
        Ok(Ending::Done) => 0,
        Ok(Ending::Warned) => 1,
        Err(Failure::BadInput(_)) => 2,
        Err(Failure::Ours(_)) => 3,
    }
}

fn dispatch(command: Command, out: &mut impl Write) -> Result<Ending, Failure> {
    match command {
        Command::Plan(arguments) => plan::run(&arguments, out),
        Command::Explain(arguments) => explain::run(&arguments, out),
        Command::Demo(arguments) => demo::run(&arguments, out),
        Command::Check(arguments) => check::run(&arguments, out),
        Command::Tide(arguments) => tide::run(&arguments, out),
        Command::Rode(arguments) => rode::run(&arguments, out),
        Command::Wind(arguments) => wind::run(&arguments, out),
        Command::Chart(question) => chart::run(&question, out),
        Command::Replay(arguments) => replay::run(&arguments, out),
        Command::Nights(arguments) => nights::run(&arguments, out),
        Command::Calibration(arguments) => calibration::run(&arguments, out),
        Command::Watch(arguments) => watch::run(&arguments, out),
        Command::Serve(arguments) => serve::run(&arguments, out),
        Command::Tell(arguments) => tell::run(&arguments, out),
        Command::Ashore(arguments) => ashore::run(&arguments, out),
    }
}

/// What a command answers, for whoever asks in another way than by the command line.
///
/// # Errors
/// Every problem with what was asked.
pub(crate) fn answered(words: &[String]) -> Result<Vec<u8>, Vec<String>> {
    let all = std::iter::once("windrode".to_owned()).chain(words.iter().cloned());
    let line = CommandLine::try_parse_from(all).map_err(|refusal| {
        let text = refusal.to_string();
        vec![text.lines().next().unwrap_or_default().trim_start_matches("error: ").to_owned()]
    })?;
    let mut out = Vec::new();
    match dispatch(line.command, &mut out) {
        Ok(_) => Ok(out),
        Err(Failure::BadInput(problems)) => Err(problems),
        Err(Failure::Ours(error)) => Err(vec![format!("{error:#}")]),
    }
}

fn report(problem: &str) {
    // Nothing can be done about a terminal that takes no text.
    let _ = writeln!(std::io::stderr(), "windrode: {problem}");
}
