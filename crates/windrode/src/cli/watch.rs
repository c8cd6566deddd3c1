//! `windrode watch`: keeps watch until the crew end it.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::Duration;

use windrode_domain::position::Position;
use windrode_domain::units::Length;

use super::arguments::position;
use super::ringing::Ringing;
use super::{Ending, Failure, report};
use crate::arming::Arming;
use crate::assemble::watch::ToldBeside;
use crate::clock::{self, Clock};
use crate::feed::{self, Outlet, Spec};
use crate::ring::command::Commands;
use crate::ring::{Change, Told, sound};
use crate::store::{self, HeldBy, Store};
use crate::supervisor::{self, Runs};
use crate::watchkeeper::hearing::Hearing;
use crate::watchkeeper::inbox::Inbox;
use crate::watchkeeper::keep::Keep;
use crate::watchkeeper::{Begun, RingBy, Stopped, Watchkeeper, rehearsal};
use crate::{quantity, telling};

/// Keeps watch on a stay: hears the instruments, knows where the anchor lies, and rings when it moves
///
/// Takes the stay's watch, or takes it up again where it broke off. Once taken it needs its files no more: without
/// --stay the watch that is not over is taken up again. Speak to it on standard input or by windrode tell.
#[derive(clap::Args)]
#[expect(clippy::struct_excessive_bools, reason = "each is a flag of the command line")]
pub(super) struct Arguments {
    /// The stay file, or the ID of a stay that is in the database.
    #[arg(long, value_name = "ID|FILE")]
    stay: Option<String>,
    /// Another vessel than the stay names.
    #[arg(long, value_name = "FILE")]
    vessel: Option<PathBuf>,
    /// The data directory: the database, the lock, the socket.
    #[arg(long, value_name = "DIR", required_unless_present_any = ["test_sound", "rehearse"])]
    data: Option<PathBuf>,
    /// Where the anchor was let go, if not where the stay says.
    #[arg(long, value_name = "LAT,LON", value_parser = position, allow_hyphen_values = true)]
    drop: Option<Position>,
    /// The rode that is out, if not what the stay or its sheet says.
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    rode: Option<Length>,
    #[command(flatten)]
    ringing: Ringing,
    /// One JSON object an event, in place of text.
    #[arg(long)]
    json: bool,
    /// Takes the stay's watch and ends, so that a supervisor's program keeps it.
    #[arg(long)]
    arm_only: bool,
    /// Rings once, says by what, and ends.
    #[arg(long)]
    test_sound: bool,
    /// Prints the unit by which a supervisor runs this watch, and ends.
    #[arg(long)]
    print_unit: bool,
    /// Keeps watch over so many days of invented readings at full speed, in a directory of its own, and says what it
    /// cost.
    #[arg(long, value_name = "DAYS")]
    rehearse: Option<u32>,
}

fn length(text: &str) -> Result<Length, String> {
    let length = quantity::LENGTH.read(text).map(Length::metres).map_err(|error| error.to_string())?;
    if Length::ZERO < length { Ok(length) } else { Err("wanted a length, more than nothing".to_owned()) }
}

/// How often the signals are looked at.
const LOOK: Duration = Duration::from_millis(100);
/// How long a watch that failed rings by itself before the program ends, and a supervisor starts it again.
const FAILURE_RINGS: Duration = Duration::from_secs(20);
/// A command of the crew's is started within this.
const COMMAND_STARTS: Duration = Duration::from_secs(1);

/// Runs the command.
pub(super) fn run(arguments: &Arguments, out: &mut impl Write) -> Result<Ending, Failure> {
    if arguments.print_unit {
        return print_unit(out);
    }
    if arguments.test_sound {
        return test_sound(out);
    }
    if let Some(days) = arguments.rehearse {
        return rehearse(days, arguments.json, out);
    }
    check(arguments)?;
    let directory = arguments.data.clone().ok_or_else(|| Failure::input("--data: wanted a directory"))?;
    let began = clock::system_time();
    let who = format!("process {} since {began:.0}", std::process::id());
    let _lease = match store::lease(&directory, &who) {
        Ok(lease) => lease,
        Err(HeldBy(holder)) => {
            report(&format!("a watch is kept on {} already, by {holder}", directory.display()));
            return Ok(Ending::Warned);
        }
    };
    let (mut store, troubles) = Store::open(&directory, began);
    let beside =
        ToldBeside { drop: arguments.drop, rode: arguments.rode, battery_v: arguments.ringing.battery };
    let arming = Arming { stay: arguments.stay.as_deref(), vessel: arguments.vessel.as_deref(), beside };
    let armed = arming.arm(&mut store, began).map_err(Failure::BadInput)?;
    let clock = Arc::new(Clock::start_not_before(armed.not_before));
    let now = clock.now();
    let hearing = Hearing::new(&arguments.ringing.feed, armed.fitted_out, store.sources());
    let far_ends = arguments.ringing.far_ends();
    let mut keep = Keep::new(armed.row, armed.remembered, store, hearing, armed.voice, far_ends, now);
    for trouble in troubles.into_iter().chain(armed.troubles) {
        keep.trouble(trouble.code, trouble.text, now);
    }
    if let Some(expected) = armed.expected {
        keep.expect(expected, now);
    }
    if arguments.arm_only {
        keep.begin(now);
        writeln!(out, "{}", keep.armed_line())?;
        return Ok(if keep.is_recorded() { Ending::Done } else { Ending::Warned });
    }
    out.flush()?;
    keep_watch(arguments, &directory, keep, clock)
}

