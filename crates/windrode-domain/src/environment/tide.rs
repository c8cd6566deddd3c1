//! The tide: how high the water stands above its datum, and when it turns.
//!
//! Twice a day, or once, the sea rises and falls; what a place makes of it is known from its harmonic constants
//! ([`harmonic`]), from differences on another place ([`subordinate`], [`secondary`]), or from a printed table of
//! highs and lows ([`table`]). All of them answer two questions: the height at an instant, and the highs and lows
//! of a span. The height is always above a named datum; only on the datum of the chart does it add to a charted
//! depth.
//!
//! Left out: weather. Pressure and wind move the water by decimetres; [`residual`] says by how much now.

pub mod astronomy;
pub mod constituents;
pub mod harmonic;
pub mod secondary;
pub mod subordinate;
pub mod table;
pub(crate) mod warp;

use jiff::{SignedDuration, Timestamp};

use crate::depth::{ChartedDepth, TideHeight, WaterDepth};
use crate::span::Span;
use crate::units::Length;
use harmonic::{Curve, Reckoned, Sense, Turn};
use secondary::Secondary;
use subordinate::Subordinate;
use table::{Distortion, HighLowTable};
use warp::Warp;

/// The tide of a place.
#[derive(Clone, Debug, PartialEq)]
pub enum Tide {
    /// From its harmonic constants.
    Harmonic(Harmonic),
    /// From another station's highs and lows, by time differences and height differences or ratios (US tables).
    Subordinate(Subordinate),
    /// From a standard port's highs and lows, by differences that vary with the hour and with springs and neaps.
    Secondary(Box<Secondary>),
    /// From a table of highs and lows.
    Table(HighLowTable),
    /// Said to have no tide: the level stands where the crew says.
    Still {
        /// The level at all times.
        height: TideHeight,
        /// What it is reckoned from.
        datum: String,
    },
}

/// A place with harmonic constants: its curve in metres above a named datum.
#[derive(Clone, Debug, PartialEq)]
pub struct Harmonic {
    /// Metres above the datum.
    pub curve: Curve,
    /// What it is reckoned from: `MLLW`, `LAT`, …
    pub datum: String,
}

/// High water or low water.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HighOrLow {
    /// The water stops rising.
    High,
    /// The water stops falling.
    Low,
}

/// A high or low water.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TideEvent {
    /// When.
    pub at: Timestamp,
    /// Which.
    pub kind: HighOrLow,
    /// How high the water stands, above the tide's datum.
    pub height: TideHeight,
}

/// Constants that cannot be.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum CurveError {
    /// The mean is not a number.
    #[error("the mean {value} is not a number")]
    Mean {
        /// What was given.
        value: f64,
    },
    /// An amplitude is negative or not a number.
    #[error("the amplitude of {name} is {value}, not a number from nought up")]
    Amplitude {
        /// The constituent.
        name: &'static str,
        /// What was given.
        value: f64,
    },
    /// A phase is not a number.
    #[error("the phase of {name} is {value}, not a number")]
    Phase {
        /// The constituent.
        name: &'static str,
        /// What was given.
        value: f64,
    },
    /// One constituent was given twice, perhaps under two of its names.
    #[error("{name} is given twice")]
    Twice {
        /// The constituent.
        name: &'static str,
    },
}

/// Why the tide of an instant or a span cannot be said.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum TideError {
    /// The elements of moon and sun are not good for that year.
    #[error("year {year} lies outside 1800 to 2200, where the elements of moon and sun are good")]
    OutsideValidity {
        /// The year, UTC.
        year: i16,
    },
    /// The instant lies beyond what the calendar holds.
    #[error("the instant lies beyond the calendar")]
    BeyondTheCalendar,
    /// The step between levels is not positive.
    #[error("the step between levels is not positive")]
    Step,
    /// The table does not reach so far.
    #[error("the highs and lows reach from {from} to {to}, not to {at}")]
    NotCovered {
        /// What was asked for.
        at: Timestamp,
        /// First entry.
        from: Timestamp,
        /// Last entry.
        to: Timestamp,
    },
    /// The table of streams does not reach so far.
    #[error("the table of streams reaches from {from} to {to}, not to {at}")]
    StreamNotCovered {
        /// What was asked for.
        at: Timestamp,
        /// First row.
        from: Timestamp,
        /// Last row.
        to: Timestamp,
    },
    /// The table of streams has no row for so long that a turn may be missing.
    #[error("the table of streams has no row for more than 7 h between {from} and {to}")]
    StreamGap {
        /// The row before.
        from: Timestamp,
        /// The row after.
        to: Timestamp,
    },
    /// Between these two turns the curve is distorted, and a half-cosine would be wrong.
    #[error("between {from} and {to} {why}: a half-cosine would be wrong")]
    Distorted {
        /// The turn before.
        from: Timestamp,
        /// The turn after.
        to: Timestamp,
        /// What shows it.
        why: Distortion,
    },
    /// The place it hangs on does not turn for days about the instant, so that its differences say nothing.
    #[error("the reference does not turn within three days of {at}")]
    NoTurns {
        /// What was asked for.
        at: Timestamp,
    },
}

impl Tide {
    /// Height of the tide at an instant.
    ///
    /// # Errors
    /// [`TideError`] says why it cannot be known.
    pub fn height_at(&self, at: Timestamp) -> Result<TideHeight, TideError> {
        self.reckon(at, at)?.height_at(at)
    }

    /// Heights at the instants of [`Span::instants`].
    ///
    /// # Errors
    /// [`TideError`] says why one of them cannot be known.
    pub fn heights(&self, span: Span, step: SignedDuration) -> Result<Vec<TideHeight>, TideError> {
        if !step.is_positive() {
            return Err(TideError::Step);
        }
        if let Self::Harmonic(place) = self {
            let metres = place.curve.values(span, step)?;
            return Ok(metres.into_iter().map(height).collect());
        }
        let prediction = self.over(span)?;
        span.instants(step).map(|at| prediction.height_at(at)).collect()
    }

