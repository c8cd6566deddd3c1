//! Whence the vessels near by came, for the eye: where each was heard, thinned, for some hours. What is judged of them
//! is judged elsewhere.

use std::collections::{BTreeMap, VecDeque};

use jiff::{SignedDuration, Timestamp};
use serde_json::{Map, Value, json};
use windrode_domain::position::Position;
use windrode_domain::watch::event::{NeighbourReport, NeighbourSaid};

/// Places closer to the one before are left out, m: what a receiver makes of a boat that lies still.
const APART_M: f64 = 5.0;
/// For so long a place is remembered.
const LASTING: SignedDuration = SignedDuration::from_hours(6);
/// Places of one vessel: two hundred metres of dragging, or six rounds of swinging.
const MOST_PLACES: usize = 40;
/// Vessels: more than lie in any bay.
const MOST_VESSELS: usize = 200;

/// The paths by the vessels' numbers.
#[derive(Debug, Default)]
pub(crate) struct Wakes {
    places: BTreeMap<u32, VecDeque<(Timestamp, Position)>>,
}

impl Wakes {
    /// A vessel was heard.
    pub(crate) fn hear(&mut self, report: &NeighbourReport) {
        let NeighbourSaid::Position { at, .. } = report.said else { return };
        if MOST_VESSELS <= self.places.len() && !self.places.contains_key(&report.mmsi) {
            self.forget(report.at);
            if MOST_VESSELS <= self.places.len() {
                return;
            }
        }
        let places = self.places.entry(report.mmsi).or_default();
        let near = |&(_, last): &(Timestamp, Position)| last.towards(at).0.as_metres() < APART_M;
        if places.back().is_some_and(near) {
            return;
        }
        if MOST_PLACES <= places.len() {
            places.pop_front();
        }
        places.push_back((report.at, at));
    }

    fn forget(&mut self, now: Timestamp) {
        self.places
            .retain(|_, places| places.back().is_some_and(|&(at, _)| now.duration_since(at) <= LASTING));
    }

    /// Latitude and longitude, degrees, oldest first.
    pub(crate) fn view(&self, now: Timestamp) -> Value {
        let fresh = |(at, _): &&(Timestamp, Position)| now.duration_since(*at) <= LASTING;
        let path = |places: &VecDeque<(Timestamp, Position)>| -> Value {
            let place = |(_, at): &(Timestamp, Position)| json!([at.latitude_deg(), at.longitude_deg()]);
            places.iter().filter(fresh).map(place).collect()
        };
        let paths: Map<String, Value> =
            self.places.iter().map(|(mmsi, places)| (mmsi.to_string(), path(places))).collect();
        Value::Object(paths)
    }
}

#[cfg(test)]
mod tests {
    use windrode_domain::position::Offset;
    use windrode_domain::watch::event::NeighbourStatus;

    use super::*;

    fn report(mmsi: u32, second: i64, east_m: f64) -> NeighbourReport {
        let origin = Position::new(41.0, 174.0).expect("a place");
        let said = NeighbourSaid::Position {
            at: origin.plus(Offset { east_m, north_m: 0.0 }),
            speed: None,
            course: None,
            heading: None,
            status: NeighbourStatus::AtAnchor,
            accurate: false,
            turning_deg_min: None,
        };
        NeighbourReport { at: Timestamp::from_second(second).expect("a time"), mmsi, said }
    }

    #[test]
    fn a_vessel_that_lies_still_leaves_one_place_and_one_that_drags_her_last() {
        let mut wakes = Wakes::default();
        for second in 0..1000 {
            wakes.hear(&report(1, second, if second % 2 == 0 { 0.0 } else { 3.0 }));
            wakes.hear(&report(2, second, second as f64));
        }
        let now = Timestamp::from_second(1000).expect("a time");
        let view = wakes.view(now);
        let count = |mmsi: &str| view[mmsi].as_array().map_or(0, Vec::len);
        assert_eq!((count("1"), count("2")), (1, MOST_PLACES));
        let later = now.checked_add(LASTING).expect("a time");
        assert_eq!(wakes.view(later)["1"], json!([]));
    }

    #[test]
    fn vessels_are_bounded_and_those_long_gone_make_room() {
        let mut wakes = Wakes::default();
        for mmsi in 0..1000 {
            wakes.hear(&report(mmsi, 0, 0.0));
        }
        assert_eq!(wakes.places.len(), MOST_VESSELS);
        wakes.hear(&report(5000, LASTING.as_secs() + 1, 0.0));
        assert_eq!(wakes.places.len(), 1);
    }
}
