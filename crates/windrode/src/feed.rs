//! Where the boat's instruments are heard: a wire, a network, a file, standard input.
//!
//! A feed is told as a short address. Each has a thread of its own that opens it, reads, and hands on what it read with
//! the time of arrival; lost, it is opened again after a wait that doubles up to a stated length. What a thread may
//! have handed on and not yet been rid of is bounded ([`crate::watchkeeper::inbox`]), so that an instrument that floods
//! is read as fast as it can be judged and no faster, and the others are heard meanwhile.

pub(crate) mod back_off;
pub(crate) mod health;
mod tcp_client;
mod tcp_listener;
mod udp;
mod serial;
mod file;
mod standard_input;
mod gpsd;

use std::fmt;
use std::io::{self, ErrorKind, Read};
use std::path::PathBuf;
use std::sync::Arc;
use std::thread;
use std::time::Duration;

use self::back_off::BackOff;
use crate::clock::Clock;
use crate::watchkeeper::inbox::{Heard, Inbox};

/// Bytes read at once: fifty sentences of 82 characters (IEC 61162-1's longest), a millisecond of judging.
const READ_BYTES: usize = 4096;

/// A link that has not brought a byte for so long is closed and opened anew: a peer that lost its power says no
/// goodbye. Every instrument on a boat speaks at least once in ten seconds (common practice, no source).
const SILENT_FOR: Duration = Duration::from_mins(1);

/// Where a feed comes from.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Spec {
    /// A server on the network: `tcp://host:port`.
    TcpClient(String),
    /// Others that call us: `tcp-listen://address:port`.
    TcpListener(String),
    /// Datagrams: `udp://address:port`.
    Udp(String),
    /// A serial line: `serial:///dev/ttyUSB0?baud=4800`.
    Serial {
        /// The device.
        device: String,
        /// Bits a second.
        baud: u32,
    },
    /// A file, a pipe or a device: `file://path`, `file://path?pace=10` for ten lines a second.
    File {
        /// Which.
        path: PathBuf,
        /// Lines a second; as they come where not told.
        lines_per_s: Option<f64>,
    },
    /// Standard input: `-`.
    StandardInput,
    /// The GPS daemon's own JSON: `gpsd://host:2947`.
    Gpsd(String),
}

/// Bits a second where not told: the standard rate of IEC 61162-1.
const USUAL_BAUD: u32 = 4800;
/// Port where not told: the one that IANA has registered for gpsd.
const GPSD_PORT: u16 = 2947;

/// What is wanted, for whoever typed something else.
const WANTED: &str = "wanted tcp://host:port, tcp-listen://address:port, udp://address:port, \
                      serial:///dev/ttyUSB0?baud=4800, file://path, gpsd://host or -";

impl Spec {
    /// Reads what was typed.
    ///
    /// # Errors
    /// What was wanted, in words.
    pub(crate) fn parse(text: &str) -> Result<Self, String> {
        if text == "-" {
            return Ok(Self::StandardInput);
        }
        let (scheme, rest) = text.split_once("://").ok_or(WANTED)?;
        let (place, query) = rest.split_once('?').map_or((rest, None), |(place, query)| (place, Some(query)));
        if place.is_empty() {
            return Err(WANTED.to_owned());
        }
        match (scheme, query) {
            ("tcp", None) => with_port(place, None).map(Self::TcpClient),
            ("tcp-listen", None) => with_port(place, None).map(Self::TcpListener),
            ("udp", None) => with_port(place, None).map(Self::Udp),
            ("gpsd", None) => with_port(place, Some(GPSD_PORT)).map(Self::Gpsd),
            ("serial", _) => Ok(Self::Serial { device: place.to_owned(), baud: baud(query)? }),
            ("file", _) => Ok(Self::File { path: place.into(), lines_per_s: pace(query)? }),
            _ => Err(WANTED.to_owned()),
        }
    }

    /// Opens it and hands on what comes, until it ends.
    fn hear(&self, outlet: &Outlet) -> Ended {
        match self {
            Self::TcpClient(place) => tcp_client::hear(place, outlet),
            Self::TcpListener(place) => tcp_listener::hear(place, outlet),
            Self::Udp(place) => udp::hear(place, outlet),
            Self::Serial { device, baud } => serial::hear(device, *baud, outlet),
            Self::File { path, lines_per_s } => file::hear(path, *lines_per_s, outlet),
            Self::StandardInput => standard_input::hear(outlet),
            Self::Gpsd(place) => gpsd::hear(place, outlet),
        }
    }
}

impl fmt::Display for Spec {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TcpClient(place) => write!(f, "tcp://{place}"),
            Self::TcpListener(place) => write!(f, "tcp-listen://{place}"),
            Self::Udp(place) => write!(f, "udp://{place}"),
            Self::Serial { device, baud } => write!(f, "serial://{device}?baud={baud}"),
            Self::File { path, lines_per_s: None } => write!(f, "file://{}", path.display()),
            Self::File { path, lines_per_s: Some(pace) } => {
                write!(f, "file://{}?pace={pace}", path.display())
            }
            Self::StandardInput => write!(f, "-"),
            Self::Gpsd(place) => write!(f, "gpsd://{place}"),
        }
    }
}

