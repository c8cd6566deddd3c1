//! Her engine and the battery that it charges.
//!
//! Revolutions and pull follow what is wanted within seconds; the battery goes to the alternator's voltage while the
//! engine runs, and back to what it has at rest, which falls slowly. Times and voltages of a 12 V lead battery: common
//! practice, no source.

use super::AsternStep;

/// Revolutions under way, a minute.
const CRUISING_RPM: f64 = 2100.0;
/// Revolutions in neutral, a minute.
const IDLE_RPM: f64 = 850.0;
/// Revolutions and pull follow over this, s.
const FOLLOWS_S: f64 = 3.0;
/// The alternator's voltage, V.
const CHARGING_V: f64 = 13.9;
/// The battery's voltage goes up over this, s...
const CHARGES_S: f64 = 60.0;
/// ...and back over this, s.
const RESTS_S: f64 = 300.0;

/// Her engine.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Engine {
    runs: bool,
    rpm: f64,
    pull_n: f64,
    wanted_rpm: f64,
    wanted_n: f64,
}

impl Engine {
    /// Under way.
    pub(super) const fn cruising() -> Self {
        Self { runs: true, rpm: CRUISING_RPM, pull_n: 0.0, wanted_rpm: CRUISING_RPM, wanted_n: 0.0 }
    }
    /// Started, in neutral.
    pub(super) const fn start(&mut self) {
        self.runs = true;
        self.ease();
    }
    /// Stopped.
    pub(super) const fn stop(&mut self) {
        *self = Self { runs: false, rpm: 0.0, pull_n: 0.0, wanted_rpm: 0.0, wanted_n: 0.0 };
    }
    /// In neutral.
    pub(super) const fn ease(&mut self) {
        (self.wanted_rpm, self.wanted_n) = (IDLE_RPM, 0.0);
    }
    /// Driving her at a share of her cruising speed; what pulls her then is the helm's.
    pub(super) fn drive(&mut self, share: f64) {
        self.wanted_rpm = IDLE_RPM + share.abs().min(1.0) * (CRUISING_RPM - IDLE_RPM);
        self.wanted_n = 0.0;
    }
    /// Astern against the rode.
    pub(super) const fn pull(&mut self, step: &AsternStep) {
        (self.wanted_rpm, self.wanted_n) = (step.rpm, step.pull.as_newtons());
    }

    pub(super) const fn runs(&self) -> bool {
        self.runs
    }
    /// Revolutions a minute.
    pub(super) const fn rpm(&self) -> f64 {
        self.rpm
    }
    /// Pull astern, N.
    pub(super) const fn pull_n(&self) -> f64 {
        self.pull_n
    }
    /// One second on.
    pub(super) fn second(&mut self) {
        self.rpm += (self.wanted_rpm - self.rpm) / FOLLOWS_S;
        self.pull_n += (self.wanted_n - self.pull_n) / FOLLOWS_S;
    }
    /// The battery a second later, V.
    pub(super) fn charges(&self, now_v: f64, (full_v, loses_v_h): (f64, f64), at_s: f64) -> f64 {
        if self.runs {
            return now_v + (CHARGING_V - now_v) / CHARGES_S;
        }
        let resting_v = full_v - loses_v_h * at_s / 3600.0;
        now_v + (resting_v - now_v) / RESTS_S
    }
}
