//! Outside answers, what is refused, and that no bytes make the reader panic.

use proptest::prelude::*;
use windrode_domain::environment::wind::Exposure;

use super::*;

macro_rules! authorities {
    ($($name:literal),* $(,)?) => {
        [$(($name, include_bytes!(concat!("../../../../authorities/grib/", $name)).as_slice())),*]
    };
}

const FILES: [(&str, &[u8]); 16] = authorities![
    "gfs_20110110_12z_f120_2p5deg_wind10m_gust.grib2",
    "synth_simple_N2S.grib2",
    "synth_complexdiff_N2S.grib2",
    "synth_ccsds_N2S.grib2",
    "cases_south_to_north.grib2",
    "cases_across_180.grib2",
    "cases_east_to_west.grib2",
    "cases_by_column.grib2",
    "cases_alternating.grib2",
    "cases_complex.grib2",
    "cases_png.grib2",
    "cases_gust_of_interval.grib2",
    "cases_member.grib2",
    "cases_missing.grib2",
    "cases_at_100_m.grib2",
    "eccodes_wind.json",
];

fn file(name: &str) -> Vec<u8> {
    FILES.iter().find(|(known, _)| *known == name).unwrap().1.to_vec()
}

#[derive(serde::Deserialize)]
struct Answers {
    files: BTreeMap<String, Vec<Answer>>,
}

#[derive(serde::Deserialize)]
struct Answer {
    at: String,
    kind: String,
    lat: f64,
    lon: f64,
    value: f64,
}

fn place(latitude_deg: f64, longitude_deg: f64) -> Position {
    Position::new(latitude_deg, longitude_deg).unwrap()
}

fn forecast(name: &str, place: Position) -> Forecast {
    WindGrids::read(&file(name)).unwrap_or_else(|e| panic!("{name}: {e:?}")).at(place).unwrap()
}

#[track_caller]
fn refused(bytes: &[u8], place: Position) -> String {
    let problems = WindGrids::read(bytes).and_then(|grids| grids.at(place)).unwrap_err();
    problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ")
}

// Source: ECMWF eccodes 2.50.0 (authorities/grib/eccodes_wind.json): the real GFS file with two fields in one
// message, the synthetic series, and every scanning order, packing and template that is read.
#[test]
fn every_packing_and_scanning_order_agrees_with_eccodes() {
    let answers: Answers = serde_json::from_slice(&file("eccodes_wind.json")).unwrap();
    let mut worst = 0.0_f64;
    let mut compared = 0;
    for (name, rows) in &answers.files {
        for row in rows {
            let forecast = forecast(name, place(row.lat, row.lon));
            let step = forecast.steps().iter().find(|step| step.at.to_string() == row.at).unwrap();
            let value = match row.kind.as_str() {
                "u" => step.wind.east_ms,
                "v" => step.wind.north_ms,
                _ => step.gust.unwrap().as_metres_per_second(),
            };
            // A part in a million of the field's reach (some 40 m/s): values are unpacked in 32 bits.
            assert!(
                (value - row.value).abs() < 4e-5,
                "{name} {} {}: {value} not {}",
                row.at,
                row.kind,
                row.value
            );
            worst = worst.max((value - row.value).abs());
            compared += 1;
        }
    }
    assert!(300 < compared, "{compared}");
    assert!(worst < 4e-5, "{worst}");
}

// Source: flag table 3.4 of WMO-No. 306, bit 4: adjacent rows scan in opposite directions. The builder stored the
// same winds in both files.
#[test]
fn rows_that_run_to_and_fro_hold_the_same_winds() {
    for (latitude_deg, longitude_deg) in [(-40.62, 174.81), (-41.2, 174.8), (-40.9, 175.9)] {
        let here = place(latitude_deg, longitude_deg);
        let (plain, turned) =
            (forecast("cases_south_to_north.grib2", here), forecast("cases_alternating.grib2", here));
        for (a, b) in plain.steps().iter().zip(turned.steps()) {
            // The same values packed in the same way.
            assert!((a.wind.east_ms - b.wind.east_ms).abs() < 1e-6);
            assert!((a.wind.north_ms - b.wind.north_ms).abs() < 1e-6);
        }
    }
}

