//! What the crew of a night would tell the watch.

use super::scenario::Scenario;
use crate::boat::{Antenna, HullKind};
use crate::environment::windage;
use crate::units::Length;
use crate::watch::given::{Drop, Given, RodeOut, WatchLimits, WatchedBoat};

impl Scenario {
    /// What the crew would tell the watch as it begins: what they believe, with their errors and not the truth.
    pub fn given(&self, limits: WatchLimits) -> Given {
        let boat = &self.boat;
        let length = Length::metres(boat.length_m);
        let usual = windage::assumed(boat.kind, length).map(|windage| windage.head_on_m2);
        Given {
            from: self.start,
            boat: WatchedBoat {
                length: Some(length),
                antenna: Some(Antenna {
                    aft_of_roller: Length::metres(boat.antenna_aft_m),
                    to_starboard: Length::metres(boat.antenna_starboard_m),
                }),
                drag_area_m2: usual.map(|area| area.scaled(boat.windage_believed)),
                roller_height: Some(Length::metres(boat.roller_m)),
                draught: Some(Length::metres(boat.draught_m)),
                multihull: Some(boat.kind == HullKind::Multihull),
            },
            drop: self
                .drop
                .map(|mark| Drop { at: self.origin.plus(mark.off), spread: Length::metres(mark.spread_m) }),
            rode: Some(RodeOut { line: self.rode_said.clone(), spread: self.rode_spread }),
            depth: Some(Length::metres(self.depth_m)),
            expected: None,
            limits,
        }
    }
}
