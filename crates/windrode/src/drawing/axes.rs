//! Scales: round steps, and the hours of the crew's clock along a stay.

use jiff::{SignedDuration, Timestamp};
use windrode_domain::span::Span;

use crate::words::Clock;

/// The greatest of 1, 2, 5 and their tenfolds that is not above a value.
pub(super) fn nice_below(value: f64) -> f64 {
    if !(0.0 < value && value.is_finite()) {
        return 1.0;
    }
    let decade = 10_f64.powf(value.log10().floor());
    let share = value / decade;
    let lead = if 5.0 <= share {
        5.0
    } else if 2.0 <= share {
        2.0
    } else {
        1.0
    };
    lead * decade
}

/// Round values from `low` to `high`, about `count` of them.
pub(super) fn ticks(low: f64, high: f64, count: f64) -> Vec<f64> {
    if !(low < high && (high - low).is_finite()) {
        return Vec::new();
    }
    let step = nice_below((high - low) / count);
    let first = (low / step).ceil();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a step is a fair share of the range"
    )]
    let steps = ((high / step).floor() - first).max(0.0) as usize;
    (0..=steps).map(|n| (first + n as f64) * step).collect()
}

/// From a value to a place on the paper, along a straight scale.
#[derive(Clone, Copy, Debug)]
pub(super) struct Scale {
    low: f64,
    high: f64,
    at_low: f64,
    at_high: f64,
}

impl Scale {
    /// `low` falls at `at_low`, `high` at `at_high`.
    pub(super) const fn new([low, high]: [f64; 2], [at_low, at_high]: [f64; 2]) -> Self {
        Self { low, high, at_low, at_high }
    }
    /// Where a value falls.
    pub(super) fn at(&self, value: f64) -> f64 {
        self.at_low + (value - self.low) / (self.high - self.low) * (self.at_high - self.at_low)
    }
}

/// A mark on the axis of time.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct HourTick {
    /// When.
    pub(super) at: Timestamp,
    /// The hour.
    pub(super) hour: String,
    /// The day, at the first tick of each.
    pub(super) day: Option<String>,
}

/// Every so many full hours of the crew's clock within a span, few enough for `most` of them.
pub(super) fn hours(span: Span, clock: &Clock, most: f64) -> Vec<HourTick> {
    let long_h = span.duration().as_secs_f64() / 3600.0;
    let step = [1_i8, 2, 3, 6, 12].into_iter().find(|step| long_h / f64::from(*step) <= most);
    // Longer stays are marked at midnight, every so many days.
    let step_h = step.unwrap_or(24);
    let every_days = (long_h / 24.0 / most).ceil().max(1.0);
    let mut out: Vec<HourTick> = Vec::new();
    let mut days = 0.0;
    let mut last_day = None;
    // Quarter hours meet the full hour in every zone there is, and across every change of clocks.
    for at in Span::instants(span, SignedDuration::from_mins(15)).map(|at| quarter(at, clock)) {
        let zoned = clock.zoned(at);
        let full = zoned.minute() == 0 && zoned.hour() % step_h == 0;
        if !full || !span.contains(at) || out.last().is_some_and(|tick| tick.at == at) {
            continue;
        }
        let new_day = last_day != Some(zoned.date());
        if new_day {
            days += 1.0;
        }
        if step.is_none() && (days - 1.0) % every_days != 0.0 {
            continue;
        }
        last_day = Some(zoned.date());
        out.push(HourTick {
            at,
            hour: zoned.strftime("%H").to_string(),
            day: new_day.then(|| clock.date(at)),
        });
    }
    out
}

/// The quarter hour at or before an instant, on the crew's clock.
fn quarter(at: Timestamp, clock: &Clock) -> Timestamp {
    let zoned = clock.zoned(at);
    let past = SignedDuration::from_mins(i64::from(zoned.minute() % 15))
        + SignedDuration::from_secs(i64::from(zoned.second()))
        + SignedDuration::from_nanos(i64::from(zoned.subsec_nanosecond()));
    at.checked_sub(past).unwrap_or(at)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample::{after, voice};

    #[test]
    fn steps_are_round() {
        assert!(
            [(0.7, 0.5), (1.0, 1.0), (4.9, 2.0), (60.0, 50.0)].iter().all(|(value, step)| (nice_below(
                *value
            ) - step)
                .abs()
                < 1e-12)
        );
        assert_eq!(ticks(-0.2, 4.1, 4.0).len(), 5);
        assert!(ticks(1.0, 1.0, 4.0).is_empty());
    }

    #[test]
    fn ticks_fall_on_full_hours_of_the_crews_clock() {
        let span = Span::new(after(0.13), after(48.0)).unwrap();
        let ticks = hours(span, &voice().clock, 9.0);
        let told: Vec<_> = ticks.iter().map(|tick| tick.hour.as_str()).collect();
        assert_eq!(told, ["00", "06", "12", "18", "00", "06", "12", "18"]);
        assert_eq!(ticks.first().and_then(|tick| tick.day.clone()).as_deref(), Some("Sat 28 Nov"));
    }

    #[test]
    fn a_fortnight_is_marked_by_days() {
        let span = Span::new(after(0.0), after(14.0 * 24.0)).unwrap();
        let ticks = hours(span, &voice().clock, 6.0);
        assert!(ticks.len() <= 7 && ticks.iter().all(|tick| tick.day.is_some()), "{ticks:?}");
    }
}