fn check(arguments: &Arguments) -> Result<(), Failure> {
    let mut problems = arguments.ringing.problems();
    if arguments.ringing.feed.is_empty() && !arguments.arm_only {
        problems.push("--feed: wanted at least one, or nothing can be heard".to_owned());
    }
    if problems.is_empty() { Ok(()) } else { Err(Failure::BadInput(problems)) }
}

/// Starts everything round a keeper and waits for its end.
fn keep_watch(
    arguments: &Arguments,
    directory: &Path,
    mut keep: Keep,
    clock: Arc<Clock>,
) -> Result<Ending, Failure> {
    let inbox = Arc::new(Inbox::default());
    if let Err(error) = telling::listen(directory, Arc::clone(&inbox)) {
        let text = format!("windrode tell cannot reach this watch ({error}): speak to it on standard input");
        keep.trouble("no_telling", text, clock.now());
    }
    stop_on_signals(&inbox)?;
    for (index, spec) in arguments.ringing.feed.iter().enumerate() {
        let outlet = Outlet { feed: index, inbox: Arc::clone(&inbox), clock: Arc::clone(&clock) };
        feed::start(spec.clone(), outlet)?;
    }
    if !arguments.ringing.feed.contains(&Spec::StandardInput) {
        telling::hear_standard_input(Arc::clone(&inbox))?;
    }
    let ring_by = arguments.ringing.ring_by();
    let keeper = Watchkeeper {
        keep,
        inbox,
        clock,
        ring_by,
        directory: directory.to_owned(),
        json: arguments.json,
        hub: None,
        begun: Begun::Nobody,
    };
    let kept = thread::Builder::new().name("keeper".to_owned()).spawn(move || keeper.run())?.join();
    let ring = || ring_failure(&arguments.ringing.ring_by(), directory);
    // However it was stopped.
    after_the_keeper(kept.map(|kept| kept.map(|_: Stopped| ())), ring)
}

/// What follows when the keeper's thread has come to its end: done, or a failure of the system, or the crew hear that
/// the watch has died. Both failures make the exit code by which a supervisor starts the program again.
pub(super) fn after_the_keeper<E: Into<Failure>>(
    joined: thread::Result<Result<(), E>>,
    ring: impl FnOnce(),
) -> Result<Ending, Failure> {
    match joined {
        Ok(Ok(())) => Ok(Ending::Done),
        Ok(Err(error)) => Err(error.into()),
        Err(_) => {
            report("THE WATCH HAS FAILED: nobody keeps it until the program is started again");
            ring();
            Err(Failure::Ours(anyhow::anyhow!("the keeper failed")))
        }
    }
}

/// A watch that failed is an alarm by itself.
pub(super) fn ring_failure(by: &RingBy, directory: &Path) {
    let begun = clock::stopwatch();
    let commands = Commands::start(Arc::default());
    if let (Some(command), Ok(commands)) = (&by.command, commands) {
        let told = Told {
            change: Change::Ring,
            at: clock::system_time(),
            alarm: "watch_failed".to_owned(),
            text: "The watch has failed: nobody keeps it until the program is started again.".to_owned(),
            stay: String::new(),
            boat: String::new(),
        };
        // It is the first command of its thread, so that there is room.
        let _ = commands.run(command.clone(), told);
    }
    if by.command.is_some() && by.no_sound {
        // The program ends next, and its threads with it: the command must have been started by then.
        thread::sleep(COMMAND_STARTS);
    }
    while !by.no_sound && begun.elapsed() < FAILURE_RINGS {
        // Where there is no sound the bell has rung.
        let _ = sound::test(directory);
    }
}

pub(super) fn stop_on_signals(inbox: &Arc<Inbox>) -> std::io::Result<()> {
    let stop = Arc::new(AtomicBool::new(false));
    for signal in [signal_hook::consts::SIGTERM, signal_hook::consts::SIGINT] {
        signal_hook::flag::register(signal, Arc::clone(&stop))?;
    }
    let inbox = Arc::clone(inbox);
    thread::Builder::new().name("signals".to_owned()).spawn(move || {
        while !stop.load(Ordering::Acquire) {
            thread::sleep(LOOK);
        }
        inbox.stop();
    })?;
    Ok(())
}

