//! A server on the boat's network that we call.

use std::io;
use std::net::{TcpStream, ToSocketAddrs};
use std::time::Duration;

use super::{Ended, Outlet, SILENT_FOR};

/// An address on the boat's own network answers in far less.
const CONNECT_WITHIN: Duration = Duration::from_secs(10);
/// How often a silent read looks up.
const LOOK_UP: Duration = Duration::from_secs(1);

/// Hands on what the server says.
pub(super) fn hear(place: &str, outlet: &Outlet) -> Ended {
    match connect(place) {
        Ok(link) => {
            outlet.opened(0);
            let ended = outlet.pump(0, link, SILENT_FOR);
            outlet.closed(0);
            ended
        }
        Err(error) => Ended::lost(error, false),
    }
}

/// Connects to the first address that answers.
pub(super) fn connect(place: &str) -> io::Result<TcpStream> {
    let mut last = io::Error::new(io::ErrorKind::NotFound, "no address of that name");
    for address in place.to_socket_addrs()? {
        match TcpStream::connect_timeout(&address, CONNECT_WITHIN) {
            Ok(link) => {
                link.set_read_timeout(Some(LOOK_UP))?;
                return Ok(link);
            }
            Err(error) => last = error,
        }
    }
    Err(last)
}
