//! What the instruments say.

use super::Watch;
use crate::watch::instrument::Heard;
use crate::watch::observation::{Observation, Seen};
use crate::watch::own_clock::seconds;
use crate::watch::receivers::Outcome;

/// What says that it is of the future by more than this is counted, s: two clocks that are set by satellites differ
/// by less than a second.
const FUTURE_S: f64 = 2.0;

impl Watch {
    /// An instrument speaks; whether the word may have to be judged anew for it.
    pub(super) fn hear(&mut self, observation: &Observation) -> bool {
        let now = self.clock.now();
        let mut at = self.clock.of_told(observation.at);
        if now < at {
            if FUTURE_S < seconds(at, now) {
                self.left_out.early = self.left_out.early.saturating_add(1);
            }
            at = now;
        }
        let source = observation.source;
        match observation.seen {
            Seen::Fix(fix) => {
                let before = self.receivers.used();
                match self.receivers.hear_fix(source, at, &fix) {
                    Outcome::Usable if self.receivers.used() == Some(source) => {
                        if before.is_some() && before != Some(source) {
                            self.gather.change_receiver();
                        }
                        return self.fix(at, fix.antenna);
                    }
                    Outcome::Usable => {}
                    Outcome::LeftOut => self.left_out.fixes = self.left_out.fixes.saturating_add(1),
                    Outcome::Late => self.late(),
                }
                // A fault of the receiver in use may make the watch blind in time; each second looks.
                false
            }
            Seen::NoFix => {
                self.receivers.hear_no_fix(source);
                false
            }
            Seen::Way(way) => {
                if self.receivers.hear_way(source, at, &way) == Outcome::Late {
                    self.late();
                }
                false
            }
            Seen::Sky(sky) => {
                self.receivers.hear_sky(source, at, &sky);
                false
            }
            Seen::Battery { volts } => {
                self.battery.hear(source, at, volts, self.given.limits.battery_v);
                false
            }
            Seen::Engine { rpm } => {
                self.hear_engine(at, rpm);
                false
            }
            Seen::RodeOut { length } => self.hear_rode(length),
            Seen::Heading { .. } | Seen::Wind(_) | Seen::Water { .. } => {
                self.hear_instrument(at, observation);
                false
            }
            Seen::Turning { .. } | Seen::ThroughWater { .. } | Seen::Attitude { .. } => false,
        }
    }

    /// A trusted fix of the receiver in use; whether it made a sample, or ends the wait for the first.
    fn fix(&mut self, at: jiff::Timestamp, antenna: crate::position::Position) -> bool {
        self.last_known = self.last_known.max(at);
        let first = !core::mem::replace(&mut self.any_fix, true);
        self.origin.get_or_insert_with(|| self.given.drop.map_or(antenna, |drop| drop.at));
        let mut samples = Vec::new();
        self.with_surroundings(|gather, by| gather.fix(at, antenna, by, &mut samples));
        self.take(&samples);
        first || !samples.is_empty()
    }
    fn hear_instrument(&mut self, at: jiff::Timestamp, observation: &Observation) {
        let heard = self.gather.hear(at, observation);
        match (heard, observation.seen) {
            (Heard::Late, _) => self.late(),
            (Heard::Taken, Seen::Wind(wind)) => self.wind.hear(at, wind),
            (Heard::Taken, Seen::Water { depth }) => self.water.hear(at, depth),
            _ => {}
        }
    }
    fn hear_engine(&mut self, at: jiff::Timestamp, rpm: f64) {
        let ran = self.engine_runs();
        if rpm.is_finite() {
            self.engine = Some((at, rpm));
        }
        self.tell_engine(ran);
    }
    /// The drag test hears of an engine that was started or stopped.
    pub(super) fn tell_engine(&mut self, ran: bool) {
        let runs = self.engine_runs();
        if let Some(detector) = self.detector.as_mut().filter(|_| runs != ran) {
            detector.engine(runs);
        }
    }
    const fn late(&mut self) {
        self.left_out.late = self.left_out.late.saturating_add(1);
    }
}
