//! Against pyais 3.3.1, field by field (`authorities/ais`).
//!
//! Where pyais departs from ITU-R M.1371-5, the departure is named below and counted: one more or one less fails.

use std::collections::BTreeMap;

use serde::Deserialize;
use serde_json::Value;
use windrode_wire::ais::assemble::GivenUp;
use windrode_wire::ais::{AisError, Content, Listener, Message, message::needed_bits};

use super::{authority, heard, values};

#[derive(Deserialize)]
struct Invented {
    fields: BTreeMap<String, Vec<String>>,
    cases: Vec<(Vec<String>, String, Option<Vec<Value>>)>,
}

/// Why a field differs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Departure {
    /// A packet that is cut off before a field we need: pyais reads what is left, or nothing, without a word.
    PacketTooShort,
    /// A field that is cut off: pyais reads a number from the bits that are left of it.
    FieldCutOff,
    /// A number that the standard has not (course above 360°, heading 360 to 510, position off the earth, 25 o'clock):
    /// pyais hands it on.
    Impossible,
    /// Not available by the standard: pyais hands on the number that says so.
    NotAvailable,
    /// Type of ship or fixing device without a name: pyais gives the number of a group, or nought.
    Unnamed,
    /// Characters after the sign for filling, which end the text by table 47: pyais drops the sign at the end only.
    AfterFilling,
    /// Off-position flag beside a second above 59: not to be considered, by table 83.
    FlagWithoutFix,
    /// An identity of ten digits: pyais hands it on.
    IdentityTooLong,
}

fn cases() -> Invented {
    serde_json::from_str(&authority("pyais_invented.json")).unwrap()
}

#[test]
fn every_field_of_invented_messages_is_as_pyais_reads_it_or_departs_for_a_known_reason() {
    let Invented { fields, cases } = cases();
    assert_eq!(cases.len(), 2999 + 1);
    let mut departures: BTreeMap<Departure, usize> = BTreeMap::new();
    let mut compared = 0;
    for (sentences, kind, theirs) in &cases {
        let mut answers = heard(&mut Listener::default(), sentences.iter().map(String::as_str));
        assert_eq!(answers.len(), 1, "{sentences:?}");
        let Some(theirs) = theirs else {
            assert_eq!(kind, "UnknownPartNoException");
            assert!(matches!(answers.remove(0), Err(AisError::Part(2 | 3))), "{sentences:?}");
            continue;
        };
        let ours = match answers.remove(0) {
            Ok(heard) => heard.message,
            Err(refusal) => {
                *departures.entry(refused(refusal)).or_default() += 1;
                continue;
            }
        };
        assert_eq!(kind == "other", matches!(ours.content, Content::Unlisted(_)), "{sentences:?}");
        for (field, theirs) in fields[kind].iter().zip(theirs) {
            compared += 1;
            match departure(&ours, field, theirs) {
                Ok(None) => {}
                Ok(Some(known)) => *departures.entry(known).or_default() += 1,
                Err(ours) => panic!("{kind} {field}: we say {ours:?}, pyais {theirs} of {sentences:?}"),
            }
        }
    }
    let counted: Vec<(Departure, usize)> = departures.into_iter().collect();
    let known = [
        (Departure::PacketTooShort, 266),
        (Departure::FieldCutOff, 52),
        (Departure::Impossible, 307),
        (Departure::NotAvailable, 1686),
        (Departure::Unnamed, 78),
        (Departure::AfterFilling, 139),
        (Departure::FlagWithoutFix, 41),
        (Departure::IdentityTooLong, 26),
    ];
    assert_eq!((compared, &counted[..]), (33_486, &known[..]));
}

fn refused(refusal: AisError) -> Departure {
    match refusal {
        AisError::TooShort { number, bits, needed } => {
            assert!(bits < needed && (number == 24 || needed == needed_bits(number, 0)));
            Departure::PacketTooShort
        }
        AisError::Identity(_) => Departure::IdentityTooLong,
        other => panic!("{other}"),
    }
}

/// Whether a field agrees, or why it does not; an unknown reason is our value.
fn departure(message: &Message, field: &str, theirs: &Value) -> Result<Option<Departure>, Option<Value>> {
    if field == "partno" || message.bits < end_of(message.number, field) {
        return Ok((field != "partno").then_some(Departure::FieldCutOff));
    }
    if field == "name_ext" || (message.number == 21 && ["name", "full_name"].contains(&field)) {
        return Ok(None);
    }
    let Some(ours) = values::value(message, field) else { return absent(message, field, theirs) };
    if same(&ours, theirs) || (field == "lon" && is_date_line(&ours) && is_date_line(theirs)) {
        return Ok(None);
    }
    match (&ours, theirs) {
        (Value::String(ours), Value::String(theirs))
            if theirs.split('@').next().unwrap().trim() == ours.trim() =>
        {
            Ok((theirs.trim() != ours.trim()).then_some(Departure::AfterFilling))
        }
        (Value::String(ours), Value::Null) if field == "text" && ours.is_empty() => Ok(None),
        // The last character of a message's words that is cut within: pyais makes one of the bits that are left.
        (Value::String(ours), Value::String(theirs))
            if field == "text"
                && !(message.bits - 40).is_multiple_of(6)
                && theirs.trim().starts_with(ours.trim()) =>
        {
            Ok(Some(Departure::FieldCutOff))
        }
        (_, Value::Number(_)) if field == "ship_type" || field == "epfd" => Ok(Some(Departure::Unnamed)),
        _ => Err(Some(ours)),
    }
}

