//! Changes to a stay as it is written: one field, one value; and how a stay is written once a remedy was taken.
//!
//! A field is named as problems name it: `stay.veered`, `neighbour[2].range`, lists counted from 1. A change of
//! the vessel has `vessel:` before it.

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use toml::Table;
use windrode_domain::plan::sheet::Remedy;
use windrode_domain::position::{Offset, Position};
use windrode_domain::units::Length;

use crate::files::StayAboard;
use crate::files::stay::{DepthKnown, Shape, SnubberChoice, StayFile, Whereabouts};
use crate::files::vessel::SnubberAboard;
use crate::sheet_json::time;

/// What a field of the vessel is told by.
pub(crate) const OF_VESSEL: &str = "vessel:";

/// One change.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Change {
    /// Which field.
    pub(crate) field: String,
    /// What it is to be; `null` to leave it out.
    pub(crate) value: Value,
}

impl Change {
    fn new(field: impl Into<String>, value: impl Into<Value>) -> Self {
        Self { field: field.into(), value: value.into() }
    }
}

/// How the stay is written with a remedy; empty where nothing that is written mends it.
pub(crate) fn of_remedy(remedy: &Remedy, aboard: &StayAboard) -> Vec<Change> {
    let stay = &aboard.stay;
    match remedy {
        Remedy::VeerTo { length, .. } => vec![Change::new("stay.veered", metres(*length))],
        Remedy::ShortenTo { length, .. } => {
            let whole_cm = Length::metres((length.as_metres() * 100.0).floor() / 100.0);
            vec![Change::new("stay.veered", metres(whole_cm))]
        }
        Remedy::LeaveBefore(at) => vec![Change::new("stay.to", time(*at))],
        Remedy::ComeAfter(at) => vec![Change::new("stay.from", time(*at))],
        Remedy::LieFarther { towards, by } => moved(stay, Offset::along(*towards, *by)),
        Remedy::DeeperBy(by) => match stay.depth.and_then(|depth| depth.known) {
            Some(DepthKnown::Charted(depth)) => vec![Change::new("depth.charted", metres(depth + *by))],
            _ => Vec::new(),
        },
        Remedy::Snubber(_) => snubber(aboard),
        Remedy::StandsGust(_)
        | Remedy::SetAt(_)
        | Remedy::StrongerPart(_)
        | Remedy::FindOut(_)
        | Remedy::AnotherBerth => Vec::new(),
    }
}

/// Up to the centimetre above: a remedy is never written smaller than it is.
fn metres(length: Length) -> String {
    format!("{:.2} m", (length.as_metres() * 100.0 - 1e-6).ceil() / 100.0)
}

/// A snubber that lies aboard and is not rigged.
fn snubber(aboard: &StayAboard) -> Vec<Change> {
    let unused = aboard.stay.snubber == SnubberChoice::NoneUsed;
    let long = |snubber: &&SnubberAboard| snubber.snubber.leg.length.as_metres();
    let longest = aboard.vessel.snubbers.iter().max_by(|a, b| long(a).total_cmp(&long(b)));
    let rigged = |snubber: &SnubberAboard| Change::new("stay.snubber", snubber.name.clone());
    longest.filter(|_| unused).map(rigged).into_iter().collect()
}

/// The stay with its anchor elsewhere: what was told by range and bearing from the anchor keeps its place on the
/// ground.
pub(crate) fn moved(stay: &StayFile, by: Offset) -> Vec<Change> {
    let to = stay.position.plus(by);
    let mut changes = vec![Change::new("stay.position", written(to))];
    let places = stay.dangers.iter().enumerate().filter_map(|(index, danger)| match danger.shape {
        Shape::Point(at) => Some(("danger", index, at)),
        Shape::Line(_) | Shape::Area(_) => None,
    });
    let neighbours = stay.neighbours.iter().enumerate().map(|(index, him)| ("neighbour", index, him.seen));
    for (list, index, place) in places.chain(neighbours) {
        if let Whereabouts::FromAnchor { range, bearing } = place {
            let field = |key: &str| format!("{list}[{}].{key}", index + 1);
            changes.push(Change::new(field("range"), Value::Null));
            changes.push(Change::new(field("bearing"), Value::Null));
            changes.push(Change::new(field("position"), written(stay.position.at(range, bearing))));
        }
    }
    changes
}

/// A position to the centimetre.
pub(crate) fn written(at: Position) -> String {
    format!("{:.7},{:.7}", at.latitude_deg(), at.longitude_deg())
}

/// A step of a field's path.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Step {
    Key(String),
    /// From 0.
    Place(usize),
}

