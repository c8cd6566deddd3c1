//! A mark on the rode as it is called out: "the second red, and two metres".

use windrode_domain::plan::sheet::MarkAt;
use windrode_domain::units::Length;

use crate::crew_units::{CrewUnits, LengthUnit};

const ORDINALS: [&str; 12] = [
    "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth",
    "eleventh", "twelfth",
];
const NUMBERS: [&str; 12] =
    ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];

/// A mark in words, and what is out beyond it in the crew's units.
pub(crate) fn mark_words(mark: &MarkAt, crew: CrewUnits) -> String {
    if mark.count == 0 {
        return format!("{}, short of the first mark", beyond(mark.beyond, crew));
    }
    let looks = mark.looks.as_deref().unwrap_or("mark");
    let told = format!("the {} {looks}", ordinal(mark.nth_of_its_look));
    if is_nothing(mark.beyond, crew) { told } else { format!("{told}, and {}", beyond(mark.beyond, crew)) }
}

fn ordinal(nth: usize) -> String {
    if let Some(word) = nth.checked_sub(1).and_then(|index| ORDINALS.get(index)) {
        return (*word).to_owned();
    }
    let ending = match (nth % 10, nth % 100) {
        (_, 11..=13) => "th",
        (1, _) => "st",
        (2, _) => "nd",
        (3, _) => "rd",
        _ => "th",
    };
    format!("{nth}{ending}")
}

/// Tenths of the crew's unit of length: as near as a rode is veered.
fn tenths(length: Length, crew: CrewUnits) -> (i64, [&'static str; 2]) {
    let (value, names) = match crew.length {
        LengthUnit::Metres => (length.as_metres(), ["metre", "metres"]),
        LengthUnit::Feet => (length.as_feet(), ["foot", "feet"]),
        LengthUnit::Fathoms => (length.as_fathoms(), ["fathom", "fathoms"]),
    };
    #[expect(
        clippy::cast_possible_truncation,
        reason = "no length on a rode has more tenths than an i64 counts"
    )]
    let tenths = (value * 10.0).round() as i64;
    (tenths, names)
}

fn is_nothing(length: Length, crew: CrewUnits) -> bool {
    tenths(length, crew).0 == 0
}

fn beyond(length: Length, crew: CrewUnits) -> String {
    let (tenths, [one, more]) = tenths(length, crew);
    let whole = usize::try_from(tenths / 10).ok().filter(|_| tenths % 10 == 0);
    match whole.and_then(|whole| NUMBERS.get(whole.checked_sub(1)?)) {
        Some(word) => format!("{word} {}", if tenths == 10 { one } else { more }),
        None => crew.length(length),
    }
}

#[cfg(test)]
mod tests {
    use windrode_domain::tackle::Marks;

    use super::*;
    use crate::crew_units::USUAL;

    fn told(length_m: f64, looks: &[&str]) -> String {
        let looks = looks.iter().map(|&look| look.to_owned()).collect();
        let marks = Marks { every: Length::metres(10.0), looks };
        mark_words(&marks.at(Length::metres(length_m)).unwrap(), USUAL)
    }

    #[test]
    fn marks_are_called_out_in_words() {
        assert_eq!(told(42.0, &["red", "white", "blue"]), "the second red, and two metres");
        assert_eq!(told(40.0, &["yellow"]), "the fourth yellow");
        assert_eq!(told(42.5, &["red", "white", "blue"]), "the second red, and 2.5 m");
        assert_eq!(told(41.0, &[]), "the fourth mark, and one metre");
        assert_eq!(told(9.0, &["red"]), "nine metres, short of the first mark");
        assert_eq!(told(230.0, &["red"]), "the 23rd red");
        assert_eq!(told(120.0, &["red"]), "the twelfth red");
    }

    #[test]
    fn what_is_beyond_is_told_in_the_crews_unit() {
        let marks = Marks { every: Length::feet(30.0), looks: vec!["red".to_owned()] };
        let feet = CrewUnits { length: LengthUnit::Feet, ..USUAL };
        assert_eq!(mark_words(&marks.at(Length::feet(96.0)).unwrap(), feet), "the third red, and six feet");
    }
}
