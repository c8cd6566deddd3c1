//! What surrounds her at one instant: water, wind, stream, sea, how she lies, what she asks of the rode.
//!
//! None of it depends on how much rode is out, so that it is worked out once for all lengths that are tried.
//!
//! Bands: the water's residual and the charted depth are taken as normal and independent, `σ² = σ_r² + σ_d²`. The
//! wind's part of the load is lognormal about its median. For the mean of ten minutes
//!
//! ```text
//! σ² = σ_windage² + (2 σ_forecast)² + σ_boat² + (k I_u)²           k = 0.9: the mean of so short a time wanders
//! ```
//!
//! and for the greatest three seconds of them, `H = W (1 + x)²`, `x` the excess of its gusts over the mean,
//!
//! ```text
//! σ² = σ_windage² + (2 σ_forecast)² + (2 / (1 + x))² [x² (σ_gusts² + σ_swung²) + σ_x²]
//! ```
//!
//! with `σ_x` from one ten minutes to the next. What the stream exerts is taken as known to [`STREAM_SIGMA_LN`], the
//! sea's drift to [`SEA_SIGMA_LN`].

use jiff::{SignedDuration, Timestamp};

use super::inputs::Inputs;
use crate::depth::{TideHeight, WaterDepth};
use crate::environment::forecast::ForecastError;
use crate::environment::heading::{self, Lie};
use crate::environment::loads::{self, BowLoad, Exposed, MEAN_SIGMA_LN, SWUNG, SWUNG_SIGMA_LN};
use crate::environment::waves::{self, WindSea};
use crate::environment::wind::{Exposure, Peaks, WindAt};
use crate::uncertain::{Origin, Z90};
use crate::units::{Area, Force, Length, Speed};

/// Spread of the stream's load, σ of the logarithm: fouling adds 20 to 100 % to friction and the stream itself is
/// foretold to a tenth or two (from memory, medium confidence).
pub const STREAM_SIGMA_LN: f64 = 0.25;

/// Spread of the waves' drift, σ of the logarithm: a share of 0.1 to 0.3 (from memory) of a height known to 15 %, which
/// counts twice.
pub const SEA_SIGMA_LN: f64 = 0.5;

/// `k`: how far the mean load of ten minutes wanders, over the wind's own turbulence. Computed, as the loads' other
/// figures: 0.85 to 0.96 in 500 rides.
const MEAN_WANDERS: f64 = 0.9;
/// `σ_x` over the Gumbel scale of those gusts: the greatest loads of ten minutes scatter more widely than their upper
/// tail's Gumbel would have it (1.28); computed, the same rides.
const GUST_LOAD_SCALES: f64 = 1.69;
/// Gusts of gales outside the tropics, of what the guideline for tropical cyclones gives them over the mean: their gust
/// factors run 10 to 15 % lower (Yu and Chowdhury, J. Appl. Meteor. Climatol. 48, 2009, p. 534), which of 1.4 to 1.5 is
/// more than a quarter of the excess; a fifth is taken off, on the unfavourable side.
pub const GUSTS_ELSEWHERE: f64 = 0.80;
/// Stretches of ten minutes whose strongest gust a forecast gust is: weather models and bulletins give the strongest
/// of an hour or more (common practice of the services; the shortest of them is taken).
const GUST_FORECAST_STRETCHES: f64 = 6.0;
/// Spread of the gust model, σ of the logarithm of `G − 1`: of the excess over the mean a fifth is taken off
/// ([`GUSTS_ELSEWHERE`]), where nothing to two fifths would be right (Yu and Chowdhury 2009); nine in ten within these
/// ends, ±0.23 of the logarithm. Bullets off high ground are well above, and not in it.
pub const GUST_MODEL_LN: f64 = 0.18;

/// Spread of a forecast wind speed when it is made, σ of the logarithm: models miss the wind at one place by an
/// eighth at best (assumed; no source found).
pub const FORECAST_SIGMA_LN: f64 = 0.12;
/// How much the spread grows with a day of lead (assumed).
pub const FORECAST_SIGMA_LN_PER_DAY: f64 = 0.03;
/// No forecast is taken to be worse than this.
pub const FORECAST_SIGMA_LN_MOST: f64 = 0.30;
/// The water at the anchor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Water {
    /// Predicted height of the tide above datum.
    pub tide: TideHeight,
    /// Depth at the anchor, residual included.
    pub depth: WaterDepth,
    /// One standard deviation of it.
    pub sigma: Length,
}

impl Water {
    /// The depth that nine in ten lie above.
    pub fn low(self) -> WaterDepth {
        WaterDepth(self.depth.0 - self.sigma * Z90)
    }
    /// The depth that nine in ten lie below.
    pub fn high(self) -> WaterDepth {
        WaterDepth(self.depth.0 + self.sigma * Z90)
    }
}

