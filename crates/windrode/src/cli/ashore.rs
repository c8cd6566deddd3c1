//! `windrode ashore`: the far end that rings when a boat falls silent.

use std::io::Write;
use std::net::TcpListener;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::time::Duration;

use jiff::SignedDuration;

use super::arguments::duration;
use super::{Ending, Failure};
use crate::ashore::{self, Ashore};

/// Listens for the heartbeats of boats, and rings when one is missing or tells of an alarm
///
/// The boat's watch is started with --heartbeat http://THIS-ADDRESS/PATH. A beat says until when it is to be believed;
/// this end rings when that time passes, whatever died aboard. Type acknowledge to still it.
#[derive(clap::Args)]
pub(super) struct Arguments {
    /// Address and port to listen on, such as 0.0.0.0:8765.
    #[arg(long, value_name = "ADDRESS:PORT")]
    listen: String,
    /// The path that beats come to; make it long, and keep it to yourself.
    #[arg(long, default_value = "/beat")]
    path: String,
    /// Rings if no boat is heard within this time from the start.
    #[arg(long, value_name = "TIME", value_parser = duration)]
    first_within: Option<SignedDuration>,
    /// A command that is run at each change, with it in its environment (WINDRODE_CHANGE, _ALARM, _TEXT, _BOAT…).
    #[arg(long, value_name = "COMMAND")]
    command: Option<String>,
    /// No sound from this computer.
    #[arg(long)]
    no_sound: bool,
    /// One JSON object an event, in place of text.
    #[arg(long)]
    json: bool,
}

/// Runs the command.
pub(super) fn run(arguments: &Arguments, out: &mut impl Write) -> Result<Ending, Failure> {
    if !arguments.path.starts_with('/') {
        return Err(Failure::input("--path: wanted a path that begins with /"));
    }
    let listener = TcpListener::bind(&arguments.listen)
        .map_err(|error| Failure::input(format!("--listen {}: {error}", arguments.listen)))?;
    out.flush()?;
    let stop = Arc::new(AtomicBool::new(false));
    for signal in [signal_hook::consts::SIGTERM, signal_hook::consts::SIGINT] {
        signal_hook::flag::register(signal, Arc::clone(&stop))?;
    }
    let it = Ashore {
        path: arguments.path.clone(),
        first_within: arguments.first_within.and_then(|within| Duration::try_from(within).ok()),
        command: arguments.command.clone(),
        no_sound: arguments.no_sound,
        json: arguments.json,
    };
    ashore::run(listener, &it, &std::env::temp_dir(), &stop)?;
    Ok(Ending::Done)
}
