//! Who hears the played instruments: any number of programs of this computer, up to a bound.
//!
//! Nothing here waits. What a listener's socket does not take at once stands in memory up to a bound; beyond it the
//! listener is dropped, as an instrument's outlet drops a plug that is pulled.

use std::io::{self, ErrorKind, Write};
use std::net::{Ipv4Addr, SocketAddr, TcpListener, TcpStream};

/// Bytes that may stand for one listener: a quarter of an hour of a boat's sentences.
const MOST_STANDING: usize = 1 << 20;
/// Listeners at once: the feed of a watch, and a few hands that look.
const MOST_LISTENERS: usize = 8;

/// The socket and who has called.
#[derive(Debug)]
pub(super) struct Listeners {
    socket: TcpListener,
    address: SocketAddr,
    all: Vec<Listener>,
}

#[derive(Debug)]
struct Listener {
    link: TcpStream,
    standing: Vec<u8>,
}

impl Listeners {
    /// On a free port of this computer, for this computer.
    ///
    /// # Errors
    /// The system gives none.
    pub(super) fn open() -> io::Result<Self> {
        let socket = TcpListener::bind((Ipv4Addr::LOCALHOST, 0))?;
        socket.set_nonblocking(true)?;
        Ok(Self { address: socket.local_addr()?, socket, all: Vec::new() })
    }
    /// Where.
    pub(super) const fn address(&self) -> SocketAddr {
        self.address
    }
    /// Takes in whoever has called.
    pub(super) fn admit(&mut self) {
        while let Ok((link, _)) = self.socket.accept() {
            if self.all.len() < MOST_LISTENERS && link.set_nonblocking(true).is_ok() {
                self.all.push(Listener { link, standing: Vec::new() });
            }
        }
    }
    /// Says something to all; whoever has gone, or has too much standing, is dropped.
    pub(super) fn tell(&mut self, bytes: &[u8]) {
        self.all.retain_mut(|listener| listener.tell(bytes).is_ok());
    }
    /// How many listen.
    #[cfg(test)]
    pub(super) const fn count(&self) -> usize {
        self.all.len()
    }
}

impl Listener {
    fn tell(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.standing.extend_from_slice(bytes);
        let mut sent = 0;
        while let Some(rest) = self.standing.get(sent..).filter(|rest| !rest.is_empty()) {
            match self.link.write(rest) {
                Ok(0) => return Err(ErrorKind::WriteZero.into()),
                Ok(n) => sent += n,
                Err(error) if error.kind() == ErrorKind::Interrupted => {}
                Err(error) if error.kind() == ErrorKind::WouldBlock => break,
                Err(error) => return Err(error),
            }
        }
        self.standing.drain(..sent);
        if self.standing.len() <= MOST_STANDING { Ok(()) } else { Err(ErrorKind::TimedOut.into()) }
    }
}

#[cfg(test)]
mod tests {
    use std::io::Read;

    use super::*;

    #[test]
    fn several_hear_the_same_and_one_that_does_not_read_is_dropped() {
        let mut listeners = Listeners::open().expect("a socket");
        let call = || TcpStream::connect(listeners.address()).expect("a link");
        let (mut heeds, sleeps) = (call(), call());
        while listeners.count() < 2 {
            listeners.admit();
        }
        let line = [b'x'; 4096];
        let mut heard = vec![0; line.len()];
        let mut told = 0;
        while 1 < listeners.count() {
            listeners.tell(&line);
            told += line.len();
            heeds.read_exact(&mut heard).expect("it is told all");
            // What the system's sockets hold at the most on top of what stands here: tens of megabytes.
            assert!(told < 256 << 20, "nobody was dropped");
        }
        drop(sleeps);
        listeners.tell(&line);
        heeds.read_exact(&mut heard).expect("it is told still");
        assert_eq!(listeners.count(), 1);
    }
}
