//! A length of rode told in the crew's own marks: "the fourth red, and two metres".

use windrode_domain::plan::sheet::MarkAt;
use windrode_domain::units::Length;

use super::figures::{Toward, rode_length, rode_length_long};
use super::{Voice, plain};

/// "the fourth red, and two metres"; "two metres, before the first mark" when no mark is out yet.
pub(crate) fn mark(at: &MarkAt, voice: &Voice) -> String {
    if at.count == 0 {
        return format!("{}, before the first mark", beyond_words(at.beyond, voice));
    }
    let which = match &at.looks {
        Some(looks) => format!("the {} {}", ordinal(at.nth_of_its_look), plain(looks)),
        None => format!("the {} mark", ordinal(at.count)),
    };
    if is_nothing(at.beyond, voice) {
        which
    } else {
        format!("{which}, and {}", beyond_words(at.beyond, voice))
    }
}

/// The same for the cell of a table: "4th red +2 m".
pub(crate) fn mark_short(at: &MarkAt, voice: &Voice) -> String {
    let beyond = rode_length(at.beyond, Toward::More, voice);
    if at.count == 0 {
        return beyond;
    }
    let which = match &at.looks {
        Some(looks) => format!("{} {}", ordinal_figure(at.nth_of_its_look), plain(looks)),
        None => format!("{} mark", ordinal_figure(at.count)),
    };
    if is_nothing(at.beyond, voice) { which } else { format!("{which} +{beyond}") }
}

fn is_nothing(beyond: Length, voice: &Voice) -> bool {
    rode_length(beyond, Toward::More, voice).starts_with("0 ")
}

/// "two metres", "2.5 metres".
fn beyond_words(beyond: Length, voice: &Voice) -> String {
    const WORDS: [&str; 12] =
        ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];
    let told = rode_length_long(beyond, Toward::More, voice);
    let Some((figure, unit)) = told.split_once(' ') else { return told };
    if figure == "0.5" {
        return format!("half a {}", unit.trim_end_matches('s'));
    }
    let word = figure.parse::<usize>().ok().and_then(|n| WORDS.get(n.checked_sub(1)?));
    word.map_or_else(|| told.clone(), |word| format!("{word} {unit}"))
}

fn ordinal(n: usize) -> String {
    const WORDS: [&str; 12] = [
        "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth",
        "eleventh", "twelfth",
    ];
    let word = n.checked_sub(1).and_then(|at| WORDS.get(at));
    word.map_or_else(|| ordinal_figure(n), |word| (*word).to_owned())
}

fn ordinal_figure(n: usize) -> String {
    let ending = match (n % 100, n % 10) {
        (11..=13, _) => "th",
        (_, 1) => "st",
        (_, 2) => "nd",
        (_, 3) => "rd",
        _ => "th",
    };
    format!("{n}{ending}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample::{american, voice};

    fn fourth_red(beyond_m: f64) -> MarkAt {
        MarkAt {
            count: 7,
            looks: Some("red".to_owned()),
            nth_of_its_look: 4,
            beyond: Length::metres(beyond_m),
        }
    }

    #[test]
    fn the_mark_is_told_as_it_looks() {
        assert_eq!(mark(&fourth_red(2.0), &voice()), "the fourth red, and two metres");
        assert_eq!(mark(&fourth_red(0.0), &voice()), "the fourth red");
        assert_eq!(mark(&fourth_red(0.4), &voice()), "the fourth red, and half a metre");
        assert_eq!(mark(&fourth_red(2.0), &american()), "the fourth red, and seven feet");
        assert_eq!(mark_short(&fourth_red(2.0), &voice()), "4th red +2 m");
    }

    #[test]
    fn marks_without_colour_are_counted_and_none_is_said() {
        let plain = MarkAt { looks: None, ..fourth_red(1.0) };
        assert_eq!(mark(&plain, &voice()), "the seventh mark, and one metre");
        let none = MarkAt { count: 0, ..fourth_red(6.5) };
        assert_eq!(mark(&none, &voice()), "6.5 metres, before the first mark");
    }

    #[test]
    fn the_teens_are_all_th() {
        assert_eq!(["1st", "11th", "22nd", "113th"].map(str::to_owned), [1, 11, 22, 113].map(ordinal_figure));
    }
}
