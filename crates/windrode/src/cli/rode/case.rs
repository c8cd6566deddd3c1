//! One case of `windrode rode`, read field by field so that every problem is named at once.

use std::fmt;

use serde::de::{MapAccess, Visitor};
use serde::{Deserialize, Deserializer};
use serde_json::value::RawValue;
use windrode_domain::catenary::{Bed, Kellet, Line, Segment};
use windrode_domain::units::{Angle, Force, Length, WeightPerLength};

/// A case that can be put to the solver.
#[derive(Debug)]
pub(super) struct Case {
    pub(super) line: Line,
    pub(super) height: Length,
    pub(super) bed: Bed,
    pub(super) asked: Asked,
}

/// Which of the two is given.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Asked {
    UnderLoad(Force),
    AtDistance(Length),
}

const FIELDS: [&str; 7] =
    ["segments", "kellets", "slope_deg", "height_m", "friction", "horizontal_n", "distance_m"];
const SEGMENT_FIELDS: [&str; 3] = ["length_m", "weight_n_per_m", "ea_n"];
const KELLET_FIELDS: [&str; 2] = ["from_anchor_m", "weight_n"];

impl Case {
    /// Reads a case; every problem found, each naming its field.
    pub(super) fn read(text: &str) -> Result<Self, Vec<String>> {
        let mut problems = Vec::new();
        let case = Fields::read("", text, &FIELDS, &mut problems);
        let segments = case.list("segments", &mut problems);
        if case.given("segments").is_none() {
            problems.push("segments is missing".to_owned());
        }
        let segments = segments.iter().enumerate();
        let segments: Vec<_> = segments.map(|(i, text)| read_segment(i, text.get(), &mut problems)).collect();
        let kellets = case.list("kellets", &mut problems);
        let kellets = kellets.iter().enumerate();
        let kellets: Vec<_> = kellets.map(|(i, text)| read_kellet(i, text.get(), &mut problems)).collect();
        let height = Length::metres(case.required("height_m", &mut problems));
        let slope = Angle::degrees(case.required("slope_deg", &mut problems));
        let friction = case.optional("friction", &mut problems).unwrap_or(0.0);
        let horizontal = case.optional("horizontal_n", &mut problems);
        let distance = case.optional("distance_m", &mut problems);
        let asked = match (horizontal, distance) {
            (Some(load_n), None) => Asked::UnderLoad(Force::newtons(load_n)),
            (None, Some(distance_m)) => Asked::AtDistance(Length::metres(distance_m)),
            (given, _) => {
                let how = if given.is_some() { "not both" } else { "neither is given" };
                problems.push(format!("give horizontal_n or distance_m: {how}"));
                return Err(problems);
            }
        };
        if !problems.is_empty() {
            return Err(problems);
        }
        let line = Line::new(segments, kellets).map_err(|error| vec![error.to_string()])?;
        Ok(Self { line, height, bed: Bed { slope, friction }, asked })
    }
}

fn read_segment(index: usize, text: &str, problems: &mut Vec<String>) -> Segment {
    let fields = Fields::read(&format!("segments[{index}]"), text, &SEGMENT_FIELDS, problems);
    Segment {
        length: Length::metres(fields.required("length_m", problems)),
        weight: WeightPerLength::newtons_per_metre(fields.required("weight_n_per_m", problems)),
        stiffness: Force::newtons(fields.required("ea_n", problems)),
    }
}

fn read_kellet(index: usize, text: &str, problems: &mut Vec<String>) -> Kellet {
    let fields = Fields::read(&format!("kellets[{index}]"), text, &KELLET_FIELDS, problems);
    Kellet {
        from_anchor: Length::metres(fields.required("from_anchor_m", problems)),
        weight: Force::newtons(fields.required("weight_n", problems)),
    }
}

/// The fields of one object as they stand in the text.
struct Fields<'a> {
    /// Where the object stands in the case; empty for the case itself.
    place: String,
    given: Vec<(String, &'a RawValue)>,
    /// Whether it is an object at all: if not, its fields are not missed one by one.
    is_object: bool,
}

impl<'a> Fields<'a> {
    fn read(place: &str, text: &'a str, known: &[&str], problems: &mut Vec<String>) -> Self {
        let read = serde_json::from_str::<Pairs<'a>>(text);
        let is_object = read.is_ok();
        let fields =
            Self { place: place.to_owned(), given: read.map(|p| p.0).unwrap_or_default(), is_object };
        if !is_object {
            let name = if place.is_empty() { "the case" } else { place };
            problems.push(format!("{name} is {}, not an object", clipped(text)));
        }
        for (index, (name, _)) in fields.given.iter().enumerate() {
            if !known.contains(&name.as_str()) {
                problems.push(format!("{} is unknown{}", fields.path(&clipped(name)), nearest(name, known)));
            } else if fields.given.iter().take(index).any(|(before, _)| before == name) {
                problems.push(format!("{} is given twice", fields.path(name)));
            }
        }
        fields
    }

