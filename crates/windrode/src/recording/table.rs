//! A recorded night as a table: a line of column names in any order, then a line an instant.
//!
//! ```text
//! t_utc,lat,lon,heading,sog_kn,cog,wind_kn,wind_from_deg,depth_m
//! 2026-11-27T05:00:00Z,50.1034021,-5.0512377,241.3,0.12,310,14.2,238,7.9
//! ```
//!
//! `t_utc`, `lat` and `lon` must be there; what is empty is unknown, and a column of another name is not read. Angles
//! are true and in degrees, the wind is over the ground and where it comes from, the depth is from the surface to the
//! ground. AIS's own ways of saying *not available* are unknown too: heading 511, speed 102.3, latitude 91 with
//! longitude 181 (ITU-R M.1371-5, annex 8, table 48).

mod fields;

use std::collections::BTreeMap;

use jiff::Timestamp;
use windrode_domain::environment::wind::Wind;
use windrode_domain::position::Position;
use windrode_domain::units::{Bearing, Length, Speed};

use super::table_times::instant;
use crate::files::toml_reading::nearest;
use fields::{Cell, cells};

/// Problems that are told of one table at most.
const MOST_PROBLEMS: usize = 50;
/// What the three columns that must be there are called: the instant, and the place.
const WANTED: [&str; 3] = ["t_utc", "lat", "lon"];
/// Columns that may be there.
const OTHERS: [&str; 8] =
    ["heading", "sog_kn", "cog", "wind_kn", "wind_from_deg", "depth_m", "segment", "mmsi"];

/// A table as it was written.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Table {
    /// Its lines, as they stand.
    pub(crate) rows: Vec<Row>,
    /// The columns it has, of those that are read.
    pub(crate) columns: Vec<&'static str>,
    /// The step in which its speeds are told.
    pub(crate) speed_step: Speed,
    /// What the reader of the answer must know: what was not in order and was taken all the same.
    pub(crate) notes: Vec<String>,
}

/// A line of a table.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Row {
    /// When.
    pub(crate) at: Timestamp,
    /// Where.
    pub(crate) place: Option<Position>,
    /// True heading.
    pub(crate) heading: Option<Bearing>,
    /// Way over the ground.
    pub(crate) speed: Option<Speed>,
    /// Whither.
    pub(crate) course: Option<Bearing>,
    /// Wind over the ground.
    pub(crate) wind: Option<Wind>,
    /// From the surface to the ground.
    pub(crate) depth: Option<Length>,
    /// Which part of the recording it belongs to.
    pub(crate) segment: Option<String>,
    /// Whose it is.
    pub(crate) mmsi: Option<u32>,
}

/// Reads a table; `name` is what its file is called in problems.
///
/// # Errors
/// Every problem at once, each with line and column.
pub(crate) fn read(name: &str, bytes: &[u8]) -> Result<Table, Vec<String>> {
    read_with(name, bytes, WANTED)
}

/// Reads a table whose instant and place are called otherwise.
///
/// # Errors
/// As [`read`].
pub(crate) fn read_with(name: &str, bytes: &[u8], wanted: [&'static str; 3]) -> Result<Table, Vec<String>> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let text = std::str::from_utf8(bytes).map_err(|error| {
        let line = 1 + bytes.iter().take(error.valid_up_to()).filter(|&&byte| byte == b'\n').count();
        vec![format!("{name}:{line}: is not UTF-8 text from here on (save it as UTF-8)")]
    })?;
    let mut reading = Reading { name, problems: Vec::new(), more: 0 };
    let mut lines = (1..)
        .zip(text.lines())
        .filter(|(_, line)| !line.trim().is_empty() && !line.starts_with('#'))
        .peekable();
    let Some((line, names)) = lines.next() else {
        let wanted = wanted.join(",");
        return Err(vec![format!("{name}: has no line of column names (it begins with {wanted},…)")]);
    };
    let header = Header::of(&mut reading, line, names, wanted);
    if !reading.problems.is_empty() {
        return Err(reading.told());
    }
    let mut table =
        Table { rows: Vec::new(), columns: header.columns(), speed_step: Speed::ZERO, notes: Vec::new() };
    let mut decimals = 0;
    while let Some((line, written)) = lines.next() {
        let torn = lines.peek().is_none() && !text.ends_with('\n');
        let cells = cells(written);
        if cells.len() < header.width && torn {
            table.notes.push(format!("the last line ({line}) is torn off and was left out"));
            continue;
        }
        if let Some(row) = header.row(&mut reading, line, &cells, &mut decimals) {
            table.rows.push(row);
        }
    }
    if table.rows.is_empty() && reading.problems.is_empty() {
        reading.problems.push(format!("{name}: has column names and no line below them"));
    }
    if !reading.problems.is_empty() {
        return Err(reading.told());
    }
    table.speed_step = Speed::knots(10_f64.powi(-decimals));
    Ok(table)
}

