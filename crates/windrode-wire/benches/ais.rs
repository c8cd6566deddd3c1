//! How many recorded AIS sentences are read in a second: from the line, checksum and all, to the message.

use divan::counter::ItemsCount;
use divan::{Bencher, black_box};
use jiff::Timestamp;
use windrode_domain::watch::observation::Source;
use windrode_wire::ais::armour::unarmour;
use windrode_wire::ais::{Listener, Message, neighbour};
use windrode_wire::nmea0183::{self, Report};

fn main() {
    divan::main();
}

const STREAM: &str = include_str!("../../../authorities/ais/dma_stream_2010-06-11.nmea");

/// Messages that the lines make, and reports of neighbours among them.
fn read(lines: &[&str]) -> (usize, usize) {
    let mut listener = Listener::default();
    let (mut messages, mut reports) = (0, 0);
    for line in lines {
        let Ok(nmea0183::Heard { report: Report::Ais(fragment), .. }) = nmea0183::read(line.as_bytes())
        else {
            continue;
        };
        if let Ok(Some(heard)) = listener.hear(Source(1), fragment, Timestamp::UNIX_EPOCH) {
            messages += 1;
            reports += neighbour::reports(&heard, Timestamp::UNIX_EPOCH).count();
        }
    }
    (messages, reports)
}

/// Every sentence of the stream, of all kinds and in parts.
#[divan::bench]
fn sentences_to_messages(bencher: Bencher) {
    let lines: Vec<&str> = STREAM.lines().collect();
    bencher.counter(ItemsCount::new(lines.len())).bench(|| read(black_box(&lines)));
}

/// Only those that carry a position report of class A.
#[divan::bench]
fn position_reports(bencher: Bencher) {
    let lines: Vec<&str> = reports().collect();
    bencher.counter(ItemsCount::new(lines.len())).bench(|| read(black_box(&lines)));
}

/// The same without the sentence about them: six-bit characters to message.
#[divan::bench]
fn payloads_of_position_reports(bencher: Bencher) {
    let payloads: Vec<&str> = reports().filter_map(|line| line.split(',').nth(5)).collect();
    bencher.counter(ItemsCount::new(payloads.len())).bench(|| {
        let decoded = |payload: &&&str| unarmour(payload, 0).is_ok_and(|bits| Message::decode(&bits).is_ok());
        black_box(&payloads).iter().filter(decoded).count()
    });
}

fn reports() -> impl Iterator<Item = &'static str> {
    let of_class_a = |line: &&str| {
        let mut fields = line.split(',').skip(1);
        fields.next() == Some("1")
            && fields.nth(3).is_some_and(|payload| payload.starts_with(['1', '2', '3']))
    };
    STREAM.lines().filter(of_class_a)
}
