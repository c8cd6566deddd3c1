//! The sheet in people's words: sentences, figures, times.
//!
//! Text on the terminal, the printed page and the drawings all speak through here, so that one thing has one wording.
//! Figures are rounded here and nowhere else, and never in the calm direction: water, room and what a set has proved
//! downwards; loads, winds, chances and rode upwards. Names that people wrote go through [`plain()`] before they are
//! shown anywhere.

mod figures;
mod chance;
mod times;
mod plain;
mod marks;
mod head;
mod findings;
mod remedies;
mod account;
pub(crate) mod watch;

pub(crate) use self::account::{
    Grid, bow_table, facts, hourly, limits, place_line, reasons, reminders, reminders_short, rules, sources,
    sources_short, turns,
};
pub(crate) use self::chance::{band, chance, odds};
pub(crate) use self::figures::{
    Toward, angle, bearing, compass_point, force, length, length_figure, length_unit, speed, speed_figure,
    speed_unit, stream,
};
pub(crate) use self::findings::reason;
pub(crate) use self::head::{call, part_line, provenance_line, span_line, tide_turn, verdict};
pub(crate) use self::marks::{mark, mark_short};
pub(crate) use self::plain::{clipped, plain};
pub(crate) use self::remedies::remedy;
pub(crate) use self::times::Clock;

use crate::crew_units::CrewUnits;
use crate::files::StayAboard;

/// The units and the clock in which this crew is spoken to.
#[derive(Clone, Debug)]
pub(crate) struct Voice {
    /// Their units.
    pub(crate) units: CrewUnits,
    /// Their clock.
    pub(crate) clock: Clock,
}

impl Voice {
    /// The voice of a stay's crew: their units and clock; UTC where the stay names no zone.
    pub(crate) fn of(aboard: &StayAboard) -> Self {
        let zone = aboard.stay.zone.clone().unwrap_or(jiff::tz::TimeZone::UTC);
        Self { units: aboard.vessel.crew, clock: Clock::new(zone) }
    }
}
