//! Errors of a real receiver, from a recording of a vessel that lay still: alongside, or a receiver on the roof.
//!
//! Where the vessel lay is the median of its places; what the receiver told beside it is its error. Between two lines
//! the error goes straight, second by second, so that a recording of three-minute reports keeps its slow errors and
//! not its quick ones. Holes are closed: what follows one joins what went before.

use std::sync::Arc;

use windrode_domain::position::{Offset, Position};

use crate::recording::table::Table;

/// A longer hole than this between two lines is closed and not drawn through, s: the slow error has forgotten itself.
const HOLE_S: f64 = 900.0;
/// A place further off than this is no error of a receiver but another vessel under the same number, m.
const FURTHEST_M: f64 = 100.0;
/// Fewest seconds that make a series: two hours, several times the memory of the slow error.
const FEWEST: usize = 7200;

/// The errors, one a second.
///
/// # Errors
/// One problem: the recording is too short.
pub(super) fn errors(table: &Table) -> Result<Arc<[Offset]>, String> {
    let places: Vec<(f64, Position)> = table
        .rows
        .iter()
        .filter_map(|row| Some((row.at.as_millisecond() as f64 / 1000.0, row.place?)))
        .collect();
    let median = |value: fn(Position) -> f64| {
        let mut values: Vec<f64> = places.iter().map(|&(_, place)| value(place)).collect();
        values.sort_by(f64::total_cmp);
        values.get(values.len() / 2).copied()
    };
    let middle = median(Position::latitude_deg).zip(median(Position::longitude_deg));
    let middle = middle.and_then(|(lat, lon)| Position::new(lat, lon).ok());
    let Some(middle) = middle else { return Err("it holds no places".to_owned()) };
    let near: Vec<(f64, Offset)> = places
        .iter()
        .map(|&(at_s, place)| (at_s, middle.offset_of(place)))
        .filter(|(_, off)| off.length().as_metres() <= FURTHEST_M)
        .collect();
    let mut errors = Vec::new();
    for pair in near.windows(2) {
        let [(from_s, a), (to_s, b)] = pair else { continue };
        let long_s = to_s - from_s;
        if !(0.0 < long_s && long_s <= HOLE_S) {
            continue;
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between nothing and a hole's length"
        )]
        let seconds = long_s.round() as u32;
        errors.extend((0..seconds).map(|second| {
            let share = f64::from(second) / long_s;
            Offset {
                east_m: a.east_m + share * (b.east_m - a.east_m),
                north_m: a.north_m + share * (b.north_m - a.north_m),
            }
        }));
    }
    if errors.len() < FEWEST {
        return Err(format!("it holds {} s without a hole, and {FEWEST} are needed", errors.len()));
    }
    Ok(errors.into())
}

#[cfg(test)]
mod tests {
    use std::fmt::Write;

    use super::*;
    use crate::recording::table;

    #[test]
    fn errors_go_straight_between_lines_about_the_median() {
        let mut text = "t_utc,lat,lon\n".to_owned();
        for step in 0..100 {
            // A thousandth of a minute of latitude is 1.85 m: one line in four lies a step north.
            let lat = 50.0 + if step % 4 == 0 { 0.001 / 60.0 } else { 0.0 };
            writeln!(text, "{},{lat:.8},-5", 100 * step).unwrap();
        }
        // Another vessel under the same number.
        text += "9950,-20,100\n";
        let errors = errors(&table::read("x", text.as_bytes()).unwrap()).unwrap();
        assert_eq!(errors.len(), 9900);
        assert!((errors[0].north_m - 1.854).abs() < 0.001 && errors[0].east_m.abs() < 1e-6);
        assert!((errors[50].north_m - 0.927).abs() < 0.001);
        assert!(errors[150].length().as_metres() < 1e-6);
    }

    #[test]
    fn a_short_recording_is_refused() {
        let table = table::read("x", b"t_utc,lat,lon\n0,1,2\n60,1,2\n").unwrap();
        assert!(errors(&table).unwrap_err().contains("it holds 60 s"));
    }
}
