//! What her instruments said last: a figure each, with the time that it was true.

use jiff::Timestamp;
use serde_json::{Map, Value, json};
use windrode_domain::environment::wind::Wind;
use windrode_domain::units::Bearing;
use windrode_domain::watch::observation::{Observation, Seen};

/// The last of each kind, by its name for programs.
#[derive(Clone, Debug, Default)]
pub(crate) struct Instruments {
    last: Map<String, Value>,
    times: Vec<(&'static str, Timestamp)>,
}

impl Instruments {
    /// Takes in what was seen.
    pub(crate) fn hear(&mut self, observation: &Observation) {
        let Some((name, value)) = figure(&observation.seen) else { return };
        let mut told = value;
        told["source"] = json!(observation.source.0);
        self.last.insert(name.to_owned(), told);
        match self.times.iter_mut().find(|(known, _)| *known == name) {
            Some((_, at)) => *at = observation.at,
            None => self.times.push((name, observation.at)),
        }
    }

    /// All of it, with the age of each.
    pub(crate) fn view(&self, now: Timestamp) -> Value {
        let mut all = self.last.clone();
        for (name, at) in &self.times {
            if let Some(told) = all.get_mut(*name) {
                told["age_s"] = json!(now.duration_since(*at).as_secs_f64());
            }
        }
        Value::Object(all)
    }
}

fn figure(seen: &Seen) -> Option<(&'static str, Value)> {
    Some(match seen {
        Seen::Fix(fix) => {
            let antenna = fix.antenna;
            let (lat, lon) = (antenna.latitude_deg(), antenna.longitude_deg());
            let spread_m = fix.spread.map(windrode_domain::units::Length::as_metres);
            ("fix", json!({ "lat": lat, "lon": lon, "spread_m": spread_m, "satellites": fix.satellites }))
        }
        Seen::Way(way) => {
            let course = way.course.map(Bearing::as_degrees);
            ("way", json!({ "speed_ms": way.speed.as_metres_per_second(), "course_deg": course }))
        }
        Seen::Heading { bow, .. } => ("heading", json!({ "deg": bow.as_degrees() })),
        Seen::Water { depth } => ("water", json!({ "depth_m": depth.as_metres() })),
        Seen::Wind(wind) => {
            let from = Wind::from(*wind).map(Bearing::as_degrees);
            ("wind", json!({ "speed_ms": wind.speed().as_metres_per_second(), "from_deg": from }))
        }
        Seen::ThroughWater { speed } => {
            ("through_water", json!({ "speed_ms": speed.as_metres_per_second() }))
        }
        Seen::Battery { volts } => ("battery", json!({ "volts": volts })),
        Seen::Engine { rpm } => ("engine", json!({ "rpm": rpm })),
        Seen::RodeOut { length } => ("rode", json!({ "out_m": length.as_metres() })),
        Seen::NoFix | Seen::Turning { .. } | Seen::Sky(_) | Seen::Attitude { .. } => return None,
    })
}

#[cfg(test)]
mod tests {
    use windrode_domain::units::Length;
    use windrode_domain::watch::observation::Source;

    use super::*;

    #[test]
    fn the_last_figure_of_each_kind_is_told_with_its_age() {
        let at = |seconds| Timestamp::from_second(seconds).expect("a time");
        let mut instruments = Instruments::default();
        for (second, depth_m) in [(0, 7.0), (4, 8.0)] {
            let seen = Seen::Water { depth: Length::metres(depth_m) };
            instruments.hear(&Observation { at: at(second), source: Source(3), seen });
        }
        assert_eq!(
            instruments.view(at(10)),
            json!({ "water": { "depth_m": 8.0, "source": 3, "age_s": 6.0 } })
        );
    }
}