/// Numbers to the last digit that pyais gives: a millionth of a degree, half of it its rounding.
fn same(ours: &Value, theirs: &Value) -> bool {
    match (ours.as_f64(), theirs.as_f64()) {
        (Some(ours), Some(theirs)) => (ours - theirs).abs() <= 0.5e-6 + 1e-9,
        _ => ours == theirs,
    }
}

/// 180° east is 180° west.
fn is_date_line(longitude: &Value) -> bool {
    longitude.as_f64().is_some_and(|deg| (deg.abs() - 180.0).abs() < 1e-9)
}

/// We keep nothing: the number must be the one that says so, or one that cannot be.
fn absent(message: &Message, field: &str, theirs: &Value) -> Result<Option<Departure>, Option<Value>> {
    if field == "off_position" && 59.0 < second_of(message) {
        return Ok(Some(Departure::FlagWithoutFix));
    }
    let Some(number) = theirs.as_f64() else { return Err(None) };
    let coarse = message.number == 27;
    let says_so: &[f64] = match field {
        "lon" => &[181.0],
        "lat" => &[91.0],
        "speed" if coarse => &[63.0],
        "speed" if message.number == 9 => &[1023.0],
        "speed" => &[102.3],
        "course" if coarse => &[511.0],
        "course" => &[360.0],
        "heading" => &[511.0],
        "alt" => &[4095.0],
        "draught" | "month" | "day" | "year" | "mothership_mmsi" => &[0.0],
        "hour" => &[24.0],
        "minute" => &[60.0],
        _ => &[],
    };
    let exact = says_so.iter().any(|known| (known - number).abs() < 1e-9);
    match field {
        _ if exact => Ok(Some(Departure::NotAvailable)),
        "lon" | "lat" if other_half_is_missing(message) => Ok(Some(Departure::NotAvailable)),
        // The whole time of a station ashore is missing when one part of it is.
        _ if message.number == 4 && TIME.contains(&field) => Ok(Some(Departure::NotAvailable)),
        "month" if 12.0 < number => Ok(Some(Departure::Impossible)),
        "hour" if 24.0 < number => Ok(Some(Departure::Impossible)),
        "minute" if 60.0 < number => Ok(Some(Departure::Impossible)),
        "lon" | "lat" | "course" | "heading" if is_impossible(message, field) => {
            Ok(Some(Departure::Impossible))
        }
        _ => Err(None),
    }
}

const TIME: [&str; 6] = ["year", "month", "day", "hour", "minute", "second"];

fn second_of(message: &Message) -> f64 {
    values::value(message, "second").and_then(|second| second.as_f64()).unwrap_or(0.0)
}

fn other_half_is_missing(message: &Message) -> bool {
    match &message.content {
        Content::Position(report) | Content::Extended(report, _) => !report.impossible.position,
        Content::BaseStation(station) => !station.impossible_position,
        Content::Aid(aid) => !aid.impossible_position,
        _ => false,
    }
}

fn is_impossible(message: &Message, field: &str) -> bool {
    match &message.content {
        Content::Position(report) | Content::Extended(report, _) => match field {
            "course" => report.impossible.course,
            "heading" => report.impossible.heading,
            _ => report.impossible.position,
        },
        Content::BaseStation(station) => station.impossible_position,
        Content::Aid(aid) => aid.impossible_position,
        _ => false,
    }
}

/// The bit after a field that may be cut off: ITU-R M.1371-5 tables 52, 72, 83 and 84.
fn end_of(number: u8, field: &str) -> usize {
    match (number, field) {
        (5, "epfd") => 274,
        (5, "month") => 278,
        (5, "day") => 283,
        (5, "hour") => 288,
        (5, "minute") => 294,
        (5, "draught") => 302,
        (5, "destination") => 422,
        (19, "epfd") => 305,
        (19, "raim") => 306,
        (24, "to_bow" | "to_stern" | "to_port" | "to_starboard" | "mothership_mmsi") => 162,
        _ => 0,
    }
}

