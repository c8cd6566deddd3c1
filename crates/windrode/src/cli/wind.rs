//! `windrode wind`: what a forecast says at a place, step by step.

use std::io::Write;
use std::path::PathBuf;

use serde::Serialize;
use windrode_domain::environment::forecast::{Forecast, Provenance, Step};
use windrode_domain::environment::wind::Beaufort;
use windrode_domain::position::Position;
use windrode_domain::units::{Bearing, Speed};

use super::{Ending, Failure, arguments};
use crate::forecast_file;

/// Shows the wind of a forecast file (GRIB2 or a table) at a place.
#[derive(clap::Args)]
pub(super) struct Arguments {
    /// The forecast: GRIB edition 2, or a table `time,from_deg,mean_kn,gust_kn`.
    file: PathBuf,
    /// Where: LAT,LON in degrees, north and east positive.
    #[arg(long, value_name = "LAT,LON", allow_hyphen_values = true, value_parser = arguments::position)]
    at: Position,
    /// Print JSON.
    #[arg(long)]
    json: bool,
}

/// Runs the command.
pub(super) fn run(arguments: &Arguments, out: &mut impl Write) -> Result<Ending, Failure> {
    let forecast = forecast_file::read(&arguments.file, arguments.at).map_err(Failure::BadInput)?;
    if arguments.json {
        serde_json::to_writer(&mut *out, &steps(&forecast))?;
        writeln!(out)?;
    } else {
        write_table(&forecast, arguments.at, out)?;
    }
    Ok(Ending::Done)
}

/// The steps of a forecast for programs.
pub(crate) fn steps(forecast: &Forecast) -> Vec<StepView> {
    forecast.steps().iter().map(StepView::from).collect()
}

/// A step as the outside sees it; documented in docs/json.md.
#[derive(Serialize)]
pub(crate) struct StepView {
    time: String,
    u_ms: f64,
    v_ms: f64,
    gust_ms: Option<f64>,
    from_deg: Option<f64>,
    mean_kn: f64,
}

impl From<&Step> for StepView {
    fn from(step: &Step) -> Self {
        Self {
            time: step.at.to_string(),
            u_ms: step.wind.east_ms,
            v_ms: step.wind.north_ms,
            gust_ms: step.gust.map(Speed::as_metres_per_second),
            from_deg: step.wind.from().map(Bearing::as_degrees),
            mean_kn: step.wind.speed().as_knots(),
        }
    }
}

fn write_table(forecast: &Forecast, place: Position, out: &mut impl Write) -> std::io::Result<()> {
    writeln!(out, "Wind at {place}")?;
    write_provenance(forecast.provenance(), out)?;
    writeln!(out, "{:<20}  {:>4}  {:>7}  {:>7}  force", "UTC", "from", "mean kn", "gust kn")?;
    for step in forecast.steps() {
        let from = step.wind.from().map_or("calm".to_owned(), |from| from.to_string());
        // Rounded up: a table for people does not lessen a wind.
        let gust = step.gust.map_or("-".to_owned(), |gust| format!("{:.0}", gust.as_knots().ceil()));
        let mean_kn = step.wind.speed().as_knots().ceil();
        let force = Beaufort::of(Speed::knots(mean_kn));
        let force = force.map_or(String::new(), |row| format!("{} {}", row.force, row.name));
        writeln!(out, "{:<20}  {from:>4}  {mean_kn:>7.0}  {gust:>7}  {force}", step.at.to_string())?;
    }
    for gap in forecast.gaps() {
        writeln!(
            out,
            "No step for more than 6 h between {} and {}: cannot say there.",
            gap.from(),
            gap.to()
        )?;
    }
    if forecast.steps().iter().any(|step| step.gust.is_none()) {
        writeln!(out, "Where no gust stands the file has none; it is then reckoned by exposure.")?;
    }
    writeln!(out, "Mean of 10 min at 10 m. A forecast; the wind in the bay may differ.")
}

fn write_provenance(provenance: &Provenance, out: &mut impl Write) -> std::io::Result<()> {
    writeln!(out, "From {}", provenance.source)?;
    match provenance.issued {
        Some(issued) => writeln!(out, "Run of {issued}")?,
        None => writeln!(out, "When it was made is not said")?,
    }
    if let Some(member) = provenance.member {
        writeln!(out, "Member {member} of an ensemble")?;
    }
    let Some(grid) = provenance.grid else { return Ok(()) };
    let away_km = grid.distance.as_metres() / 1000.0;
    writeln!(
        out,
        "Grid of {:.3}° by {:.3}°, nearest point {} at {away_km:.1} km",
        grid.latitude_step_deg, grid.longitude_step_deg, grid.nearest
    )
}
