//! What a neighbour's report costs: `cargo bench -p windrode-domain --bench fleet`.
//!
//! 2,000 vessels lie within a mile of us and report every three minutes: eleven reports a second. Each has lain for
//! three hours, so that her memory is full and her circles are fitted anew with every report.

use divan::counter::ItemsCount;
use divan::{Bencher, black_box};
use jiff::{SignedDuration, Timestamp};
use windrode_domain::environment::wind::Wind;
use windrode_domain::position::{Offset, Position};
use windrode_domain::units::{Bearing, Length, Speed};
use windrode_domain::watch::event::{NeighbourReport, NeighbourSaid, NeighbourStatus};
use windrode_domain::watch::neighbours::{Fleet, FleetSetup, OwnState, Surroundings};

fn main() {
    divan::main();
}

const VESSELS: u32 = 2000;
const ROUNDS: u32 = 60;

fn origin() -> Position {
    Position::new(-42.5, 173.5).expect("a place")
}

/// The report of one vessel in one round: she sheers over 9° to either side on 40 m of reach.
fn report(mmsi: u32, round: u32, heading_told: bool) -> NeighbourReport {
    let begin: Timestamp = "2026-02-03T18:00:00Z".parse().expect("an instant");
    let seconds = 180.0 * f64::from(round) + 0.09 * f64::from(mmsi);
    let berth = Offset { east_m: 80.0 * f64::from(mmsi % 40), north_m: 80.0 * f64::from(mmsi / 40) };
    let sheer = (f64::from(round) * 2.4 + f64::from(mmsi)).sin();
    let bow = Offset::along(Bearing::degrees(50.0 + 9.0 * sheer), Length::metres(40.0 + sheer));
    let said = NeighbourSaid::Position {
        at: origin().plus(berth + bow),
        speed: Some(Speed::knots(0.1)),
        course: None,
        heading: heading_told.then(|| Bearing::degrees(230.0 + 20.0 * sheer)),
        status: NeighbourStatus::AtAnchor,
        accurate: true,
        turning_deg_min: None,
    };
    let at = begin.checked_add(SignedDuration::from_secs_f64(seconds)).expect("in range");
    NeighbourReport { at, mmsi, said }
}

fn around(wind_known: bool) -> Surroundings {
    let own =
        OwnState { bow: origin(), anchor: None, reach: Length::metres(40.0), length: Length::metres(12.0) };
    let wind = Wind::blowing(Bearing::degrees(230.0), Speed::metres_per_second(9.0));
    Surroundings { own: Some(own), wind: wind_known.then_some(wind) }
}

fn lain(heading_told: bool, wind_known: bool) -> Fleet {
    let mut fleet = Fleet::new(FleetSetup::default());
    for round in 0..ROUNDS {
        for mmsi in 0..VESSELS {
            let report = report(mmsi, round, heading_told);
            fleet.hear(&report, &around(wind_known), report.at);
        }
    }
    fleet
}

/// One report of each of 2,000 vessels.
#[divan::bench(args = [(true, true), (false, true), (false, false)], sample_count = 10)]
fn a_report(bencher: Bencher<'_, '_>, (heading_told, wind_known): (bool, bool)) {
    let mut fleet = lain(heading_told, wind_known);
    let mut round = ROUNDS;
    let around = around(wind_known);
    bencher.counter(ItemsCount::new(VESSELS)).bench_local(|| {
        for mmsi in 0..VESSELS {
            let report = report(mmsi, round, heading_told);
            fleet.hear(black_box(&report), &around, report.at);
        }
        round += 1;
    });
}

/// What is said of all 2,000.
#[divan::bench(sample_count = 10)]
fn what_is_said(bencher: Bencher<'_, '_>) {
    let fleet = lain(true, true);
    bencher.counter(ItemsCount::new(VESSELS)).bench_local(|| fleet.vessels().count());
}
