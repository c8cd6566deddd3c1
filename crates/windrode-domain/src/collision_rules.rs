//! What the collision regulations ask of a vessel at anchor, and the cautions that every sheet carries.
//!
//! The International Regulations for Preventing Collisions at Sea, 1972, hold a vessel at anchor to a look-out, to
//! lights from sunset to sunrise and whenever she cannot be seen well, to a shape by day, and to sound in fog. What
//! they ask depends on her length over all. It stands here rule by rule in our own words, a reminder and not
//! the text.
//!
//! Local rules come before all of it (Rule 1 lets an authority make its own for its roadsteads, harbours and inland
//! waters), so they lead every list.
//!
//! Source: the Regulations with their annexes, as amended. Rules 5 and 30 were compared with the published text; the
//! others are from memory. The confidence of each says which: high where the text was read, medium where it was not.
//!
//! Left out: vessels aground, fishing, restricted in their ability to manoeuvre, or made fast to others.

use crate::sourced::Confidence::{self, High, Medium};
use crate::span::Span;
use crate::units::Length;

/// When a reminder holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum When {
    /// By day and by night.
    Always,
    /// From sunset to sunrise, in these stretches of the stay.
    Dark(Vec<Span>),
    /// From sunrise to sunset, in these stretches of the stay.
    Day(Vec<Span>),
    /// In or near fog, mist, snow, heavy rain and the like, by day and by night.
    RestrictedVisibility,
}

/// One thing that is asked of her.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reminder {
    /// What to do.
    pub what: &'static str,
    /// The rule that asks it.
    pub rule: &'static str,
    /// When.
    pub when: When,
    /// How sure the wording is: [`High`] compared with the published text, [`Medium`] from memory.
    pub confidence: Confidence,
}

/// What is printed on every sheet and every alarm.
pub const CAUTIONS: [&str; 12] = [
    "An aid, and no substitute for a proper look-out by eye and ear: rely on no alarm alone.",
    "Local rules and prohibited areas come first; so do the chart and the notices to mariners.",
    "The figures are estimates with a band. Weather can turn otherwise, and more, than forecast.",
    "The ground is taken as entered. A set has proved the load it was given, in that direction, and no more.",
    "The anchor's place must be recorded as it touches the ground.",
    "Let the snubber or a stopper carry the load, never the windlass.",
    "Keep hands, feet and clothing clear of chain, gypsy, roller and hawse: chain runs out under its own weight.",
    "Switch the windlass off at its breaker, and hold the chain with a stopper, before touching it.",
    "Stand clear of a loaded snubber or rope, and never in its bight: it recoils when it parts.",
    "Before the engine turns, know where everyone in the water is.",
    "Make the bitter end fast so that it holds, and so that it can be cut.",
    "Keep a buoy and a knife or slip ready to leave the gear, and a way out that can be taken in the dark.",
];

/// When a rule of the table holds, before the stay's own hours are known.
#[derive(Clone, Copy)]
enum Hours {
    Any,
    Dark,
    Day,
    Fog,
}

/// A rule for lengths over all from `from_m` up to but not including `below_m`.
struct Entry {
    rule: &'static str,
    from_m: f64,
    below_m: f64,
    hours: Hours,
    confidence: Confidence,
    what: &'static str,
}

const ANY_LENGTH: f64 = f64::INFINITY;

const fn entry(
    rule: &'static str,
    lengths_m: (f64, f64),
    hours: Hours,
    confidence: Confidence,
    what: &'static str,
) -> Entry {
    Entry { rule, from_m: lengths_m.0, below_m: lengths_m.1, hours, confidence, what }
}

