//! The server: the page, and everything that the program knows, for every device on board.
//!
//! ```text
//! feeds ─► inbox ─► keeper ─► disk        threads of their own; nothing here can hold them up
//!                     │ put down, never waited for
//!                     ▼
//!                    hub ─► live ─► devices
//! devices ─► guard ─► routes ─► documents, sheets ─► papers     what the crew write
//!                          └──► watch_room ─► inbox             what they say to the watch
//! ```
//!
//! A watch that was not ended is taken up again, and rings what it has to, before anything is answered. The server
//! runs beside it on two threads of its own; plans and reckonings run beside those, a few at a time.

mod asked;
mod devices;
mod documents;
mod guard;
mod live;
mod page;
mod reckon;
mod refusal;
mod routes;
mod sheets;
mod tls;
mod watch_room;

use std::io;
use std::net::{IpAddr, SocketAddr, TcpListener};
use std::path::PathBuf;
use std::sync::atomic::AtomicU32;
use std::sync::{Arc, Mutex};
use std::time::Duration;

use axum_server::Handle;
use axum_server::tls_rustls::RustlsConfig;
use serde_json::json;
use tokio::runtime::{Builder, Runtime};
use tokio::sync::{Semaphore, watch};

use self::devices::Devices;
pub(crate) use self::devices::{CODE_VALID, ShownCode, own_address, square_on_terminal};
use self::guard::{Caller, Door, Rates};
use self::live::Streams;
use self::sheets::Plans;
use self::tls::Authority;
use self::watch_room::Hands;
use crate::clock::Clock;
use crate::files::vessel::read_vessel;
use crate::hub::Hub;
use crate::store::papers::{Kind, Papers, Role};
use crate::watchkeeper::inbox::{Inbox, Letter};

/// Plans that are worked out at a time: one a core of the smallest computer, and the watch needs a tenth of one.
const PLANS_AT_A_TIME: usize = 2;
/// Threads that serve.
const SERVING: usize = 2;
/// How long requests that are being answered may take to end.
const END_WITHIN: Duration = Duration::from_secs(2);
/// How long a connection may say nothing whole before it is closed.
const HEADERS_WITHIN: Duration = Duration::from_secs(30);
/// Between two attempts at a network address that is not to be had.
const TRY_AGAIN: Duration = Duration::from_secs(5);

/// What is served, and to whom.
#[derive(Debug)]
pub(crate) struct Server {
    directory: PathBuf,
    papers: Papers,
    plans: Plans,
    hub: Arc<Hub>,
    inbox: Arc<Inbox>,
    clock: Arc<Clock>,
    devices: Devices,
    rates: Rates,
    streams: Arc<Streams>,
    hands: Mutex<Hands>,
    planning: Arc<Semaphore>,
    heavy: Arc<Semaphore>,
    job: AtomicU32,
    stopping: watch::Sender<bool>,
    authority: Option<Authority>,
    listens: Vec<Listen>,
    battery_v: Option<f64>,
    speed: f64,
    demo: bool,
}

/// The server, shared by all who answer.
pub(crate) type Shared = Arc<Server>;

/// A way in, before it is opened.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Listen {
    /// Where.
    pub(crate) at: SocketAddr,
    /// Whether it speaks TLS.
    pub(crate) tls: bool,
}

impl Listen {
    fn url(self) -> String {
        let scheme = if self.tls { "https" } else { "http" };
        let ip =
            if self.at.ip().is_unspecified() { own_address().unwrap_or(self.at.ip()) } else { self.at.ip() };
        format!("{scheme}://{}", SocketAddr::new(ip, self.at.port()))
    }
}

