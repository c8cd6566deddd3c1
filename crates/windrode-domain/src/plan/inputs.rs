//! All that a plan is made from.
//!
//! Whatever cannot be known is an `Option` or says why it is not known; nothing is filled in here. A plan made from
//! inputs with gaps says what it can and names the gaps.

use jiff::SignedDuration;

use super::limits::Limits;
use crate::arrangement::Arrangement;

use crate::boat::Boat;
use crate::depth::ChartedDepth;
use crate::drawn::Drawn;
use crate::environment::current::Stream;
use crate::environment::forecast::{Forecast, TriedWind, TriedWindError};
use crate::environment::tide::Tide;
use crate::environment::waves::Fetch;
use crate::environment::wind::Exposure;
use crate::position::Position;
use crate::seabed::Bottom;
use crate::set::{Dive, Proof};
use crate::span::Span;
use crate::swing::Danger;
use crate::swing::neighbour::Neighbour;
use crate::tackle::Gear;
use crate::uncertain::Origin;
use crate::units::{Angle, Bearing, Length};

/// From one instant to the next.
pub const STEP: SignedDuration = SignedDuration::from_mins(10);

/// The longest stay that is planned: no forecast reaches farther.
pub const LONGEST_STAY: SignedDuration = SignedDuration::from_hours(16 * 24);

/// Depth at the anchor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DepthAtAnchor {
    /// Below chart datum.
    pub charted: ChartedDepth,
    /// One standard deviation of it.
    pub sigma: Length,
    /// Given by the chart, or measured by the sounder and reduced by the tide.
    pub origin: Origin,
}

/// One standard deviation of a charted depth at the spot itself, and its share of the depth. A zone of confidence of
/// IHO S-57 keeps nineteen in twenty within its bounds, twice this: B within 1 m and 2 % of the depth, C within 2 m and
/// 5 %. Most charted water is of B or worse; where the chart does not say, seven parts of B and three of C are taken.
pub const CHARTED_SIGMA: (Length, f64) = (Length::metres(0.65), 0.015);
/// The same of a sounding with her own sounder over the spot, assumed.
pub const SOUNDED_SIGMA: Length = Length::metres(0.1);

impl DepthAtAnchor {
    /// From the chart, or reduced from a sounding of her own.
    pub fn of(charted: ChartedDepth, sounded: bool) -> Self {
        if sounded {
            return Self { charted, sigma: SOUNDED_SIGMA, origin: Origin::Measured };
        }
        let (least, share) = CHARTED_SIGMA;
        let sigma = least + charted.0.max(Length::ZERO) * share;
        Self { charted, sigma, origin: Origin::Given }
    }
}

/// Ground that rises evenly one way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slope {
    /// Its steepness, never negative.
    pub angle: Angle,
    /// The way it rises.
    pub uphill: Bearing,
}

impl Slope {
    /// Level ground.
    pub fn level() -> Self {
        Self { angle: Angle::ZERO, uphill: Bearing::degrees(0.0) }
    }

    /// Slope along a bearing: positive where the ground rises that way.
    pub fn along(self, bearing: Bearing) -> Angle {
        let share = self.uphill.to(bearing).as_radians().cos();
        Angle::radians((self.angle.as_radians().tan() * share).atan())
    }
}

/// What stands above or below the predicted water: pressure, wind, and what the tables leave out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Residual {
    /// How much it stands above the prediction.
    pub mean: Length,
    /// One standard deviation.
    pub sigma: Length,
    /// Measured by the sounder, given, or assumed.
    pub origin: Origin,
}

/// One standard deviation of the water about the prediction where nothing better is known, metres.
///
/// Pressure alone moves the water a centimetre a hectopascal and weather by ±20 hPa; wind adds as much again in a
/// shallow bay. 0.15 m keeps nine in ten within ±0.25 m (common practice speaks of "decimetres"; no source).
pub const ASSUMED_RESIDUAL_SIGMA: Length = Length::metres(0.15);

/// What is left of the residual's spread when a sounding has measured the one of its own hour: weather goes on
/// changing (assumed, the same third that a known pressure takes away).
pub const LEFT_AFTER_SOUNDING: f64 = 2.0 / 3.0;

/// Rise of the water for a fall of pressure below the mean of 1013.25 hPa: 100 Pa / (1025 kg/m³ · 9.80665 m/s²), the
/// inverse barometer, metres a hectopascal.
pub const INVERSE_BAROMETER_M_HPA: f64 = 100.0 / (1025.0 * 9.806_65);

