//! A subordinate station: the highs and lows of a reference station, moved.
//!
//! The US tables give, for some two thousand places, how much later high and low water come than at a reference
//! station and either a ratio or a difference for their heights:
//!
//! ```text
//! t′ = t + Δt        h′ = h · r   or   h′ = h + Δh
//! ```
//!
//! one `Δt` and one `r` or `Δh` for highs, another for lows; heights above the datum of each. Between the turns the
//! reference's curve is stretched to fit (see the crate's `warp` for method and validity).
//!
//! Source: US National Ocean Service, *Tide Tables*, table 2 and its explanation.

use jiff::{SignedDuration, Timestamp};

use super::warp::Warp;
use super::{Harmonic, HighOrLow, TideError, TideEvent};
use crate::depth::TideHeight;
use crate::span::Span;
use crate::units::Length;

/// How a height at the place follows from the reference's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HeightOffset {
    /// So much higher.
    Add(Length),
    /// So many times as high.
    Times(f64),
}

/// Differences of one kind of turn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Offset {
    /// So much later than at the reference.
    pub later: SignedDuration,
    /// And so high.
    pub height: HeightOffset,
}

/// A place known by its differences on a reference station.
#[derive(Clone, Debug, PartialEq)]
pub struct Subordinate {
    /// The reference station.
    pub reference: Harmonic,
    /// Differences of high water.
    pub high: Offset,
    /// Differences of low water.
    pub low: Offset,
    /// What the place's heights are reckoned from.
    pub datum: String,
}

/// How far about a span the reference's turns are sought: a diurnal tide near its neaps can go two days without one.
pub(crate) const ABOUT: SignedDuration = SignedDuration::from_hours(72);

impl Offset {
    fn event(&self, reference: &TideEvent) -> TideEvent {
        let there = reference.height.0;
        let moved = match self.height {
            HeightOffset::Add(more) => there + more,
            HeightOffset::Times(ratio) => there * ratio,
        };
        let at = reference.at.checked_add(self.later).unwrap_or(reference.at);
        TideEvent { at, kind: reference.kind, height: TideHeight(moved) }
    }
}

impl Subordinate {
    fn moved(&self, reference: &TideEvent) -> TideEvent {
        match reference.kind {
            HighOrLow::High => self.high.event(reference),
            HighOrLow::Low => self.low.event(reference),
        }
    }

    /// Highs and lows of a span, as the tables would print them.
    pub(super) fn events(&self, span: Span) -> Result<Vec<TideEvent>, TideError> {
        let wide = about(span.from(), span.to(), self.reach())?;
        let reference = self.reference.events(wide)?;
        let mut events: Vec<TideEvent> = reference.iter().map(|event| self.moved(event)).collect();
        events.retain(|event| span.contains(event.at));
        events.sort_by_key(|event| event.at);
        Ok(events)
    }

    pub(super) fn warp(&self, from: Timestamp, to: Timestamp) -> Result<Warp, TideError> {
        let wide = about(from, to, self.reach().saturating_add(ABOUT))?;
        Warp::over(&self.reference.curve, wide, |turn| self.moved(turn))
    }

    fn reach(&self) -> SignedDuration {
        self.high.later.abs().max(self.low.later.abs())
    }
}

/// A span wider by so much, and a minute, at both ends.
pub(crate) fn about(from: Timestamp, to: Timestamp, by: SignedDuration) -> Result<Span, TideError> {
    let by = by.saturating_add(SignedDuration::from_mins(1));
    let (from, to) = (from.checked_sub(by), to.checked_add(by));
    let (Ok(from), Ok(to)) = (from, to) else { return Err(TideError::BeyondTheCalendar) };
    Span::new(from, to).map_err(|_| TideError::BeyondTheCalendar)
}

#[cfg(test)]
mod tests {
    use super::super::Tide;
    use super::super::constituents::Constituent;
    use super::super::harmonic::{Constant, Convention, Curve};
    use super::*;

    fn reference() -> Harmonic {
        let constants = [("M2", 1.8, 120.0), ("S2", 0.6, 165.0), ("M4", 0.3, 210.0)];
        let constants = constants.map(|(name, amplitude, phase_deg)| Constant {
            constituent: Constituent::by_name(name).expect("a known name"),
            amplitude,
            phase_deg,
        });
        let curve = Curve::new(2.4, constants.to_vec(), Convention::UsTables).expect("a curve");
        Harmonic { curve, datum: "MLLW".into() }
    }

    fn place(high_min: i64, low_min: i64, high: HeightOffset, low: HeightOffset) -> Tide {
        let offset = |minutes, height| Offset { later: SignedDuration::from_mins(minutes), height };
        Tide::Subordinate(Subordinate {
            reference: reference(),
            high: offset(high_min, high),
            low: offset(low_min, low),
            datum: "MLLW".into(),
        })
    }

    fn span() -> Span {
        let from: Timestamp = "2026-12-29T00:00:00Z".parse().expect("an instant");
        Span::new(from, from + SignedDuration::from_hours(24 * 6)).expect("a span")
    }

    #[test]
    fn without_differences_the_place_is_its_reference() {
        let (here, there) = (
            place(0, 0, HeightOffset::Times(1.0), HeightOffset::Add(Length::ZERO)),
            Tide::Harmonic(reference()),
        );
        let step = SignedDuration::from_mins(17);
        let (here, there) =
            (here.heights(span(), step).expect("heights"), there.heights(span(), step).expect("heights"));
        for (here, there) in here.iter().zip(there) {
            // The curve is stretched between instants kept to the millisecond.
            assert!((here.0 - there.0).as_metres().abs() < 1e-5);
        }
    }

    #[test]
    fn the_stretched_curve_meets_every_moved_high_and_low_and_stays_between_them() {
        let tide = place(37, 62, HeightOffset::Times(0.8), HeightOffset::Add(Length::metres(0.1)));
        let events = tide.events(span()).expect("events");
        let prediction = tide.over(span()).expect("a prediction");
        for event in &events {
            let found = prediction.height_at(event.at).expect("a height");
            assert!((found.0 - event.height.0).as_metres().abs() < 1e-5);
        }
        for pair in events.windows(2) {
            let middle = pair[0].at + pair[1].at.duration_since(pair[0].at) / 2;
            let found = prediction.height_at(middle).expect("a height").0;
            let (low, high) =
                (pair[0].height.0.min(pair[1].height.0), pair[0].height.0.max(pair[1].height.0));
            assert!(low < found && found < high);
        }
    }
}
