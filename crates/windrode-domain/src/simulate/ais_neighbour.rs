//! A vessel near by, seen only by what she reports of herself.
//!
//! At anchor and slower than 3 kn she reports every three minutes; faster, a class A transponder every ten seconds
//! and class B every half minute. The position comes in steps of 1/10 000 of a minute, speed in 0.1 kn, course in
//! 0.1°, heading in whole degrees (ITU-R M.1371-5, annex 1 and annex 8).

use rand::Rng;

use super::sensors::FixError;
use super::{Night, NightError, Scenario, Truth, way_by};
use crate::position::Position;
use crate::units::{Bearing, KNOT_M_S, Speed};
use crate::watch::event::{NeighbourReport, NeighbourSaid, NeighbourStatus};

/// What she reports with.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Transponder {
    /// Class A: says her status and, with a gyro, her heading.
    ClassA,
    /// Class B: says neither status nor, mostly, heading.
    ClassB,
}

/// Faster than this she reports more often, m/s.
const FAST_MS: f64 = 3.0 * KNOT_M_S;

impl Transponder {
    /// Seconds between reports at a speed.
    pub fn interval_s(self, speed_ms: f64) -> u32 {
        match (self, FAST_MS < speed_ms) {
            (_, false) => 180,
            (Self::ClassA, true) => 10,
            (Self::ClassB, true) => 30,
        }
    }
}

/// A neighbour's night.
#[derive(Clone, Debug)]
pub struct NeighbourNight {
    night: Night,
    transponder: Transponder,
    mmsi: u32,
    next_s: u32,
}

impl NeighbourNight {
    /// Begins; her first report comes within three minutes. Draws as [`Night::new`], then when she first reports.
    ///
    /// # Errors
    /// As [`Night::new`].
    pub fn new<R: Rng + ?Sized>(
        scenario: Scenario,
        transponder: Transponder,
        mmsi: u32,
        rng: &mut R,
    ) -> Result<Self, NightError> {
        let night = Night::new(scenario, rng)?;
        let first_s = crate::ride::wandering::between(rng, (1.0, 180.0));
        let next_s = u32::try_from(super::sensors::whole(first_s)).unwrap_or(1);
        Ok(Self { night, transponder, mmsi, next_s })
    }
    /// Whether it has been lived to its end.
    pub const fn over(&self) -> bool {
        self.night.over()
    }
    /// The night's own story.
    pub const fn scenario(&self) -> &Scenario {
        self.night.scenario()
    }

    /// One second on: what is true at its end, and her report if one is due. Draws as [`Night::second`] without the
    /// instruments other than the receiver.
    pub fn second<R: Rng + ?Sized>(&mut self, rng: &mut R) -> (Truth, Option<NeighbourReport>) {
        let truth = self.night.lived(rng);
        let at_s = f64::from(truth.second);
        let receiver = &self.night.scenario.sensors.receiver;
        let error = self.night.errors.second(receiver, at_s, rng);
        let way = receiver.doppler.map(|doppler| way_by(&doppler, truth.antenna_way_ms, rng));
        if truth.second < self.next_s {
            return (truth, None);
        }
        let speed_ms = way.map_or(0.0, |way| way.speed.as_metres_per_second());
        self.next_s = truth.second + self.transponder.interval_s(speed_ms);
        let FixError::Off(off) = error else { return (truth, None) };
        let compass = self.night.scenario.sensors.compass.filter(|_| self.transponder == Transponder::ClassA);
        let heading = compass.map(|c| Bearing::degrees((truth.heading.as_degrees() + c.off_deg).round()));
        let said = NeighbourSaid::Position {
            at: in_steps(self.night.sheet.position(truth.antenna + off)),
            speed: way.map(|way| Speed::knots((way.speed.as_knots() * 10.0).round() / 10.0)),
            course: way
                .and_then(|way| way.course)
                .map(|c| Bearing::degrees((c.as_degrees() * 10.0).round() / 10.0)),
            heading,
            status: match self.transponder {
                Transponder::ClassA => NeighbourStatus::AtAnchor,
                Transponder::ClassB => NeighbourStatus::Unstated,
            },
            accurate: false,
            turning_deg_min: None,
        };
        (truth, Some(NeighbourReport { at: truth.at, mmsi: self.mmsi, said }))
    }
}

/// In steps of 1/10 000 of a minute of arc.
pub(super) fn in_steps(place: Position) -> Position {
    let stepped = |deg: f64| (deg * 600_000.0).round() / 600_000.0;
    Position::new(stepped(place.latitude_deg()), stepped(place.longitude_deg())).unwrap_or(place)
}
