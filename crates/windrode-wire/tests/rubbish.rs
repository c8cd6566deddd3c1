//! A million lines that were real once: bits turned over, ends cut off, lines spliced, parts repeated, numbers made
//! huge. Whatever comes, every line is read or refused, nothing panics, and nothing that is kept grows.
//!
//! Half of them get a checksum that fits again, so that the damage reaches the meaning and is not stopped at the
//! frame.

use std::collections::BTreeMap;

use jiff::{SignedDuration, Timestamp};
use rand::{Rng, RngExt, SeedableRng};
use rand_pcg::Pcg64;
use windrode_domain::watch::event::NeighbourSaid;
use windrode_domain::watch::observation::{Observation, Seen, Source};
use windrode_wire::ais::assemble::MOST_WAITING;
use windrode_wire::ais::{Listener, neighbour};
use windrode_wire::nmea0183::fragment::AisFragment;
use windrode_wire::nmea0183::lines::{LINE_BYTES_MAX, Lines};
use windrode_wire::nmea0183::refusal::Refusal;
use windrode_wire::nmea0183::{self, Report};
use windrode_wire::observe::{Fitted, FittedOut};

const LINES: usize = 1_000_000;
/// Bytes that are handed over at a time, at most.
const PIECE: usize = 4096;

/// Recorded lines of real receivers.
#[expect(clippy::disallowed_methods, reason = "a test reads the authority")]
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

/// What becomes of the lines, and all that is kept of them.
struct Aboard {
    listener: Listener,
    fitted: Fitted,
    refused: BTreeMap<&'static str, u64>,
    read: u64,
    messages: u64,
    positions: u64,
    observations: u64,
}

impl Aboard {
    const fn new() -> Self {
        Self {
            listener: Listener::new(),
            fitted: Fitted::new(FittedOut::UNKNOWN),
            refused: BTreeMap::new(),
            read: 0,
            messages: 0,
            positions: 0,
            observations: 0,
        }
    }

    fn refuse(&mut self, word: &'static str) {
        *self.refused.entry(word).or_default() += 1;
    }

    fn line(&mut self, line: Result<&[u8], Refusal>, source: Source, at: Timestamp) {
        match line.and_then(nmea0183::read) {
            Ok(heard) => {
                self.read += 1;
                self.report(&heard.report, source, at);
            }
            Err(refusal) => self.refuse(refusal.cause().word()),
        }
    }

    fn report(&mut self, report: &Report<'_>, source: Source, at: Timestamp) {
        if let Report::Ais(fragment) = *report {
            return self.fragment(fragment, source, at);
        }
        let mut seen = Vec::new();
        self.fitted.hear(source, report, at, &mut seen);
        // A sentence tells a handful of things: the voltages, turns and angles of an XDR at most.
        assert!(seen.len() <= 2 * LINE_BYTES_MAX / 8, "{report:?} gave {} observations", seen.len());
        assert!(seen.iter().all(can_be), "{report:?} gave {seen:?}");
        self.observations += seen.len() as u64;
    }

    fn fragment(&mut self, fragment: AisFragment<'_>, source: Source, at: Timestamp) {
        match self.listener.hear(source, fragment, at) {
            Ok(None) => {}
            Ok(Some(heard)) => {
                self.messages += 1;
                let positions = neighbour::reports(&heard, at)
                    .filter(|report| matches!(report.said, NeighbourSaid::Position { .. }));
                self.positions += positions.count() as u64;
            }
            Err(refusal) => self.refuse(refusal.word()),
        }
        assert!(self.listener.assembler().waiting() <= MOST_WAITING);
    }
}

/// No number that is none reaches the watch.
fn can_be(observation: &Observation) -> bool {
    match observation.seen {
        Seen::Way(way) => way.speed.is_finite() && 0.0 <= way.speed.as_knots(),
        Seen::Heading { bow, spread } => bow.as_degrees().is_finite() && spread.is_finite(),
        Seen::Water { depth } => depth.is_finite(),
        Seen::Battery { volts } => volts.is_finite(),
        Seen::Engine { rpm } => rpm.is_finite(),
        Seen::Turning { rate_deg_s } => rate_deg_s.is_finite(),
        Seen::ThroughWater { speed } => speed.is_finite(),
        Seen::RodeOut { length } => length.is_finite(),
        Seen::Attitude { heel_deg, pitch_deg } => heel_deg.is_finite() && pitch_deg.is_finite(),
        Seen::Fix(_) | Seen::NoFix | Seen::Wind(_) | Seen::Sky(_) => true,
    }
}

#[test]
fn a_million_damaged_lines_are_read_or_refused_and_nothing_grows() {
    let real = real_lines();
    let mut random = Pcg64::seed_from_u64(1);
    let (mut lines, mut aboard) = (Lines::new(), Aboard::new());
    let mut at: Timestamp = "2026-11-25T00:00:00Z".parse().unwrap();
    let mut stream = Vec::new();
    for _ in 0..LINES {
        stream.extend(damaged(&mut random, &real));
        stream.extend_from_slice([&b"\r\n"[..], b"\n", b"\r", b""][random.random_range(0..4)]);
        if PIECE < stream.len() {
            // Clocks jump, too.
            at += SignedDuration::from_millis(random.random_range(-500..2000));
            let source = Source(random.random_range(0..4));
            let piece = random.random_range(1..=PIECE);
            lines.push(&stream[..piece], |line| aboard.line(line, source, at));
            stream.drain(..piece);
        }
    }
    // It was no idle run: much is read, much is refused, and for many reasons.
    let Aboard { read, messages, positions, observations, refused, .. } = aboard;
    assert!(150_000 < read && 20_000 < messages && 10_000 < positions && 50_000 < observations);
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
        "ais-number",
    ];
    let unmet: Vec<_> = words.into_iter().filter(|word| !refused.contains_key(word)).collect();
    assert_eq!(unmet, [""; 0], "of {refused:?}");
}

/// Bytes without any sense, in lines as they fall.
#[test]
fn ten_megabytes_of_noise_are_refused() {
    let mut random = Pcg64::seed_from_u64(2);
    let (mut lines, mut aboard) = (Lines::new(), Aboard::new());
    let mut noise = [0; 16_384];
    for _ in 0..640 {
        random.fill_bytes(&mut noise);
        lines.push(&noise, |line| aboard.line(line, Source(0), Timestamp::UNIX_EPOCH));
    }
    assert!(50_000 < aboard.refused.values().sum::<u64>(), "{:?}", aboard.refused);
    assert_eq!((aboard.messages, aboard.observations), (0, 0));
}
