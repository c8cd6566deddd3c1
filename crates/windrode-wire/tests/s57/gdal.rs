//! Real charts, feature by feature and point by point, against GDAL's own S-57 driver.
//!
//! Source: `authorities/enc/gdal.json`, pyogrio 0.13.0 with GDAL 3.12.4, made by `builders/enc_gdal.py`.

use std::collections::BTreeMap;

use serde_json::Value;
use windrode_wire::s57::Chart;
use windrode_wire::s57::catalogue;
use windrode_wire::s57::geometry::{Geometry, Line, Point};

use crate::{authority, updates};

fn charts() -> Vec<(&'static str, Chart)> {
    let harbour = authority("US5WA22M.000.gz");
    let updates = updates();
    let updates: Vec<&[u8]> = updates.iter().map(Vec::as_slice).collect();
    vec![
        ("US5MA1BO", Chart::read(&authority("US5MA1BO.000"), &[]).unwrap()),
        ("US5WA22M", Chart::read(&harbour, &[]).unwrap()),
        ("US5WA22M updated", Chart::read(&harbour, &updates).unwrap()),
    ]
}

fn answers() -> Value {
    serde_json::from_slice(&authority("gdal.json")).unwrap()
}

/// What GDAL's answers sum up, of one class.
#[derive(Debug, Default)]
struct Summed {
    features: u64,
    records: u64,
    attributes: BTreeMap<String, (u64, u64)>,
    counts: BTreeMap<&'static str, u64>,
    sums: BTreeMap<&'static str, f64>,
}

impl Summed {
    fn add(&mut self, chart: &Chart, feature: &windrode_wire::s57::Feature) {
        let geometry = chart.geometry(feature);
        self.records += 1;
        self.features += if let Geometry::Soundings(all) = &geometry { all.len() as u64 } else { 1 };
        for (code, text) in feature.attributes().iter().chain(feature.national().iter()) {
            if text.is_empty() {
                continue;
            }
            let acronym = catalogue::attribute(code).unwrap().to_owned();
            let entry = self.attributes.entry(acronym.clone()).or_default();
            entry.0 += 1;
            entry.1 += u64::from(crc32(&format!("{}:{}", feature.number(), as_gdal(&acronym, text))));
        }
        self.add_geometry(&geometry);
    }

    fn add_geometry(&mut self, geometry: &Geometry) {
        let mut sum = |what: &'static str, amount: f64| *self.sums.entry(what).or_default() += amount;
        let mut points = |all: &mut dyn Iterator<Item = Point>| {
            let (mut count, mut latitudes, mut longitudes) = (0, 0.0, 0.0);
            for point in all {
                count += 1;
                latitudes += point.latitude_deg;
                longitudes += point.longitude_deg;
            }
            sum("latitude_sum_deg", latitudes);
            sum("longitude_sum_deg", longitudes);
            count
        };
        let (kind, count) = match geometry {
            Geometry::None => return,
            Geometry::Points(all) => ("points", points(&mut all.iter().copied())),
            Geometry::Soundings(all) => ("points", points(&mut all.iter().map(|sounding| sounding.at))),
            Geometry::Lines(lines) => {
                sum("length_deg", lines.iter().map(length_deg).sum());
                ("lines", 1)
            }
            Geometry::Area(area) => {
                sum("area_m2", area.area_m2());
                sum("corners", area.rings.iter().map(|ring| ring.points.len() as f64).sum());
                ("areas", 1)
            }
        };
        *self.counts.entry(kind).or_default() += count;
    }
}

fn length_deg(line: &Line) -> f64 {
    let pairs = line.points.windows(2);
    pairs
        .map(|pair| {
            (pair[1].latitude_deg - pair[0].latitude_deg).hypot(pair[1].longitude_deg - pair[0].longitude_deg)
        })
        .sum()
}

/// GDAL makes numbers of what the catalogue has as numbers.
fn as_gdal(acronym: &str, text: &str) -> String {
    let code = catalogue::attribute_code(acronym).unwrap();
    match text.parse::<f64>() {
        Ok(number) if is_a_number_to_gdal(code) => number.to_string(),
        _ => text.to_owned(),
    }
}

/// Types F and I of GDAL's own table.
fn is_a_number_to_gdal(code: u16) -> bool {
    let table = String::from_utf8_lossy(&authority("s57attributes.csv")).into_owned();
    let of_code = format!("{code},");
    table
        .lines()
        .filter(|line| line.starts_with(&of_code))
        .any(|line| line.ends_with(",F,F") || line.ends_with(",I,F"))
}

/// The check sum of zlib.
fn crc32(text: &str) -> u32 {
    let step = |crc: u32, _| if crc & 1 == 1 { crc >> 1 ^ 0xedb8_8320 } else { crc >> 1 };
    !text.bytes().fold(!0, |crc, byte| (0..8).fold(crc ^ u32::from(byte), step))
}

#[track_caller]
fn near(found: f64, wanted: f64, within: f64, what: &str) {
    assert!((found - wanted).abs() <= within, "{what}: {found}, GDAL {wanted}");
}

#[test]
fn every_class_has_gdals_features_attributes_and_places() {
    let answers = answers();
    for (name, chart) in charts() {
        let mut classes = BTreeMap::<String, Summed>::new();
        for feature in chart.features() {
            classes.entry(feature.class().acronym().into_owned()).or_default().add(&chart, feature);
        }
        let wanted = answers[name]["classes"].as_object().unwrap();
        assert!(classes.keys().eq(wanted.keys()), "{name}: {:?}, GDAL {:?}", classes.keys(), wanted.keys());
        for (class, found) in &classes {
            compared(&format!("{name} {class}"), found, &wanted[class]);
        }
    }
}

fn compared(what: &str, found: &Summed, wanted: &Value) {
    assert_eq!(found.features, wanted["features"].as_u64().unwrap(), "{what}");
    assert_eq!(found.records, wanted["records"].as_u64().unwrap(), "{what}");
    let attributes = wanted["attributes"].as_object().unwrap();
    for (acronym, (count, crc)) in &found.attributes {
        // GDAL tells a feature's attributes for each of its soundings again, but the sum takes each record once.
        assert_eq!(json(&[*count, *crc]), attributes[acronym], "{what} {acronym}");
    }
    assert_eq!(found.attributes.len(), attributes.len(), "{what}: {:?}", found.attributes.keys());
    for (kind, count) in &found.counts {
        assert_eq!(*count, wanted[*kind].as_u64().unwrap(), "{what} {kind}");
    }
    for (sum, amount) in &found.sums {
        let wanted = wanted[*sum].as_f64().unwrap();
        // Geodesics over 0.0005 degrees still leave slivers of a millimetre; a ten-millionth is what is left of them.
        // Places are whole ten-millionths of a degree in both.
        let within = if *sum == "area_m2" { 1e-7 * wanted + 0.01 } else { 1e-9 * wanted.abs() + 1e-9 };
        near(*amount, wanted, within, &format!("{what} {sum}"));
    }
}

fn json(pair: &[u64]) -> Value {
    Value::from(pair.to_vec())
}
