//! A secondary port: the highs and lows of a standard port, moved by differences that vary.
//!
//! Almanacs of the Admiralty's kind give the time difference of high water for two pairs of clock times at the
//! standard port, of low water likewise, and the height difference at mean springs and mean neaps. In between, and
//! beyond for heights, they are taken in proportion:
//!
//! ```text
//! Δt = interpolated round the clock between the tabulated hours
//! Δh = Δh_neaps + (h − h_neaps)(Δh_springs − Δh_neaps)/(h_springs − h_neaps)
//! ```
//!
//! A seasonal correction, where given, is taken off at the standard port before and put on at the secondary after.
//! Between the turns the standard port's curve is stretched to fit; if the standard port is itself a table, the
//! half-cosine serves, and refuses what [`super::table`] refuses.
//!
//! # Validity
//!
//! The almanacs' own: differences are averages, good to some minutes and a decimetre or two.

use jiff::{SignedDuration, Timestamp, civil};

use super::harmonic::to_the_millisecond;
use super::subordinate::{ABOUT, about};
use super::table::HighLowTable;
use super::warp::Warp;
use super::{Harmonic, HighOrLow, Ready, TideError, TideEvent};
use crate::depth::TideHeight;
use crate::span::Span;
use crate::units::Length;

/// Where the standard port's highs and lows come from.
#[derive(Clone, Debug, PartialEq)]
pub enum Standard {
    /// Its harmonic constants.
    Harmonic(Harmonic),
    /// Its table.
    Table(HighLowTable),
}

/// A time difference at an hour of the standard port's clock.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct AtClock {
    /// The hour.
    pub clock: civil::Time,
    /// So much later at the secondary port.
    pub later: SignedDuration,
}

/// A height difference at a mean height of the standard port.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AtLevel {
    /// The mean height at the standard port (`MHWS`, …).
    pub level: TideHeight,
    /// So much higher at the secondary port.
    pub higher: Length,
}

/// Differences of high water, or of low water.
#[derive(Clone, Debug, PartialEq)]
pub struct Differences {
    /// In any order, at least one; each holds for one hour of the day.
    pub times: Vec<AtClock>,
    /// At mean springs.
    pub springs: AtLevel,
    /// At mean neaps.
    pub neaps: AtLevel,
}

/// Monthly corrections of the mean level, January first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seasonal {
    /// At the standard port.
    pub standard: [Length; 12],
    /// At the secondary port.
    pub secondary: [Length; 12],
}

/// A place known by its differences on a standard port.
#[derive(Clone, Debug, PartialEq)]
pub struct Secondary {
    /// The standard port.
    standard: Standard,
    high: Differences,
    low: Differences,
    seasonal: Option<Seasonal>,
    clock_ahead_of_utc: SignedDuration,
    pub(super) datum: String,
}

/// Differences that cannot be.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum SecondaryError {
    /// There is no time difference.
    #[error("no time difference of {of} is given")]
    NoTimes {
        /// High or low water.
        of: &'static str,
    },
    /// Two time differences for one hour.
    #[error("two time differences of {of} are given for {clock}")]
    SameClock {
        /// High or low water.
        of: &'static str,
        /// The hour.
        clock: civil::Time,
    },
    /// A time difference of half a day or more fits another turn better.
    #[error("a time difference of {minutes} minutes of {of} is half a day or more")]
    TooLate {
        /// High or low water.
        of: &'static str,
        /// The difference.
        minutes: i64,
    },
    /// Springs and neaps are the same height, or a height is not a number, so that nothing lies between them.
    #[error("springs at {springs} and neaps at {neaps} of {of} leave nothing to interpolate between")]
    Levels {
        /// High or low water.
        of: &'static str,
        /// Mean springs, m.
        springs: f64,
        /// Mean neaps, m.
        neaps: f64,
    },
}

impl Secondary {
    /// A secondary port; its clock times are in a zone so much ahead of UTC.
    ///
    /// # Errors
    /// Every [`SecondaryError`] in the differences.
    pub fn new(
        standard: Standard,
        [high, low]: [Differences; 2],
        seasonal: Option<Seasonal>,
        clock_ahead_of_utc: SignedDuration,
        datum: String,
    ) -> Result<Self, Vec<SecondaryError>> {
        let mut errors = high.errors("high water");
        errors.extend(low.errors("low water"));
        if !errors.is_empty() {
            return Err(errors);
        }
        Ok(Self { standard, high, low, seasonal, clock_ahead_of_utc, datum })
    }

    pub(super) fn events(&self, span: Span) -> Result<Vec<TideEvent>, TideError> {
        let mut events = match &self.standard {
            Standard::Harmonic(port) => {
                let wide = about(span.from(), span.to(), self.reach())?;
                port.events(wide)?.iter().map(|event| self.moved(event)).collect::<Vec<_>>()
            }
            Standard::Table(table) => self.moved_table(table).1,
        };
        events.retain(|event| span.contains(event.at));
        events.sort_by_key(|event| event.at);
        Ok(events)
    }

