//! Fragments in any order, number and time to packets to reports: the buffer keeps its bound.
//!
//! Eight bytes say where a fragment comes from and which it is, the next how long its payload is.

#![no_main]

use jiff::{SignedDuration, Timestamp};
use libfuzzer_sys::fuzz_target;
use windrode_domain::watch::observation::Source;
use windrode_wire::ais::assemble::MOST_WAITING;
use windrode_wire::ais::{Listener, neighbour};
use windrode_wire::nmea0183::fragment::AisFragment;
use windrode_wire::nmea0183::sentence::Talker;

fuzz_target!(|data: &[u8]| {
    let mut listener = Listener::default();
    let mut at = Timestamp::UNIX_EPOCH;
    let mut rest = data;
    while let [source, own, count, number, sequence, channel, fill, passed, length, tail @ ..] = rest {
        let (payload, after) = tail.split_at(usize::from(*length).min(tail.len()));
        rest = after;
        let Ok(payload) = core::str::from_utf8(payload) else { continue };
        at += SignedDuration::from_millis(i64::from(*passed) * 10 - 500);
        let fragment = AisFragment {
            talker: Talker(*b"AI"),
            own: own & 1 == 1,
            count: *count,
            number: *number,
            sequence: (*sequence < 100).then_some(*sequence),
            channel: (*channel < 128).then_some(*channel),
            payload,
            fill: *fill,
        };
        if let Ok(Some(heard)) = listener.hear(Source(u16::from(*source)), fragment, at) {
            neighbour::reports(&heard, at).for_each(drop);
        }
        assert!(listener.assembler().waiting() <= MOST_WAITING);
    }
});
