//! Datagrams: a multiplexer that speaks to the whole network.

use std::net::UdpSocket;

use super::{Ended, Outlet};

/// The longest datagram that UDP carries over IPv4.
const LONGEST_BYTES: usize = 65_535;

/// Hands on each datagram as whole lines: a sentence does not run on from one into the next.
pub(super) fn hear(place: &str, outlet: &Outlet) -> Ended {
    let socket = match UdpSocket::bind(place) {
        Ok(socket) => socket,
        Err(error) => return Ended::lost(error, false),
    };
    outlet.opened(0);
    let mut buffer = vec![0; LONGEST_BYTES + 1];
    let mut spoke = false;
    loop {
        match socket.recv(buffer.get_mut(..LONGEST_BYTES).unwrap_or_default()) {
            Ok(n) => {
                spoke = true;
                if let Some(end) = buffer.get_mut(n) {
                    *end = b'\n';
                }
                outlet.bytes(0, buffer.get(..=n).unwrap_or_default());
            }
            Err(error) if error.kind() == std::io::ErrorKind::Interrupted => {}
            Err(error) => {
                outlet.closed(0);
                return Ended::lost(error, spoke);
            }
        }
    }
}
