//! Forecast files: GRIB edition 2, or a table of text; which, is told by the content.

use std::path::Path;

use windrode_domain::environment::forecast::Forecast;
use windrode_domain::position::Position;
use windrode_wire::{forecast_csv, grib2};

use crate::files::shelf::Shelf;

/// How far into a file a first GRIB message may begin: a bulletin's heading is shorter.
const HEADING_BYTES: usize = 512;

/// A forecast file's wind at a place.
///
/// # Errors
/// Every problem in it, the file named in each.
pub(crate) fn read(path: &Path, place: Position) -> Result<Forecast, Vec<String>> {
    read_from(Shelf::Disk, path, place)
}

/// The same, from a shelf.
///
/// # Errors
/// Every problem in it, the file named in each.
pub(crate) fn read_from(shelf: Shelf<'_>, path: &Path, place: Position) -> Result<Forecast, Vec<String>> {
    let named = |problem: String| format!("{}: {problem}", path.display());
    // No more of it than a forecast can be.
    let bytes = shelf.bytes(path, grib2::MOST_BYTES as u64).map_err(|why| vec![named(why)])?;
    forecast(&bytes, place).map_err(|problems| problems.into_iter().map(named).collect())
}

/// The wind that a forecast's bytes tell for a place.
///
/// # Errors
/// Every problem in them.
pub(crate) fn forecast(bytes: &[u8], place: Position) -> Result<Forecast, Vec<String>> {
    let head = bytes.get(..HEADING_BYTES).unwrap_or(bytes);
    if head.windows(4).any(|window| window == b"GRIB") {
        return grib2::WindGrids::read(bytes).and_then(|grids| grids.at(place)).map_err(in_words);
    }
    if bytes.is_empty() {
        return Err(vec!["the file is empty".to_owned()]);
    }
    if head.contains(&0) {
        return Err(vec!["this is neither a GRIB file nor a table of text".to_owned()]);
    }
    forecast_csv::read(bytes).map_err(in_words)
}

fn in_words<E: std::fmt::Display>(problems: Vec<E>) -> Vec<String> {
    problems.into_iter().map(|problem| problem.to_string()).collect()
}