impl Table {
    /// Puts the lines in order of time, and notes how many of them tell an earlier time than the one above of the same
    /// vessel: a recorder may write one vessel after the other, but each goes on.
    pub(crate) fn put_in_order(&mut self) {
        let mut latest: BTreeMap<(Option<&str>, Option<u32>), Timestamp> = BTreeMap::new();
        let mut back = 0_usize;
        for row in &self.rows {
            let last = latest.entry((row.segment.as_deref(), row.mmsi)).or_insert(row.at);
            back += usize::from(row.at < *last);
            *last = row.at.max(*last);
        }
        self.rows.sort_by_key(|row| row.at);
        if 0 < back {
            self.notes.push(format!(
                "lines that tell an earlier time than one above and were put in order: {back}"
            ));
        }
    }
}

/// The problems of one file as they are found.
struct Reading<'a> {
    name: &'a str,
    problems: Vec<String>,
    more: usize,
}

impl Reading<'_> {
    fn refuse(&mut self, line: usize, column: usize, field: &str, text: &str) {
        if self.problems.len() < MOST_PROBLEMS {
            self.problems.push(format!("{}:{line}:{column}: {field}: {text}", self.name));
        } else {
            self.more += 1;
        }
    }
    fn told(mut self) -> Vec<String> {
        if 0 < self.more {
            self.problems.push(format!("{}: has {} more problems", self.name, self.more));
        }
        self.problems
    }

    /// A number in a range; `None` where it is empty, and where it is wrong and has been told.
    fn number(&mut self, line: usize, field: &str, cell: Cell<'_>, low: f64, high: f64) -> Option<f64> {
        if cell.text.is_empty() {
            return None;
        }
        match cell.text.parse::<f64>() {
            Ok(value) if (low..=high).contains(&value) => Some(value),
            Ok(value) if value.is_finite() => {
                let text =
                    format!("{} is not between {low} and {high} (mend it, or leave it empty)", cell.shown());
                self.refuse(line, cell.column, field, &text);
                None
            }
            _ => {
                let text = format!("{} is not a number (leave it empty where it is not known)", cell.shown());
                self.refuse(line, cell.column, field, &text);
                None
            }
        }
    }
}

/// Where each column stands in a line.
struct Header {
    names: [&'static str; WANTED.len() + OTHERS.len()],
    places: [Option<usize>; WANTED.len() + OTHERS.len()],
    width: usize,
}

impl Header {
    fn of(reading: &mut Reading<'_>, line: usize, names: &str, wanted: [&'static str; 3]) -> Self {
        let [at, lat, lon] = wanted;
        let [heading, speed, course, wind, from, depth, segment, mmsi] = OTHERS;
        let known = [at, lat, lon, heading, speed, course, wind, from, depth, segment, mmsi];
        let cells: Vec<Cell<'_>> = cells(names);
        let mut places = [None; WANTED.len() + OTHERS.len()];
        for (index, cell) in cells.iter().enumerate() {
            let named = known.iter().zip(&mut places).find(|(name, _)| cell.text.eq_ignore_ascii_case(name));
            let Some((name, place)) = named else { continue };
            if place.replace(index).is_some() {
                reading.refuse(line, cell.column, name, "stands twice (keep one of them)");
            }
        }
        let there: Vec<&str> = cells.iter().map(|cell| cell.text).collect();
        for (name, _) in known.iter().zip(&places).take(WANTED.len()).filter(|(_, place)| place.is_none()) {
            let text = format!("is missing among the column names; {}", nearest(name, &there));
            reading.refuse(line, 1, name, &text);
        }
        Self { names: known, places, width: cells.len() }
    }