/// The Regulations for a vessel at anchor, local rules first, then in the order of the work: where, watch, lights,
/// shape, sound.
#[rustfmt::skip]
const RULES: [Entry; 21] = [
    entry("Rule 1(b)", (0.0, ANY_LENGTH), Hours::Any, Medium,
        "Local rules first: the harbour, the reserve or the state may forbid anchoring here, or ask other lights and signals."),
    entry("Rule 9(g)", (0.0, ANY_LENGTH), Hours::Any, Medium,
        "Do not anchor in a narrow channel if it can be helped."),
    entry("Rule 10(g)", (0.0, ANY_LENGTH), Hours::Any, Medium,
        "Do not anchor in a traffic separation scheme or near its ends if it can be helped."),
    entry("Rule 5", (0.0, ANY_LENGTH), Hours::Any, High,
        "Keep a look-out at anchor too, by eye, by ear and by whatever else serves, at all times."),
    entry("Rule 30(a)(i)", (50.0, ANY_LENGTH), Hours::Dark, High,
        "Show an all-round white light forward, where it is best seen."),
    entry("Rule 30(a)(ii)", (50.0, ANY_LENGTH), Hours::Dark, High,
        "Show a second all-round white light at or near the stern, lower than the one forward."),
    entry("Rule 30(b)", (0.0, 50.0), Hours::Dark, High,
        "Show an all-round white light where it is best seen; or one forward and a lower one at the stern, as larger vessels do."),
    entry("Rule 30(e)", (0.0, 7.0), Hours::Dark, High,
        "Under 7 m neither light nor ball is asked, except in or near a narrow channel, a fairway, an anchorage, or where others usually pass."),
    entry("Rule 22(a)", (50.0, ANY_LENGTH), Hours::Dark, Medium,
        "The anchor light must be seen at 3 miles."),
    entry("Rule 22(b) to (d)", (0.0, 50.0), Hours::Dark, Medium,
        "The anchor light must be seen at 2 miles."),
    entry("Rule 30(c)", (0.0, 100.0), Hours::Dark, High,
        "Working lights over the decks may be used as well: they help to be seen among others."),
    entry("Rule 30(c)", (100.0, ANY_LENGTH), Hours::Dark, High,
        "Light the decks with the working lights as well."),
    entry("Rule 20(c)", (0.0, ANY_LENGTH), Hours::Fog, Medium,
        "Show the anchor lights by day too."),
    entry("Rule 30(a)(i)", (0.0, ANY_LENGTH), Hours::Day, High,
        "Hoist one black ball forward, where it is best seen."),
    entry("Annex I, 6(a)", (20.0, ANY_LENGTH), Hours::Day, Medium,
        "The ball is at least 0.6 m across."),
    entry("Annex I, 6(c)", (0.0, 20.0), Hours::Day, Medium,
        "The ball is 0.6 m across, or smaller in keeping with a vessel under 20 m."),
    entry("Rule 35(g)", (100.0, ANY_LENGTH), Hours::Fog, Medium,
        "Ring the bell forward rapidly for about 5 s at least once a minute, and straight after it the gong aft."),
    entry("Rule 35(g)", (20.0, 100.0), Hours::Fog, Medium,
        "Ring the bell rapidly for about 5 s at least once a minute."),
    entry("Rule 35(i)", (12.0, 20.0), Hours::Fog, Medium,
        "Ring the bell rapidly for about 5 s at least once a minute; failing that, make some other efficient sound at least every 2 minutes."),
    entry("Rule 35(j)", (0.0, 12.0), Hours::Fog, Medium,
        "Make an efficient sound at least every 2 minutes, with a bell or with whatever is aboard."),
    entry("Rule 35(g)", (0.0, ANY_LENGTH), Hours::Fog, Medium,
        "To warn a vessel that comes near, sound one short, one prolonged and one short blast."),
];

/// What is asked of a vessel of this length over all in a stay that is dark in these stretches, local rules first.
///
/// What holds only in the dark is left out where no stretch of the stay is dark, and likewise by day. A length that
/// is not a positive number fits no rule but the ones that ask for any length.
pub fn reminders(length_overall: Length, stay: Span, dark: &[Span]) -> Vec<Reminder> {
    let day = light_between(stay, dark);
    let fits = |entry: &&Entry| {
        let length_m = length_overall.as_metres();
        let any = entry.from_m <= 0.0 && entry.below_m == ANY_LENGTH;
        any || (0.0 < length_m && entry.from_m <= length_m && length_m < entry.below_m)
    };
    let remind = |entry: &Entry| {
        let when = match entry.hours {
            Hours::Any => When::Always,
            Hours::Fog => When::RestrictedVisibility,
            Hours::Dark if dark.is_empty() => return None,
            Hours::Day if day.is_empty() => return None,
            Hours::Dark => When::Dark(dark.to_vec()),
            Hours::Day => When::Day(day.clone()),
        };
        Some(Reminder { what: entry.what, rule: entry.rule, when, confidence: entry.confidence })
    };
    RULES.iter().filter(fits).filter_map(remind).collect()
}