#[test]
fn packings_of_the_same_series_agree_with_each_other() {
    let here = place(41.17, -71.58);
    let simple = forecast("synth_simple_N2S.grib2", here);
    assert_eq!(simple.steps().len(), 9);
    for other in ["synth_complexdiff_N2S.grib2", "synth_ccsds_N2S.grib2"] {
        for (a, b) in simple.steps().iter().zip(forecast(other, here).steps()) {
            assert_eq!(a.at, b.at);
            // Sixteen bits over the field's range, rounded once in each.
            assert!((a.wind.east_ms - b.wind.east_ms).abs() < 1e-3);
        }
    }
}

#[test]
fn provenance_tells_the_run_the_grid_and_how_far_the_nearest_point_is() {
    let forecast = forecast("gfs_20110110_12z_f120_2p5deg_wind10m_gust.grib2", place(41.1, -71.6));
    let provenance = forecast.provenance();
    assert!(provenance.source.starts_with("US NCEP"));
    assert_eq!(provenance.issued, Some("2011-01-10T12:00:00Z".parse().unwrap()));
    assert_eq!(provenance.member, None);
    let grid = provenance.grid.unwrap();
    assert!((grid.latitude_step_deg - 2.5).abs() < 1e-9);
    assert!((grid.nearest.latitude_deg() - 40.0).abs() < 1e-9);
    assert!((grid.nearest.longitude_deg() + 72.5).abs() < 1e-9);
    // 1.1° of latitude and 0.9° of longitude at 41° N: some 122 and 76 km.
    assert!((140_000.0..150_000.0).contains(&grid.distance.as_metres()));
}

#[test]
fn the_gust_of_an_interval_belongs_to_its_end_and_keeps_its_length() {
    let forecast = forecast("cases_gust_of_interval.grib2", place(-41.2, 174.8));
    let [first, second] = forecast.steps() else { panic!("two steps") };
    assert_eq!(first.at, "2026-12-31T21:00:00Z".parse().unwrap());
    assert_eq!(second.at, "2027-01-01T00:00:00Z".parse().unwrap());
    assert_eq!(second.gust_over, SignedDuration::from_hours(3));
    let midway = "2026-12-31T21:01:00Z".parse().unwrap();
    let gust = forecast.at(midway, Exposure::AtSea).unwrap().gust;
    assert!(second.gust.unwrap() <= gust);
}

#[test]
fn the_member_of_an_ensemble_is_told() {
    assert_eq!(forecast("cases_member.grib2", place(-41.2, 174.8)).provenance().member, Some(7));
}

#[test]
fn a_place_off_the_grid_is_refused_with_what_the_grid_covers() {
    let bytes = file("synth_simple_N2S.grib2");
    let words = refused(&bytes, place(50.0, -71.0));
    assert!(words.contains("outside the forecast") && words.contains("40.5"), "{words}");
    for (latitude_deg, longitude_deg) in [(41.0, -69.9), (41.0, -73.1), (40.4, -71.0), (42.1, -71.0)] {
        assert!(WindGrids::read(&bytes).unwrap().at(place(latitude_deg, longitude_deg)).is_err());
    }
    // The corners belong to the grid.
    for (latitude_deg, longitude_deg) in [(40.5, -73.0), (42.0, -70.0), (40.5, -70.0), (42.0, -73.0)] {
        assert!(WindGrids::read(&bytes).unwrap().at(place(latitude_deg, longitude_deg)).is_ok());
    }
}

#[test]
fn a_missing_value_beside_the_place_is_refused_and_one_farther_off_is_not() {
    let bytes = file("cases_missing.grib2");
    // The point without a value: 0.5° south of the northern edge, 0.75° east of the western.
    assert!(refused(&bytes, place(-40.55, 174.8)).contains("missing at a grid point"));
    assert!(WindGrids::read(&bytes).unwrap().at(place(-41.1, 175.8)).is_ok());
}

#[test]
fn a_wind_at_another_level_is_no_wind_at_the_deck() {
    let words = refused(&file("cases_at_100_m.grib2"), place(-41.2, 174.8));
    assert!(words.contains("no 10 m wind") && words.contains("at level 100"), "{words}");
}

#[test]
fn a_file_without_gusts_gives_none() {
    let bytes = file("cases_south_to_north.grib2");
    let messages = messages(&bytes);
    let winds: Vec<u8> = [0, 1].into_iter().flat_map(|i: usize| messages[i].to_vec()).collect();
    let forecast = WindGrids::read(&winds).unwrap().at(place(-41.2, 174.8)).unwrap();
    assert_eq!(forecast.steps()[0].gust, None);
}

