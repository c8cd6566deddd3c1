//! `windrode serve`: one page for every device on board, and the watch beside it.

use std::io::Write;
use std::net::{SocketAddr, TcpListener};
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::mpsc::{SyncSender, sync_channel};
use std::thread;
use std::time::Duration;

use serde_json::{Value, json};
use windrode_wire::observe::FittedOut;

use super::ringing::Ringing;
use super::watch::{after_the_keeper, ring_failure, stop_on_signals};
use super::{Ending, Failure, report};
use crate::arming::{self, Ready};
use crate::clock::{self, Clock};
use crate::feed::{self, Outlet, Spec};
use crate::hub::Hub;
use crate::serve::{self, CODE_VALID, Listen, Server, Serving, Setup, Shared};
use crate::store::{self, HeldBy, Store, Trouble};
use crate::supervisor::{self, Runs, Supervisor};
use crate::telling;
use crate::watchkeeper::hearing::Hearing;
use crate::watchkeeper::inbox::{Inbox, Letter, Taking};
use crate::watchkeeper::keep::Keep;
use crate::watchkeeper::lookout::{Lookout, Relieved};
use crate::watchkeeper::{Begun, Stopped, Watchkeeper};

/// Serves the page to every device on board: stays planned, seen and watched from any of them
///
/// Without --listen only this computer reaches it. On the boat's network a device is paired by a code that is printed
/// here. A watch that was not ended is taken up again before anything is answered.
#[derive(clap::Args)]
pub(super) struct Arguments {
    /// The data directory: the databases, the lock, the socket.
    #[arg(long, value_name = "DIR", default_value = "windrode-data")]
    data: PathBuf,
    /// An address to listen on, such as 0.0.0.0:8470 for the boat's network; several may be given.
    #[arg(long, value_name = "ADDR", default_value = "127.0.0.1:8470")]
    listen: Vec<SocketAddr>,
    /// Also listens with TLS, by the boat's own authority; at the first address with the next port, where none is told.
    #[arg(long, value_name = "ADDR", num_args = 0..=1)]
    #[expect(clippy::option_option, reason = "not asked for; asked for; asked for there")]
    tls: Option<Option<SocketAddr>>,
    /// A name by which the boat may be called on her network, such as tern.local; several may be given.
    #[arg(long, value_name = "NAME")]
    name: Vec<String>,
    #[command(flatten)]
    ringing: Ringing,
    /// One JSON object an event, in place of text.
    #[arg(long)]
    json: bool,
    /// Prints the unit by which a supervisor runs this server, and ends.
    #[arg(long)]
    print_unit: bool,
}

/// How long a watch that is taken up may take until it rings: a database that is looked over, on a slow card.
const BEGUN_WITHIN: Duration = Duration::from_mins(1);

impl Arguments {
    /// For an invented boat, whose instruments speak on this feed.
    pub(super) fn of_invented(data: PathBuf, listen: SocketAddr, ringing: Ringing) -> Self {
        Self {
            data,
            listen: vec![listen],
            tls: None,
            name: Vec::new(),
            ringing,
            json: false,
            print_unit: false,
        }
    }

    fn listens(&self) -> Vec<Listen> {
        let plain = self.listen.iter().map(|&at| Listen { at, tls: false });
        let first = self.listen.first().copied();
        let beside = |first: SocketAddr| SocketAddr::new(first.ip(), first.port().wrapping_add(1));
        let secret = self.tls.and_then(|told| told.or(first.map(beside)));
        plain.chain(secret.map(|at| Listen { at, tls: true })).collect()
    }

    fn problems(&self) -> Vec<String> {
        let mut problems = self.ringing.problems();
        let plain = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '.';
        for name in &self.name {
            if name.is_empty() || !name.chars().all(plain) {
                problems.push(format!("--name: \"{name}\" is no name of a computer"));
            }
        }
        problems
    }
}

/// A boat that is invented: the time that she lives in, and how many times faster than life it runs.
#[derive(Clone, Debug)]
pub(super) struct Invented {
    pub(super) clock: Arc<Clock>,
    pub(super) speed: u32,
}