    fn columns(&self) -> Vec<&'static str> {
        self.names
            .iter()
            .zip(&self.places)
            .filter(|(_, place)| place.is_some())
            .map(|(&name, _)| name)
            .collect()
    }

    fn row(
        &self,
        reading: &mut Reading<'_>,
        line: usize,
        cells: &[Cell<'_>],
        decimals: &mut i32,
    ) -> Option<Row> {
        if cells.len() != self.width {
            let text = format!("has {} fields and the column names are {}", cells.len(), self.width);
            reading.refuse(line, 1, "line", &text);
            return None;
        }
        let [at, lat, lon, heading, speed, course, wind, from, depth, segment, mmsi] =
            self.places.map(|place| place.and_then(|place| cells.get(place)).copied().unwrap_or_default());
        let time = instant(at.text);
        if time.is_none() {
            let text = format!("{} is not a time in UTC, such as 2026-11-27T05:00:00Z", at.shown());
            reading.refuse(line, at.column, "t_utc", &text);
        }
        let [_, lat_name, lon_name, ..] = self.names;
        let place = place(reading, line, (lat_name, lat), (lon_name, lon));
        let heading = reading.number(line, "heading", heading, -180.0, 511.0).filter(|&deg| deg <= 360.0);
        // 102.3 kn is how AIS says that it is not known, and 102.2 that it is more than that.
        let speed_kn = reading.number(line, "sog_kn", speed, 0.0, 102.31).filter(|&kn| kn < 102.15);
        if speed_kn.is_some() {
            *decimals = (*decimals).max(decimals_of(speed.text));
        }
        let course = reading.number(line, "cog", course, -180.0, 360.0);
        let wind_kn = reading.number(line, "wind_kn", wind, 0.0, 200.0);
        let from = reading.number(line, "wind_from_deg", from, -180.0, 360.0);
        let depth_m = reading.number(line, "depth_m", depth, 0.0, 12_000.0);
        Some(Row {
            at: time?,
            place,
            heading: heading.map(Bearing::degrees),
            speed: speed_kn.map(Speed::knots),
            course: course.map(Bearing::degrees),
            wind: wind_kn.zip(from).map(|(kn, from)| Wind::blowing(Bearing::degrees(from), Speed::knots(kn))),
            depth: depth_m.map(Length::metres),
            segment: (!segment.text.is_empty()).then(|| segment.text.to_owned()),
            mmsi: identity(reading, line, mmsi),
        })
    }
}

fn place(
    reading: &mut Reading<'_>,
    line: usize,
    (lat_name, lat): (&str, Cell<'_>),
    (lon_name, lon): (&str, Cell<'_>),
) -> Option<Position> {
    if lat.text.is_empty() != lon.text.is_empty() {
        let (name, cell) = if lat.text.is_empty() { (lat_name, lat) } else { (lon_name, lon) };
        reading.refuse(line, cell.column, name, "is empty where the other is not (give both, or neither)");
        return None;
    }
    // Latitude 91 alone says already that the place is not known.
    let unknown = lat.text.parse() == Ok(91.0);
    let lat_deg = if unknown { None } else { reading.number(line, lat_name, lat, -90.0, 90.0) };
    let lon_deg = reading.number(line, lon_name, lon, -180.0, 360.0);
    Position::new(lat_deg?, lon_deg?).ok()
}

fn identity(reading: &mut Reading<'_>, line: usize, cell: Cell<'_>) -> Option<u32> {
    if cell.text.is_empty() {
        return None;
    }
    let whole = cell.text.strip_suffix(".0").unwrap_or(cell.text);
    let number = whole.parse::<u32>().ok().filter(|&mmsi| mmsi <= 999_999_999);
    if number.is_none() {
        reading.refuse(
            line,
            cell.column,
            "mmsi",
            &format!("{} is not a number of nine digits", cell.shown()),
        );
    }
    number
}

/// Decimals in which a speed is told: as written, unless it is what a 32-bit float leaves of fewer.
fn decimals_of(text: &str) -> i32 {
    // Four decimals of a knot are 0.05 mm/s: finer than any receiver tells.
    const MOST: i32 = 4;
    let written = text.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    if let Ok(written) = i32::try_from(written)
        && written <= MOST
    {
        return written;
    }
    let value: f64 = text.parse().unwrap_or(0.0);
    // A 32-bit float of up to 100 is off by 4e-6 at most.
    let whole_at = |decimals: i32| {
        let scaled = value * 10_f64.powi(decimals);
        (scaled - scaled.round()).abs() < 4e-6 * 10_f64.powi(decimals)
    };
    (0..MOST).find(|&decimals| whole_at(decimals)).unwrap_or(MOST)
}

#[cfg(test)]
mod tests;