#[test]
fn what_does_not_belong_together_is_refused_by_name() {
    let here = place(-41.2, 174.8);
    let bytes = file("cases_south_to_north.grib2");
    assert!(refused(&[bytes.clone(), bytes.clone()].concat(), here).contains("is there twice"));
    let other_grid = file("cases_across_180.grib2");
    assert!(refused(&[bytes.clone(), other_grid].concat(), here).contains("mixes grids"));
    let member = file("cases_member.grib2");
    assert!(refused(&[file("cases_alternating.grib2"), member].concat(), here).contains("mixes members"));
    let gfs = file("gfs_20110110_12z_f120_2p5deg_wind10m_gust.grib2");
    assert!(refused(&[bytes.clone(), gfs].concat(), here).contains("mixes services"));
    let lone = messages(&bytes)[0].to_vec();
    assert!(refused(&lone, here).contains("the northward wind is missing"));
    let mut later = bytes.clone();
    // Day of the reference time, octet 16 of section 1, in the first message.
    later[16 + 15] = 30;
    assert!(refused(&later, here).contains("mixes model runs"));
}

#[test]
fn what_is_no_grib_or_cut_off_is_said_to_be() {
    let here = place(41.0, -71.0);
    assert!(refused(b"", here).contains("not a GRIB file"));
    assert!(refused(&vec![0; 10_000], here).contains("not a GRIB file"));
    assert!(refused(b"GRIB", here).contains("cut off"));
    let bytes = file("synth_simple_N2S.grib2");
    assert!(refused(&bytes[..bytes.len() - 100], here).contains("cut off"));
    let mut grib1 = bytes.clone();
    grib1[7] = 1;
    assert!(refused(&grib1, here).contains("edition 1"));
    let mut trailed = bytes.clone();
    trailed.extend(b"remains of a message");
    assert!(refused(&trailed, here).contains("no message"));
    let mut padded = bytes;
    padded.extend([0; 64]);
    assert!(WindGrids::read(&padded).is_ok());
}

fn messages(bytes: &[u8]) -> Vec<&[u8]> {
    let mut messages = Vec::new();
    let mut rest = bytes;
    while !rest.is_empty() {
        let length = u64::from_be_bytes(rest[8..16].try_into().unwrap());
        let (message, after) = rest.split_at(usize::try_from(length).unwrap());
        messages.push(message);
        rest = after;
    }
    messages
}

fn read_whatever(bytes: &[u8]) {
    if let Ok(grids) = WindGrids::read(bytes) {
        let [south_deg, _, west_deg, _] = grids.grid.bounds_deg();
        let _ = grids.at(place(south_deg, west_deg));
        let _ = grids.at(place(41.1, -71.6));
    }
}

// A group of four thousand million values in four bytes must not be believed.
#[test]
fn no_stated_length_is_believed_before_it_is_added_up() {
    let mut bytes = messages(&file("cases_complex.grib2"))[0].to_vec();
    let packing = bytes.windows(5).position(|window| window[4] == 5 && window[..4] == [0, 0, 0, 47]).unwrap();
    // Length of the last group, octets 43 to 46 of section 5.
    bytes[packing + 42..packing + 46].copy_from_slice(&[0xff; 4]);
    let both = [bytes, messages(&file("cases_complex.grib2"))[1].to_vec()].concat();
    assert!(refused(&both, place(-41.2, 174.8)).contains("groups hold"));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn no_change_of_bytes_makes_it_panic(
        which in 0_usize..6,
        changes in prop::collection::vec((0.0_f64..1.0, any::<u8>()), 1..12),
        cut in prop::option::of(0.0_f64..1.0),
    ) {
        let name = [
            "cases_complex.grib2", "cases_member.grib2", "synth_complexdiff_N2S.grib2", "cases_missing.grib2",
            "cases_png.grib2", "cases_south_to_north.grib2",
        ][which];
        let mut bytes = file(name);
        // Two in three fall into the first field, where the sections that steer the reading are.
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a share of a length")]
        let place_in = |share: f64, length: usize| (share * length as f64) as usize;
        for (i, (share, byte)) in changes.into_iter().enumerate() {
            let reach = if i % 3 == 0 { bytes.len() } else { bytes.len().min(260) };
            let at = place_in(share, reach);
            bytes[at] = byte;
        }
        if let Some(share) = cut {
            bytes.truncate(place_in(share, bytes.len()));
        }
        read_whatever(&bytes);
    }

    #[test]
    fn no_bytes_at_all_make_it_panic(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        read_whatever(&[b"GRIB\0\0\0\x02".to_vec(), bytes].concat());
    }
}