/// Runs the command.
pub(super) fn run(arguments: &Arguments, out: &mut impl Write) -> Result<Ending, Failure> {
    if arguments.print_unit {
        return print_unit(arguments, out);
    }
    serve(arguments, None, out)
}

/// A supervisor starts programs in a folder of its own: the data directory is named whole.
fn print_unit(arguments: &Arguments, out: &mut impl Write) -> Result<Ending, Failure> {
    let problems = arguments.problems();
    if !problems.is_empty() {
        return Err(Failure::BadInput(problems));
    }
    let program = std::env::current_exe()?;
    let data = format!("--data={}", std::path::absolute(&arguments.data)?.display());
    let mut words = without_the_directory(std::env::args().skip(1));
    words.push(data);
    write!(out, "{}", supervisor::unit(Runs::Page, &program, &words))?;
    Ok(Ending::Done)
}

/// The arguments but for the data directory and what prints.
fn without_the_directory(all: impl Iterator<Item = String>) -> Vec<String> {
    let mut kept = Vec::new();
    let mut passed_over = false;
    for word in all {
        if std::mem::take(&mut passed_over) || word == "--print-unit" || word.starts_with("--data=") {
            continue;
        }
        passed_over = word == "--data";
        if !passed_over {
            kept.push(word);
        }
    }
    kept
}

/// Serves, for a real boat or an invented one.
pub(super) fn serve(
    arguments: &Arguments,
    invented: Option<&Invented>,
    out: &mut impl Write,
) -> Result<Ending, Failure> {
    let problems = arguments.problems();
    if !problems.is_empty() {
        return Err(Failure::BadInput(problems));
    }
    let directory = &arguments.data;
    let began = clock::system_time();
    let who = format!("process {} since {began:.0}", std::process::id());
    let _lease = match store::lease(directory, &who) {
        Ok(lease) => lease,
        Err(HeldBy(holder)) => {
            report(&format!("{} is in use already, by {holder}", directory.display()));
            return Ok(Ending::Warned);
        }
    };
    let (mut store, troubles) = Store::open(directory, began);
    let armed = store.armed().map(|armed| arming::taken_up(armed, began));
    let sockets = sockets(&arguments.listens(), armed.is_some())?;
    let not_before = armed.as_ref().map_or(began, |armed| armed.not_before);
    let aboard = Aboard {
        clock: match invented {
            Some(invented) => Arc::clone(&invented.clock),
            None => Arc::new(Clock::start_not_before(not_before)),
        },
        inbox: Arc::default(),
        hub: Arc::new(Hub::of_time(invented.map_or(1, |invented| invented.speed))),
    };
    let server = server(arguments, invented, &aboard, &sockets)?;
    let (begun, has_begun) = sync_channel(1);
    let keeper = Keeper { arguments, aboard: aboard.clone(), supervisor: Supervisor::from_environment() };
    let post = Post { store, troubles, armed: armed.map(Box::new), begun };
    thread::scope(|scope| {
        let kept = thread::Builder::new()
            .name("keeper".to_owned())
            .spawn_scoped(scope, move || keeper.keep(post))?;
        aboard.start(arguments)?;
        // Whatever keeps the watch from beginning, the crew see it on the page rather than no page.
        let _ = has_begun.recv_timeout(BEGUN_WITHIN);
        let serving = Serving::start(Arc::clone(&server), sockets, &arguments.name)?;
        welcome(&server, arguments.json, out)?;
        let ended = kept.join();
        serving.end();
        after_the_keeper(ended, || ring_failure(&arguments.ringing.ring_by(), directory))
    })
}

