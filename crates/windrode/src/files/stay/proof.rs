//! `[set]` and `[dive]`: what is known of the anchor's hold.

use super::super::times::Zone;
use super::super::toml_reading::{Section, Within};
use super::{Astern, DiveGiven, SetGiven};

/// How the anchor was set.
pub(super) fn set(section: &Section<'_>, zone: &Zone) -> Option<SetGiven> {
    let told = section.one_of(&["astern_rpm", "thrust"]);
    let rpm = section.may("astern_rpm").rpm(Within::new(0.0, 8000.0)).map(Astern::Rpm);
    let thrust = section.may("thrust").force(Within::new(0.0, 200_000.0)).map(Astern::Thrust);
    let at = section.may("at").time(zone);
    let wind = section.may("wind").speed(Within::new(0.0, 100.0));
    let bearing = section.may("bearing").bearing();
    let held = section.may("held").duration(Within::new(0.0, 60.0));
    let veered = section.may("veered").length(Within::new(0.0, 1000.0));
    let creep = section.may("creep").length(Within::new(0.0, 200.0));
    if !told && !section.has_any(&["astern_rpm", "thrust"]) {
        section.refuse("does not say what pulled (give astern_rpm or thrust)");
    }
    let astern = rpm.or(thrust)?;
    Some(SetGiven { astern, at, wind, bearing, held, veered, creep })
}

/// What a dive saw.
pub(super) fn dive(section: &Section<'_>, zone: &Zone) -> Option<DiveGiven> {
    let seen = section.want("seen", "what was seen, as \"buried\"").located_text();
    let at = section.may("at").time(zone);
    Some(DiveGiven { seen: seen?, at })
}