/// What a server is started with.
#[derive(Debug)]
pub(crate) struct Setup {
    /// The data directory.
    pub(crate) directory: PathBuf,
    /// The ways in.
    pub(crate) listens: Vec<Listen>,
    /// Names by which the boat may be called.
    pub(crate) names: Vec<String>,
    /// What the keeper puts down.
    pub(crate) hub: Arc<Hub>,
    /// What the keeper takes.
    pub(crate) inbox: Arc<Inbox>,
    /// The time.
    pub(crate) clock: Arc<Clock>,
    /// Battery below which a watch that is taken here rings, V.
    pub(crate) battery_v: Option<f64>,
    /// How many times faster than life the clock runs.
    pub(crate) speed: f64,
    /// The boat is invented.
    pub(crate) demo: bool,
}

impl Server {
    /// Makes a server that nobody is answered by yet.
    ///
    /// # Errors
    /// The papers cannot be opened, or the authority cannot be made.
    pub(crate) fn new(setup: Setup) -> anyhow::Result<Shared> {
        let papers = Papers::open(&setup.directory)?;
        let names: Vec<String> = setup.names.iter().map(|name| name.to_ascii_lowercase()).collect();
        let secret = setup.listens.iter().any(|listen| listen.tls);
        let numbers: Vec<IpAddr> = own_address().into_iter().collect();
        let authority = secret.then(|| tls::authority(&setup.directory, &names, &numbers)).transpose()?;
        let hands = watch_room::watcher_kept(&papers);
        let server = Self {
            directory: setup.directory,
            papers,
            plans: Plans::default(),
            hub: setup.hub,
            inbox: setup.inbox,
            clock: setup.clock,
            devices: Devices::default(),
            rates: Rates::default(),
            streams: Arc::default(),
            hands: Mutex::new(hands),
            planning: Arc::new(Semaphore::new(PLANS_AT_A_TIME)),
            heavy: Arc::new(Semaphore::new(1)),
            job: AtomicU32::new(0),
            stopping: watch::channel(false).0,
            authority,
            listens: setup.listens,
            battery_v: setup.battery_v,
            speed: setup.speed,
            demo: setup.demo,
        };
        server.fit_out()?;
        Ok(Arc::new(server))
    }

    /// The keeper that looks out hears by the fitting-out of the vessel that the stay changed last names; where there
    /// is no stay, of the vessel changed last.
    fn fit_out(&self) -> rusqlite::Result<()> {
        let named = self.papers.lines(Kind::Stay)?.into_iter().find_map(|line| line.vessel);
        let vessels = self.papers.lines(Kind::Vessel)?;
        let last = named.or_else(|| vessels.into_iter().map(|line| line.id).next());
        let Some(id) = last else { return Ok(()) };
        let vessel = self.papers.document(Kind::Vessel, &id)?;
        let read = vessel.and_then(|vessel| read_vessel(&documents::source(Kind::Vessel, vessel.text)).ok());
        if let Some(vessel) = read {
            // A keeper whose inbox is full has more to do.
            self.inbox.put(Letter::FitOut(Box::new(vessel.fitted_out())));
        }
        Ok(())
    }

    /// Everybody is told that something has changed.
    fn tell_changed(&self, what: &str, id: &str, revision: i64) {
        self.hub.tell("changed", &json!({ "version": 1, "what": what, "id": id, "revision": revision }));
    }

    /// The address under which others reach the boat, as the caller does where that is not this computer alone.
    fn address_for(&self, caller: &Caller) -> String {
        if !caller.door.loopback {
            return format!("{}://{}", if caller.door.tls { "https" } else { "http" }, caller.host);
        }
        self.network_address().unwrap_or_else(|| format!("http://{}", caller.host))
    }

    /// The address by which the network reaches her, TLS first; nothing where only this computer does.
    pub(crate) fn network_address(&self) -> Option<String> {
        let all = || self.listens.iter().filter(|listen| !listen.at.ip().is_loopback());
        all().find(|listen| listen.tls).or_else(|| all().next()).map(|listen| listen.url())
    }

    /// All addresses.
    pub(crate) fn addresses(&self) -> Vec<String> {
        self.listens.iter().map(|listen| listen.url()).collect()
    }