    fn path(&self, name: &str) -> String {
        if self.place.is_empty() { name.to_owned() } else { format!("{}.{name}", self.place) }
    }

    fn given(&self, name: &str) -> Option<&'a RawValue> {
        self.given.iter().find(|(given, _)| given == name).map(|&(_, value)| value)
    }

    /// A number that must be there; NaN beside a problem if it is not.
    fn required(&self, name: &str, problems: &mut Vec<String>) -> f64 {
        if let Some(value) = self.given(name) {
            return self.number(name, value, problems);
        }
        if self.is_object {
            problems.push(format!("{} is missing", self.path(name)));
        }
        f64::NAN
    }

    /// A number that may be left out, or be null to say the same.
    fn optional(&self, name: &str, problems: &mut Vec<String>) -> Option<f64> {
        let value = self.given(name).filter(|value| value.get() != "null")?;
        Some(self.number(name, value, problems))
    }

    fn number(&self, name: &str, value: &RawValue, problems: &mut Vec<String>) -> f64 {
        let text = value.get();
        // JSON's own numbers only: Rust would also take "inf" and "1.".
        if !text.starts_with(|c: char| c == '-' || c.is_ascii_digit()) {
            problems.push(format!("{} is {}, not a number", self.path(name), clipped(text)));
            return f64::NAN;
        }
        match text.parse::<f64>() {
            Ok(number) if number.is_finite() => number,
            _ => {
                problems.push(format!(
                    "{} is {}, beyond any number reckoned with",
                    self.path(name),
                    clipped(text)
                ));
                f64::NAN
            }
        }
    }

    /// The members of a list; none if it is not there.
    fn list(&self, name: &str, problems: &mut Vec<String>) -> Vec<&'a RawValue> {
        let Some(value) = self.given(name) else { return Vec::new() };
        serde_json::from_str(value.get()).unwrap_or_else(|_| {
            problems.push(format!("{} is {}, not a list", self.path(name), clipped(value.get())));
            Vec::new()
        })
    }
}

/// An object's members in their order, those given twice too.
struct Pairs<'a>(Vec<(String, &'a RawValue)>);

impl<'de> Deserialize<'de> for Pairs<'de> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Members;
        impl<'de> Visitor<'de> for Members {
            type Value = Pairs<'de>;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("an object")
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
                let mut pairs = Vec::new();
                while let Some(pair) = map.next_entry()? {
                    pairs.push(pair);
                }
                Ok(Pairs(pairs))
            }
        }
        deserializer.deserialize_map(Members)
    }
}

/// The known name that an unknown one most resembles, if any does.
fn nearest(name: &str, known: &[&str]) -> String {
    let likeness = |known: &&str| strsim::jaro_winkler(&clipped(name), known);
    let best = known.iter().max_by(|a, b| likeness(a).total_cmp(&likeness(b)));
    // Below 0.8 the two names share little but letters.
    match best.filter(|best| 0.8 < likeness(best)) {
        Some(best) => format!(" (did you mean {best}?)"),
        None => String::new(),
    }
}

/// What was given, short enough for one line of an answer: its first forty characters.
fn clipped(text: &str) -> String {
    const MOST: usize = 40;
    let mut start: String = text.chars().take(MOST).map(|c| if c.is_control() { ' ' } else { c }).collect();
    if text.chars().nth(MOST).is_some() {
        start.push('…');
    }
    start
}

#[cfg(test)]
mod tests {
    use super::*;

    fn problems(text: &str) -> Vec<String> {
        Case::read(text).unwrap_err()
    }

    #[test]
    fn every_problem_of_a_case_is_named_at_once() {
        let text = r#"{"segments":[{"length_m":"10","weight_n_per_m":19,"ea":8e6}],"kellets":3,
            "height_m":1e999,"horizontal_n":10,"frictoin":0.4}"#;
        let expected = [
            "frictoin is unknown (did you mean friction?)",
            "segments[0].ea is unknown (did you mean ea_n?)",
            "segments[0].length_m is \"10\", not a number",
            "segments[0].ea_n is missing",
            "kellets is 3, not a list",
            "height_m is 1e999, beyond any number reckoned with",
            "slope_deg is missing",
        ];
        let mut found = problems(text);
        let mut expected: Vec<_> = expected.map(str::to_owned).into();
        found.sort();
        expected.sort();
        assert_eq!(found, expected);
    }

    #[test]
    fn a_field_given_twice_is_not_chosen_between() {
        let text = r#"{"segments":[{"length_m":50,"weight_n_per_m":19,"ea_n":8e6}],"kellets":[],"slope_deg":0,
            "height_m":10,"height_m":12,"horizontal_n":1500}"#;
        assert_eq!(problems(text), ["height_m is given twice"]);
    }
}
