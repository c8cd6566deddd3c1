//! What the instruments said, by the minute: how often, and between what.
//!
//! Every reading of a night would fill a memory card for nothing. A minute's least, mean and greatest of each
//! instrument is what a crew asks for in the morning; directions are left to the track, since they have no mean of
//! their own.

use std::collections::BTreeMap;

use jiff::Timestamp;
use rusqlite::{Transaction, params};
use windrode_domain::watch::observation::{Observation, Seen};

use super::micros;

/// A minute of one instrument.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Digest {
    minute: Timestamp,
    source: u16,
    kind: &'static str,
    count: i64,
    least: f64,
    mean: f64,
    greatest: f64,
}

/// Instruments that a minute may hold: more than any boat has.
const MOST_INSTRUMENTS: usize = 128;

/// The minute that is being heard.
#[derive(Debug, Default)]
pub(crate) struct Minute {
    minute: Option<Timestamp>,
    digests: BTreeMap<(u16, &'static str), Digest>,
}

impl Minute {
    /// Takes in a reading; the minute before is handed back when a new one begins.
    pub(crate) fn hear(&mut self, observation: &Observation, now: Timestamp) -> Vec<Digest> {
        let minute = Timestamp::from_second(now.as_second().div_euclid(60) * 60).unwrap_or(now);
        let mut over = Vec::new();
        if self.minute != Some(minute) {
            over.extend(std::mem::take(&mut self.digests).into_values());
            self.minute = Some(minute);
        }
        let Some((kind, value)) = figure(&observation.seen).filter(|(_, value)| value.is_finite()) else {
            return over;
        };
        let source = observation.source.0;
        if let Some(digest) = self.digests.get_mut(&(source, kind)) {
            digest.count += 1;
            digest.least = digest.least.min(value);
            digest.greatest = digest.greatest.max(value);
            digest.mean += (value - digest.mean) / digest.count as f64;
        } else if self.digests.len() < MOST_INSTRUMENTS {
            let first = Digest { minute, source, kind, count: 1, least: value, mean: value, greatest: value };
            self.digests.insert((source, kind), first);
        }
        over
    }
}

/// The one figure of a reading that has a mean.
fn figure(seen: &Seen) -> Option<(&'static str, f64)> {
    Some(match seen {
        Seen::Fix(fix) => ("satellites", f64::from(fix.satellites?)),
        Seen::Way(way) => ("speed_ms", way.speed.as_metres_per_second()),
        Seen::Turning { rate_deg_s } => ("turning_deg_s", *rate_deg_s),
        Seen::Water { depth } => ("depth_m", depth.as_metres()),
        Seen::Wind(wind) => ("wind_ms", wind.speed().as_metres_per_second()),
        Seen::ThroughWater { speed } => ("through_water_ms", speed.as_metres_per_second()),
        Seen::Battery { volts } => ("battery_v", *volts),
        Seen::Engine { rpm } => ("engine_rpm", *rpm),
        Seen::RodeOut { length } => ("rode_m", length.as_metres()),
        Seen::Sky(sky) => ("carrier_db_hz", sky.carrier_db_hz?),
        Seen::Attitude { heel_deg, .. } => ("heel_deg", *heel_deg),
        Seen::NoFix | Seen::Heading { .. } => return None,
    })
}

pub(super) fn insert(to: &Transaction<'_>, stay: &str, digest: &Digest) -> rusqlite::Result<()> {
    to.prepare_cached(
        "INSERT INTO observations (stay, minute_us, source, kind, count, least, mean, greatest)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
    )?
    .execute(params![
        stay,
        micros(digest.minute),
        digest.source,
        digest.kind,
        digest.count,
        digest.least,
        digest.mean,
        digest.greatest
    ])?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use windrode_domain::units::Length;
    use windrode_domain::watch::observation::Source;

    use super::*;

    #[test]
    fn a_minute_is_told_by_its_least_mean_and_greatest() {
        let mut minute = Minute::default();
        let at = |second: i64| Timestamp::from_second(6000 + second).expect("a time");
        let depth = |metres, second| Observation {
            at: at(second),
            source: Source(3),
            seen: Seen::Water { depth: Length::metres(metres) },
        };
        for (metres, second) in [(4.0, 0), (6.0, 20), (8.0, 59)] {
            assert!(minute.hear(&depth(metres, second), at(second)).is_empty());
        }
        let over = minute.hear(&depth(1.0, 60), at(60));
        let [digest] = over[..] else { panic!("one instrument") };
        assert_eq!((digest.count, digest.kind, digest.source), (3, "depth_m", 3));
        let told = [digest.least, digest.mean, digest.greatest];
        assert!(told.iter().zip([4.0, 6.0, 8.0]).all(|(told, wanted)| (told - wanted).abs() < 1e-12));
    }
}
