//! A million lines that were real once: bits turned over, ends cut off, lines spliced, parts repeated, numbers made huge.
//! Whatever comes, every line is read or refused, nothing panics, and nothing that is kept grows.
//!
//! Half of them get a checksum that fits again, so that the damage reaches the meaning and is not stopped at the frame.

use std::collections::BTreeMap;

use jiff::{SignedDuration, Timestamp};
use rand::{Rng, RngExt, SeedableRng};
use rand_pcg::Pcg64;
use windrode_domain::watch::event::NeighbourSaid;
use windrode_domain::watch::observation::Source;
use windrode_wire::ais::assemble::MOST_WAITING;
use windrode_wire::ais::{Listener, neighbour};
use windrode_wire::nmea0183::lines::{LINE_BYTES_MAX, Lines};
use windrode_wire::nmea0183::{self, Report};

const LINES: usize = 1_000_000;
/// Bytes that are handed over at a time, at most.
const PIECE: usize = 4096;

/// Recorded lines of real receivers.
fn real_lines() -> Vec<Vec<u8>> {
    let names = [
        "ais/dma_stream_2010-06-11.nmea",
        "nmea/ais-nmea.log",
        "nmea/bundg_zeus_9.log",
        "nmea/hemi.log",
        "nmea/humminbird-M37.log",
        "nmea/saab-r4.log",
        "nmea/sounder.log",
    ];
    let mut lines = Vec::new();
    for name in names {
        let path = format!("{}/../../authorities/{name}", env!("CARGO_MANIFEST_DIR"));
        let bytes = std::fs::read(&path).unwrap_or_else(|error| panic!("{path}: {error}"));
        lines.extend(bytes.split(|&byte| byte == b'\n').map(<[u8]>::to_vec));
    }
    lines
}

/// One line, damaged in one way.
fn damaged(random: &mut Pcg64, lines: &[Vec<u8>]) -> Vec<u8> {
    let pick = |random: &mut Pcg64| lines[random.random_range(0..lines.len())].clone();
    let mut line = pick(random);
    let at = random.random_range(0..=line.len());
    match random.random_range(0..8) {
        0 => {
            for _ in 0..random.random_range(1..=4) {
                let place = random.random_range(0..line.len().max(1));
                if let Some(byte) = line.get_mut(place) {
                    *byte ^= 1 << random.random_range(0..8);
                }
            }
        }
        1 => line.truncate(at),
        2 => {
            let other = pick(random);
            line.truncate(at);
            line.extend_from_slice(other.get(at..).unwrap_or(&other));
        }
        3 => {
            let from = random.random_range(0..=at);
            let again = line[from..at].repeat(random.random_range(1..40));
            line.splice(at..at, again);
        }
        4 => line = with_a_huge_number(random, &line),
        5 => {
            let noise: Vec<u8> = (0..random.random_range(1..30)).map(|_| random.random()).collect();
            line.splice(at..at, noise);
        }
        6 => swap_fields(random, &mut line),
        _ => {}
    }
    if random.random() { closed_again(&line) } else { line }
}

/// One run of digits in place of another that no field can hold, or that is at its edge.
fn with_a_huge_number(random: &mut Pcg64, line: &[u8]) -> Vec<u8> {
    let numbers: [&[u8]; 8] =
        [b"0", b"9", b"255", b"256", b"99999999999999999999999", b"-1", b"1e308", b"NaN"];
    let mut fields: Vec<&[u8]> = line.split(|&byte| byte == b',').collect();
    let place = random.random_range(0..fields.len());
    fields[place] = numbers[random.random_range(0..numbers.len())];
    fields.join(&b","[..])
}

fn swap_fields(random: &mut Pcg64, line: &mut Vec<u8>) {
    let mut fields: Vec<&[u8]> = line.split(|&byte| byte == b',').collect();
    let (a, b) = (random.random_range(0..fields.len()), random.random_range(0..fields.len()));
    fields.swap(a, b);
    *line = fields.join(&b","[..]);
}