fn steps(field: &str) -> Option<Vec<Step>> {
    let mut steps = Vec::new();
    for part in field.split('.') {
        let (key, places) = part.split_once('[').map_or((part, ""), |(key, rest)| (key, rest));
        if key.is_empty() || !key.chars().all(|c| c.is_ascii_alphanumeric() || c == '_' || c == '-') {
            return None;
        }
        steps.push(Step::Key(key.to_owned()));
        for place in places.split_terminator('[') {
            let number: usize = place.strip_suffix(']')?.parse().ok()?;
            steps.push(Step::Place(number.checked_sub(1)?));
        }
    }
    Some(steps)
}

/// Makes a change in a document.
///
/// # Errors
/// Why it cannot be made, in words that follow the field.
pub(crate) fn make(document: &mut Table, field: &str, value: &Value) -> Result<(), String> {
    let steps = steps(field).ok_or("is no field (write it as stay.veered or neighbour[2].range)")?;
    let value = toml_of(value)?;
    let Some((Step::Key(first), rest)) = steps.split_first() else { return Err("is no field".to_owned()) };
    if rest.is_empty() {
        match value {
            Some(value) => drop(document.insert(first.clone(), value)),
            None => drop(document.remove(first)),
        }
        return Ok(());
    }
    if value.is_none() && !document.contains_key(first) {
        return Ok(());
    }
    let below = document.entry(first.clone()).or_insert_with(|| empty_for(rest));
    make_in(below, rest, value)
}

fn empty_for(steps: &[Step]) -> toml::Value {
    match steps.first() {
        Some(Step::Place(_)) => toml::Value::Array(Vec::new()),
        _ => toml::Value::Table(Table::new()),
    }
}

fn make_in(at: &mut toml::Value, steps: &[Step], value: Option<toml::Value>) -> Result<(), String> {
    let Some((step, rest)) = steps.split_first() else { return Err("is no field".to_owned()) };
    match (at, step) {
        (toml::Value::Table(table), Step::Key(key)) => {
            if !rest.is_empty() {
                if value.is_none() && !table.contains_key(key) {
                    return Ok(());
                }
                return make_in(table.entry(key.clone()).or_insert_with(|| empty_for(rest)), rest, value);
            }
            match value {
                Some(value) => drop(table.insert(key.clone(), value)),
                None => drop(table.remove(key)),
            }
            Ok(())
        }
        (toml::Value::Array(list), Step::Place(place)) => {
            let many = list.len();
            if *place == many && value.is_some() {
                list.push(empty_for(rest));
            }
            let beyond = || format!("is number {} of a list of {many}", place + 1);
            if rest.is_empty() {
                match (list.get_mut(*place), value) {
                    (Some(at), Some(value)) => *at = value,
                    (Some(_), None) => drop(list.remove(*place)),
                    (None, _) => return Err(beyond()),
                }
                return Ok(());
            }
            make_in(list.get_mut(*place).ok_or_else(beyond)?, rest, value)
        }
        (toml::Value::Array(_), Step::Key(key)) => Err(format!("asks for {key} of a list (number it: [1])")),
        (_, _) => Err("goes below something that is neither a table nor a list".to_owned()),
    }
}

/// Depth to which a form may be nested: a vessel's rode has four.
const DEEPEST: usize = 16;

/// The value of a document as its form has it; nothing for `null`.
///
/// # Errors
/// A number that no document can hold, or nesting without end.
pub(crate) fn toml_of(value: &Value) -> Result<Option<toml::Value>, String> {
    toml_within(value, DEEPEST)
}

fn toml_within(value: &Value, depth: usize) -> Result<Option<toml::Value>, String> {
    let depth = depth.checked_sub(1).ok_or("is nested too deep")?;
    Ok(match value {
        Value::Null => None,
        Value::Bool(flag) => Some(toml::Value::Boolean(*flag)),
        Value::String(text) => Some(toml::Value::String(text.clone())),
        Value::Number(number) => Some(match (number.as_i64(), number.as_f64()) {
            (Some(whole), _) => toml::Value::Integer(whole),
            (None, Some(real)) => toml::Value::Float(real),
            (None, None) => return Err(format!("is {number}, a number that cannot be written")),
        }),
        Value::Array(list) => {
            let values: Result<Vec<Option<toml::Value>>, String> =
                list.iter().map(|value| toml_within(value, depth)).collect();
            Some(toml::Value::Array(values?.into_iter().flatten().collect()))
        }
        Value::Object(fields) => {
            let mut table = Table::new();
            for (key, value) in fields {
                if let Some(value) = toml_within(value, depth)? {
                    table.insert(key.clone(), value);
                }
            }
            Some(toml::Value::Table(table))
        }
    })
}