/// Wind, stream and sea, how she lies to them, and her load on the rode.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weather {
    /// The wind.
    pub wind: WindAt,
    /// The stream; `None` where there is none.
    pub stream: Option<heading::Stream>,
    /// The sea.
    pub sea: WindSea,
    /// The fetch that raised it.
    pub fetch: Length,
    /// How she lies.
    pub lie: Lie,
    /// Load at the bow by parts, all at their medians.
    pub load: BowLoad,
    /// Gusts of ten minutes.
    pub ten_minutes: TenMinutes,
    /// Spread of the forecast wind speed, σ of the logarithm.
    pub forecast_sigma_ln: f64,
    /// Spread of the mean load, σ of the logarithm, but for windage and forecast.
    pub steady_sigma_ln: f64,
    /// The same of the greatest three seconds' load.
    pub gust_sigma_ln: f64,
}

/// Gusts of ten minutes at the height of her windage.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TenMinutes {
    /// Expected strongest three seconds, at 10 m.
    pub gust: Speed,
    /// Mean at the windage.
    pub mean_at_windage: Speed,
    /// Scale of the strongest, as a Gumbel distribution.
    pub scale: Speed,
}

impl TenMinutes {
    fn of(wind: &WindAt, exposure: Exposure, mean_at_windage: Speed) -> Self {
        let peaks = Peaks::about(wind.mean, wind.gust, exposure.turbulence_intensity());
        let gust = if wind.gust_origin == Origin::Forecast {
            wind.gust - peaks.scale() * GUST_FORECAST_STRETCHES.ln()
        } else {
            wind.mean + (wind.gust - wind.mean) * GUSTS_ELSEWHERE
        };
        Self { gust: gust.max(wind.mean), mean_at_windage, scale: peaks.scale() }
    }

    /// σ of the logarithm of the greatest three seconds' load, but for windage and forecast.
    fn load_sigma_ln(self, mean: Speed) -> f64 {
        let at_least_ms = self.mean_at_windage.as_metres_per_second().max(LIGHTEST_MS);
        let excess = SWUNG * (self.gust - mean).as_metres_per_second() / at_least_ms;
        let from_one_to_next = GUST_LOAD_SCALES * SWUNG * self.scale.as_metres_per_second() / at_least_ms;
        let known_by = excess * GUST_MODEL_LN.hypot(SWUNG_SIGMA_LN);
        2.0 / (1.0 + excess) * known_by.hypot(from_one_to_next)
    }
}

/// Wind below which there is none to speak of; keeps divisions finite.
const LIGHTEST_MS: f64 = 0.1;

/// Which load of an instant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Which {
    /// Mean of ten minutes.
    Steady,
    /// Greatest three seconds of them.
    Gust,
}

impl Weather {
    /// A load at a normal score of all that is uncertain in it. Its parts are added at that score of each, as if they
    /// rose together: on the unfavourable side above the median.
    pub fn load_at(&self, which: Which, windage_sigma_ln: f64, score: f64) -> Force {
        let (parts, own_sigma) = match which {
            Which::Steady => (self.load.steady, self.steady_sigma_ln),
            Which::Gust => (self.load.gust, self.gust_sigma_ln),
        };
        let wind_sigma = windage_sigma_ln.hypot(2.0 * self.forecast_sigma_ln).hypot(own_sigma);
        parts.wind * (score * wind_sigma).exp()
            + parts.stream * (score * STREAM_SIGMA_LN).exp()
            + parts.sea * (score * SEA_SIGMA_LN).exp()
    }
}

/// Why the weather of an instant cannot be said.
#[derive(Clone, Debug, PartialEq)]
pub enum NoWeather {
    /// No forecast at all.
    NoForecast,
    /// The forecast does not reach.
    Forecast(ForecastError),
    /// The stream is unknown.
    Stream(String),
    /// The fetch is unknown where the wind comes from.
    Fetch,
    /// The water is unknown, and with it the sea.
    NoWater,
    /// The windage's centroid lies in the water.
    Windage,
}

/// One instant before any rode is laid.
#[derive(Clone, Debug, PartialEq)]
pub struct Conditions {
    /// When.
    pub at: Timestamp,
    /// The water; `None` when tide or depth is unknown.
    pub water: Option<Water>,
    /// The weather, or why not.
    pub weather: Result<Weather, NoWeather>,
}

/// The boat as wind and stream see her, windage at its median.
pub(super) fn exposed(inputs: &Inputs) -> Exposed {
    let boat = &inputs.boat;
    Exposed {
        hull: boat.hull,
        head_on: Area::square_metres(boat.windage.head_on_m2.median()),
        beam_ratio: boat.windage.beam_ratio,
        centroid: boat.windage.centroid,
        blades: boat.propeller_area(),
        sheer: inputs.sheer(),
    }
}

/// The water at a height of the tide.
pub(super) fn water(inputs: &Inputs, tide: Option<TideHeight>) -> Option<Water> {
    let depth = inputs.depth?;
    let tide = tide?;
    let WaterDepth(predicted) = depth.charted.at(tide);
    let sigma_m = inputs.residual.sigma.as_metres().hypot(depth.sigma.as_metres());
    Some(Water { tide, depth: WaterDepth(predicted + inputs.residual.mean), sigma: Length::metres(sigma_m) })
}