    /// The authority's fingerprint, where there is one.
    pub(crate) fn fingerprint(&self) -> Option<&str> {
        self.authority.as_ref().map(|authority| authority.fingerprint.as_str())
    }

    /// Names that the authority was not made for.
    pub(crate) fn names_left_out(&self) -> &[String] {
        self.authority.as_ref().map_or(&[], |authority| &authority.left_out)
    }

    /// A code by which a first device may act.
    pub(crate) fn first_code(&self) -> Option<ShownCode> {
        self.devices.code(Role::Act).ok()
    }
}

/// A server that answers.
#[derive(Debug)]
pub(crate) struct Serving {
    server: Shared,
    runtime: Runtime,
    handle: Handle<SocketAddr>,
}

impl Serving {
    /// Answers on sockets that are open, and on those that are not as soon as they are.
    ///
    /// # Errors
    /// The system gives no more threads.
    pub(crate) fn start(
        server: Shared,
        open: Vec<(Listen, Option<TcpListener>)>,
        names: &[String],
    ) -> io::Result<Self> {
        let runtime = Builder::new_multi_thread()
            .worker_threads(SERVING)
            .thread_name("serve")
            .max_blocking_threads(16)
            .enable_all()
            .build()?;
        let handle = Handle::new();
        let names: Arc<[String]> = names.iter().map(|name| name.to_ascii_lowercase()).collect();
        for (listen, socket) in open {
            let door =
                Door { loopback: listen.at.ip().is_loopback(), tls: listen.tls, names: Arc::clone(&names) };
            runtime.spawn(answer(Arc::clone(&server), listen, socket, door, handle.clone()));
        }
        Ok(Self { server, runtime, handle })
    }

    /// Ends every stream and every answer, within two seconds.
    pub(crate) fn end(self) {
        self.server.stopping.send_replace(true);
        self.handle.graceful_shutdown(Some(END_WITHIN));
        let begun = crate::clock::stopwatch();
        while 0 < self.handle.connection_count() && begun.elapsed() < END_WITHIN {
            std::thread::sleep(Duration::from_millis(10));
        }
        self.runtime.shutdown_timeout(Duration::from_millis(200));
    }
}

async fn answer(
    server: Shared,
    listen: Listen,
    mut socket: Option<TcpListener>,
    door: Door,
    handle: Handle<SocketAddr>,
) {
    loop {
        let opened = match socket.take() {
            Some(socket) => Ok(socket),
            None => open(listen.at),
        };
        if let Ok(socket) = opened {
            let router = routes::router(&server, door.clone());
            let service = router.into_make_service_with_connect_info::<SocketAddr>();
            let authority = server.authority.as_ref().filter(|_| listen.tls);
            let ended = match authority {
                Some(authority) => {
                    let config = RustlsConfig::from_config(Arc::clone(&authority.config));
                    match axum_server::from_tcp_rustls(socket, config) {
                        Ok(mut serving) => {
                            serving.http_builder().http1().header_read_timeout(HEADERS_WITHIN);
                            serving.handle(handle.clone()).serve(service).await
                        }
                        Err(error) => Err(error),
                    }
                }
                None => match axum_server::from_tcp(socket) {
                    Ok(mut serving) => {
                        serving.http_builder().http1().header_read_timeout(HEADERS_WITHIN);
                        serving.handle(handle.clone()).serve(service).await
                    }
                    Err(error) => Err(error),
                },
            };
            if ended.is_ok() || *server.stopping.borrow() {
                return;
            }
        }
        tokio::time::sleep(TRY_AGAIN).await;
    }
}

/// Opens a socket to listen on.
///
/// # Errors
/// The address is not to be had.
pub(crate) fn open(at: SocketAddr) -> io::Result<TcpListener> {
    let socket = TcpListener::bind(at)?;
    socket.set_nonblocking(true)?;
    Ok(socket)
}
