//! Where every number of one instant comes from: formula, inputs, source.
//!
//! The figures are those of the sheet, worked out by the same code and told in the order in which they follow from
//! each other. Nothing is rounded.

use jiff::Timestamp;

use super::board::Board;
use super::choose;
use super::conditions::{self, Conditions, Water, Weather, Which};
use super::inputs::Inputs;
use super::laid::Laid;
use super::riding::{self, Ride};
use crate::environment::forecast::Forecast;
use crate::environment::loads::{self, LoadParts};
use crate::uncertain::{Origin, Z90};
use crate::units::{AIR_KG_M3, Force, Length};

/// A figure that another was worked out from.
#[derive(Clone, Debug, PartialEq)]
pub struct Input {
    /// Its name.
    pub name: &'static str,
    /// Its value, in the unit.
    pub value: f64,
    /// Unit.
    pub unit: &'static str,
}

/// One figure, with where it comes from.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// Its name.
    pub name: &'static str,
    /// Its value, in the unit.
    pub value: f64,
    /// Unit.
    pub unit: &'static str,
    /// Measured, given, forecast, computed, assumed.
    pub origin: Origin,
    /// The formula, or how it was had.
    pub formula: &'static str,
    /// What it was worked out from.
    pub inputs: Vec<Input>,
    /// Source and confidence.
    pub source: String,
}

/// Every figure of the instant of the stay nearest to a time, with that instant.
///
/// `None` when the stay has no such instant: the time lies outside it.
pub fn explain(inputs: &Inputs, at: Timestamp) -> Option<(Timestamp, Vec<Figure>)> {
    if !inputs.span.contains(at) {
        return None;
    }
    let board = Board::of(inputs);
    let index = board.nearest(at)?;
    let conditions = board.conditions.get(index)?;
    let mut figures = Vec::new();
    if let Some(water) = conditions.water {
        figures.extend(water_figures(inputs, water));
    }
    if let Ok(weather) = &conditions.weather {
        figures.extend(weather_figures(&board, weather));
    }
    if let Some(laid) = choose::lay(&board).laid {
        figures.extend(riding_figures(&board, &laid, conditions, index));
    }
    Some((conditions.at, figures))
}

const fn input(name: &'static str, value: f64, unit: &'static str) -> Input {
    Input { name, value, unit }
}

fn metres(name: &'static str, length: Length) -> Input {
    input(name, length.as_metres(), "m")
}

