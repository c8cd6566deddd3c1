//! The packed stations that the program carries, against the tables of the authorities; and bytes that lie.

use jiff::{SignedDuration, Timestamp};
use proptest::prelude::*;
use serde_json::Value;
use windrode_domain::environment::current::{Stream, StreamTurn};
use windrode_domain::environment::tide::harmonic::Convention;
use windrode_domain::environment::tide::{HighOrLow, Tide};
use windrode_domain::span::Span;
use windrode_wire::stations::{Kind, Stations, StationsError, Water};

static PACKED: &[u8] = include_bytes!("../../../data/stations.bin");
const HIGHS_AND_LOWS: &str = include_str!("../../../authorities/tide/noaa_official_hilo.json");
const CURRENTS: &str = include_str!("../../../authorities/tide/noaa_currents_official.json");

fn packed() -> Vec<u8> {
    PACKED.to_vec()
}

fn json(text: &str) -> Value {
    serde_json::from_str(text).expect("JSON")
}

fn water(stations: &Stations<'_>, id: &str) -> Water {
    let entry = stations.find(id).expect("sound bytes").unwrap_or_else(|| panic!("{id} is not carried"));
    stations.water(&entry, Convention::UsTables).expect("constants that can be")
}

fn tide(stations: &Stations<'_>, id: &str) -> Tide {
    match water(stations, id) {
        Water::Tide(tide) => tide,
        Water::Stream(_) => panic!("{id} is a stream"),
    }
}

fn stream(stations: &Stations<'_>, id: &str) -> Stream {
    match water(stations, id) {
        Water::Stream(stream) => stream,
        Water::Tide(_) => panic!("{id} is a tide"),
    }
}

fn at(value: &Value) -> Timestamp {
    value.as_str().expect("a time").parse().expect("an instant")
}

fn wide(events: &[Value]) -> Span {
    let day = SignedDuration::from_hours(24);
    Span::new(at(&events[0]["time"]) - day, at(&events[events.len() - 1]["time"]) + day).expect("a span")
}

#[test]
fn every_station_can_be_read_and_predicts() {
    let bytes = packed();
    let stations = Stations::read(&bytes).expect("sound bytes");
    let when: Timestamp = "2026-11-27T05:00:00Z".parse().expect("an instant");
    let mut before = String::new();
    for entry in stations.iter() {
        let entry = entry.expect("a sound record");
        assert!(before.as_str() < entry.id, "{} after {before}", entry.id);
        before = entry.id.to_owned();
        assert!(!entry.name.is_empty() && !entry.source.attribution.is_empty(), "{}", entry.id);
        stations.pedigree(&entry).expect("a pedigree");
        match stations.water(&entry, Convention::Continuous).expect("constants that can be") {
            Water::Tide(tide) => {
                assert_eq!(tide.datum(), entry.datum);
                assert!(!entry.datum.is_empty());
                let height = tide.height_at(when).unwrap_or_else(|error| panic!("{}: {error}", entry.id));
                // The largest tides on earth rise some 16 m above their datum.
                assert!(height.0.abs().as_metres() < 17.0, "{}: {}", entry.id, height.0);
            }
            Water::Stream(stream) => {
                let there = stream.at(when).unwrap_or_else(|error| panic!("{}: {error}", entry.id));
                assert!(there.speed.as_knots() < 16.0, "{}: {}", entry.id, there.speed);
            }
        }
    }
    assert_eq!(stations.len(), stations.iter().count());
}

// Authority: the collection's own lowest and highest astronomical tides, found over 19 years by another program from
// all constituents, ours and those left out.
#[test]
fn the_lowest_astronomical_tide_is_not_undercut() {
    let bytes = packed();
    let stations = Stations::read(&bytes).expect("sound bytes");
    let year = |year: i16| format!("{year}-01-01T00:00:00Z").parse::<Timestamp>().expect("an instant");
    let span = Span::new(year(2026), year(2027)).expect("a span");
    let on_lat =
        stations.iter().map(|entry| entry.expect("a sound record")).filter(|entry| entry.datum == "LAT");
    let mut checked = 0;
    for entry in on_lat {
        let Water::Tide(tide) =
            stations.water(&entry, Convention::Continuous).expect("constants that can be")
        else {
            panic!("{} has a datum, but no heights", entry.id)
        };
        let heights = tide.heights(span, SignedDuration::from_hours(1)).expect("heights");
        let lowest = heights.iter().map(|height| height.0.as_metres()).fold(f64::INFINITY, f64::min);
        // Of what is left out 5 cm (rms) is the most; the lowest of a year lies above that of 19.
        assert!(-0.05 < lowest, "{}: {lowest} m", entry.id);
        checked += 1;
    }
    assert!(500 < checked, "{checked}");
}

