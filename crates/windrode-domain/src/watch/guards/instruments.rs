//! The battery, and instruments that spoke and are silent.

use jiff::Timestamp;

use crate::watch::alarm::Claim;
use crate::watch::effect::AlarmKind;
use crate::watch::instrument::Instrument;
use crate::watch::observation::Source;
use crate::watch::own_clock::{duration, seconds};
use crate::watch::reason::{Reason, Sensor};
use crate::watch::receivers::interval::Interval;

/// The battery must be low for so long, s: starting an engine or hauling with the windlass pulls it down meanwhile.
const LOW_FOR_S: f64 = 120.0;
/// It is charged again when it is above by so much, V.
const CHARGED_V: f64 = 0.1;
/// Words before an instrument counts as there: one that spoke by chance was not.
const THERE_AFTER: u32 = 5;
/// An instrument may be silent for so many of its usual intervals, where that is longer than the crew's limit.
const SILENT_INTERVALS: f64 = 5.0;
/// And for so long at least, whatever the limit, s: a link of the boat's own network comes back in less.
const SILENT_LEAST_S: f64 = 30.0;

/// The battery.
#[derive(Clone, Debug, Default, PartialEq)]
pub(in crate::watch) struct BatteryGuard {
    volts: Instrument<f64>,
    low_since: Option<Timestamp>,
    is_low: bool,
}

impl BatteryGuard {
    /// Its voltage.
    pub(in crate::watch) fn hear(&mut self, source: Source, at: Timestamp, volts: f64, limit_v: Option<f64>) {
        if !volts.is_finite() {
            return;
        }
        self.volts.hear(source, at, volts);
        let limit_v = limit_v.map(|limit_v| if self.is_low { limit_v + CHARGED_V } else { limit_v });
        if limit_v.is_some_and(|limit_v| volts < limit_v) {
            self.low_since.get_or_insert(at);
        } else {
            (self.low_since, self.is_low) = (None, false);
        }
    }
    /// What it claims now.
    pub(in crate::watch) fn judge(&mut self, limit_v: Option<f64>, now: Timestamp) -> Option<Claim> {
        let limit_v = limit_v?;
        self.is_low = self.low_since.is_some_and(|since| LOW_FOR_S <= seconds(now, since));
        let volts = self.volts.within(now, 3_600.0)?;
        let reason = Reason::BatteryLow { volts, limit_v };
        self.is_low.then_some(Claim { kind: AlarmKind::Battery, reason, measure: volts })
    }
    /// How often it speaks.
    pub(in crate::watch) const fn interval(&self) -> &Interval {
        self.volts.interval()
    }
}

/// The claim of an instrument that is silent: the first in order of what depends on it. Those that spoke `before` the
/// watch was taken up again are missed from `since`, when it was.
pub(in crate::watch) fn silence<'a>(
    sensors: impl Iterator<Item = (Sensor, &'a Interval)>,
    before: &[Sensor],
    limit_s: f64,
    [since, now]: [Timestamp; 2],
) -> Option<Claim> {
    let limit_s = limit_s.max(SILENT_LEAST_S);
    let silent_s = |(sensor, interval): (Sensor, &Interval)| {
        if interval.heard() == 0 {
            let silent_s = seconds(now, since);
            return (before.contains(&sensor) && limit_s < silent_s).then_some((sensor, silent_s));
        }
        let silent = THERE_AFTER <= interval.heard() && !interval.is_fresh(now, limit_s, SILENT_INTERVALS);
        interval.silent_s(now).filter(|_| silent).map(|silent_s| (sensor, silent_s))
    };
    let (sensor, silent_s) = sensors.filter_map(silent_s).min_by_key(|&(sensor, _)| sensor)?;
    let reason = Reason::SensorSilent { sensor, lasting: duration(silent_s) };
    Some(Claim { kind: AlarmKind::SensorSilent, reason, measure: silent_s })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::watch::own_clock::after;

    const BANK: Source = Source(9);
    const LIMIT_V: Option<f64> = Some(11.8);

    fn second(seconds: f64) -> Timestamp {
        after(Timestamp::UNIX_EPOCH, seconds)
    }

    /// Seconds at which it claims, of voltages told every ten.
    fn claims(volts: impl Fn(f64) -> f64) -> Vec<f64> {
        let mut guard = BatteryGuard::default();
        let low = |s: &f64| {
            guard.hear(BANK, second(*s), volts(*s), LIMIT_V);
            guard.judge(LIMIT_V, second(*s)).is_some()
        };
        (0..60).map(|tens| f64::from(tens) * 10.0).filter(low).collect()
    }

    #[test]
    fn a_battery_rings_when_it_stays_low_and_not_when_the_windlass_pulls_it_down() {
        assert_eq!(claims(|s| if (60.0..120.0).contains(&s) { 10.9 } else { 12.4 }), [0.0; 0]);
        assert_eq!(claims(|s| if 60.0 <= s { 11.7 } else { 12.4 }).first(), Some(&180.0));
    }

    #[test]
    fn it_is_low_until_it_stands_a_tenth_of_a_volt_above_and_rubbish_is_no_voltage() {
        let recovering = |s: f64| {
            if s < 300.0 {
                11.7
            } else if s < 400.0 {
                11.85
            } else {
                12.0
            }
        };
        assert_eq!(claims(recovering).last(), Some(&390.0));
        assert_eq!(claims(|_| f64::NAN), [0.0; 0]);
    }
}
