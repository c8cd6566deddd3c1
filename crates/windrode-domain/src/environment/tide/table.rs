//! A table of highs and lows, and the half-cosine between them.
//!
//! Between a high and a low the water is taken to follow half a cosine in time:
//!
//! ```text
//! h(t) = h₀ + (h₁ − h₀)(1 − cos(π (t − t₀)/(t₁ − t₀)))/2
//! ```
//!
//! # Validity
//!
//! Exact for a single constituent; within a few per cent of the range where one species rules. In shallow water the
//! tide leans: it rises faster than it falls, or stands. What a bare table can show of that is refused: two highs
//! or two lows in a row, turns closer than two hours (a double high), neighbouring rises and falls of like range
//! whose times are as 0.66 to 1 or worse (a leaning tide whose M4 is a fifth of its M2: the half-cosine then errs by
//! 6.6 % of the range), and more than 18 hours between turns (an entry is missing). What a table cannot show is a
//! stand, or a double high between its entries: an M4 in step with the M2, a fifth of it, leaves the times even and
//! makes the half-cosine err by a fifth of the range. Where the almanac gives a special curve, use that.
//!
//! Source: US National Ocean Service, *Tide Tables*, table 3, whose numbers are this curve; the limits are ours.

use core::fmt;

use jiff::{SignedDuration, Timestamp};

use super::{HighOrLow, TideError, TideEvent, height};
use crate::depth::TideHeight;
use crate::span::Span;

/// Turns closer than this are two parts of one high, or one low. Half the least interval of an undistorted
/// semidiurnal tide with a large inequality.
const DOUBLE_WITHIN: SignedDuration = SignedDuration::from_hours(2);
/// Longer than this between turns, and one is missing: a purely diurnal tide turns every 12.4 hours.
const MISSING_BEYOND: SignedDuration = SignedDuration::from_hours(18);
/// Shorter to longer of two neighbouring intervals, below which the tide leans too much: see the module's account.
const LEANING_BELOW: f64 = 0.66;
/// Smaller to larger of two neighbouring ranges, above which unequal intervals mean leaning rather than the
/// diurnal inequality, in which the shorter interval has the smaller range.
const LIKE_RANGES_ABOVE: f64 = 0.5;

/// Highs and lows in order of time.
#[derive(Clone, Debug, PartialEq)]
pub struct HighLowTable {
    // Invariant: at least two entries, times ascending, kinds alternating, each high above its neighbours.
    entries: Vec<TideEvent>,
    datum: String,
}

/// What in a table shows that the curve is distorted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Distortion {
    /// The turns are so close that they are one double high or low.
    Double,
    /// The turns are so far apart that one must be missing.
    Gap,
    /// The neighbouring rise and fall take too unequal times.
    Leaning,
}

impl fmt::Display for Distortion {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Double => "the turns lie within two hours of one another",
            Self::Gap => "the turns lie more than 18 hours apart, so that one is missing",
            Self::Leaning => "rise and fall take very unequal times for like ranges",
        })
    }
}

/// A table that cannot be.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum TableError {
    /// Nothing lies between fewer than two turns.
    #[error("a table of {entries} entries has no height between two turns")]
    TooShort {
        /// How many there are.
        entries: usize,
    },
    /// A height is not a number.
    #[error("the height at {at} is not a number")]
    Height {
        /// Whose.
        at: Timestamp,
    },
    /// An entry does not come after the one before.
    #[error("{later} does not come after {earlier}, which stands before it")]
    Order {
        /// The entry before.
        earlier: Timestamp,
        /// The entry.
        later: Timestamp,
    },
    /// Two highs or two lows follow one another.
    #[error("{first} and {second} are two highs or two lows in a row")]
    TwoInARow {
        /// The one.
        first: Timestamp,
        /// The other.
        second: Timestamp,
    },
    /// A high is not above the low beside it.
    #[error("between {first} and {second} the high is not above the low")]
    UpsideDown {
        /// The one.
        first: Timestamp,
        /// The other.
        second: Timestamp,
    },
}

impl HighLowTable {
    /// A table from its entries.
    ///
    /// # Errors
    /// Every [`TableError`] in it, in order of time.
    pub fn new(entries: Vec<TideEvent>, datum: String) -> Result<Self, Vec<TableError>> {
        let mut errors = Vec::new();
        if entries.len() < 2 {
            errors.push(TableError::TooShort { entries: entries.len() });
        }
        let not_numbers = entries.iter().filter(|entry| !entry.height.0.is_finite());
        errors.extend(not_numbers.map(|entry| TableError::Height { at: entry.at }));
        errors.extend(entries.windows(2).filter_map(|pair| pair_error(&pair[0], &pair[1])));
        if errors.is_empty() { Ok(Self { entries, datum }) } else { Err(errors) }
    }

