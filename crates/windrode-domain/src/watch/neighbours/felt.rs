//! The wind as the neighbours feel it: our own, smoothed, and whether it has turned of late.
//!
//! A gust that passes in seconds moves nobody off her circle; what counts is the mean over minutes, and whether
//! the boats have had time to swing to it. Two running means of the wind vector, of five and of forty minutes,
//! tell both: where they point different ways, the wind has turned. After a reversal the long one passes through
//! nothing `40 ln 2 = 28` minutes later and follows the new wind from then on: that long nobody is judged.

use jiff::Timestamp;

use crate::environment::wind::Wind;
use crate::units::{Bearing, Speed};
use crate::watch::own_clock::seconds;

/// Memory of the short mean, s.
const SHORT_S: f64 = 300.0;
/// Memory of the long mean, s.
pub(super) const LONG_S: f64 = 2400.0;
/// Silence of our own wind after which it is unknown, s.
const STALE_S: f64 = 900.0;
/// Mean wind from which a chain on the ground is drawn straight enough: the load is then 0.7 of the friction of
/// the chain that lies (40 m of 10 mm chain, 7.5 m² of drag area, friction 0.7; 7.2 m/s by `H = ½ ρ C A V²`), and
/// boats with more windage reach it earlier.
pub(super) const STRAIGHT_WIND: Speed = Speed::metres_per_second(6.5);
/// Mean wind below which nothing draws a chain straight; between the two it may.
pub(super) const SLACK_WIND: Speed = Speed::metres_per_second(4.5);
/// Wind below which what it does to a rode is nothing, m/s.
const CALM_MS: f64 = 1.0;
/// Turn of the wind beyond which nobody is judged, degrees: the sheer and wander of a steady wind stay below.
pub(super) const TURNED_DEG: f64 = 30.0;

/// What is felt now.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Felt {
    /// Mean of the last minutes, and where it comes from.
    pub(super) wind: Option<(Speed, Option<Bearing>)>,
    /// Turn against the longer mean, degrees.
    pub(super) turned_deg: f64,
    /// How many times the load (the square of the speed) of the last minutes is twice that of the longer mean;
    /// nothing where it is less.
    pub(super) doublings: f64,
}

/// Running means of our own wind.
#[derive(Clone, Debug, Default)]
pub(super) struct FeltWind {
    means: Option<Means>,
}

#[derive(Clone, Copy, Debug)]
struct Means {
    at: Timestamp,
    short: Wind,
    long: Wind,
    speed_ms: f64,
    long_speed_ms: f64,
}

impl FeltWind {
    pub(super) fn feel(&mut self, wind: Wind, now: Timestamp) {
        let speed_ms = wind.speed().as_metres_per_second();
        if !speed_ms.is_finite() {
            return;
        }
        let fresh = Means { at: now, short: wind, long: wind, speed_ms, long_speed_ms: speed_ms };
        let Some(before) = self.means.filter(|means| seconds(now, means.at) < STALE_S) else {
            self.means = Some(fresh);
            return;
        };
        let passed_s = seconds(now, before.at).max(0.0);
        let share = |memory_s: f64| 1.0 - (-passed_s / memory_s).exp();
        self.means = Some(Means {
            at: before.at.max(now),
            short: before.short.towards(wind, share(SHORT_S)),
            long: before.long.towards(wind, share(LONG_S)),
            speed_ms: before.speed_ms + (speed_ms - before.speed_ms) * share(SHORT_S),
            long_speed_ms: before.long_speed_ms + (speed_ms - before.long_speed_ms) * share(LONG_S),
        });
    }

    pub(super) fn felt(&self, now: Timestamp) -> Felt {
        let Some(means) = self.means.filter(|means| seconds(now, means.at) < STALE_S) else {
            return Felt::default();
        };
        let (short, long) = (means.short.from(), means.long.from());
        let turned_deg = short.zip(long).map_or(180.0, |(a, b)| a.to(b).as_degrees().abs());
        let rise = means.speed_ms.max(CALM_MS) / means.long_speed_ms.max(CALM_MS);
        let doublings = 2.0 * rise.log2().max(0.0);
        Felt { wind: Some((Speed::metres_per_second(means.speed_ms), short)), turned_deg, doublings }
    }
}
