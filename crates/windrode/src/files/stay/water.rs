//! `[tide]` and `[stream]`.

use windrode_domain::units::Speed;

use super::super::times::Zone;
use super::super::toml_reading::{Section, Within};
use super::{
    HeightDifference, SecondaryGiven, StreamRow, StreamSource, TideGiven, TideRow, TideSource,
    TimeDifference, Turn, in_order, path,
};
use crate::files::choices;

/// Heights of tides about any datum, and differences between ports, m: the greatest range known is some 17 m.
const HEIGHTS: Within = Within::new(-20.0, 20.0);
/// Tidal streams, kn: the fastest known run some 16 kn.
const STREAMS: Within = Within::new(0.0, 20.0);

/// Tide: exactly one source, or none.
pub(super) fn tide(section: &Section<'_>, zone: &Zone) -> TideGiven {
    section.one_of(&["station", "constants", "still", "table", "secondary"]);
    let station = section.may("station").located_text().map(TideSource::Station);
    let constants = path(&section.may("constants"), section).map(TideSource::Constants);
    let still = still(section);
    let table = table(section, zone);
    let secondary = section.may("secondary").section(secondary).map(TideSource::Secondary);
    let residual = section.may("residual").length(Within::new(0.0, 5.0));
    let pressure_pa = section.may("pressure").pressure_pa(Within::new(870.0, 1090.0));
    let from = station.or(constants).or(still).or(table).or(secondary);
    TideGiven { from, residual, pressure_pa }
}

fn still(section: &Section<'_>) -> Option<TideSource> {
    let field = section.may("still");
    if field.flag()? {
        return Some(TideSource::Still);
    }
    field.refuse("is false, which says nothing (leave it out, and say where the tide comes from)")
}

fn table(section: &Section<'_>, zone: &Zone) -> Option<TideSource> {
    let table = section.may("table");
    let datum = section.may("datum").text();
    let distorted = section.may("curve").word(&choices::CURVES);
    if table.is_absent() {
        section.refuse_beside("a tide that is no table", &["datum", "curve"]);
        return None;
    }
    let rows = table.sections(|row| tide_row(row, zone));
    if datum.is_none() {
        section.refuse(
            "is a table without a datum (give what its heights are reckoned from, as datum = \"LAT\")",
        );
    }
    let rows = in_order(section, rows, |row| row.at)?;
    if rows.len() < 2 {
        return table.refuse("needs two turns or more that can be read, one before the stay and one after");
    }
    if rows.windows(2).any(|pair| matches!(pair, [a, b] if a.turn == b.turn)) {
        section.refuse("has two highs or two lows in a row (give every turn, or leave this table out)");
    }
    if rows.windows(2).any(|pair| matches!(pair, [a, b] if (a.turn == Turn::High) != (b.height < a.height))) {
        section.refuse("has a low that is not below the high beside it (check heights and kinds)");
    }
    Some(TideSource::Table { datum: datum?, rows, distorted: distorted.unwrap_or(false) })
}

fn tide_row(row: &Section<'_>, zone: &Zone) -> Option<TideRow> {
    let at = row.want("at", "when the water turns").time(zone);
    let height = row.want("height", "the height of the tide then").length(HEIGHTS);
    let turn = row.want("kind", "\"high\" or \"low\"").word(&choices::TURNS);
    Some(TideRow { at: at?, height: height?, turn: turn? })
}

/// A secondary port's differences.
fn secondary(section: &Section<'_>) -> Option<SecondaryGiven> {
    let standard = section.want("standard", "the standard port, as a station").located_text();
    let utc_offset = section.may("utc_offset").duration(Within::new(-14.0 * 60.0, 14.0 * 60.0));
    let high_water_times = times(section, "high_water_times");
    let low_water_times = times(section, "low_water_times");
    let high_water_heights = heights(section, "high_water_heights");
    let low_water_heights = heights(section, "low_water_heights");
    let by_the_clock = high_water_times.iter().chain(&low_water_times).any(|row| row.standard.is_some());
    if by_the_clock && utc_offset.is_none() {
        section.refuse("has differences by the time of day without its clock (give utc_offset, as \"12 h\")");
        return None;
    }
    Some(SecondaryGiven {
        standard: standard?,
        utc_offset,
        high_water_times,
        low_water_times,
        high_water_heights,
        low_water_heights,
    })
}

fn times(section: &Section<'_>, key: &'static str) -> Vec<TimeDifference> {
    let rows =
        section.want_sections(key, "its differences of time, as [{ difference = \"-12 min\" }]", |row| {
            let standard = row.may("standard").time_of_day();
            let difference = row
                .want("difference", "what is added to the standard port's time, as \"-12 min\"")
                .duration(Within::new(-12.0 * 60.0, 12.0 * 60.0));
            Some(TimeDifference { standard, difference: difference? })
        });
    refuse_unplaced(section, key, rows.len(), rows.iter().filter(|row| row.standard.is_none()).count());
    rows
}

fn heights(section: &Section<'_>, key: &'static str) -> Vec<HeightDifference> {
    let rows =
        section.want_sections(key, "its differences of height, as [{ difference = \"-0.3 m\" }]", |row| {
            let standard = row.may("standard").length(HEIGHTS);
            let difference = row
                .want("difference", "what is added to the standard port's height, as \"-0.3 m\"")
                .length(HEIGHTS);
            Some(HeightDifference { standard, difference: difference? })
        });
    refuse_unplaced(section, key, rows.len(), rows.iter().filter(|row| row.standard.is_none()).count());
    if 2 < rows.len() {
        section.refuse(format!("has more than two {key} (give those at mean springs and mean neaps)"));
    }
    rows
}

/// Of several differences each must say which time or height of the standard port it stands at.
fn refuse_unplaced(section: &Section<'_>, key: &str, rows: usize, unplaced: usize) {
    if 1 < rows && 0 < unplaced {
        section.refuse(format!("has several {key}, not all of which say their standard (give it in each)"));
    }
}

/// Stream: exactly one source.
pub(super) fn stream(section: &Section<'_>, zone: &Zone) -> Option<StreamSource> {
    let told = section.one_of(&["station", "table", "none"]);
    let station = section.may("station").located_text().map(StreamSource::Station);
    let rows = section.may("table");
    let none = section.may("none");
    let no_stream = match none.flag() {
        Some(true) => Some(StreamSource::None),
        Some(false) => {
            none.refuse("is false, which says nothing (leave it out, and say where the stream comes from)")
        }
        None => None,
    };
    let table = if rows.is_absent() {
        None
    } else {
        in_order(section, rows.sections(|row| stream_row(row, zone)), |row| row.at).map(StreamSource::Table)
    };
    if !told && !section.has_any(&["station", "table", "none"]) {
        section
            .refuse("says nothing of the stream (give station, table or none = true, or leave [stream] out)");
    }
    station.or(table).or(no_stream)
}

fn stream_row(row: &Section<'_>, zone: &Zone) -> Option<StreamRow> {
    let at = row.want("at", "when it runs so").time(zone);
    let speed = row.want("speed", "its speed, as \"1.5 kn\"").speed(STREAMS);
    let towards = row.may("towards").bearing();
    let speed = speed?;
    if Speed::ZERO < speed && towards.is_none() && !row.has_any(&["towards"]) {
        row.refuse("runs, and does not say where to (give towards, true degrees)");
        return None;
    }
    Some(StreamRow { at: at?, speed, towards })
}
