//! Changes to a stay as it is written: one field, one value; and how a stay is written once a remedy was taken.
//!
//! A field is named as problems name it: `stay.veered`, `neighbour[2].range`, lists counted from 1. A change of
//! the vessel has `vessel:` before it.

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use toml::Table;
use toml_edit::{DocumentMut, Item, TableLike};
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

/// Makes a change in a document, and leaves every other line of it, its order and its comments, as they are.
///
/// # Errors
/// Why it cannot be made, in words that follow the field.
pub(crate) fn make(document: &mut DocumentMut, field: &str, value: &Value) -> Result<(), String> {
    let steps = steps(field).ok_or("is no field (write it as stay.veered or neighbour[2].range)")?;
    let value = toml_of(value)?.map(|value| written_value(&value));
    in_table(document.as_table_mut(), false, &steps, value)
}

/// What a field stands in that is not there yet: within a line where its surroundings are.
fn empty_for(steps: &[Step], within_a_line: bool) -> Item {
    match (steps.first(), within_a_line) {
        (Some(Step::Place(_)), true) => toml_edit::value(toml_edit::Array::new()),
        (Some(Step::Place(_)), false) => Item::ArrayOfTables(toml_edit::ArrayOfTables::new()),
        (_, true) => toml_edit::value(toml_edit::InlineTable::new()),
        (_, false) => Item::Table(toml_edit::Table::new()),
    }
}

fn in_table(
    table: &mut dyn TableLike,
    within_a_line: bool,
    steps: &[Step],
    value: Option<toml_edit::Value>,
) -> Result<(), String> {
    let Some((Step::Key(key), rest)) = steps.split_first() else { return Err("is no field".to_owned()) };
    if !rest.is_empty() {
        if value.is_none() && !table.contains_key(key) {
            return Ok(());
        }
        let below = table.entry(key).or_insert_with(|| empty_for(rest, within_a_line));
        return in_item(below, rest, value);
    }
    let Some(value) = value else {
        table.remove(key);
        return Ok(());
    };
    if let Some(Item::Value(there)) = table.get_mut(key) {
        put(there, value);
    } else {
        table.insert(key, Item::Value(value));
    }
    Ok(())
}

/// Another value, with the comment and the spaces of the one that was there.
fn put(there: &mut toml_edit::Value, value: toml_edit::Value) {
    let about = there.decor().clone();
    *there = value;
    *there.decor_mut() = about;
}

fn in_item(item: &mut Item, steps: &[Step], value: Option<toml_edit::Value>) -> Result<(), String> {
    match item {
        Item::Table(table) => in_table(table, false, steps, value),
        Item::Value(there) => in_value(there, steps, value),
        Item::ArrayOfTables(list) => {
            let (place, rest) = place_of(steps)?;
            let many = list.len();
            if place == many && value.is_some() {
                list.push(toml_edit::Table::new());
            }
            let table = list.get_mut(place).ok_or_else(|| beyond(place, many))?;
            match (rest, value) {
                ([], None) => drop(list.remove(place)),
                ([], Some(toml_edit::Value::InlineTable(given))) => *table = given.into_table(),
                ([], Some(_)) => return Err("is a table of a list of tables".to_owned()),
                (rest, value) => in_table(table, false, rest, value)?,
            }
            Ok(())
        }
        Item::None => Err(GOES_BELOW.to_owned()),
    }
}

fn in_value(
    there: &mut toml_edit::Value,
    steps: &[Step],
    value: Option<toml_edit::Value>,
) -> Result<(), String> {
    match there {
        toml_edit::Value::InlineTable(table) => in_table(table, true, steps, value),
        toml_edit::Value::Array(list) => {
            let (place, rest) = place_of(steps)?;
            let many = list.len();
            if place == many && value.is_some() {
                match rest.first() {
                    None | Some(Step::Place(_)) => list.push(toml_edit::Array::new()),
                    Some(Step::Key(_)) => list.push(toml_edit::InlineTable::new()),
                }
            }
            let at = list.get_mut(place).ok_or_else(|| beyond(place, many))?;
            match (rest, value) {
                ([], None) => drop(list.remove(place)),
                ([], Some(value)) => put(at, value),
                (rest, value) => in_value(at, rest, value)?,
            }
            Ok(())
        }
        _ => Err(GOES_BELOW.to_owned()),
    }
}

const GOES_BELOW: &str = "goes below something that is neither a table nor a list";

fn beyond(place: usize, many: usize) -> String {
    format!("is number {} of a list of {many}", place + 1)
}

fn place_of(steps: &[Step]) -> Result<(usize, &[Step]), String> {
    match steps.split_first() {
        Some((Step::Place(place), rest)) => Ok((*place, rest)),
        Some((Step::Key(key), _)) => Err(format!("asks for {key} of a list (number it: [1])")),
        None => Err("is no field".to_owned()),
    }
}

/// A value as it is written within a line.
fn written_value(value: &toml::Value) -> toml_edit::Value {
    match value {
        toml::Value::String(text) => text.as_str().into(),
        toml::Value::Integer(whole) => (*whole).into(),
        toml::Value::Float(real) => (*real).into(),
        toml::Value::Boolean(flag) => (*flag).into(),
        toml::Value::Datetime(time) => (*time).into(),
        toml::Value::Array(list) => toml_edit::Value::Array(list.iter().map(written_value).collect()),
        toml::Value::Table(table) => {
            let fields = table.iter().map(|(key, value)| (key.as_str(), written_value(value)));
            toml_edit::Value::InlineTable(fields.collect())
        }
    }
}

