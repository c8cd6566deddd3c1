//! How long a sentence takes: framed, parsed, turned into observations, over the log of a real sailing
//! vessel.

use divan::counter::ItemsCount;
use jiff::{SignedDuration, Timestamp};
use windrode_domain::watch::observation::Source;
use windrode_wire::nmea0183::lines::Lines;
use windrode_wire::nmea0183::read;
use windrode_wire::observe::{Fitted, FittedOut};

fn main() {
    divan::main();
}

const LOG: &[u8] = include_bytes!("../../../authorities/nmea/bundg_zeus_9.log");

fn sentences() -> usize {
    let mut count = 0;
    Lines::new().push(LOG, |_| count += 1);
    count
}

/// In pieces as a socket hands them over.
const PIECE_BYTES: usize = 1460;

#[divan::bench]
fn framing_and_parsing(bencher: divan::Bencher) {
    bencher.counter(ItemsCount::new(sentences())).bench(|| {
        let (mut lines, mut read_well) = (Lines::new(), 0_u32);
        for piece in LOG.chunks(PIECE_BYTES) {
            lines.push(piece, |line| read_well += u32::from(line.and_then(read).is_ok()));
        }
        read_well
    });
}

#[divan::bench]
fn as_far_as_observations(bencher: divan::Bencher) {
    bencher.counter(ItemsCount::new(sentences())).bench(|| {
        let (mut lines, mut fitted) = (Lines::new(), Fitted::new(FittedOut::UNKNOWN));
        let (mut at, mut out) = (Timestamp::UNIX_EPOCH, Vec::new());
        for piece in LOG.chunks(PIECE_BYTES) {
            lines.push(piece, |line| {
                at += SignedDuration::from_millis(30);
                if let Ok(heard) = line.and_then(read) {
                    fitted.hear(Source(0), &heard.report, at, &mut out);
                }
            });
        }
        out.len()
    });
}