    pub(super) fn reckon(&self, from: Timestamp, to: Timestamp) -> Result<Ready<'static>, TideError> {
        let port = match &self.standard {
            Standard::Harmonic(port) => port,
            Standard::Table(table) => {
                let (moved, entries) = self.moved_table(table);
                let (first, last) = (entries[0].at, entries[entries.len() - 1].at);
                let refused = TideError::NotCovered { at: from, from: first, to: last };
                return moved.map(Ready::OwnTable).ok_or(refused);
            }
        };
        let wide = about(from, to, self.reach().saturating_add(ABOUT))?;
        Warp::over(&port.curve, wide, |turn| self.moved(turn)).map(Ready::Warped)
    }

    /// The secondary port's table, or nothing if its differences turn the standard port's upside down; and its
    /// entries.
    fn moved_table(&self, table: &HighLowTable) -> (Option<HighLowTable>, Vec<TideEvent>) {
        let entries: Vec<TideEvent> = table.entries().iter().map(|event| self.moved(event)).collect();
        (HighLowTable::new(entries.clone(), self.datum.clone()).ok(), entries)
    }

    fn moved(&self, standard: &TideEvent) -> TideEvent {
        let differences = match standard.kind {
            HighOrLow::High => &self.high,
            HighOrLow::Low => &self.low,
        };
        let local = jiff::tz::Offset::UTC.to_datetime(standard.at).saturating_add(self.clock_ahead_of_utc);
        let later = differences.later_at(local.time());
        let month = usize::try_from(local.month() - 1).unwrap_or(0).min(11);
        let seasonal = self.seasonal.map_or((Length::ZERO, Length::ZERO), |seasonal| {
            (seasonal.standard[month], seasonal.secondary[month])
        });
        let bare = standard.height.0 - seasonal.0;
        let height = TideHeight(bare + differences.higher_at(TideHeight(bare)) + seasonal.1);
        TideEvent { at: standard.at.checked_add(later).unwrap_or(standard.at), kind: standard.kind, height }
    }

    fn reach(&self) -> SignedDuration {
        let times = self.high.times.iter().chain(&self.low.times);
        times.map(|at| at.later.abs()).max().unwrap_or(SignedDuration::ZERO)
    }
}

const DAY_S: f64 = 86_400.0;

fn clock_s(clock: civil::Time) -> f64 {
    clock.duration_since(civil::Time::midnight()).as_secs_f64()
}

impl Differences {
    fn errors(&self, of: &'static str) -> Vec<SecondaryError> {
        let mut errors = Vec::new();
        if self.times.is_empty() {
            errors.push(SecondaryError::NoTimes { of });
        }
        for (index, time) in self.times.iter().enumerate() {
            if self.times[..index].iter().any(|earlier| earlier.clock == time.clock) {
                errors.push(SecondaryError::SameClock { of, clock: time.clock });
            }
            if SignedDuration::from_hours(12) <= time.later.abs() {
                errors.push(SecondaryError::TooLate { of, minutes: time.later.as_mins() });
            }
        }
        let (springs, neaps) = (self.springs.level.0.as_metres(), self.neaps.level.0.as_metres());
        let finite = self.springs.higher.is_finite() && self.neaps.higher.is_finite();
        if !(finite && 0.0 < (springs - neaps).abs() && (springs - neaps).is_finite()) {
            errors.push(SecondaryError::Levels { of, springs, neaps });
        }
        errors
    }

    /// The time difference at an hour of the standard port's clock.
    fn later_at(&self, clock: civil::Time) -> SignedDuration {
        let at_s = clock_s(clock);
        let since = |time: &&AtClock| (at_s - clock_s(time.clock)).rem_euclid(DAY_S);
        let until = |time: &&AtClock| (clock_s(time.clock) - at_s).rem_euclid(DAY_S);
        let before = self.times.iter().min_by(|a, b| since(a).total_cmp(&since(b)));
        let after = self.times.iter().min_by(|a, b| until(a).total_cmp(&until(b)));
        let (Some(before), Some(after)) = (before, after) else { return SignedDuration::ZERO };
        let between_s = since(&before) + until(&after);
        let along = if between_s == 0.0 { 0.0 } else { since(&before) / between_s };
        let (earlier_s, later_s) = (before.later.as_secs_f64(), after.later.as_secs_f64());
        to_the_millisecond(earlier_s + along * (later_s - earlier_s))
    }

    /// The height difference at a height of the standard port.
    fn higher_at(&self, at: TideHeight) -> Length {
        let along = (at.0 - self.neaps.level.0) / (self.springs.level.0 - self.neaps.level.0);
        self.neaps.higher + (self.springs.higher - self.neaps.higher) * along
    }
}

#[cfg(test)]
mod tests {
    use super::super::constituents::Constituent;
    use super::super::harmonic::{Constant, Convention, Curve};
    use super::super::{Tide, height};
    use super::*;

    fn at_clock(hour: i8, minutes: i64) -> AtClock {
        AtClock { clock: civil::time(hour, 0, 0, 0), later: SignedDuration::from_mins(minutes) }
    }

    fn at_level(level: f64, higher: f64) -> AtLevel {
        AtLevel { level: height(level), higher: Length::metres(higher) }
    }