fn computed(
    name: &'static str,
    (value, unit): (f64, &'static str),
    formula: &'static str,
    inputs: Vec<Input>,
    source: &str,
) -> Figure {
    Figure { name, value, unit, origin: Origin::Computed, formula, inputs, source: source.to_owned() }
}

fn water_figures(inputs: &Inputs, water: Water) -> Vec<Figure> {
    let Some(depth) = inputs.depth else { return Vec::new() };
    let charted = metres("charted depth", depth.charted.0);
    let tide = metres("height of tide", water.tide.0);
    let residual = metres("residual", inputs.residual.mean);
    let water_low = water.low().0;
    vec![
        Figure {
            name: "height of tide",
            value: water.tide.0.as_metres(),
            unit: "m",
            origin: Origin::Forecast,
            formula: "h(t) = Z0 + Σ f A cos(V0 + u + ω t − g), or the station's own offsets or table",
            inputs: Vec::new(),
            source: inputs.tide_source.clone(),
        },
        computed(
            "depth of water at the anchor",
            (water.depth.0.as_metres(), "m"),
            "charted depth + height of tide + residual",
            vec![charted, tide, residual],
            "definition of chart datum",
        ),
        computed(
            "standard deviation of that depth",
            (water.sigma.as_metres(), "m"),
            "√(σ of the charted depth² + σ of the residual²)",
            vec![
                metres("σ of the charted depth", depth.sigma),
                metres("σ of the residual", inputs.residual.sigma),
            ],
            "independent normal errors, assumed",
        ),
        computed(
            "water that nine in ten lie above",
            (water_low.as_metres(), "m"),
            "depth − 1.2816 σ",
            vec![metres("depth", water.depth.0), metres("σ", water.sigma), input("Φ⁻¹(0.9)", Z90, "1")],
            "normal distribution",
        ),
    ]
}

fn weather_figures(board: &Board<'_>, weather: &Weather) -> Vec<Figure> {
    let mut figures = wind_figures(board, weather);
    figures.extend(load_figures(board, weather));
    figures
}

fn wind_figures(board: &Board<'_>, weather: &Weather) -> Vec<Figure> {
    let wind = weather.wind;
    let centroid = board.exposed.centroid;
    let mean = input("mean wind at 10 m", wind.mean.as_metres_per_second(), "m/s");
    let at_centroid = loads::wind_at_height(&wind, centroid);
    let wind_source = board.inputs.forecast.as_ref().map_or_else(String::new, Forecast::source);
    let mut figures = vec![
        Figure {
            name: "mean wind at 10 m",
            value: wind.mean.as_metres_per_second(),
            unit: "m/s",
            origin: board.inputs.forecast.as_ref().map_or(Origin::Forecast, Forecast::origin),
            formula: "straight between the forecast's steps, speed and vector apart",
            inputs: Vec::new(),
            source: wind_source.clone(),
        },
        Figure {
            name: "gust at 10 m",
            value: wind.gust.as_metres_per_second(),
            unit: "m/s",
            origin: wind.gust_origin,
            formula: "the forecast's, or mean × gust factor of 3 s in 10 min by exposure",
            inputs: vec![mean.clone(), input("gust factor", board.inputs.exposure.gust_factor(), "1")],
            source: "WMO/TD-No. 1555 (2010), table 1.1".to_owned(),
        },
        computed(
            "significant height of the sea",
            (weather.sea.height.as_metres(), "m"),
            "shallow-water growth with wind, fetch and depth; no higher than breaks",
            vec![mean, metres("fetch", weather.fetch)],
            "Shore Protection Manual (1984), chapter 3",
        ),
    ];
    if let Some((mean, gust)) = at_centroid {
        let formula = "log law of the open sea for the mean; the gust adds the same at every height";
        let of = |name, speed: crate::units::Speed| {
            let inputs = vec![metres("height of the windage's centroid", centroid)];
            computed(name, (speed.as_metres_per_second(), "m/s"), formula, inputs, "log law, z0 = 0.0002 m")
        };
        figures.extend([of("mean wind at the windage", mean), of("gust at the windage", gust)]);
    }
    figures
}

fn load_figures(board: &Board<'_>, weather: &Weather) -> Vec<Figure> {
    let windage = board.inputs.boat.windage;
    let exposed = &board.exposed;
    let drag_area = Figure {
        name: "drag area head to wind",
        value: exposed.head_on.as_square_metres(),
        unit: "m²",
        origin: windage.origin,
        formula: "given, or by kind and length squared; median of a lognormal",
        inputs: vec![input("σ of its logarithm", windage.head_on_m2.sigma_ln(), "1")],
        source: "class averages, from memory, low confidence, unless given".to_owned(),
    };
    let swung = input("κ, what sheering and surging make of the gust's excess", loads::SWUNG, "1");
    let ten = weather.ten_minutes;
    let gust = input("gust of ten minutes at 10 m", ten.gust.as_metres_per_second(), "m/s");
    let area = input("drag area", exposed.head_on.as_square_metres(), "m²");
    let air = input("density of air", AIR_KG_M3, "kg/m³");
    let wind_formula = "½ ρ Cd·A V² (1 + I²) for the mean, ½ ρ Cd·A (V + κ (G − V))² for the gust; held across by a stream, as she lies";
    let wind_inputs = vec![air, area, gust, swung];
    let mut figures = vec![drag_area];
    for (steady, parts) in [(true, weather.load.steady), (false, weather.load.gust)] {
        figures.extend(parts_figures(board, weather, (steady, parts), (wind_formula, &wind_inputs)));
    }
    figures
}

fn parts_figures(
    board: &Board<'_>,
    weather: &Weather,
    (steady, parts): (bool, LoadParts),
    (wind_formula, wind_inputs): (&'static str, &[Input]),
) -> Vec<Figure> {
    let name = |steady_name, gust_name| if steady { steady_name } else { gust_name };
    let stream_ms = weather.stream.map_or(0.0, |stream| stream.speed.as_metres_per_second());
    let hull = board.inputs.boat.hull;
    let windage_sigma = board.inputs.boat.windage.head_on_m2.sigma_ln();
    let (which, own_sigma) =
        if steady { (Which::Steady, weather.steady_sigma_ln) } else { (Which::Gust, weather.gust_sigma_ln) };
    let p90 = weather.load_at(which, windage_sigma, Z90);
    let wind = input("wind", parts.wind.as_newtons(), "N");
    let stream = input("stream", parts.stream.as_newtons(), "N");
    let sea = input("sea", parts.sea.as_newtons(), "N");
    vec![
        computed(
            name("steady wind load", "gust wind load"),
            (parts.wind.as_newtons(), "N"),
            wind_formula,
            wind_inputs.to_vec(),
            "drag of bluff bodies; what her motion makes of it, from rides in time",
        ),
        computed(
            name("stream load", "stream load in the gust"),
            (parts.stream.as_newtons(), "N"),
            "½ ρ V² (S Cf + 0.1 B T + Ap)",
            vec![
                input("stream", stream_ms, "m/s"),
                metres("beam", hull.beam),
                metres("canoe-body draught", hull.canoe_draught),
                input("blade area", board.exposed.blades.as_square_metres(), "m²"),
            ],
            "UFC 4-159-03 (2005), equations 17 to 23; friction by ITTC-57",
        ),
        computed(
            name("mean wave drift", "mean wave drift in the gust"),
            (parts.sea.as_newtons(), "N"),
            "0.2 × (1/16) ρ g Hs² B",
            vec![metres("Hs", weather.sea.height), metres("beam", hull.beam)],
            "total reflection, times a share from memory (0.1 to 0.3)",
        ),
        computed(
            name("steady load, median", "gust load, median"),
            (parts.total().as_newtons(), "N"),
            "wind + stream + sea",
            vec![wind.clone(), stream.clone(), sea.clone()],
            "sum",
        ),
        computed(
            name("steady load, 90th percentile", "gust load, 90th percentile"),
            (p90.as_newtons(), "N"),
            "wind × exp(1.2816 √(σ_windage² + (2 σ_forecast)² + σ_own²)) + stream × exp(1.2816 σ_stream) + sea × exp(1.2816 σ_sea)",
            vec![
                wind,
                stream,
                sea,
                input("σ_windage", windage_sigma, "1"),
                input("σ_forecast", weather.forecast_sigma_ln, "1"),
                input("σ_own", own_sigma, "1"),
                input("σ_stream", conditions::STREAM_SIGMA_LN, "1"),
                input("σ_sea", conditions::SEA_SIGMA_LN, "1"),
            ],
            "lognormal spreads, see the module on conditions",
        ),
    ]
}

fn riding_figures(board: &Board<'_>, laid: &Laid, conditions: &Conditions, index: usize) -> Vec<Figure> {
    let Some(Some(ride)) = laid.rides.get(index) else { return Vec::new() };
    let lead = riding::lead_height(board.inputs);
    let mut figures = Vec::new();
    if let Some(water) = conditions.water {
        figures.push(computed(
            "height from ground to bow",
            (ride.height.as_metres(), "m"),
            "water that nine in ten lie below + height of the lead above the water",
            vec![metres("water", water.high().0), metres("lead", lead)],
            "definition",
        ));
    }
    figures.extend(curve_figures(laid, ride));
    figures.extend(peak_figures(board, laid, ride));
    if let Some(hazard) = laid.chance.as_ref().and_then(|chance| chance.by_instant.get(index)) {
        figures.push(computed(
            "chance of dragging in this instant",
            (*hazard, "1"),
            "chance in the stay with this instant, less without it, over all draws",
            vec![input(
                "median holding",
                board.holding.as_ref().map_or(f64::NAN, |band| band.median.as_newtons()),
                "N",
            )],
            "see the module on chance",
        ));
    }
    figures
}

fn curve_figures(laid: &Laid, ride: &Ride) -> Vec<Figure> {
    let catenary = "elastic catenary on sloping ground; Irvine, Cable Structures (1981), chapter 1";
    let inputs = |load: f64| {
        vec![
            metres("rode veered", laid.length),
            metres("height", ride.height),
            input("slope", ride.slope.as_degrees(), "deg"),
            input("horizontal load", load, "N"),
        ]
    };
    let gust_n = ride.at_gust.horizontal().as_newtons();
    vec![
        computed(
            "reach in the gust",
            (ride.at_gust.distance().as_metres(), "m"),
            "x(H)",
            inputs(gust_n),
            catenary,
        ),
        computed(
            "uplift in the gust",
            (ride.at_gust.uplift().as_degrees(), "deg"),
            "atan(V_A/H) − β",
            inputs(gust_n),
            catenary,
        ),
        computed(
            "uplift in the gust, 90th percentile",
            (ride.at_gust_p90.uplift().as_degrees(), "deg"),
            "atan(V_A/H) − β",
            inputs(ride.at_gust_p90.horizontal().as_newtons()),
            catenary,
        ),
        computed(
            "rode on the ground in the gust",
            (ride.at_gust.grounded().as_metres(), "m"),
            "L − suspended length",
            inputs(gust_n),
            catenary,
        ),
    ]
}

fn peak_figures(board: &Board<'_>, laid: &Laid, ride: &Ride) -> Vec<Figure> {
    let mass = board.inputs.boat.hull.displacement * (1.0 + riding::ADDED_MASS);
    let inputs = vec![
        input("gust load", ride.at_gust.horizontal().as_newtons(), "N"),
        input("steady load", ride.at_steady.horizontal().as_newtons(), "N"),
        input("mass with the water that surges", mass.as_kilograms(), "kg"),
        input("surge in the sea", ride.surge.as_metres_per_second(), "m/s"),
        input("suddenness of gusts", riding::SUDDENNESS, "1"),
    ];
    let formula = "∫(H − H_g)dx beyond the gust = κ ∫(H_g − H)dx before it + ½ M v²";
    let source = "energy balance on the rode's own spring; κ assumed";
    let balance = (ride.balance.as_newtons(), "N");
    let balance_p90 = (ride.balance_p90.as_newtons(), "N");
    let factor = laid.ridden.map_or(1.0, |ridden| ride.over_balance(ridden.over_balance));
    let ridden = |of: &'static str, gust: Force, balance: (f64, &'static str)| {
        vec![
            input("gust load", gust.as_newtons(), "N"),
            input(of, balance.0, balance.1),
            input("as ridden over the balance, the greatest of the hardest instants", factor, "1"),
        ]
    };
    let (gust, gust_p90) = (ride.at_gust.horizontal(), ride.at_gust_p90.horizontal());
    let by_ride = "max(H_g, ρ P)";
    let lived = "three hours of each of the hardest instants ridden in time; where she cannot be, ρ = 1";
    vec![
        computed("peak by the balance, median", balance, formula, inputs.clone(), source),
        computed("peak by the balance, 90th percentile", balance_p90, formula, inputs, source),
        computed(
            "peak load, median",
            (ride.peak.as_newtons(), "N"),
            by_ride,
            ridden("peak by the balance, median", gust, balance),
            lived,
        ),
        computed(
            "peak load, 90th percentile",
            (ride.peak_p90.as_newtons(), "N"),
            by_ride,
            ridden("peak by the balance, 90th percentile", gust_p90, balance_p90),
            lived,
        ),
        computed(
            "tension at the bow in that peak",
            (ride.tension_p90.as_newtons(), "N"),
            "√(H² + V²)",
            vec![input("horizontal peak", ride.peak_p90.as_newtons(), "N")],
            "statics",
        ),
    ]
}