fn print_unit(out: &mut impl Write) -> Result<Ending, Failure> {
    let program = std::env::current_exe()?;
    let kept = without_the_stay(std::env::args().skip(1));
    write!(out, "{}", supervisor::unit(Runs::Watch, &program, &kept))?;
    Ok(Ending::Done)
}

/// The arguments by which a watch that was taken is kept: a supervisor takes up, and never takes anew what was ended.
fn without_the_stay(all: impl Iterator<Item = String>) -> Vec<String> {
    let of_the_stay = ["--stay", "--vessel", "--drop", "--rode"];
    let mut kept = Vec::new();
    let mut passed_over = false;
    for word in all {
        let flag = word.split_once('=').map_or(word.as_str(), |(flag, _)| flag);
        if std::mem::take(&mut passed_over) || ["--print-unit", "--arm-only"].contains(&flag) {
            continue;
        }
        if of_the_stay.contains(&flag) {
            passed_over = !word.contains('=');
        } else {
            kept.push(word);
        }
    }
    kept
}

fn rehearse(days: u32, json: bool, out: &mut impl Write) -> Result<Ending, Failure> {
    let directory = std::env::temp_dir().join(format!("windrode-rehearsal-{}", std::process::id()));
    std::fs::create_dir_all(&directory)?;
    let cost = rehearsal::rehearse(&directory, days).map_err(|error| Failure::Ours(error.into()));
    std::fs::remove_dir_all(&directory)?;
    let cost = cost?;
    let each_us = cost.took.as_secs_f64() * 1e6 / f64::from(cost.fixes.max(1));
    if json {
        let told = serde_json::json!({
            "version": 1,
            "days": days,
            "fixes": cost.fixes,
            "took_s": cost.took.as_secs_f64(),
            "each_s": each_us * 1e-6,
            "memory_kb": cost.memory_kb,
            "peak_kb": cost.peak_kb,
            "database_bytes": cost.database_bytes,
        });
        writeln!(out, "{told}")?;
    } else {
        let memory = |kb: Option<u64>| {
            kb.map_or_else(|| "unknown".to_owned(), |kb| format!("{:.1} MB", kb as f64 / 1000.0))
        };
        writeln!(
            out,
            "{days} days, {} fixes: {:.1} s, {each_us:.1} µs a fix with its record on disk; memory {} at the end, {} at \
             the most; database {:.1} MB",
            cost.fixes,
            cost.took.as_secs_f64(),
            memory(cost.memory_kb),
            memory(cost.peak_kb),
            cost.database_bytes as f64 / 1e6
        )?;
    }
    Ok(Ending::Done)
}

fn test_sound(out: &mut impl Write) -> Result<Ending, Failure> {
    match sound::test(&std::env::temp_dir()) {
        Ok(player) => {
            writeln!(out, "that was the alarm, by {player}; if you heard nothing, there is no sound")?;
            Ok(Ending::Done)
        }
        Err(why) => {
            writeln!(out, "{why}")?;
            Ok(Ending::Warned)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The end of a keeper's thread.
    fn joined(keeper: fn() -> std::io::Result<()>) -> thread::Result<std::io::Result<()>> {
        thread::Builder::new().name("keeper".to_owned()).spawn(keeper).expect("a thread").join()
    }

    #[test]
    fn when_the_keeper_dies_the_crew_hear_it_and_the_program_fails() {
        let mut rang = 0;
        let ended = after_the_keeper(joined(|| panic!("the keeper's thread dies")), || rang += 1);
        assert_eq!(rang, 1);
        assert!(matches!(ended, Err(Failure::Ours(_))));
        assert_eq!(crate::cli::exit_code(&ended), 3);
    }

    #[test]
    fn a_keeper_that_ends_rings_nothing_and_one_that_the_system_fails_is_started_again() {
        let mut rang = 0;
        let done = after_the_keeper(joined(|| Ok(())), || rang += 1);
        assert_eq!(crate::cli::exit_code(&done), 0);
        let failed = after_the_keeper(joined(|| Err(std::io::ErrorKind::OutOfMemory.into())), || rang += 1);
        assert_eq!((crate::cli::exit_code(&failed), rang), (3, 0));
        // What a supervisor takes for the end of it: all but the codes that it is told not to start again after.
        let unit = supervisor::unit(supervisor::Runs::Watch, Path::new("windrode"), &[]);
        assert!(
            unit.contains("Restart=on-failure") && unit.contains("RestartPreventExitStatus=2\n"),
            "{unit}"
        );
    }

    #[test]
    fn a_watch_that_failed_runs_the_crew_s_command_before_the_program_is_gone() {
        let heard = std::env::temp_dir().join(format!("windrode-failed-{}", std::process::id()));
        let by = RingBy {
            no_sound: true,
            command: Some(format!("echo rang > {}", heard.display())),
            escalate_command: None,
            heartbeat: None,
        };
        ring_failure(&by, &std::env::temp_dir());
        assert!(heard.exists());
        std::fs::remove_file(heard).expect("it was written");
    }
}
