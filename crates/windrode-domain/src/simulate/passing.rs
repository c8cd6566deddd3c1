//! A ship that passes on her way, as her transponder tells it.
//!
//! A class A transponder under way at no more than 14 kn and on a steady course reports every ten seconds; position in
//! steps of 1/10 000 of a minute, speed in 0.1 kn, course in 0.1°, heading in whole degrees (ITU-R M.1371-5, annex 1).

use jiff::Timestamp;

use super::ais_neighbour::in_steps;
use crate::position::{Offset, Position};
use crate::units::{Bearing, Length, Speed};
use crate::watch::event::{NeighbourReport, NeighbourSaid, NeighbourStatus};

/// Seconds between reports.
const INTERVAL_S: u32 = 10;

/// A passage in a straight line at a steady speed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Passage {
    /// Her identity.
    pub mmsi: u32,
    /// Where offsets are from.
    pub origin: Position,
    /// When she comes within hearing, s from the beginning.
    pub from_s: u32,
    /// For how long she is heard, s.
    pub lasting_s: u32,
    /// Where she then is.
    pub from: Offset,
    /// Her course, and her heading.
    pub course: Bearing,
    /// Her speed.
    pub speed: Speed,
}

impl Passage {
    /// Where she is at a second, while she is heard.
    pub fn place(&self, second: u32) -> Option<Position> {
        let gone_s = second.checked_sub(self.from_s).filter(|gone_s| *gone_s <= self.lasting_s)?;
        let gone = Length::metres(self.speed.as_metres_per_second() * f64::from(gone_s));
        Some(self.origin.plus(self.from + Offset::along(self.course, gone)))
    }

    /// Her report of a second, if one is due.
    pub fn report(&self, second: u32, at: Timestamp) -> Option<NeighbourReport> {
        let place = self.place(second)?;
        let due = second.abs_diff(self.from_s).is_multiple_of(INTERVAL_S);
        let tenth = |value: f64| (value * 10.0).round() / 10.0;
        due.then_some(NeighbourReport {
            at,
            mmsi: self.mmsi,
            said: NeighbourSaid::Position {
                at: in_steps(place),
                speed: Some(Speed::knots(tenth(self.speed.as_knots()))),
                course: Some(Bearing::degrees(tenth(self.course.as_degrees()))),
                heading: Some(Bearing::degrees(self.course.as_degrees().round())),
                status: NeighbourStatus::UnderWayEngine,
                accurate: false,
                turning_deg_min: None,
            },
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn she_is_heard_every_ten_seconds_from_end_to_end_of_her_passage() {
        let passage = Passage {
            mmsi: 999_000_000,
            origin: Position::new(34.0, -121.0).unwrap(),
            from_s: 25,
            lasting_s: 600,
            from: Offset { east_m: 3000.0, north_m: -900.0 },
            course: Bearing::degrees(270.0),
            speed: Speed::knots(9.0),
        };
        let heard: Vec<u32> =
            (0..1000).filter(|&s| passage.report(s, Timestamp::UNIX_EPOCH).is_some()).collect();
        assert_eq!((heard.first(), heard.last(), heard.len()), (Some(&25), Some(&625), 61));
        let run = passage.place(25).unwrap().towards(passage.place(625).unwrap()).0.as_metres();
        // Nine knots for a sixth of an hour: a mile and a half.
        assert!((run - 1.5 * 1852.0).abs() < 1.0, "{run}");
    }
}
