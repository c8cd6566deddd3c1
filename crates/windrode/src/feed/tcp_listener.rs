//! Instruments and multiplexers that call us.

use std::net::{TcpListener, TcpStream};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;
use std::time::Duration;

use super::{Ended, Outlet, SILENT_FOR};

/// Callers at a time: a boat has fewer instruments than this, and each costs a thread.
const MOST_CALLERS: usize = 8;
/// How often a silent read looks up.
const LOOK_UP: Duration = Duration::from_secs(1);

/// Hands on what callers say; each is a stream of its own.
pub(super) fn hear(place: &str, outlet: &Outlet) -> Ended {
    let listener = match TcpListener::bind(place) {
        Ok(listener) => listener,
        Err(error) => return Ended::lost(error, false),
    };
    let callers = Arc::new(AtomicUsize::new(0));
    let mut stream = 0_u32;
    loop {
        let (link, _) = match listener.accept() {
            Ok(caller) => caller,
            Err(error) => return Ended::lost(error, false),
        };
        if MOST_CALLERS <= callers.load(Ordering::Acquire) || link.set_read_timeout(Some(LOOK_UP)).is_err() {
            // Closing is the answer: the caller will call again.
            continue;
        }
        stream = stream.wrapping_add(1);
        callers.fetch_add(1, Ordering::AcqRel);
        let (outlet, counted) = (outlet.clone(), Arc::clone(&callers));
        let spawned = thread::Builder::new().name(format!("caller {stream}")).spawn(move || {
            serve(link, stream, &outlet);
            counted.fetch_sub(1, Ordering::AcqRel);
        });
        if spawned.is_err() {
            callers.fetch_sub(1, Ordering::AcqRel);
        }
    }
}

fn serve(link: TcpStream, stream: u32, outlet: &Outlet) {
    outlet.opened(stream);
    // How a caller went away is no matter: it calls again, or the watch tells that it is silent.
    let _ = outlet.pump(stream, link, SILENT_FOR);
    outlet.closed(stream);
}
