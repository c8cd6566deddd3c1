//! What surrounds her at one instant: water, wind, stream, sea, how she lies, what she asks of the rode.
//!
//! None of it depends on how much rode is out, so that it is worked out once for all lengths that are tried.
//!
//! Bands: the water's residual and the charted depth are taken as normal and independent, `σ² = σ_r² + σ_d²`. The
//! wind's part of the load is lognormal about its median, `σ² = σ_windage² + (2 σ_forecast)²`, for load goes with the
//! square of the wind; what the stream exerts is taken as known to [`STREAM_SIGMA_LN`].

use jiff::{SignedDuration, Timestamp};

use super::inputs::Inputs;
use crate::depth::{TideHeight, WaterDepth};
use crate::environment::forecast::ForecastError;
use crate::environment::heading::{self, Lie};
use crate::environment::loads::{self, BowLoad, Exposed, LoadParts};
use crate::environment::waves::{self, WindSea};
use crate::environment::wind::WindAt;
use crate::uncertain::Z90;
use crate::units::{Area, Force, Length};

/// Spread of the stream's load, σ of the logarithm: fouling adds 20 to 100 % to friction and the stream itself is
/// foretold to a tenth or two (from memory, medium confidence).
pub const STREAM_SIGMA_LN: f64 = 0.25;

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
    /// Spread of the forecast wind speed, σ of the logarithm.
    pub forecast_sigma_ln: f64,
}

impl Weather {
    /// The load of the gust at the 90th percentile of windage, forecast and stream.
    pub fn gust_p90(&self, windage_sigma_ln: f64) -> Force {
        self.at_p90(self.load.gust, windage_sigma_ln)
    }
    /// The steady load at the same.
    pub fn steady_p90(&self, windage_sigma_ln: f64) -> Force {
        self.at_p90(self.load.steady, windage_sigma_ln)
    }

    /// Parts are added at their own 90th percentiles, as if they rose together: on the unfavourable side.
    fn at_p90(&self, parts: LoadParts, windage_sigma_ln: f64) -> Force {
        let wind_sigma = windage_sigma_ln.hypot(2.0 * self.forecast_sigma_ln);
        parts.wind * (Z90 * wind_sigma).exp() + parts.stream * (Z90 * STREAM_SIGMA_LN).exp() + parts.sea
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
    let load = loads::bow_load(exposed, &wind, stream, drift, &lie).ok_or(NoWeather::Windage)?;
    Ok(Weather { wind, stream, sea, fetch, lie, load, forecast_sigma_ln: forecast_sigma_ln(inputs, at) })
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

/// The load of the mean wind alone on a boat lying head to it, for the bow's table: no stream, no sea.
pub(super) fn gust_head_on(exposed: &Exposed, gust: crate::units::Speed) -> Option<Force> {
    let wind = WindAt {
        mean: gust,
        from: Some(crate::units::Bearing::degrees(0.0)),
        resultant: gust,
        turning: crate::units::Angle::ZERO,
        gust,
        gust_origin: crate::uncertain::Origin::Given,
    };
    loads::wind_load(exposed, &wind).map(|(_, gust)| gust)
}
