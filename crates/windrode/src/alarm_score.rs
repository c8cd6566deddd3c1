//! What an alarm was worth: false, or true and after how many metres and seconds.
//!
//! An alarm is *true* when the anchor drags by then, *false* before. Alarms within half an hour of one another are one:
//! nobody falls asleep again in between. A drag that is never called is *missed*.

use jiff::{SignedDuration, Timestamp};

/// Alarms within this of the first of them are one.
pub(crate) const CLUSTER: SignedDuration = SignedDuration::from_mins(30);

/// What the alarms of a night were worth.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Score {
    /// The first true alarm.
    pub(crate) found: Option<FoundDrag>,
    /// Alarms while the anchor lay, half an hour's as one.
    pub(crate) false_alarms: u32,
    /// The anchor dragged and nothing called it.
    pub(crate) missed: bool,
}

/// A drag that was called.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct FoundDrag {
    /// When.
    pub(crate) at: Timestamp,
    /// Metres that the anchor had gone by then.
    pub(crate) gone_m: f64,
    /// Seconds since it began.
    pub(crate) after_s: f64,
}

/// Scores the alarms, told in order of time, of a night in which the anchor began to drag at `began`, if it did.
pub(crate) fn score(
    alarms: &[Timestamp],
    began: Option<Timestamp>,
    gone_m: impl Fn(Timestamp) -> f64,
) -> Score {
    let is_true = |at: Timestamp| began.is_some_and(|began| began <= at);
    let mut score = Score::default();
    let mut cluster: Option<Timestamp> = None;
    for &at in alarms.iter().take_while(|&&at| !is_true(at)) {
        if cluster.is_none_or(|first| CLUSTER <= at.duration_since(first)) {
            score.false_alarms += 1;
            cluster = Some(at);
        }
    }
    score.found = began.zip(alarms.iter().copied().find(|&at| is_true(at))).map(|(began, at)| FoundDrag {
        at,
        gone_m: gone_m(at),
        after_s: at.duration_since(began).as_secs_f64(),
    });
    score.missed = began.is_some() && score.found.is_none();
    score
}

#[cfg(test)]
mod tests {
    use super::*;

    fn minute(minute: i64) -> Timestamp {
        Timestamp::from_second(60 * minute).unwrap()
    }

    #[test]
    fn alarms_of_half_an_hour_are_one() {
        let alarms = [1, 5, 30, 31, 60, 61].map(minute);
        // 1 to 30 are one, 31 to 60 another, 61 a third.
        assert_eq!(score(&alarms, None, |_| 0.0).false_alarms, 3);
    }

    #[test]
    fn an_alarm_before_the_drag_is_false_and_the_first_after_it_finds_it() {
        let scored = score(&[5, 70, 90].map(minute), Some(minute(60)), |at| at.as_second() as f64 / 100.0);
        assert_eq!(scored.false_alarms, 1);
        let found = scored.found.unwrap();
        assert_eq!(found.at, minute(70));
        assert!((found.gone_m - 42.0).abs() < 1e-9 && (found.after_s - 600.0).abs() < 1e-9);
        assert!(!scored.missed);
    }

    #[test]
    fn a_drag_that_nothing_calls_is_missed() {
        assert!(score(&[], Some(minute(1)), |_| 9.0).missed);
        assert!(score(&[minute(0)], Some(minute(1)), |_| 9.0).missed);
        assert!(!score(&[], None, |_| 0.0).missed);
    }
}