/// What surrounds her at an instant whose tide and stream are known or not.
pub(super) fn conditions(
    inputs: &Inputs,
    exposed: &Exposed,
    at: Timestamp,
    (tide, stream): (Option<TideHeight>, Result<Option<heading::Stream>, String>),
) -> Conditions {
    let water = water(inputs, tide);
    let weather =
        stream.map_err(NoWeather::Stream).and_then(|stream| weather(inputs, exposed, at, (water, stream)));
    Conditions { at, water, weather }
}

fn weather(
    inputs: &Inputs,
    exposed: &Exposed,
    at: Timestamp,
    (water, stream): (Option<Water>, Option<heading::Stream>),
) -> Result<Weather, NoWeather> {
    let forecast = inputs.forecast.as_ref().ok_or(NoWeather::NoForecast)?;
    let wind = forecast.at(at, inputs.exposure).map_err(NoWeather::Forecast)?;
    let lie = heading::lie(exposed, &wind, stream).ok_or(NoWeather::Windage)?;
    let (sea, fetch) = sea_at(inputs, &wind, water)?;
    let drift = loads::wave_drift(sea.height, exposed.hull.beam, loads::WAVE_DRIFT_SHARE);
    let (mean_at_windage, _) = loads::wind_at_height(&wind, exposed.centroid).ok_or(NoWeather::Windage)?;
    let ten_minutes = TenMinutes::of(&wind, inputs.exposure, mean_at_windage);
    let felt = WindAt { gust: ten_minutes.gust, ..wind };
    let load = loads::bow_load(exposed, &felt, stream, drift, &lie).ok_or(NoWeather::Windage)?;
    Ok(Weather {
        wind,
        stream,
        sea,
        fetch,
        lie,
        load,
        ten_minutes,
        forecast_sigma_ln: forecast_sigma_ln(inputs, at),
        steady_sigma_ln: MEAN_SIGMA_LN.hypot(MEAN_WANDERS * inputs.exposure.turbulence_intensity()),
        gust_sigma_ln: ten_minutes.load_sigma_ln(wind.mean),
    })
}

/// Spread of the forecast at an instant, σ of the logarithm of the speed.
///
/// Lead is reckoned from when the forecast was made; where it does not say, from a day before the stay.
fn forecast_sigma_ln(inputs: &Inputs, at: Timestamp) -> f64 {
    let issued = inputs.forecast.as_ref().and_then(|forecast| forecast.provenance().issued);
    let lead = match issued {
        Some(issued) => at.duration_since(issued),
        None => at.duration_since(inputs.span.from()).saturating_add(SignedDuration::from_hours(24)),
    };
    let days = lead.as_secs_f64().max(0.0) / 86_400.0;
    (FORECAST_SIGMA_LN + FORECAST_SIGMA_LN_PER_DAY * days).min(FORECAST_SIGMA_LN_MOST)
}

/// The sea that the mean wind raises over the fetch to windward, in the deepest water of the instant's band.
fn sea_at(inputs: &Inputs, wind: &WindAt, water: Option<Water>) -> Result<(WindSea, Length), NoWeather> {
    let Some(from) = wind.from else { return Ok((WindSea::FLAT, Length::ZERO)) };
    let fetch = inputs.fetch.as_ref().ok_or(NoWeather::Fetch)?;
    let fetch = fetch.worst(from, wind.turning.abs() * 0.5).ok_or(NoWeather::Fetch)?;
    let depth = water.ok_or(NoWeather::NoWater)?.high().0;
    // Ground that dries raises no sea.
    if !(Length::ZERO < depth) {
        return Ok((WindSea::FLAT, fetch));
    }
    // Deeper water to windward raises the higher sea: the deeper of the two is taken, and it breaks on what is here.
    let raised_over = inputs.fetch_depth.map_or(depth, |over| over.max(depth));
    let sea = waves::shallow(wind.mean, fetch, raised_over);
    Ok((WindSea { height: waves::breaking(sea.height, depth), ..sea }, fetch))
}

/// How many times as fast a wind without gusts must blow to load her as a gust does, by what lies to windward: the
/// gust's own mean, and what she makes of the rest.
pub(super) fn felt_over_gust(exposure: Exposure) -> f64 {
    let mean_share = 1.0 / exposure.gust_factor();
    mean_share + SWUNG * (1.0 - mean_share)
}

/// The greatest three seconds' load of a gust, for the bow's table: at 10 m, no stream, no sea.
pub(super) fn gust_load(exposed: &Exposed, exposure: Exposure, gust: Speed) -> Option<Force> {
    let wind = WindAt {
        mean: gust * (1.0 / exposure.gust_factor()),
        from: Some(crate::units::Bearing::degrees(0.0)),
        resultant: gust,
        turning: crate::units::Angle::ZERO,
        gust,
        gust_origin: Origin::Given,
    };
    loads::wind_load(exposed, &wind).map(|(_, load)| load)
}
