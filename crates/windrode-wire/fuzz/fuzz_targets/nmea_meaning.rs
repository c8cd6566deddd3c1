//! Lines with checksums that fit, whatever stands in them, to reports and observations.

#![no_main]

use jiff::{SignedDuration, Timestamp};
use libfuzzer_sys::fuzz_target;
use windrode_domain::watch::observation::Source;
use windrode_wire::observe::{Fitted, FittedOut};

fuzz_target!(|bytes: &[u8]| {
    let mut fitted = Fitted::new(FittedOut::UNKNOWN);
    let mut seen = Vec::new();
    let mut at = Timestamp::UNIX_EPOCH;
    for line in bytes.split(|&byte| byte == b'\n') {
        let _ = windrode_wire::nmea0183::read(line);
        let body = line.get(1..).unwrap_or(&[]);
        let sum = body.iter().fold(0, |sum, byte| sum ^ byte);
        let closed = [line, format!("*{sum:02X}").as_bytes()].concat();
        if let Ok(heard) = windrode_wire::nmea0183::read(&closed) {
            fitted.hear(Source(0), &heard.report, at, &mut seen);
        }
        at += SignedDuration::from_millis(700);
    }
});
