//! What a watch keeps over the death of its program, and how it is taken up again.

use jiff::Timestamp;

use super::Watch;
use crate::watch::alarm::Alarms;
use crate::watch::detector::Detector;
use crate::watch::given::Given;
use crate::watch::guards::WindGuard;
use crate::watch::leaving::Going;
use crate::watch::own_clock::OwnClock;
use crate::watch::reason::{Reason, Sensor};
use crate::watch::receivers::Receivers;
use crate::watch::remembered::{Leaving, Remembered};
use crate::watch::view::Standing;

impl Watch {
    /// What must be kept to take it up again.
    pub fn remember(&self) -> Remembered {
        let told = |at| self.clock.as_told(at);
        Remembered {
            at: told(self.clock.now()),
            origin: self.origin,
            detector: self.detector.as_ref().map(Detector::remember),
            verdict: self.word.0,
            since: told(self.since),
            dragging: self.dragging,
            moved: self.moved_told(),
            anchor: self.anchor(),
            arc_seen: self.arc_seen,
            under_way: self.leaving.as_ref().map(|(how, _)| *how),
            drop_told: self.drop_told,
            drop_left: self.drop_left,
            rode_told: self.rode_told,
            engine_running: self.engine_told,
            wind_told: self.wind.told_from(),
            used: self.receivers.used(),
            last_fix: self.receivers.last_trusted().map(|(at, place)| (told(at), place)),
            usual_interval_s: self.receivers.usual_s(),
            sensors_heard: self.sensors_heard(),
            alarms: self.alarms.remember(&self.clock),
        }
    }

    /// The watch taken up again at an instant, from what was given to it at first and what it remembered.
    ///
    /// The first step after it rings again what rang. What is remembered of the drag test by another version of the
    /// program is not understood: the test begins anew then, from the drop if there is one, and the word says so by
    /// being doubtful until it has settled; a call of dragging stands.
    pub fn recall(given: Given, remembered: Remembered, now: Timestamp) -> Self {
        let clock = OwnClock::resumed(remembered.at, now);
        let mut watch = Self::new(given);
        watch.given.drop = remembered.drop_told.or(watch.given.drop.filter(|_| !remembered.drop_left));
        let length = watch.given.boat.length;
        let (used, last_fix) = (remembered.used, remembered.last_fix);
        watch.receivers = Receivers::resumed(length, used, last_fix, remembered.usual_interval_s);
        watch.origin = remembered.origin;
        watch.detector = remembered
            .detector
            .as_ref()
            .zip(remembered.origin)
            .and_then(|(memory, origin)| Detector::recall(&watch.given, origin, memory).ok());
        watch.wind = WindGuard::resumed(remembered.wind_told);
        watch.alarms = Alarms::resumed(&remembered.alarms, remembered.at, clock.now());
        watch.ring_again = remembered.alarms.iter().any(|alarm| alarm.standing == Standing::Ringing);
        (watch.dragging, watch.moved) = (remembered.dragging, remembered.moved);
        (watch.anchor_before, watch.arc_seen) = (remembered.anchor, remembered.arc_seen);
        let stood = Reason::StoodBefore { broke_off: remembered.at };
        watch.leaving = remembered.under_way.map(|how| match how {
            Leaving::Told => (how, Reason::ToldAweigh),
            Leaving::Seen | Leaving::NotYet => (how, stood.clone()),
        });
        watch.left = remembered.anchor.filter(|_| remembered.under_way.is_some()).map(|anchor| anchor.at);
        let lain = remembered.anchor.is_some() || remembered.under_way == Some(Leaving::Told);
        watch.going = Going::resumed(lain && remembered.under_way != Some(Leaving::NotYet));
        watch.engine_told = remembered.engine_running;
        (watch.drop_told, watch.rode_told) = (remembered.drop_told, remembered.rode_told);
        watch.drop_left = remembered.drop_left;
        watch.sensors_before = remembered.sensors_heard;
        watch.before = Some((remembered.verdict, remembered.at));
        watch.word = (remembered.verdict, vec![stood]);
        (watch.since, watch.any_fix) = (remembered.since, last_fix.is_some());
        (watch.from, watch.last_known, watch.clock) = (clock.now(), clock.now(), clock);
        watch
    }

    fn sensors_heard(&self) -> Vec<Sensor> {
        let [heading, wind, sounder] = self.gather.intervals();
        let battery = self.battery.interval();
        let each = [
            (Sensor::Heading, heading),
            (Sensor::Wind, wind),
            (Sensor::Sounder, sounder),
            (Sensor::Battery, battery),
        ];
        let heard = each.into_iter().filter(|(_, interval)| 0 < interval.heard()).map(|(sensor, _)| sensor);
        let mut heard: Vec<Sensor> = heard.chain(self.sensors_before.iter().copied()).collect();
        heard.sort();
        heard.dedup();
        heard
    }
}