/// Opens what can be opened. Without a watch an address that is not to be had is bad input; with one it is tried again
/// and again, for the watch comes first.
fn sockets(listens: &[Listen], armed: bool) -> Result<Vec<(Listen, Option<TcpListener>)>, Failure> {
    let mut problems = Vec::new();
    let mut open = Vec::new();
    for &listen in listens {
        match serve::open(listen.at) {
            Ok(socket) => {
                // Port 0 asks the system for a free one.
                let at = socket.local_addr().unwrap_or(listen.at);
                open.push((Listen { at, ..listen }, Some(socket)));
            }
            Err(error) => {
                problems.push(format!("--listen {}: cannot be listened on: {error}", listen.at));
                open.push((listen, None));
            }
        }
    }
    if problems.is_empty() || armed {
        for problem in &problems {
            report(problem);
        }
        Ok(open)
    } else {
        Err(Failure::BadInput(problems))
    }
}

fn server(
    arguments: &Arguments,
    invented: Option<&Invented>,
    aboard: &Aboard,
    sockets: &[(Listen, Option<TcpListener>)],
) -> Result<Shared, Failure> {
    let setup = Setup {
        directory: arguments.data.clone(),
        listens: sockets.iter().map(|(listen, _)| *listen).collect(),
        names: arguments.name.clone(),
        hub: Arc::clone(&aboard.hub),
        inbox: Arc::clone(&aboard.inbox),
        clock: Arc::clone(&aboard.clock),
        battery_v: arguments.ringing.battery,
        speed: invented.map_or(1.0, |invented| f64::from(invented.speed)),
        demo: invented.is_some(),
    };
    Server::new(setup).map_err(Failure::Ours)
}

/// What to open, and how a first device is let in.
fn welcome(server: &Shared, json: bool, out: &mut impl Write) -> Result<(), Failure> {
    for name in server.names_left_out() {
        report(&format!(
            "--name {name}: the boat's authority was not made for it, and does not vouch for it under TLS (remove the \
             folder tls in the data directory to make another; every device then installs that)"
        ));
    }
    if json {
        writeln!(out, "{}", served(server))?;
        out.flush()?;
        return Ok(());
    }
    for address in server.addresses() {
        writeln!(out, "Open {address}")?;
    }
    if let Some(fingerprint) = server.fingerprint() {
        writeln!(
            out,
            "The boat's authority, to be installed from /ca, has the SHA-256 fingerprint\n    {fingerprint}"
        )?;
    }
    if let (Some(address), Some(code)) = (server.network_address(), server.first_code()) {
        let url = format!("{address}/pair#{}", code.token);
        if let Some(square) = serve::square_on_terminal(&url) {
            writeln!(out, "{square}")?;
        }
        let (first, last) = code.digits.split_at_checked(4).unwrap_or((&code.digits, ""));
        writeln!(
            out,
            "A device that may act is paired within {} minutes by {url}\nor by the code {first} {last}",
            CODE_VALID.as_secs() / 60
        )?;
    }
    out.flush()?;
    Ok(())
}

/// The same for programs.
fn served(server: &Shared) -> Value {
    json!({
        "version": 1,
        "event": "serving",
        "addresses": server.addresses(),
        "fingerprint": server.fingerprint(),
        "network": server.network_address(),
        "code": server.network_address().and_then(|_| server.first_code()).map(|code| code.digits),
    })
}

/// What the keeper and the server share.
#[derive(Clone, Debug)]
struct Aboard {
    clock: Arc<Clock>,
    inbox: Arc<Inbox>,
    hub: Arc<Hub>,
}

impl Aboard {
    /// Starts what speaks to the keeper.
    fn start(&self, arguments: &Arguments) -> Result<(), Failure> {
        if let Err(error) = telling::listen(&arguments.data, Arc::clone(&self.inbox)) {
            let text = format!("windrode tell cannot reach this watch ({error})");
            self.inbox.put(Letter::Trouble { code: "no_telling", text });
        }
        stop_on_signals(&self.inbox)?;
        for (index, spec) in arguments.ringing.feed.iter().enumerate() {
            let outlet =
                Outlet { feed: index, inbox: Arc::clone(&self.inbox), clock: Arc::clone(&self.clock) };
            feed::start(spec.clone(), outlet)?;
        }
        if !arguments.ringing.feed.contains(&Spec::StandardInput) {
            telling::hear_standard_input(Arc::clone(&self.inbox))?;
        }
        Ok(())
    }
}