/// A document as it was written, with what a form has otherwise; `None` where that cannot be done field by field.
pub(crate) fn rewritten(text: &str, wanted: &Table) -> Option<String> {
    let was: Table = text.parse().ok()?;
    let mut document: DocumentMut = text.parse().ok()?;
    let mut changes = Vec::new();
    differences("", &form(&was), &form(wanted), &mut changes);
    for Change { field, value } in &changes {
        make(&mut document, field, value).ok()?;
    }
    let text = document.to_string();
    let is: Table = text.parse().ok()?;
    // Whatever could not be said as changes of fields is written anew.
    (form(&is) == form(wanted)).then_some(text)
}

/// Which fields differ, deepest first where lists grow shorter.
fn differences(at: &str, was: &Value, wanted: &Value, changes: &mut Vec<Change>) {
    let below = |key: &str| if at.is_empty() { key.to_owned() } else { format!("{at}.{key}") };
    match (was, wanted) {
        (was, wanted) if was == wanted => {}
        (Value::Object(was), Value::Object(wanted)) => {
            let gone = was.keys().filter(|key| !wanted.contains_key(*key));
            changes.extend(gone.map(|key| Change::new(below(key), Value::Null)));
            for (key, wanted) in wanted {
                match was.get(key) {
                    Some(was) => differences(&below(key), was, wanted, changes),
                    None => changes.extend(leaves(&below(key), wanted)),
                }
            }
        }
        (Value::Array(was), Value::Array(wanted)) if !was.is_empty() && !wanted.is_empty() => {
            for (index, pair) in was.iter().zip(wanted).enumerate() {
                differences(&format!("{at}[{}]", index + 1), pair.0, pair.1, changes);
            }
            for (index, wanted) in wanted.iter().enumerate().skip(was.len()) {
                changes.extend(leaves(&format!("{at}[{}]", index + 1), wanted));
            }
            let gone = (wanted.len()..was.len()).rev();
            changes.extend(gone.map(|index| Change::new(format!("{at}[{}]", index + 1), Value::Null)));
        }
        (_, wanted) => changes.push(Change::new(at, wanted.clone())),
    }
}

/// What is new, field by field, so that it is written as tables are and not within a line.
fn leaves(at: &str, wanted: &Value) -> Vec<Change> {
    match wanted {
        Value::Object(fields) if !fields.is_empty() => {
            fields.iter().flat_map(|(key, value)| leaves(&format!("{at}.{key}"), value)).collect()
        }
        Value::Array(list) if list.first().is_some_and(Value::is_object) => {
            let one = |(index, value)| leaves(&format!("{at}[{}]", index + 1), value);
            list.iter().enumerate().flat_map(one).collect()
        }
        _ => vec![Change::new(at, wanted.clone())],
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

    const STAY: &str = include_str!("../../../examples/stays/corrant-bay.toml");

    fn changed(text: &str, field: &str, value: &Value) -> Result<Value, String> {
        let mut document: DocumentMut = text.parse().expect("a document");
        make(&mut document, field, value)?;
        Ok(form(&document.to_string().parse::<Table>().expect("still a document")))
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
        assert_eq!(changed(text, "neighbour[1]", &Value::Null).unwrap()["neighbour"], Value::Null);
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
    fn a_change_leaves_every_other_line_as_the_crew_wrote_it() {
        let text = "# ours\n[stay] # the stay\nveered = \"30 m\" # all chain\nname = 'a'\n\n[[neighbour]]\n# the ketch\nname = \"a\"\n";
        let mut document: DocumentMut = text.parse().expect("a document");
        make(&mut document, "stay.veered", &json!("35 m")).expect("made");
        make(&mut document, "set.held", &json!("60 s")).expect("made");
        let expected = text.replace("30 m", "35 m") + "\n[set]\nheld = \"60 s\"\n";
        assert_eq!(document.to_string(), expected);
        let mut document: DocumentMut = STAY.parse().expect("a stay");
        make(&mut document, "wind.table[2].gust", &json!("19 kn")).expect("made");
        let now = document.to_string();
        let differ: Vec<_> = STAY.lines().zip(now.lines()).filter(|(was, is)| was != is).collect();
        assert_eq!(differ.len(), 1, "{differ:?}");
        assert_eq!(differ[0].1, differ[0].0.replace("15 kn", "19 kn"));
    }

    #[test]
    fn a_form_is_written_into_the_document_that_it_was_made_of() {
        let mut wanted: Table = STAY.parse().expect("a stay");
        let stay = wanted["stay"].as_table_mut().expect("a table");
        stay.insert("veered".to_owned(), "35 m".into());
        stay.remove("arrangement");
        wanted["neighbour"].as_array_mut().expect("a list").remove(0);
        wanted.insert("set".to_owned(), toml::toml! { thrust = "150 daN" }.into());
        let text = rewritten(STAY, &wanted).expect("rewritten");
        assert_eq!(form(&text.parse().expect("a document")), form(&wanted));
        for kept in ["# Two nights in Corrant Bay.", "# North-west over the land", "\n[set]\nthrust"] {
            assert!(text.contains(kept), "{kept}: {text}");
        }
        assert_eq!(rewritten(STAY, &STAY.parse().expect("a stay")).as_deref(), Some(STAY));
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
        let mut document: DocumentMut = STAY.parse().expect("a stay");
        for change in &changes {
            make(&mut document, &change.field, &change.value).expect("made");
        }
        let text = document.to_string();
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