    fn differences() -> [Differences; 2] {
        let high = Differences {
            times: vec![at_clock(0, -15), at_clock(6, 5), at_clock(12, -15), at_clock(18, 5)],
            springs: at_level(5.2, 0.4),
            neaps: at_level(4.1, 0.2),
        };
        let low = Differences {
            times: vec![at_clock(0, -10), at_clock(6, 20), at_clock(12, -10), at_clock(18, 20)],
            springs: at_level(0.8, -0.1),
            neaps: at_level(1.9, 0.0),
        };
        [high, low]
    }

    fn standard() -> HighLowTable {
        let entry = |clock: &str, kind, metres| TideEvent {
            at: format!("2026-05-01T{clock}:00Z").parse().expect("an instant"),
            kind,
            height: height(metres),
        };
        let entries = vec![
            entry("01:10", HighOrLow::High, 4.5),
            entry("07:15", HighOrLow::Low, 1.2),
            entry("13:30", HighOrLow::High, 4.7),
        ];
        HighLowTable::new(entries, "LAT".into()).expect("a table")
    }

    fn place(seasonal: Option<Seasonal>) -> Tide {
        let standard = Standard::Table(standard());
        let made = Secondary::new(standard, differences(), seasonal, SignedDuration::ZERO, "LAT".into());
        Tide::Secondary(Box::new(made.expect("differences that can be")))
    }

    fn day() -> Span {
        let from: Timestamp = "2026-05-01T00:00:00Z".parse().expect("an instant");
        Span::new(from, from + SignedDuration::from_hours(24)).expect("a span")
    }

    // Source: worked by hand from the almanacs' method: high 13:30, 4.7 m and low 07:15, 1.2 m at the standard port.
    #[test]
    fn differences_are_interpolated_between_hours_and_between_springs_and_neaps() {
        let events = place(None).events(day()).expect("events");
        let expected = [(1, "2026-05-01T07:28:45Z", 1.136_364), (2, "2026-05-01T13:20:00Z", 5.009_091)];
        for (index, when, metres) in expected {
            assert_eq!(events[index].at, when.parse::<Timestamp>().expect("an instant"));
            assert!((events[index].height.0.as_metres() - metres).abs() < 5e-7);
        }
    }

    #[test]
    fn between_its_turns_a_secondary_port_on_a_table_follows_the_half_cosine() {
        let tide = place(None);
        let events = tide.events(day()).expect("events");
        let middle = events[1].at + events[2].at.duration_since(events[1].at) / 2;
        let mean = (events[1].height.0 + events[2].height.0) / 2.0;
        let found = tide.height_at(middle).expect("a height");
        assert!((found.0 - mean).as_metres().abs() < 1e-6);
    }

    #[test]
    fn a_season_that_moves_both_ports_alike_moves_the_water_by_as_much_less_its_share_of_the_differences() {
        let seasonal = Seasonal { standard: [Length::metres(0.1); 12], secondary: [Length::metres(0.1); 12] };
        let (with, without) = (place(Some(seasonal)), place(None));
        let (with, without) = (with.events(day()).expect("events"), without.events(day()).expect("events"));
        // 0.1 m lower at the standard port before: the difference shrinks by 0.1 (0.4 − 0.2)/(5.2 − 4.1).
        let moved = (with[2].height.0 - without[2].height.0).as_metres();
        assert!((moved + 0.1 * 0.2 / 1.1).abs() < 1e-12, "{moved}");
    }

    #[test]
    fn on_a_harmonic_port_the_stretched_curve_meets_every_moved_high_and_low() {
        let wave = |name, amplitude| Constant {
            constituent: Constituent::by_name(name).expect("a known name"),
            amplitude,
            phase_deg: 40.0,
        };
        let waves = vec![wave("M2", 1.6), wave("S2", 0.5), wave("M4", 0.1)];
        let curve = Curve::new(3.0, waves, Convention::Continuous).expect("a curve");
        let standard = Standard::Harmonic(Harmonic { curve, datum: "LAT".into() });
        let ahead = SignedDuration::from_hours(1);
        let made = Secondary::new(standard, differences(), None, ahead, "LAT".into());
        let tide = Tide::Secondary(Box::new(made.expect("differences that can be")));
        let events = tide.events(day()).expect("events");
        assert!(3 < events.len());
        let prediction = tide.over(day()).expect("a prediction");
        for event in events {
            let found = prediction.height_at(event.at).expect("a height");
            // Turns are kept to the millisecond.
            assert!((found.0 - event.height.0).as_metres().abs() < 1e-5);
        }
    }

    #[test]
    fn every_fault_of_the_differences_is_named() {
        let [mut high, mut low] = differences();
        high.times.push(at_clock(6, 0));
        high.neaps.level = high.springs.level;
        low.times.clear();
        let made = Secondary::new(
            Standard::Table(standard()),
            [high, low],
            None,
            SignedDuration::ZERO,
            "LAT".into(),
        );
        assert!(matches!(
            made.unwrap_err()[..],
            [SecondaryError::SameClock { .. }, SecondaryError::Levels { .. }, SecondaryError::NoTimes { .. }]
        ));
    }
}