    /// Makes ready to answer many instants of one span.
    ///
    /// # Errors
    /// [`TideError`] if nothing can be said of the span.
    pub fn over(&self, span: Span) -> Result<Prediction<'_>, TideError> {
        self.reckon(span.from(), span.to())
    }

    /// The highs and lows of a span, in order of time.
    ///
    /// # Errors
    /// [`TideError`] says why they cannot be known.
    pub fn events(&self, span: Span) -> Result<Vec<TideEvent>, TideError> {
        match self {
            Self::Harmonic(place) => place.events(span),
            Self::Subordinate(place) => place.events(span),
            Self::Secondary(place) => place.events(span),
            Self::Table(table) => table.events(span),
            Self::Still { .. } => Ok(Vec::new()),
        }
    }

    /// What its heights are reckoned from.
    pub fn datum(&self) -> &str {
        match self {
            Self::Harmonic(place) => &place.datum,
            Self::Subordinate(place) => &place.datum,
            Self::Secondary(place) => &place.datum,
            Self::Table(table) => table.datum(),
            Self::Still { datum, .. } => datum,
        }
    }

    fn reckon(&self, from: Timestamp, to: Timestamp) -> Result<Prediction<'_>, TideError> {
        Ok(Prediction(match self {
            Self::Harmonic(place) => Ready::Curve(place.curve.reckoned(from, to)?),
            Self::Subordinate(place) => Ready::Warped(place.warp(from, to)?),
            Self::Secondary(place) => place.reckon(from, to)?,
            Self::Table(table) => Ready::Table(table),
            Self::Still { height, .. } => Ready::Still(*height),
        }))
    }
}

/// A tide made ready for one span.
#[derive(Debug)]
pub struct Prediction<'a>(Ready<'a>);

/// By what the heights of a span are found.
#[derive(Debug)]
enum Ready<'a> {
    Curve(Reckoned),
    Warped(Warp),
    Table(&'a HighLowTable),
    OwnTable(HighLowTable),
    Still(TideHeight),
}

impl Prediction<'_> {
    /// Height of the tide at an instant of the span.
    ///
    /// # Errors
    /// [`TideError`] says why it cannot be known.
    pub fn height_at(&self, at: Timestamp) -> Result<TideHeight, TideError> {
        match &self.0 {
            Ready::Curve(curve) => Ok(height(curve.value(at))),
            Ready::Warped(warp) => warp.value(at).map(height).ok_or(TideError::NoTurns { at }),
            Ready::Table(table) => table.height_at(at),
            Ready::OwnTable(table) => table.height_at(at),
            Ready::Still(height) => Ok(*height),
        }
    }
}

impl Harmonic {
    fn events(&self, span: Span) -> Result<Vec<TideEvent>, TideError> {
        Ok(self.curve.turns(span)?.into_iter().map(TideEvent::from).collect())
    }
}

impl From<Turn> for TideEvent {
    fn from(turn: Turn) -> Self {
        let kind = match turn.sense {
            Sense::Crest => HighOrLow::High,
            Sense::Trough => HighOrLow::Low,
        };
        Self { at: turn.at, kind, height: height(turn.value) }
    }
}

const fn height(metres: f64) -> TideHeight {
    TideHeight(Length::metres(metres))
}

/// The height of the tide that a sounding shows where the chart gives a depth: what is there, less what is charted.
///
/// # Validity
///
/// As good as the charted depth at that very spot; on uneven ground, no better than the ground.
pub fn height_from_sounding(sounded: WaterDepth, charted: ChartedDepth) -> TideHeight {
    TideHeight(sounded.0 - charted.0)
}

/// By how much the water stands above its prediction (negative: below), from weather, river and error together.
pub fn residual(observed: TideHeight, predicted: TideHeight) -> Length {
    observed.0 - predicted.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn metres(value: f64) -> Length {
        Length::metres(value)
    }

    // A worked example in metres: charted 3.1, tide now 1.0, high water 4.3, low water 0.4, draught 1.9.
    #[test]
    fn charted_depth_and_tide_make_water_and_a_sounding_gives_the_tide_back() {
        let charted = ChartedDepth(metres(3.1));
        let now = charted.at(TideHeight(metres(1.0)));
        assert!((now.0.as_metres() - 4.1).abs() < 1e-12);
        assert!((height_from_sounding(now, charted).0.as_metres() - 1.0).abs() < 1e-12);
        let low = charted.at(TideHeight(metres(0.4)));
        assert!((low.0.as_metres() - 3.5).abs() < 1e-12);
        let off = residual(height_from_sounding(WaterDepth(metres(4.35)), charted), TideHeight(metres(1.0)));
        assert!((off.as_metres() - 0.25).abs() < 1e-12);
    }

    #[test]
    fn water_said_to_be_still_has_no_turns_and_one_height() {
        let lake = Tide::Still { height: TideHeight(metres(0.2)), datum: "chart datum".into() };
        let from: Timestamp = "2026-05-01T00:00:00Z".parse().expect("an instant");
        let span = Span::new(from, from + SignedDuration::from_hours(48)).expect("a span");
        assert_eq!(lake.events(span), Ok(vec![]));
        assert!(
            lake.heights(span, SignedDuration::from_hours(1))
                .expect("heights")
                .iter()
                .all(|h| *h == TideHeight(metres(0.2)))
        );
        assert_eq!(lake.heights(span, SignedDuration::ZERO), Err(TideError::Step));
    }
}
