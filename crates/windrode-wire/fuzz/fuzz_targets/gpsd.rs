//! Lines of a gpsd server to observations.

#![no_main]

use jiff::Timestamp;
use libfuzzer_sys::fuzz_target;
use windrode_domain::watch::observation::Source;
use windrode_wire::gpsd;
use windrode_wire::observe::{Fitted, FittedOut};

fuzz_target!(|bytes: &[u8]| {
    let mut fitted = Fitted::new(FittedOut::UNKNOWN);
    let mut seen = Vec::new();
    for line in bytes.split(|&byte| byte == b'\n') {
        if let Ok(report) = gpsd::read(line) {
            fitted.hear_gpsd(Source(0), &report, Timestamp::UNIX_EPOCH, &mut seen);
        }
    }
});
