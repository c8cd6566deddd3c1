//! Wind, exposure and fetch.

use jiff::SignedDuration;
use windrode_domain::environment::forecast::{Forecast, Provenance, Step};
use windrode_domain::environment::waves::{self, Fetch};
use windrode_domain::environment::wind::{Exposure, Wind};
use windrode_domain::uncertain::Origin;

use super::{kept, meaning, problem};
use crate::files::choices::EXPOSURES;
use crate::files::shelf::Shelf;
use crate::files::source::Problem;
use crate::files::stay::{StayFile, WindGiven, WindRow, WindSource};
use crate::forecast_file;

/// What lies to windward, and who says so. Untold, a wind off the land is assumed: its gusts stand highest above
/// their mean of what an anchorage has.
pub(super) fn exposure(wind: Option<&WindGiven>, problems: &mut Vec<Problem>) -> (Exposure, Origin) {
    let said = wind.and_then(|wind| wind.exposure.as_ref());
    let told = said.and_then(|said| kept(meaning(said, &EXPOSURES), problems));
    told.map_or((Exposure::OffLand, Origin::Assumed), |exposure| (exposure, Origin::Given))
}

/// The wind at the anchor; `None` when nothing is told of it.
pub(super) fn forecast(stay: &StayFile, shelf: Shelf<'_>, problems: &mut Vec<Problem>) -> Option<Forecast> {
    match stay.wind.as_ref()?.from.as_ref()? {
        WindSource::Forecast(file) => {
            let read = forecast_file::read_from(shelf, &file.value, stay.position);
            read.map_err(|all| problems.extend(all.into_iter().map(|text| file.problem(text)))).ok()
        }
        WindSource::Table(rows) => {
            let made = Forecast::new(rows.iter().map(step).collect(), written());
            let told = |error| problem(stay, "wind.table", format!("{error} (check its lines)"));
            made.map_err(|errors| problems.extend(errors.into_iter().map(told))).ok()
        }
    }
}

fn step(row: &WindRow) -> Step {
    let wind = row.from.map_or(Wind::default(), |from| Wind::blowing(from, row.mean));
    Step { at: row.at, wind, gust: row.gust, gust_over: SignedDuration::ZERO }
}

fn written() -> Provenance {
    Provenance { source: "written in the stay".to_owned(), issued: None, member: None, grid: None }
}

/// Open water about the berth; `None` when it is not told.
pub(super) fn fetch(stay: &StayFile, problems: &mut Vec<Problem>) -> Option<Fetch> {
    let told = &stay.sea.as_ref()?.fetch;
    let made = match told.as_slice() {
        [] => return None,
        // One length for all round is told as one sector that ends where it begins.
        [all] if all.from == all.to => Fetch::around(all.length).map_err(|error| vec![error]),
        sectors => Fetch::sectors(
            sectors
                .iter()
                .map(|sector| waves::FetchSector { from: sector.from, to: sector.to, length: sector.length })
                .collect(),
        ),
    };
    let told = |error| problem(stay, "sea.fetch", format!("{error}"));
    made.map_err(|errors| problems.extend(errors.into_iter().map(told))).ok()
}