/// With the checksum of what stands there now.
fn closed_again(line: &[u8]) -> Vec<u8> {
    let body = line.get(1..).unwrap_or(&[]);
    let body = body.split(|&byte| byte == b'*' || byte == b'\r').next().unwrap_or(&[]);
    let sum = body.iter().fold(0, |sum, byte| sum ^ byte);
    let start = line.first().copied().unwrap_or(b'$');
    [&[start], body, format!("*{sum:02X}").as_bytes()].concat()
}

/// What became of the lines.
#[derive(Default)]
struct Met {
    refused: BTreeMap<&'static str, u64>,
    read: u64,
    messages: u64,
    positions: u64,
}

impl Met {
    fn refuse(&mut self, word: &'static str) {
        *self.refused.entry(word).or_default() += 1;
    }

    fn line(&mut self, line: &[u8], listener: &mut Listener, source: Source, at: Timestamp) {
        assert!(line.len() <= LINE_BYTES_MAX);
        let heard = match nmea0183::read(line) {
            Ok(heard) => heard,
            Err(refusal) => return self.refuse(refusal.cause().word()),
        };
        self.read += 1;
        let Report::Ais(fragment) = heard.report else { return };
        match listener.hear(source, fragment, at) {
            Ok(None) => {}
            Ok(Some(heard)) => {
                self.messages += 1;
                let positions = neighbour::reports(&heard, at)
                    .filter(|report| matches!(report.said, NeighbourSaid::Position { .. }));
                self.positions += positions.count() as u64;
            }
            Err(refusal) => self.refuse(refusal.word()),
        }
        assert!(listener.assembler().waiting() <= MOST_WAITING);
    }
}

#[test]
fn a_million_damaged_lines_are_read_or_refused_and_nothing_grows() {
    let real = real_lines();
    let mut random = Pcg64::seed_from_u64(1);
    let (mut lines, mut listener, mut met) = (Lines::new(), Listener::default(), Met::default());
    let mut at = Timestamp::UNIX_EPOCH;
    let mut stream = Vec::new();
    for _ in 0..LINES {
        stream.extend(damaged(&mut random, &real));
        stream
            .extend_from_slice([&b"\r\n"[..], b"\n", b"\r", b""][usize::from(random.random_range(0..4_u8))]);
        if PIECE < stream.len() {
            // Clocks jump, too.
            at += SignedDuration::from_millis(random.random_range(-500..2000));
            let source = Source(random.random_range(0..4));
            let piece = random.random_range(1..=PIECE);
            lines.push(&stream[..piece], |line| match line {
                Ok(line) => met.line(line, &mut listener, source, at),
                Err(refusal) => met.refuse(refusal.cause().word()),
            });
            stream.drain(..piece);
        }
    }
    // It was no idle run: much is read, much is refused, and for many reasons.
    assert!(
        200_000 < met.read && 20_000 < met.messages && 10_000 < met.positions,
        "{} {}",
        met.read,
        met.messages
    );
    let words = [
        "too-long",
        "control",
        "not-ascii",
        "no-start",
        "checksum",
        "checksum-form",
        "address",
        "short",
        "number",
        "range",
        "letter",
        "ais-armour",
        "ais-no-sequence",
        "ais-too-long",
        "ais-too-short",
        "ais-identity",
        "ais-number",
    ];
    let unmet: Vec<_> = words.into_iter().filter(|word| !met.refused.contains_key(word)).collect();
    assert_eq!(unmet, [""; 0], "of {:?}", met.refused);
}

/// Bytes without any sense, in lines as they fall.
#[test]
fn ten_megabytes_of_noise_are_refused() {
    let mut random = Pcg64::seed_from_u64(2);
    let (mut lines, mut listener, mut met) = (Lines::new(), Listener::default(), Met::default());
    let mut noise = [0; 65_536];
    for _ in 0..160 {
        random.fill_bytes(&mut noise);
        lines.push(&noise, |line| match line {
            Ok(line) => met.line(line, &mut listener, Source(0), Timestamp::UNIX_EPOCH),
            Err(refusal) => met.refuse(refusal.cause().word()),
        });
    }
    assert!(50_000 < met.refused.values().sum::<u64>(), "{:?}", met.refused);
    assert_eq!(met.messages, 0);
}
