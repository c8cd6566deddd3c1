//! How long it takes to read a chart to features, every boundary joined and checked.

use std::io::Read;

use divan::{Bencher, black_box};
use flate2::read::GzDecoder;
use windrode_wire::s57::Chart;
use windrode_wire::s57::geometry::Geometry;

fn main() {
    divan::main();
}

/// A harbour of 2.1 MB with some 4 200 features.
const HARBOUR: &[u8] = include_bytes!("../../../authorities/enc/US5WA22M.000.gz");

fn unpacked() -> Vec<u8> {
    let mut bytes = Vec::new();
    GzDecoder::new(HARBOUR).read_to_end(&mut bytes).expect("a packed chart");
    bytes
}

/// As far as features with their attributes, all pointers followed.
#[divan::bench]
fn harbour_to_chart(bencher: Bencher) {
    let bytes = unpacked();
    bencher.bench(|| Chart::read(black_box(&bytes), &[]).is_ok());
}

/// The same, and the geometry of each feature: all that a program asks that reads a chart whole.
#[divan::bench]
fn harbour_to_features(bencher: Bencher) {
    let bytes = unpacked();
    bencher.bench(|| {
        let chart = Chart::read(black_box(&bytes), &[]).expect("a chart");
        let placed = chart.features().iter().map(|feature| chart.geometry(feature));
        placed.filter(|geometry| *geometry != Geometry::None).count()
    });
}
