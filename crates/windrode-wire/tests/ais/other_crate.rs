//! Against the crate `ais` 0.12, on the same sentences: where it answers, we give the same.
//!
//! It keeps positions in single precision, tells a rate of turn without its side, and keeps numbers that cannot be;
//! it knows no boats of ships in message 24. None of that is held against either.

use ais::messages::AisMessage;
use ais::messages::static_data_report::MessagePart;
use ais::sentence::{AisFragments, AisParser};
use serde_json::{Value, json};
use windrode_wire::ais::Listener;

use super::{authority, heard, values};

/// Single precision: the code of 27 bits rounded to 24 is off by 4 of 600 000 to a degree, the quotient by half of
/// 2⁻¹⁶ above 128°.
const HALF_STEPS_DEG: f64 = 4.0 / 600_000.0 + 0.5 / 65_536.0;
/// Single precision at 102.2 kn and 360°: half of 2⁻¹⁵.
const TENTHS: f64 = 0.5 / 32_768.0;

#[test]
fn the_crate_ais_reads_the_same_in_recorded_and_in_invented_sentences() {
    let lines = authority("dma_stream_2010-06-11.nmea");
    let mut compared = check(lines.lines().filter(|line| line.contains(",1,1,")).map(|line| vec![line]));
    let invented: Value = serde_json::from_str(&authority("pyais_invented.json")).unwrap();
    let cases = invented["cases"].as_array().unwrap();
    compared += check(cases.iter().map(sentences_of));
    assert!(30_000 < compared, "{compared} values compared");
}

fn sentences_of(case: &Value) -> Vec<&str> {
    case[0].as_array().unwrap().iter().map(|sentence| sentence.as_str().unwrap()).collect()
}

/// Values compared.
fn check<'a>(packets: impl Iterator<Item = Vec<&'a str>>) -> usize {
    let mut compared = 0;
    for sentences in packets {
        let mut parser = AisParser::new();
        let mut theirs = None;
        for sentence in &sentences {
            if let Ok(AisFragments::Complete(whole)) = parser.parse(sentence.as_bytes(), true) {
                theirs = whole.message;
            }
        }
        let ours = heard(&mut Listener::default(), sentences.iter().copied());
        let (Some(theirs), [Ok(ours)]) = (theirs, &ours[..]) else { continue };
        let message = &ours.message;
        for (field, theirs) in fields(&theirs) {
            let ours = values::value(message, field);
            // What we keep nothing of is judged against pyais.
            let Some(said) = ours else { continue };
            // It makes a character of the fill bits where the words are cut off.
            if field == "destination" && message.bits < 422 {
                continue;
            }
            compared += 1;
            assert!(
                same(field, &said, &theirs),
                "{field}: we say {said}, the crate {theirs} of {sentences:?}"
            );
        }
    }
    compared
}

fn same(field: &str, ours: &Value, theirs: &Value) -> bool {
    let (Some(a), Some(b)) = (ours.as_f64(), theirs.as_f64()) else {
        return match (ours.as_str(), theirs.as_str()) {
            (Some(ours), Some(theirs)) => ours.trim() == theirs.split('@').next().unwrap_or("").trim(),
            _ => ours == theirs,
        };
    };
    let tolerance = match field {
        "lon" | "lat" => HALF_STEPS_DEG,
        _ => TENTHS,
    };
    (a - b).abs() <= tolerance || (field == "lon" && (a - b).abs() > 360.0 - tolerance)
}

/// What the crate says, by pyais's names of fields.
fn fields(message: &AisMessage) -> Vec<(&'static str, Value)> {
    macro_rules! standing {
        ($report:expr) => {
            vec![
                ("mmsi", json!($report.mmsi)),
                ("repeat", json!($report.repeat_indicator)),
                ("raim", json!($report.raim)),
                ("lon", json!($report.longitude)),
                ("lat", json!($report.latitude)),
            ]
        };
    }
    macro_rules! moving {
        ($report:expr, $heading:ident) => {{
            let mut fields = standing!($report);
            fields.push(("speed", json!($report.speed_over_ground)));
            fields.push(("course", json!($report.course_over_ground)));
            fields.push(("heading", json!($report.$heading)));
            fields
        }};
    }
    macro_rules! size {
        ($report:expr) => {
            [
                ("to_bow", json!($report.dimension_to_bow)),
                ("to_stern", json!($report.dimension_to_stern)),
                ("to_port", json!($report.dimension_to_port)),
                ("to_starboard", json!($report.dimension_to_starboard)),
            ]
        };
    }
    match message {
        AisMessage::PositionReport(report) => moving!(report, true_heading),
        AisMessage::StandardClassBPositionReport(report) => moving!(report, true_heading),
        AisMessage::ExtendedClassBPositionReport(report) => {
            let mut fields = moving!(report, true_heading);
            fields.push(("shipname", json!(report.name)));
            fields.extend(size!(report));
            fields
        }
        AisMessage::StandardAircraftPositionReport(report) => {
            let mut fields = standing!(report);
            fields.push(("alt", json!(report.altitude)));
            fields.push(("course", json!(report.course_over_ground)));
            fields
        }
        AisMessage::BaseStationReport(report) => standing!(report),
        AisMessage::LongRangeAisBroadcastMessage(report) => standing!(report),
        AisMessage::AidToNavigationReport(report) => {
            let mut fields = standing!(report);
            fields.extend(size!(report));
            fields
        }
        AisMessage::StaticAndVoyageRelatedData(report) => {
            let mut fields = vec![("imo", json!(report.imo_number)), ("shipname", json!(report.vessel_name))];
            fields.push(("callsign", json!(report.callsign)));
            fields.push(("destination", json!(report.destination)));
            fields.extend(size!(report));
            fields
        }
        AisMessage::StaticDataReport(report) => match &report.message_part {
            MessagePart::PartA { vessel_name } => vec![("shipname", json!(vessel_name))],
            MessagePart::PartB { callsign, vendor_id, .. } => {
                vec![("callsign", json!(callsign)), ("vendorid", json!(vendor_id))]
            }
            MessagePart::Unknown(_) => Vec::new(),
        },
        _ => Vec::new(),
    }
}