/// Where the keeper begins.
#[derive(Debug)]
struct Post {
    store: Store,
    troubles: Vec<Trouble>,
    armed: Option<Box<Ready>>,
    begun: SyncSender<()>,
}

/// A watch that is to be kept, with all that it is kept by.
struct Taken {
    ready: Box<Ready>,
    store: Store,
    hearing: Hearing,
    begun: Begun,
}

/// Keeps a watch, or looks out for one, until the program is stopped.
struct Keeper<'a> {
    arguments: &'a Arguments,
    aboard: Aboard,
    supervisor: Supervisor,
}

impl Keeper<'_> {
    fn keep(mut self, post: Post) -> std::io::Result<()> {
        let fitted_out = post.armed.as_ref().map_or(FittedOut::UNKNOWN, |ready| ready.fitted_out.clone());
        let hearing = Hearing::new(&self.arguments.ringing.feed, fitted_out, post.store.sources());
        let begun = Begun::Starter(post.begun);
        let mut taken = if let Some(mut ready) = post.armed {
            ready.troubles.splice(0..0, post.troubles);
            Some(Taken { ready, store: post.store, hearing, begun })
        } else {
            for trouble in post.troubles {
                self.aboard.inbox.put(Letter::Trouble { code: trouble.code, text: trouble.text });
            }
            self.look_out(post.store, hearing, begun)?
        };
        while let Some(now) = taken {
            taken = match self.watch(now)? {
                (Stopped::Asked, _) => None,
                (Stopped::Ended, keep) => {
                    let (store, hearing) = keep.into_parts();
                    self.look_out(store, hearing, Begun::Nobody)?
                }
            };
        }
        self.supervisor.stopping();
        Ok(())
    }

    /// Looks out until a watch is taken; nothing when the program is to stop.
    fn look_out(&mut self, store: Store, hearing: Hearing, begun: Begun) -> std::io::Result<Option<Taken>> {
        let Aboard { clock, inbox, hub } = self.aboard.clone();
        let mut lookout = Lookout { store, hearing, inbox, clock, hub, json: self.arguments.json };
        lookout.begin();
        self.supervisor.ready("no watch is kept");
        begun.tell(None);
        Ok(match lookout.run(&mut self.supervisor)? {
            Relieved::Stopped => None,
            Relieved::Taken(taking) => {
                let Taking { ready, answer } = *taking;
                let (store, mut hearing) = (lookout.store, lookout.hearing);
                hearing.fit_out(ready.fitted_out.clone());
                Some(Taken { ready: Box::new(ready), store, hearing, begun: Begun::Taker(answer) })
            }
        })
    }

    fn watch(&mut self, taken: Taken) -> std::io::Result<(Stopped, Keep)> {
        let Taken { ready, store, hearing, begun } = taken;
        let Aboard { clock, inbox, hub } = self.aboard.clone();
        let now = clock.now();
        let ringing = &self.arguments.ringing;
        let mut far_ends = ringing.far_ends();
        // Nobody gets up faster because the boat's time does.
        far_ends.escalate_after = clock.meanwhile(far_ends.escalate_after);
        let mut keep = Keep::new(ready.row, ready.remembered, store, hearing, ready.voice, far_ends, now);
        for trouble in ready.troubles {
            keep.trouble(trouble.code, trouble.text, now);
        }
        let keeper = Watchkeeper {
            keep,
            inbox,
            clock,
            ring_by: ringing.ring_by(),
            directory: self.arguments.data.clone(),
            json: self.arguments.json,
            hub: Some(hub),
            begun,
        };
        keeper.keep_watch(&mut self.supervisor)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_unit_is_told_the_directory_once_and_whole() {
        let words = ["serve", "--data", "here", "--print-unit", "--listen", "0.0.0.0:8470", "--data=there"];
        let kept = without_the_directory(words.into_iter().map(str::to_owned));
        assert_eq!(kept, ["serve", "--listen", "0.0.0.0:8470"]);
    }
}
