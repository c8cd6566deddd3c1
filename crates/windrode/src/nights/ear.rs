//! The way from bytes to observations in a simulated night: the same reader and the same fitting-out as on board.

use jiff::Timestamp;
use windrode_domain::watch::observation::{Observation, Source};
use windrode_wire::nmea0183;
use windrode_wire::nmea0183::lines::Lines;
use windrode_wire::observe::{Fitted, FittedOut};

/// Lines and instruments of one wire.
pub(super) struct Ear {
    lines: Lines,
    fitted: Fitted,
    refused: u64,
}

impl Ear {
    /// Nothing heard yet.
    pub(super) fn new() -> Self {
        Self { lines: Lines::new(), fitted: Fitted::new(FittedOut::UNKNOWN), refused: 0 }
    }

    /// Hears the bytes that came by an instant.
    pub(super) fn hear(&mut self, bytes: &[u8], at: Timestamp, out: &mut Vec<Observation>) {
        let (fitted, refused) = (&mut self.fitted, &mut self.refused);
        self.lines.push(bytes, |line| {
            let Ok(heard) = line.and_then(nmea0183::read) else {
                *refused += 1;
                return;
            };
            let Some(talker) = heard.talker else { return };
            // Talkers of one boat differ in their letters, which as a number are theirs for good.
            let source = Source(u16::from_be_bytes(talker.0));
            fitted.hear(source, &heard.report, at, out);
        });
    }

    /// Lines that could not be read: what our own writer wrote must be readable.
    pub(super) const fn refused(&self) -> u64 {
        self.refused
    }
}
