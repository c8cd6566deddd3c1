//! The load at the bow, from the wind as it is felt.
//!
//! `H = ½ ρ C_dA V² · 1.07 + 15 N`: 1.07 for a boat that sheers, 15 N for what is never still. `V²` is smoothed over
//! 45 s, about the time in which a boat follows a gust. The stream is not known, nor waves: the band that is granted
//! beyond the reach ([`super::super::drag`]) is for them.

use crate::environment::wind::Wind;
use crate::units::AIR_KG_M3;

/// Over how long the square of the wind's speed is smoothed, s.
const GUST_S: f64 = 45.0;
/// Over how long the wind's direction is smoothed, s.
const DIRECTION_S: f64 = 120.0;
/// Mean load of a sheering boat over that of one that lies head to wind: 1.07 to 1.11 in simulation.
const SHEER: f64 = 1.07;
/// What is never still, N.
const LEAST_N: f64 = 15.0;
/// Load where the wind is not known, N: 5 to 6 m/s on a boat of 12 m, the middle of quiet nights.
const UNKNOWN_N: f64 = 150.0;
/// A wind that is the same to the last bit for so long is stuck, s.
const STUCK_S: f64 = 600.0;
/// The height of a wind's report over that of the hull: smoothing only; how long an old wind still stands, s.
const OLD_S: f64 = 120.0;

/// What is known of the load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Loads {
    /// Drag area head to wind, m².
    pub drag_area_m2: f64,
    /// Smoothed square of the wind's speed, m²/s².
    pub speed2: f64,
    /// Smoothed wind, east and north, m/s.
    pub wind_ms: [f64; 2],
    /// Seconds since the wind was last heard.
    pub silent_s: f64,
    /// Seconds for which it has been the same to the last bit.
    pub same_s: f64,
    /// The wind last heard, east and north, m/s.
    pub last_ms: [f64; 2],
}

impl Loads {
    /// For a boat.
    pub const fn new(drag_area_m2: f64) -> Self {
        Self {
            drag_area_m2,
            speed2: 0.0,
            wind_ms: [0.0; 2],
            silent_s: f64::INFINITY,
            same_s: 0.0,
            last_ms: [0.0; 2],
        }
    }

    /// Every number that it carries, for the memory.
    pub(in crate::watch) fn each(&mut self, visit: &mut dyn FnMut(&mut f64)) {
        visit(&mut self.drag_area_m2);
        visit(&mut self.speed2);
        self.wind_ms.iter_mut().for_each(&mut *visit);
        visit(&mut self.silent_s);
        visit(&mut self.same_s);
        self.last_ms.iter_mut().for_each(&mut *visit);
    }

    /// Hears, or does not hear, a wind.
    pub fn hear(&mut self, seconds: f64, wind: Option<Wind>) {
        let Some(wind) = wind else {
            self.silent_s += seconds;
            return;
        };
        let now_ms = [wind.east_ms, wind.north_ms];
        let speed2 = now_ms[0].powi(2) + now_ms[1].powi(2);
        self.same_s = if same(now_ms, self.last_ms) { self.same_s + seconds } else { 0.0 };
        self.last_ms = now_ms;
        let anew = !(self.silent_s < OLD_S);
        let share = |over_s: f64| if anew { 1.0 } else { 1.0 - (-seconds / over_s).exp() };
        self.speed2 += share(GUST_S) * (speed2 - self.speed2);
        for (smooth, now) in self.wind_ms.iter_mut().zip(now_ms) {
            *smooth += share(DIRECTION_S) * (now - *smooth);
        }
        self.silent_s = 0.0;
    }

    /// The wind is heard and lives.
    pub fn known(&self) -> bool {
        self.silent_s < OLD_S && self.same_s < STUCK_S
    }

    /// Horizontal load at the bow, N.
    pub fn load_n(&self) -> f64 {
        if self.known() {
            LEAST_N + 0.5 * AIR_KG_M3 * self.drag_area_m2 * SHEER * self.speed2
        } else {
            UNKNOWN_N
        }
    }

    /// The way the wind goes, a unit vector, if it is known and blows steadily enough to have one.
    pub fn downwind(&self) -> Option<[f64; 2]> {
        let speed_ms = self.wind_ms[0].hypot(self.wind_ms[1]);
        (self.known() && 1.0 < speed_ms).then(|| self.wind_ms.map(|w| w / speed_ms))
    }
}

fn same(a: [f64; 2], b: [f64; 2]) -> bool {
    a.map(f64::to_bits) == b.map(f64::to_bits)
}
