//! The files of `authorities/nmea`.

use std::collections::BTreeMap;

use windrode_wire::nmea0183::lines::Lines;

/// The logs, with how many lines of comment (`#`) stand in each, counted by grep.
pub(crate) const LOGS: [(&str, u64); 6] = [
    ("ais-nmea.log", 4),
    ("bundg_zeus_9.log", 10),
    ("hemi.log", 2),
    ("humminbird-M37.log", 11),
    ("saab-r4.log", 4),
    ("sounder.log", 4),
];

fn bytes(log: &str) -> &'static [u8] {
    match log {
        "ais-nmea.log" => include_bytes!("../../../../authorities/nmea/ais-nmea.log"),
        "bundg_zeus_9.log" => include_bytes!("../../../../authorities/nmea/bundg_zeus_9.log"),
        "hemi.log" => include_bytes!("../../../../authorities/nmea/hemi.log"),
        "humminbird-M37.log" => include_bytes!("../../../../authorities/nmea/humminbird-M37.log"),
        "saab-r4.log" => include_bytes!("../../../../authorities/nmea/saab-r4.log"),
        "sounder.log" => include_bytes!("../../../../authorities/nmea/sounder.log"),
        other => panic!("{other} is no log"),
    }
}

/// Every line of a log.
pub(crate) fn lines(log: &str) -> Vec<Vec<u8>> {
    let (mut framer, mut lines) = (Lines::new(), Vec::new());
    let mut keep = |line: Result<&[u8], _>| lines.push(line.unwrap().to_vec());
    framer.push(bytes(log), &mut keep);
    framer.finish(&mut keep);
    lines
}

/// What pynmea2 reads (`builders/nmea_pynmea2.py`).
#[derive(serde::Deserialize)]
pub(crate) struct Authority {
    pub(crate) counts: BTreeMap<String, BTreeMap<String, u64>>,
    pub(crate) cases: Vec<Case>,
}

#[derive(serde::Deserialize)]
pub(crate) struct Case {
    pub(crate) line: String,
    pub(crate) fields: Fields,
    pub(crate) latitude_deg: Option<f64>,
    pub(crate) longitude_deg: Option<f64>,
}

#[derive(serde::Deserialize)]
#[serde(untagged)]
pub(crate) enum Fields {
    Named(BTreeMap<String, String>),
    Listed(Vec<String>),
}

pub(crate) fn authority() -> Authority {
    serde_json::from_str(include_str!("../../../../authorities/nmea/pynmea2.json")).unwrap()
}
