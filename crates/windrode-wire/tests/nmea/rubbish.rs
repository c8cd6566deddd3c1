//! Bytes that no instrument sends: nothing panics, whatever comes.

use jiff::Timestamp;
use proptest::prelude::*;
use rand::{RngExt, SeedableRng};
use windrode_domain::watch::observation::Source;
use windrode_wire::nmea0183::lines::Lines;
use windrode_wire::nmea0183::read;
use windrode_wire::observe::{Fitted, FittedOut};

use crate::authority::{LOGS, lines};

proptest! {
    #[test]
    fn no_bytes_panic(bytes in proptest::collection::vec(any::<u8>(), 0..2000)) {
        let mut framer = Lines::new();
        framer.push(&bytes, |line| {
            let _ = line.map(|line| read(line).is_ok());
        });
        let _ = read(&bytes);
    }

    #[test]
    fn no_fields_panic(kind in "(GGA|RMC|GLL|GNS|GST|GSA|GSV|ZDA|VTG|VHW|ROT|HDT|THS|HDM|HDG|DPT|DBT|MWV|MWD|VWR|XDR|RPM|MTW)",
                       fields in "[-0-9.,:NSEWMAVTRKLf ]{0,120}") {
        let line = format!("$GP{kind},{fields}");
        if let Ok(heard) = read(line.as_bytes()) {
            let mut fitted = Fitted::new(FittedOut::UNKNOWN);
            fitted.hear(Source(0), &heard.report, Timestamp::UNIX_EPOCH, &mut Vec::new());
        }
    }
}

/// Real lines with a byte changed, taken or put in, and the checksum made good again, so that the fields are
/// reached.
#[test]
fn mutated_lines_are_read_or_refused_and_never_panic() {
    let mut rng = rand_pcg::Pcg64::seed_from_u64(1);
    let real: Vec<_> =
        LOGS.iter().flat_map(|(log, _)| lines(log)).filter(|line| line.contains(&b'*')).collect();
    let mut fitted = Fitted::new(FittedOut::UNKNOWN);
    let (mut out, mut at) = (Vec::new(), Timestamp::UNIX_EPOCH);
    for _ in 0..100_000 {
        let mut line = real[rng.random_range(0..real.len())].clone();
        line.truncate(line.len() - 3);
        let place = rng.random_range(1..line.len());
        match rng.random_range(0..3) {
            0 => line[place] = rng.random_range(0x20..0x7F),
            1 => drop(line.remove(place)),
            _ => line.insert(place, rng.random_range(0x20..0x7F)),
        }
        let sum = line[1..].iter().fold(0, |sum, byte| sum ^ byte);
        line.extend_from_slice(format!("*{sum:02X}").as_bytes());
        at += jiff::SignedDuration::from_millis(rng.random_range(-100..300));
        if let Ok(heard) = read(&line) {
            fitted.hear(Source(0), &heard.report, at, &mut out);
        }
        out.clear();
    }
}
