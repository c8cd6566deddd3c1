//! `[wind]` and `[sea]`.

use windrode_domain::units::{Bearing, Speed};

use super::super::times::Zone;
use super::super::toml_reading::{Section, Within};
use super::{FetchSector, SeaGiven, WindGiven, WindRow, WindSource, in_order, path};

/// Winds, kn: gusts of the strongest tropical cyclones reach some 220 kn.
const WINDS: Within = Within::new(0.0, 220.0);
/// Fetches, m.
const FETCHES: Within = Within::new(0.0, 2_000_000.0);

/// Wind, from a file or a table.
pub(super) fn wind(section: &Section<'_>, zone: &Zone) -> WindGiven {
    section.one_of(&["forecast", "table"]);
    let forecast = path(&section.may("forecast"), section).map(WindSource::Forecast);
    let table = section.may("table");
    let exposure = section.may("exposure").located_text();
    let rows = if table.is_absent() {
        None
    } else {
        in_order(section, table.sections(|row| wind_row(row, zone)), |row| row.at).map(WindSource::Table)
    };
    WindGiven { from: forecast.or(rows), exposure }
}

fn wind_row(row: &Section<'_>, zone: &Zone) -> Option<WindRow> {
    let at = row.want("at", "when it blows so").time(zone);
    let mean = row.want("mean", "its ten-minute mean at 10 m, as \"15 kn\"").speed(WINDS);
    let from = row.may("from").bearing();
    let gust = row.may("gust").speed(WINDS);
    let mean = mean?;
    if Speed::ZERO < mean && from.is_none() && !row.has_any(&["from"]) {
        row.refuse("blows, and does not say where from (give from, true degrees)");
        return None;
    }
    if let Some(gust) = gust
        && gust < mean
    {
        row.refuse(format!(
            "has a gust of {:.1} kn below the mean of {:.1} kn (check both)",
            gust.as_knots(),
            mean.as_knots()
        ));
        return None;
    }
    Some(WindRow { at: at?, mean, from, gust })
}

/// Sea: fetch as one length, or by sectors.
pub(super) fn sea(section: &Section<'_>) -> SeaGiven {
    let fetch = section.may("fetch");
    let depth = section.may("depth").length(Within::new(0.1, 8000.0));
    let fetch = if fetch.is_list() {
        fetch.sections(sector)
    } else {
        let all_round =
            |length| FetchSector { from: Bearing::degrees(0.0), to: Bearing::degrees(360.0), length };
        fetch.length(FETCHES).map(all_round).into_iter().collect()
    };
    SeaGiven { fetch, depth }
}

fn sector(row: &Section<'_>) -> Option<FetchSector> {
    let from = row.want("from", "the first bearing of the sector, true degrees").bearing();
    let to = row.want("to", "the last bearing of the sector, clockwise").bearing();
    let length = row.want("length", "the length of open water, as \"2 km\"").length(FETCHES);
    Some(FetchSector { from: from?, to: to?, length: length? })
}
