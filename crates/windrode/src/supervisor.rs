//! The boat's computer as a nurse: it starts the watch at power-up, starts it again when it dies, and when it hangs.
//!
//! The protocol is systemd's `sd_notify`: datagrams of lines such as `READY=1` to the socket that the environment
//! names. The keeper itself says `WATCHDOG=1`, from the turn of its own loop, so that a watch that hangs is started
//! again.

use std::env;
use std::io;
use std::os::linux::net::SocketAddrExt;
use std::os::unix::net::{SocketAddr, UnixDatagram};
use std::path::Path;
use std::time::{Duration, Instant};

use crate::clock;

/// Seconds within which the keeper must turn, as the unit has it: it turns every second, and a commit to a slow card
/// takes a few.
const WATCHDOG_S: u64 = 60;

/// Whoever supervises us.
#[derive(Debug)]
pub(crate) struct Supervisor {
    socket: Option<(UnixDatagram, SocketAddr)>,
    every: Duration,
    last: Option<Instant>,
}

impl Supervisor {
    /// The one that the environment names, if any does.
    pub(crate) fn from_environment() -> Self {
        let watchdog_us = env::var("WATCHDOG_USEC").ok().and_then(|text| text.parse().ok());
        // Twice as often as asked, as sd_watchdog_enabled(3) recommends.
        let every = watchdog_us.map_or(Duration::from_secs(WATCHDOG_S), Duration::from_micros) / 2;
        let socket = env::var("NOTIFY_SOCKET").ok().and_then(|name| open(&name).ok());
        Self { socket, every, last: None }
    }

    /// The watch is taken.
    pub(crate) fn ready(&self, status: &str) {
        self.say(&format!("READY=1\nSTATUS={status}"));
    }
    /// The keeper turns; said as often as the supervisor wants to hear it.
    pub(crate) fn alive(&mut self) {
        if self.last.is_none_or(|last| self.every <= last.elapsed()) {
            self.last = Some(clock::stopwatch());
            self.say("WATCHDOG=1");
        }
    }
    /// What it shows of us.
    pub(crate) fn status(&self, status: &str) {
        self.say(&format!("STATUS={status}"));
    }
    /// We are going.
    pub(crate) fn stopping(&self) {
        self.say("STOPPING=1");
    }

    fn say(&self, lines: &str) {
        if let Some((socket, to)) = &self.socket {
            // A supervisor that does not listen starts us again: its own way of hearing.
            let _ = socket.send_to_addr(lines.as_bytes(), to);
        }
    }
}

/// A path, or a name in the abstract space, which begins with `@`.
fn open(name: &str) -> io::Result<(UnixDatagram, SocketAddr)> {
    let to = match name.strip_prefix('@') {
        Some(name) => SocketAddr::from_abstract_name(name)?,
        None => SocketAddr::from_pathname(name)?,
    };
    let socket = UnixDatagram::unbound()?;
    // A full queue must not stop the keeper.
    socket.set_nonblocking(true)?;
    Ok((socket, to))
}

/// What a unit runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Runs {
    /// One watch, which ends.
    Watch,
    /// The page, with whatever watch is taken on it.
    Page,
}

impl Runs {
    const fn name(self) -> &'static str {
        match self {
            Self::Watch => "windrode-watch",
            Self::Page => "windrode",
        }
    }
    const fn description(self) -> &'static str {
        match self {
            Self::Watch => "Windrode keeps the anchor watch",
            Self::Page => "Windrode serves its page and keeps the anchor watch",
        }
    }
    const fn how(self) -> &'static str {
        match self {
            Self::Watch => {
                "# For each stay: windrode watch --stay FILE --data DIR --arm-only && systemctl start windrode-watch\n\
                 # It ends by itself when the crew say end, or when no watch is to be taken up.\n"
            }
            Self::Page => {
                "# Then: systemctl start windrode. A watch that was not ended is taken up again at every start.\n\
                 # The code for a first device that may act stands in its log: journalctl -u windrode\n"
            }
        }
    }
}

/// The text of a unit that runs this.
pub(crate) fn unit(runs: Runs, program: &Path, arguments: &[String]) -> String {
    let quoted: Vec<String> = std::iter::once(program.display().to_string())
        .chain(arguments.iter().cloned())
        .map(|word| {
            format!(
                "\"{}\"",
                word.replace('\\', "\\\\").replace('"', "\\\"").replace('%', "%%").replace('$', "$$")
            )
        })
        .collect();
    let (name, how, description) = (runs.name(), runs.how(), runs.description());
    format!(
        "# Put this into the system's folder of units as {name}.service, once:\n\
         #     systemctl daemon-reload && systemctl enable {name}\n\
         {how}\
         [Unit]\n\
         Description={description}\n\
         StartLimitIntervalSec=0\n\
         \n\
         [Service]\n\
         Type=notify\n\
         ExecStart={}\n\
         WatchdogSec={WATCHDOG_S}\n\
         Restart=on-failure\n\
         RestartSec=1\n\
         RestartPreventExitStatus=2\n\
         TimeoutStartSec=120\n\
         OOMScoreAdjust=-900\n\
         \n\
         [Install]\n\
         WantedBy=multi-user.target\n",
        quoted.join(" ")
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_unit_starts_again_after_every_failure_and_keeps_its_arguments() {
        let words = ["watch".to_owned(), "a \"b\" 100% $x".to_owned()];
        let unit = unit(Runs::Watch, Path::new("bin/windrode"), &words);
        for wanted in ["Type=notify", "Restart=on-failure", "WatchdogSec=60", "\"a \\\"b\\\" 100%% $$x\""] {
            assert!(unit.contains(wanted), "{unit}");
        }
    }

    #[test]
    fn the_unit_of_the_page_has_a_name_of_its_own_and_is_watched_as_well() {
        let unit = unit(Runs::Page, Path::new("bin/windrode"), &["serve".to_owned()]);
        for wanted in ["enable windrode\n", "WatchdogSec=60", "\"bin/windrode\" \"serve\"", "taken up again"]
        {
            assert!(unit.contains(wanted), "{unit}");
        }
    }

    #[test]
    fn the_abstract_name_is_heard() {
        let name = format!("windrode-test-{}", std::process::id());
        let heard =
            UnixDatagram::bind_addr(&SocketAddr::from_abstract_name(&name).expect("a name")).expect("bound");
        let socket = open(&format!("@{name}")).expect("opened");
        let supervisor = Supervisor { socket: Some(socket), every: Duration::from_secs(1), last: None };
        supervisor.ready("holding");
        let mut buffer = [0; 64];
        let n = heard.recv(&mut buffer).expect("a datagram");
        assert_eq!(&buffer[..n], b"READY=1\nSTATUS=holding");
    }
}