/// What the dark stretches, in order of time, leave of a stay.
fn light_between(stay: Span, dark: &[Span]) -> Vec<Span> {
    let ends = dark.iter().map(|night| night.from()).chain([stay.to()]);
    let begins = [stay.from()].into_iter().chain(dark.iter().map(|night| night.to()));
    begins.zip(ends).filter_map(|(from, to)| Span::new(from, to).ok()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn span(from: &str, to: &str) -> Span {
        Span::new(from.parse().unwrap(), to.parse().unwrap()).unwrap()
    }

    fn night() -> (Span, Span) {
        let stay = span("2026-08-30T15:00:00Z", "2026-08-31T09:00:00Z");
        (stay, span("2026-08-30T18:20:00Z", "2026-08-31T04:55:00Z"))
    }

    fn asked(length_m: f64) -> Vec<Reminder> {
        let (stay, dark) = night();
        reminders(Length::metres(length_m), stay, &[dark])
    }

    fn rules(length_m: f64) -> Vec<&'static str> {
        asked(length_m).iter().map(|reminder| reminder.rule).collect()
    }

    #[test]
    fn local_rules_lead_at_every_length() {
        for length_m in [4.0, 8.0, 13.0, 20.0, 60.0, 120.0, f64::NAN] {
            assert_eq!(rules(length_m)[0], "Rule 1(b)");
        }
    }

    // Source: the Regulations, Rule 30(b) (text) and Rule 35(i) and (j) (from memory).
    #[test]
    fn a_cruiser_shows_one_light_and_makes_a_sound() {
        assert!(rules(13.0).contains(&"Rule 30(b)") && !rules(13.0).contains(&"Rule 30(a)(ii)"));
        assert!(rules(13.0).contains(&"Rule 35(i)") && !rules(13.0).contains(&"Rule 35(j)"));
        assert!(rules(9.0).contains(&"Rule 35(j)") && !rules(9.0).contains(&"Rule 35(i)"));
    }

    // Source: the Regulations, Rule 30(a), (b) and (e): the limits are 50 m and 7 m, "less than".
    #[test]
    fn the_limits_belong_to_the_longer_vessel() {
        assert!(rules(50.0).contains(&"Rule 30(a)(ii)") && rules(49.99).contains(&"Rule 30(b)"));
        assert!(rules(6.99).contains(&"Rule 30(e)") && !rules(7.0).contains(&"Rule 30(e)"));
        assert!(rules(12.0).contains(&"Rule 35(i)") && rules(20.0).contains(&"Rule 35(g)"));
    }

    #[test]
    fn lights_go_with_the_dark_and_the_ball_with_the_day() {
        let (stay, dark) = night();
        let day =
            vec![Span::new(stay.from(), dark.from()).unwrap(), Span::new(dark.to(), stay.to()).unwrap()];
        for reminder in asked(13.0) {
            match reminder.when {
                When::Dark(spans) => assert_eq!(spans, vec![dark], "{}", reminder.what),
                When::Day(spans) => assert_eq!(spans, day, "{}", reminder.what),
                When::Always | When::RestrictedVisibility => {}
            }
        }
        assert!(asked(13.0).iter().any(|reminder| matches!(reminder.when, When::Day(_))));
    }

    #[test]
    fn in_the_polar_day_no_light_is_asked_for_darkness_and_in_the_polar_night_no_ball() {
        let (stay, _) = night();
        let bright = reminders(Length::metres(13.0), stay, &[]);
        assert!(bright.iter().all(|reminder| !matches!(reminder.when, When::Dark(_))));
        let black = reminders(Length::metres(13.0), stay, &[stay]);
        assert!(black.iter().all(|reminder| !matches!(reminder.when, When::Day(_))));
    }

    #[test]
    fn every_length_has_light_ball_and_sound() {
        for length_m in [3.0, 8.0, 12.0, 19.9, 20.0, 49.0, 50.0, 99.0, 100.0, 300.0] {
            let asked = asked(length_m);
            let has = |word: &str| asked.iter().any(|reminder| reminder.what.contains(word));
            assert!(has("white light") && has("black ball") && (has("Ring") || has("sound")), "{length_m}");
        }
    }

    #[test]
    fn a_reminder_is_a_sentence() {
        for words in RULES.iter().map(|entry| entry.what).chain(CAUTIONS) {
            assert!(words.ends_with('.') && words.starts_with(char::is_uppercase), "{words}");
        }
    }
}