// Authority: NOAA CO-OPS, official high and low waters.
#[test]
fn packed_stations_meet_the_official_highs_and_lows() {
    let bytes = packed();
    let stations = Stations::read(&bytes).expect("sound bytes");
    for series in json(HIGHS_AND_LOWS)["series"].as_array().expect("series") {
        let id = series["station"].as_str().expect("an id");
        let events = series["events"].as_array().expect("events");
        let ours = tide(&stations, id).events(wide(events)).expect("events");
        for event in events {
            let kind = if event["kind"] == "high" { HighOrLow::High } else { HighOrLow::Low };
            let when = at(&event["time"]);
            let same = ours.iter().filter(|own| own.kind == kind);
            let own = same.min_by_key(|own| own.at.duration_since(when).abs()).expect("an event");
            let off = own.height.0.as_metres() - event["height_m"].as_f64().expect("a height");
            assert!(
                own.at.duration_since(when).abs() < SignedDuration::from_mins(1),
                "{id} {when}: {}",
                own.at
            );
            assert!(off.abs() < 2e-3, "{id} {when}: {off}");
        }
    }
}

// Authority: NOAA CO-OPS, official current predictions. Where the speed only just touches nought the tables print a
// slack, or nothing.
#[test]
fn packed_subordinate_streams_meet_the_official_ones() {
    let bytes = packed();
    let stations = Stations::read(&bytes).expect("sound bytes");
    let official = json(CURRENTS);
    for set in official["sets"]["currents-golden-sub-batch"]["stations"].as_array().expect("stations") {
        let id = format!("noaa/{}", set["id"].as_str().expect("an id"));
        let events = set["events"].as_array().expect("events");
        let ours = stream(&stations, &id).events(wide(events)).expect("events");
        for event in events {
            let kind = match event["kind"].as_str() {
                Some("slack") => StreamTurn::Slack,
                Some("maxFlood") => StreamTurn::MaxFlood,
                Some("maxEbb") => StreamTurn::MaxEbb,
                other => panic!("{other:?}"),
            };
            let when = at(&event["time"]);
            let same = ours.iter().filter(|own| own.kind == kind);
            let own = same.min_by_key(|own| own.at.duration_since(when).abs()).expect("an event");
            let off_kn = own.along_axis.as_knots() - event["speed"].as_f64().expect("a speed");
            let off_min = own.at.duration_since(when).as_secs_f64() / 60.0;
            assert!(off_kn.abs() < 0.12 && off_min.abs() < 10.0, "{id} {when}: {off_kn} kn, {off_min} min");
        }
    }
}

#[test]
fn bytes_cut_anywhere_are_refused() {
    let bytes = packed();
    for length in (0..4000).chain((4000..bytes.len()).step_by(9973)) {
        assert!(Stations::read(&bytes[..length]).is_err(), "{length}");
    }
    assert_eq!(Stations::read(b"anything else").unwrap_err(), StationsError::NotStations);
}

/// Reads all there is to read; whatever the bytes, it must come back.
fn read_all(bytes: &[u8]) {
    let Ok(stations) = Stations::read(bytes) else { return };
    for entry in stations.iter().take(50).flatten() {
        let _ = stations.pedigree(&entry);
        let _ = stations.water(&entry, Convention::Continuous);
    }
    let _ = stations.find("noaa/9411340");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_change_of_bytes_makes_the_reader_panic(
        changes in prop::collection::vec((0usize..1_000_000, any::<u8>()), 1..200)
    ) {
        let mut bytes = packed();
        let length = bytes.len();
        for (at, byte) in changes {
            bytes[at % length] = byte;
        }
        read_all(&bytes);
    }

    #[test]
    fn no_bytes_at_all_make_the_reader_panic(tail in prop::collection::vec(any::<u8>(), 0..600)) {
        let mut bytes = b"WRDSTN01".to_vec();
        bytes.extend(tail);
        read_all(&bytes);
    }
}

#[test]
fn streams_and_tides_are_told_apart_in_the_index() {
    let bytes = packed();
    let stations = Stations::read(&bytes).expect("sound bytes");
    let kind = |id: &str| stations.find(id).expect("sound bytes").expect("carried").kind;
    assert_eq!(kind("noaa/9411340"), Kind::TideHarmonic);
    assert_eq!(kind("noaa/TEC4635"), Kind::TideSubordinate);
    assert_eq!(kind("noaa/PUG1741"), Kind::StreamHarmonic);
    assert_eq!(kind("noaa/PCT0236"), Kind::StreamSubordinate);
    assert!(stations.find("noaa/nowhere").expect("sound bytes").is_none());
}
