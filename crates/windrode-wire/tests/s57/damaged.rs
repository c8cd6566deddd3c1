//! Charts that were real once: bits turned over, ends cut off, numbers made huge, records repeated, left out, put
//! elsewhere. Whatever comes is read or refused; nothing panics, and nothing takes long.

use std::collections::BTreeMap;

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use windrode_wire::s57::Chart;

use crate::{authority, updates};

const CASES: usize = 6_000;

/// The records of a file, by the lengths that they state.
fn records(bytes: &[u8]) -> Vec<Vec<u8>> {
    let (mut records, mut rest) = (Vec::new(), bytes);
    while let Some(length) = rest.get(..5).and_then(|digits| std::str::from_utf8(digits).ok()?.parse().ok()) {
        let (record, left) = rest.split_at(length);
        records.push(record.to_vec());
        rest = left;
    }
    records
}

/// One file, damaged in one way.
fn damaged(random: &mut Pcg64, whole: &[u8], records: &[Vec<u8>]) -> Vec<u8> {
    let mut bytes = whole.to_vec();
    let place = random.random_range(0..bytes.len());
    let pick = |random: &mut Pcg64| random.random_range(1..records.len());
    match random.random_range(0..8) {
        0 => {
            for _ in 0..random.random_range(1..=4) {
                let place = random.random_range(0..bytes.len());
                bytes[place] ^= 1 << random.random_range(0..8);
            }
        }
        1 => bytes.truncate(place),
        2 => {
            let kept = pick(random);
            bytes = records[..kept].concat();
        }
        3 => {
            let mut records = records.to_vec();
            records.remove(pick(random));
            bytes = records.concat();
        }
        4 => {
            let mut records = records.to_vec();
            let (from, to) = (pick(random), pick(random));
            let again = records[from].clone();
            records.insert(to, again);
            bytes = records.concat();
        }
        5 => {
            // Digits of leaders and directories, most of all.
            let digits: Vec<usize> =
                (0..bytes.len().min(4000)).filter(|&at| bytes[at].is_ascii_digit()).collect();
            let at = digits[random.random_range(0..digits.len())];
            bytes[at] = b"0123456789"[random.random_range(0..10)];
        }
        6 => {
            let end = (place + random.random_range(1..5)).min(bytes.len());
            bytes[place..end].fill([0, 0xff, 0x1e, 0x1f][random.random_range(0..4)]);
        }
        _ => {
            let mut records = records.to_vec();
            let (a, b) = (pick(random), pick(random));
            records.swap(a, b);
            bytes = records.concat();
        }
    }
    bytes
}

#[test]
fn thousands_of_damaged_charts_are_read_or_refused_each_with_a_reason() {
    let whole = authority("US5MA1BO.000");
    let parts = records(&whole);
    let mut random = Pcg64::seed_from_u64(57);
    let mut reasons = BTreeMap::<String, usize>::new();
    let mut read = 0;
    for _ in 0..CASES {
        match Chart::read(&damaged(&mut random, &whole, &parts), &[]) {
            Ok(chart) => {
                read += 1;
                let placed = chart.features().iter().map(|feature| chart.geometry(feature));
                assert!(placed.count() == chart.features().len());
            }
            Err(refusal) => {
                let kind: String =
                    format!("{refusal:?}").chars().take_while(char::is_ascii_alphanumeric).collect();
                *reasons.entry(kind).or_default() += 1;
                assert!(!refusal.to_string().is_empty());
            }
        }
    }
    // It was no idle run: a turned bit of a coordinate is still a chart, the rest is refused for many reasons.
    assert!(CASES / 10 < read && read < CASES * 3 / 4, "{read} read, {reasons:?}");
    for kind in ["Damage", "Counts", "Twice", "Dangling", "Shape", "Subfield", "UnexpectedField"] {
        assert!(reasons.contains_key(kind), "no {kind} among {reasons:?}");
    }
}

#[test]
fn damaged_updates_refuse_the_whole_chart_or_fit() {
    let base = authority("US5WA22M.000.gz");
    let updates = updates();
    let last = updates.last().unwrap();
    let parts = records(last);
    let mut random = Pcg64::seed_from_u64(58);
    let mut refused = 0;
    for _ in 0..40 {
        let damaged = damaged(&mut random, last, &parts);
        let all: Vec<&[u8]> = updates[..3].iter().map(Vec::as_slice).chain([&*damaged]).collect();
        refused += usize::from(Chart::read(&base, &all).is_err());
    }
    assert!((10..40).contains(&refused), "{refused} refused");
}

#[test]
fn a_chart_cut_off_anywhere_is_refused() {
    let whole = authority("US5MA1BO.000");
    let mut random = Pcg64::seed_from_u64(59);
    for _ in 0..500 {
        let end = random.random_range(0..whole.len());
        assert!(Chart::read(&whole[..end], &[]).is_err(), "cut at {end}");
    }
    assert!(Chart::read(&whole, &[]).is_ok());
}