/// A document's value as a form has it: times are text.
pub(crate) fn form_of(value: &toml::Value) -> Value {
    match value {
        toml::Value::String(text) => json!(text),
        toml::Value::Integer(whole) => json!(whole),
        toml::Value::Float(real) => json!(real),
        toml::Value::Boolean(flag) => json!(flag),
        toml::Value::Datetime(time) => json!(time.to_string()),
        toml::Value::Array(list) => Value::Array(list.iter().map(form_of).collect()),
        toml::Value::Table(table) => form(table),
    }
}

/// A document as a form.
pub(crate) fn form(table: &Table) -> Value {
    Value::Object(table.iter().map(|(key, value)| (key.clone(), form_of(value))).collect())
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use windrode_domain::units::Bearing;

    use super::*;
    use crate::files;

    fn corrant_bay() -> StayAboard {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/stays/corrant-bay.toml");
        files::load_stay(&path, None).expect("the example reads")
    }

    fn changed(text: &str, field: &str, value: &Value) -> Result<Value, String> {
        let mut table: Table = text.parse().expect("a document");
        make(&mut table, field, value).map(|()| form(&table))
    }

    #[test]
    fn a_change_reaches_fields_lists_and_what_is_not_there_yet() {
        let text = "[stay]\nveered = \"30 m\"\n[[neighbour]]\nname = \"a\"\n";
        assert_eq!(changed(text, "stay.veered", &json!("35 m")).unwrap()["stay"]["veered"], json!("35 m"));
        assert_eq!(changed(text, "stay.veered", &Value::Null).unwrap()["stay"], json!({}));
        assert_eq!(
            changed(text, "ground.nature", &json!(["mud"])).unwrap()["ground"],
            json!({"nature": ["mud"]})
        );
        assert_eq!(
            changed(text, "neighbour[1].name", &json!("b")).unwrap()["neighbour"],
            json!([{"name": "b"}])
        );
        let two = changed(text, "neighbour[2].name", &json!("b")).unwrap();
        assert_eq!(two["neighbour"], json!([{"name": "a"}, {"name": "b"}]));
        assert_eq!(changed(text, "neighbour[1]", &Value::Null).unwrap()["neighbour"], json!([]));
        assert!(changed(text, "neighbour[3].name", &json!("b")).unwrap_err().contains("list of 1"));
        for field in [
            "",
            ".",
            "stay..veered",
            "neighbour[0].name",
            "neighbour[x]",
            "stay.veered.more",
            "neighbour.name",
        ] {
            assert!(changed(text, field, &json!(1)).is_err(), "{field}");
        }
    }

    #[test]
    fn nesting_without_end_is_refused() {
        let deep = (0..100).fold(json!(1), |inner, _| json!([inner]));
        assert!(toml_of(&deep).is_err());
    }

    #[test]
    fn an_anchor_that_is_moved_leaves_its_neighbours_where_they_are() {
        let aboard = corrant_bay();
        let changes = moved(&aboard.stay, Offset { east_m: 30.0, north_m: -40.0 });
        let mut table: Table =
            include_str!("../../../examples/stays/corrant-bay.toml").parse().expect("a stay");
        for change in &changes {
            make(&mut table, &change.field, &change.value).expect("made");
        }
        let text = toml::to_string(&table).expect("written");
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/stays/x.toml");
        let again = files::stay::read_stay(&files::source::Source::of_text(&path, text)).expect("reads");
        let (far, _) = aboard.stay.position.towards(again.position);
        // Written to the centimetre.
        assert!((far.as_metres() - 50.0).abs() < 0.02);
        for (before, after) in aboard.stay.neighbours.iter().zip(&again.neighbours) {
            let (Whereabouts::FromAnchor { range, bearing }, Whereabouts::At(at)) = (before.seen, after.seen)
            else {
                panic!("told by range before, by position after");
            };
            assert!(aboard.stay.position.at(range, bearing).towards(at).0.as_metres() < 0.02);
        }
    }

    #[test]
    fn remedies_are_written_where_writing_mends() {
        let aboard = corrant_bay();
        let length = Length::metres(41.204);
        let veer = Remedy::VeerTo { length, more: length, mark: None };
        assert_eq!(of_remedy(&veer, &aboard), [Change::new("stay.veered", "41.21 m")]);
        let deeper = of_remedy(&Remedy::DeeperBy(Length::metres(0.5)), &aboard);
        assert_eq!(deeper, [Change::new("depth.charted", "5.70 m")]);
        let farther = Remedy::LieFarther { towards: Bearing::degrees(90.0), by: Length::metres(10.0) };
        assert_eq!(of_remedy(&farther, &aboard)[0].field, "stay.position");
        assert_eq!(of_remedy(&Remedy::AnotherBerth, &aboard), []);
    }
}