/// `host:port`, the port added where it is usual.
fn with_port(place: &str, usual: Option<u16>) -> Result<String, String> {
    let port = place.rsplit_once(':').filter(|(host, _)| !host.is_empty()).map(|(_, port)| port);
    match (port.map(str::parse::<u16>), usual) {
        (Some(Ok(_)), _) => Ok(place.to_owned()),
        (None, Some(port)) => Ok(format!("{place}:{port}")),
        _ => Err(format!("{place} tells no port; {WANTED}")),
    }
}

fn baud(query: Option<&str>) -> Result<u32, String> {
    let Some(query) = query else { return Ok(USUAL_BAUD) };
    let told = query.strip_prefix("baud=").and_then(|baud| baud.parse().ok()).filter(|&baud| 0 < baud);
    told.ok_or_else(|| format!("?{query}: wanted ?baud= and a rate such as 4800 or 38400"))
}

fn pace(query: Option<&str>) -> Result<Option<f64>, String> {
    let Some(query) = query else { return Ok(None) };
    let told = query.strip_prefix("pace=").and_then(|pace| pace.parse::<f64>().ok());
    let possible = told.filter(|pace| 0.0 < *pace && pace.is_finite());
    possible.map(Some).ok_or_else(|| format!("?{query}: wanted ?pace= and lines a second, such as 10"))
}

/// How a feed ended.
pub(crate) enum Ended {
    /// There is no more of it: a file read to its end.
    Finished,
    /// It was lost, or could not be opened.
    Lost {
        /// Why.
        why: String,
        /// It had brought something.
        spoke: bool,
    },
}

impl Ended {
    fn lost(why: impl fmt::Display, spoke: bool) -> Self {
        Self::Lost { why: why.to_string(), spoke }
    }
}

/// Where a feed's thread hands on what it reads.
#[derive(Clone)]
pub(crate) struct Outlet {
    pub(crate) feed: usize,
    pub(crate) inbox: Arc<Inbox>,
    pub(crate) clock: Arc<Clock>,
}

impl Outlet {
    fn hand_on(&self, heard: Heard) {
        self.inbox.hear(self.feed, self.clock.now(), heard);
    }
    /// One of its streams begins: sentences of different streams do not mix.
    fn opened(&self, stream: u32) {
        self.hand_on(Heard::Opened { stream });
    }
    fn bytes(&self, stream: u32, bytes: &[u8]) {
        self.hand_on(Heard::Bytes { stream, bytes: bytes.into() });
    }
    fn closed(&self, stream: u32) {
        self.hand_on(Heard::Closed { stream });
    }

    /// Hands on all that a stream brings until it ends, or is silent for too long.
    fn pump(&self, stream: u32, mut from: impl Read, silent_for: Duration) -> Ended {
        let mut buffer = [0; READ_BYTES];
        let mut spoke = false;
        let mut last = crate::clock::stopwatch();
        loop {
            match from.read(&mut buffer) {
                Ok(0) => return Ended::lost("the other end closed it", spoke),
                Ok(n) => {
                    spoke = true;
                    last = crate::clock::stopwatch();
                    self.bytes(stream, buffer.get(..n).unwrap_or_default());
                }
                Err(error) if error.kind() == ErrorKind::Interrupted => {}
                Err(error) if matches!(error.kind(), ErrorKind::WouldBlock | ErrorKind::TimedOut) => {
                    if silent_for <= last.elapsed() {
                        return Ended::lost(format!("silent for {} s", silent_for.as_secs()), spoke);
                    }
                }
                Err(error) => return Ended::lost(error, spoke),
            }
        }
    }
}

/// Starts the thread of one feed.
///
/// # Errors
/// The system gives no more threads.
pub(crate) fn start(spec: Spec, outlet: Outlet) -> io::Result<()> {
    let name = format!("feed {}", outlet.feed);
    thread::Builder::new().name(name).spawn(move || keep_open(&spec, &outlet))?;
    Ok(())
}

fn keep_open(spec: &Spec, outlet: &Outlet) {
    let mut back_off = BackOff::of_feeds();
    loop {
        match spec.hear(outlet) {
            Ended::Finished => {
                outlet.hand_on(Heard::Finished);
                return;
            }
            Ended::Lost { why, spoke } => {
                if spoke {
                    back_off.reset();
                }
                let wait = back_off.next_wait();
                outlet.hand_on(Heard::Lost { why, again_in: wait });
                thread::sleep(outlet.clock.wait_for(wait));
            }
        }
    }
}

#[cfg(test)]
mod tests;
