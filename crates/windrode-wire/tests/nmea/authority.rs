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

pub(crate) fn path(name: &str) -> String {
    format!("{}/../../authorities/nmea/{name}", env!("CARGO_MANIFEST_DIR"))
}

/// Every line of a log.
pub(crate) fn lines(name: &str) -> Vec<Vec<u8>> {
    let (mut framer, mut lines) = (Lines::new(), Vec::new());
    let mut keep = |line: Result<&[u8], _>| lines.push(line.unwrap().to_vec());
    framer.push(&std::fs::read(path(name)).unwrap(), &mut keep);
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
    serde_json::from_slice(&std::fs::read(path("pynmea2.json")).unwrap()).unwrap()
}