    /// What its heights are reckoned from.
    pub fn datum(&self) -> &str {
        &self.datum
    }

    pub(super) fn entries(&self) -> &[TideEvent] {
        &self.entries
    }

    pub(super) fn events(&self, span: Span) -> Result<Vec<TideEvent>, TideError> {
        self.covered(span.from())?;
        self.covered(span.to())?;
        Ok(self.entries.iter().copied().filter(|entry| span.contains(entry.at)).collect())
    }

    pub(super) fn height_at(&self, at: Timestamp) -> Result<TideHeight, TideError> {
        self.covered(at)?;
        let after = self.entries.partition_point(|entry| entry.at <= at).clamp(1, self.entries.len() - 1);
        let (before, next) = (&self.entries[after - 1], &self.entries[after]);
        if let Some(why) = self.distortion(after) {
            return Err(TideError::Distorted { from: before.at, to: next.at, why });
        }
        let along = seconds(before.at, at) / seconds(before.at, next.at);
        let risen = 0.5 * (1.0 - (core::f64::consts::PI * along).cos());
        let (h0, h1) = (before.height.0.as_metres(), next.height.0.as_metres());
        Ok(height(h0 + (h1 - h0) * risen))
    }

    fn covered(&self, at: Timestamp) -> Result<(), TideError> {
        let (from, to) = (self.entries[0].at, self.entries[self.entries.len() - 1].at);
        if from <= at && at <= to { Ok(()) } else { Err(TideError::NotCovered { at, from, to }) }
    }

    /// What is wrong between the turn before `after` and itself.
    fn distortion(&self, after: usize) -> Option<Distortion> {
        let interval = |after: usize| {
            let (before, next) = (self.entries.get(after.checked_sub(1)?)?, self.entries.get(after)?);
            Some((seconds(before.at, next.at), (next.height.0 - before.height.0).abs().as_metres()))
        };
        let (lasting, range) = interval(after)?;
        if lasting < DOUBLE_WITHIN.as_secs_f64() {
            return Some(Distortion::Double);
        }
        if MISSING_BEYOND.as_secs_f64() < lasting {
            return Some(Distortion::Gap);
        }
        let leans = |neighbour: Option<(f64, f64)>| {
            neighbour.is_some_and(|(other, other_range)| {
                lasting.min(other) / lasting.max(other) < LEANING_BELOW
                    && LIKE_RANGES_ABOVE < range.min(other_range) / range.max(other_range)
            })
        };
        (leans(interval(after - 1)) || leans(interval(after + 1))).then_some(Distortion::Leaning)
    }
}

fn pair_error(first: &TideEvent, second: &TideEvent) -> Option<TableError> {
    if second.at <= first.at {
        return Some(TableError::Order { earlier: first.at, later: second.at });
    }
    let (first_at, second_at) = (first.at, second.at);
    let (low, high) = match (first.kind, second.kind) {
        (HighOrLow::Low, HighOrLow::High) => (first, second),
        (HighOrLow::High, HighOrLow::Low) => (second, first),
        (HighOrLow::High, HighOrLow::High) | (HighOrLow::Low, HighOrLow::Low) => {
            return Some(TableError::TwoInARow { first: first_at, second: second_at });
        }
    };
    let upright = low.height < high.height || !(low.height.0.is_finite() && high.height.0.is_finite());
    (!upright).then_some(TableError::UpsideDown { first: first_at, second: second_at })
}