impl Residual {
    /// Nothing known but that there is one.
    pub const fn assumed() -> Self {
        Self { mean: Length::ZERO, sigma: ASSUMED_RESIDUAL_SIGMA, origin: Origin::Assumed }
    }

    /// What is left of it once a sounding of her own holds the residual of its hour in the depth that it gave.
    #[must_use]
    pub fn after_sounding(self) -> Self {
        Self { mean: Length::ZERO, sigma: self.sigma * LEFT_AFTER_SOUNDING, origin: Origin::Measured }
    }

    /// From the pressure of the air to be expected: its own part is known then, and a third of the spread goes with
    /// it (assumed: pressure and wind make about equal parts of the residual).
    pub fn of_pressure(pressure_hpa: f64) -> Self {
        Self {
            mean: Length::metres((1013.25 - pressure_hpa) * INVERSE_BAROMETER_M_HPA),
            sigma: ASSUMED_RESIDUAL_SIGMA * (2.0 / 3.0),
            origin: Origin::Computed,
        }
    }
}

/// Water that can be foretold, or why it cannot.
#[derive(Clone, Debug)]
pub enum Foretold<T> {
    /// It can.
    Known(T),
    /// There is none of it here: no tide, no stream.
    None,
    /// It cannot, and why.
    Unknown(String),
}

/// What a plan is made from.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// The stay's name.
    pub stay: String,
    /// The boat.
    pub boat: Boat,
    /// What is let go and made fast.
    pub gear: Gear,
    /// Where the anchor is to lie.
    pub anchor_at: Position,
    /// From when to when.
    pub span: Span,
    /// From one instant to the next; see [`STEP`].
    pub step: SignedDuration,
    /// Rode to veer, if the crew says so; else it is solved for.
    pub veered: Option<Length>,
    /// Depth at the anchor, if known.
    pub depth: Option<DepthAtAnchor>,
    /// How the ground slopes, if known.
    pub slope: Option<Slope>,
    /// Nature of the bottom; may be unknown.
    pub bottom: Bottom,
    /// Why one must not anchor here, if so, in the crew's or the chart's words.
    pub forbidden: Option<String>,
    /// The tide.
    pub tide: Foretold<Tide>,
    /// What the tide is known by: station, datum, licence.
    pub tide_source: String,
    /// Water above the prediction.
    pub residual: Residual,
    /// The stream.
    pub stream: Foretold<Stream>,
    /// The wind.
    pub forecast: Option<Forecast>,
    /// What lies to windward.
    pub exposure: Exposure,
    /// Whether the crew said what lies to windward, or it was assumed.
    pub exposure_origin: Origin,
    /// Water over which the wind can raise a sea, if known.
    pub fetch: Option<Fetch>,
    /// Mean depth of that water, if it is told; else the depth at the anchor stands for it.
    pub fetch_depth: Option<Length>,
    /// What she must not touch.
    pub dangers: Vec<Danger>,
    /// Who lies near.
    pub neighbours: Vec<Neighbour>,
    /// What the set has proved, if she has been set.
    pub proof: Option<Proof>,
    /// Why a set that was made proves nothing, if so.
    pub no_proof: Option<String>,
    /// What a dive has seen.
    pub dive: Option<Dive>,
    /// How she is anchored.
    pub arrangement: Arrangement,
    /// The limits between the words.
    pub limits: Limits,
    /// Chance for the ride through the worst instant: the same for every plan that is compared with this.
    pub drawn: Drawn,
}

impl Inputs {
    /// The same with another wind than the forecast's. Where the neighbours' anchors lie, and what a set has proved,
    /// was worked out from the wind that truly blew, and stays.
    ///
    /// # Errors
    /// [`TriedWindError`] when it is no wind that can be tried. Where there is no forecast there is nothing to try it
    /// on, and nothing changes: the sheet says that the wind is not known.
    pub fn trying_wind(self, wind: TriedWind) -> Result<Self, TriedWindError> {
        let forecast = self.forecast.as_ref().map(|forecast| forecast.trying(wind)).transpose()?;
        Ok(Self { forecast, ..self })
    }

    /// How far she sheers either side.
    pub fn sheer(&self) -> Angle {
        crate::environment::heading::sheer_of(self.boat.hull.kind)
    }
}