/// pyais gives a name and its extension apart, without the blanks between them.
#[test]
fn the_name_of_an_aid_goes_on_in_its_extension_when_it_fills_its_field() {
    let Invented { fields, cases } = cases();
    let place = |field: &str| fields["21"].iter().position(|name| name == field).unwrap();
    let (mut whole, mut extended) = (0, 0);
    for (sentences, _, theirs) in cases.iter().filter(|(_, kind, _)| kind == "21") {
        let answer = heard(&mut Listener::default(), sentences.iter().map(String::as_str)).remove(0);
        let Ok(Message { bits, content: Content::Aid(aid), .. }) = answer.map(|heard| heard.message) else {
            continue;
        };
        let text = |field| theirs.as_ref().unwrap()[place(field)].as_str().unwrap_or("");
        let (name, extension) = (text("name"), text("name_ext"));
        let ours = aid.name.unwrap_or_default();
        let until_filling = |text: &str| text.split('@').next().unwrap_or("").trim().to_owned();
        let extension_is_whole = (bits.max(272) - 272).is_multiple_of(6) && bits <= 272 + 6 * 14;
        if name.len() == 20 && !name.contains('@') && extension_is_whole {
            extended += usize::from(!extension.is_empty());
            assert_eq!(ours, format!("{name}{}", until_filling(extension)), "{sentences:?}");
        } else {
            whole += 1;
            assert!(ours.trim().starts_with(&until_filling(name)), "{ours:?} {name:?} {sentences:?}");
        }
    }
    assert!(10 < extended && 100 < whole, "{extended} with an extension, {whole} without");
}

/// Sentences of a merged stream of shore receivers, 2010: every message of it, counted and summed by pyais.
#[test]
fn a_recorded_stream_counts_and_sums_as_pyais_reads_it() {
    #[derive(Deserialize)]
    struct Kind {
        count: usize,
        sums: BTreeMap<String, (usize, f64)>,
    }
    #[derive(Deserialize)]
    struct Kinds {
        kinds: BTreeMap<String, Kind>,
    }
    let Kinds { kinds } = serde_json::from_str(&authority("dma_stream_2010-06-11_pyais.json")).unwrap();
    let lines = authority("dma_stream_2010-06-11.nmea");
    let mut listener = Listener::default();
    let mut ours: BTreeMap<&str, Vec<Message>> = BTreeMap::new();
    for answer in heard(&mut listener, lines.lines()) {
        let message = answer.unwrap().message;
        ours.entry(kind_of(&message)).or_default().push(message);
    }
    assert_eq!(
        ours.iter().map(|(kind, messages)| (*kind, messages.len())).collect::<Vec<_>>(),
        kinds.iter().map(|(kind, theirs)| (kind.as_str(), theirs.count)).collect::<Vec<_>>()
    );
    assert_eq!(listener.assembler().given_up(), GivenUp::default());
    for (kind, Kind { sums, .. }) in &kinds {
        for field in
            ["mmsi", "accuracy", "raim", "status", "imo", "to_bow", "to_stern", "to_port", "to_starboard"]
        {
            let Some(&(_, theirs)) = sums.get(field) else { continue };
            let sum: f64 = ours[kind.as_str()].iter().filter_map(|message| number(message, field)).sum();
            assert!((sum - theirs).abs() < 1e-3, "{kind} {field}: {sum} and {theirs}");
        }
    }
}

fn number(message: &Message, field: &str) -> Option<f64> {
    values::value(message, field).and_then(|value| value.as_f64().or(value.as_bool().map(f64::from)))
}

fn kind_of(message: &Message) -> &'static str {
    match message.number {
        1..=3 => "A",
        4 => "4",
        5 => "5",
        9 => "9",
        18 => "18",
        21 => "21",
        24 if matches!(&message.content, Content::Particulars(what) if what.fix_device.is_none()) => "24A",
        24 => "24B",
        _ => "other",
    }
}

/// Ninety recorded messages with all that pyais reads in them.
#[test]
fn ninety_recorded_messages_are_as_pyais_reads_them() {
    #[derive(Deserialize)]
    struct Recorded {
        messages: Vec<Both>,
    }
    #[derive(Deserialize)]
    struct Both {
        nmea: String,
        decoded: BTreeMap<String, Value>,
    }
    let Recorded { messages } = serde_json::from_str(&authority("pyais_recorded_90.json")).unwrap();
    let mut compared = 0;
    for Both { nmea, decoded } in &messages {
        let ours = heard(&mut Listener::default(), [nmea.as_str()]).remove(0).unwrap().message;
        let unread =
            ["partno", "radio", "model", "serial", "assigned", "cs", "display", "dsc", "band", "msg22"];
        for (field, theirs) in decoded {
            if unread.contains(&field.as_str()) || field.starts_with("reserved") || field.starts_with("spare")
            {
                continue;
            }
            compared += 1;
            let answer = departure(&ours, field, theirs);
            let known = [None, Some(Departure::NotAvailable), Some(Departure::FlagWithoutFix)];
            assert!(
                answer.as_ref().is_ok_and(|why| known.contains(why)),
                "{field} {theirs} {answer:?} {nmea}"
            );
        }
    }
    assert!(messages.len() == 90 && 1000 < compared, "{compared} fields of {} messages", messages.len());
}