fn seconds(from: Timestamp, to: Timestamp) -> f64 {
    to.duration_since(from).as_secs_f64()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(clock: &str) -> Timestamp {
        format!("2026-05-0{clock}:00Z").parse().expect("an instant")
    }

    fn entry(clock: &str, kind: HighOrLow, metres: f64) -> TideEvent {
        TideEvent { at: at(clock), kind, height: height(metres) }
    }

    fn table(entries: &[(&str, f64)]) -> Result<HighLowTable, Vec<TableError>> {
        let entries = entries.iter().enumerate().map(|(index, (clock, metres))| {
            entry(clock, if index % 2 == 0 { HighOrLow::Low } else { HighOrLow::High }, *metres)
        });
        HighLowTable::new(entries.collect(), "LAT".into())
    }

    // Source: computed in Python from the formula: low 1.00 m at 07:00, high 4.60 m at 13:10, asked at 10:00.
    #[test]
    fn ten_in_the_morning_by_half_a_cosine() {
        let table = table(&[("1T07:00", 1.0), ("1T13:10", 4.6)]).expect("a table");
        let found = table.height_at(at("1T10:00")).expect("a height").0.as_metres();
        assert!((found - 2.723_606).abs() < 5e-7, "{found}");
    }

    // Common practice, no source: the rule of twelfths, which the half-cosine keeps within 1.7 % of the range.
    #[test]
    fn the_half_cosine_keeps_the_rule_of_twelfths() {
        let table = table(&[("1T06:00", 0.0), ("1T12:00", 1.0)]).expect("a table");
        for (hour, twelfths) in (1..).zip([1.0, 3.0, 6.0, 9.0, 11.0, 12.0]) {
            let found = table.height_at(at("1T06:00") + SignedDuration::from_hours(hour)).expect("a height");
            assert!((found.0.as_metres() - twelfths / 12.0).abs() < 0.0168);
        }
    }

    #[test]
    fn beyond_the_table_nothing_is_said() {
        let table = table(&[("1T06:00", 0.0), ("1T12:00", 1.0)]).expect("a table");
        assert!(matches!(table.height_at(at("1T12:01")), Err(TideError::NotCovered { .. })));
        assert!(matches!(table.height_at(at("1T05:59")), Err(TideError::NotCovered { .. })));
    }

    #[test]
    fn what_a_table_shows_of_a_distorted_tide_is_refused() {
        let why = |entries: &[(&str, f64)], clock: &str| match table(entries)
            .expect("a table")
            .height_at(at(clock))
        {
            Err(TideError::Distorted { why, .. }) => Some(why),
            Ok(_) | Err(_) => None,
        };
        let double = [("1T06:00", 0.0), ("1T11:00", 3.0), ("1T12:30", 2.9), ("1T14:00", 3.1)];
        assert_eq!(why(&double, "1T12:00"), Some(Distortion::Double));
        let gap = [("1T06:00", 0.0), ("2T02:00", 3.0)];
        assert_eq!(why(&gap, "1T12:00"), Some(Distortion::Gap));
        let leaning = [("1T06:00", 0.0), ("1T10:30", 3.0), ("1T18:25", 0.1)];
        assert_eq!(why(&leaning, "1T08:00"), Some(Distortion::Leaning));
        let unequal = [("1T06:00", 0.0), ("1T13:30", 1.6), ("1T18:00", 0.9)];
        assert_eq!(why(&unequal, "1T08:00"), None);
    }

    #[test]
    fn a_fifth_of_m4_leans_as_much_as_the_limit_and_spoils_the_half_cosine_by_a_fifteenth() {
        // cos θ + 0.2 sin 2θ turns where sin θ = 0.4 cos 2θ: 2a x² + x/2 − a = 0 for x = sin θ, a = 0.4 / 2.
        let curve = |theta: f64| theta.cos() + 0.2 * (2.0 * theta).sin();
        let crest = ((-1.0 + (1.0_f64 + 8.0 * 0.4 * 0.4).sqrt()) / (4.0 * 0.4)).asin();
        let trough = core::f64::consts::PI - crest;
        let (fall, rise) = (trough - crest, core::f64::consts::TAU - (trough - crest));
        assert!((fall / rise - LEANING_BELOW).abs() < 0.005, "{}", fall / rise);
        let (low, range) = (curve(trough), curve(crest) - curve(trough));
        let error = |part: i32| {
            let along = f64::from(part) / 1000.0;
            let cosine = low + range * 0.5 * (1.0 - (core::f64::consts::PI * along).cos());
            (curve(trough + along * rise) - cosine).abs() / range
        };
        let worst = (0..=1000).map(error).fold(0.0, f64::max);
        assert!((worst - 0.066).abs() < 0.001, "{worst}");
    }

    #[test]
    fn every_fault_of_a_table_is_named() {
        assert_eq!(table(&[]).unwrap_err(), [TableError::TooShort { entries: 0 }]);
        assert!(matches!(
            table(&[("1T06:00", 0.0), ("1T05:00", 1.0)]).unwrap_err()[..],
            [TableError::Order { .. }]
        ));
        assert!(matches!(
            table(&[("1T06:00", 2.0), ("1T12:00", 1.0)]).unwrap_err()[..],
            [TableError::UpsideDown { .. }]
        ));
        assert!(matches!(
            table(&[("1T06:00", f64::NAN), ("1T12:00", 1.0)]).unwrap_err()[..],
            [TableError::Height { .. }]
        ));
        let highs = vec![entry("1T06:00", HighOrLow::High, 3.0), entry("1T09:00", HighOrLow::High, 3.1)];
        assert!(matches!(
            HighLowTable::new(highs, "LAT".into()).unwrap_err()[..],
            [TableError::TwoInARow { .. }]
        ));
    }
}
