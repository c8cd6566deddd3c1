//! A forecast as a table, written by hand or by a script.
//!
//! The first line names the columns, in any order: `time` and either `from_deg`, `mean_kn` and perhaps `gust_kn`, or
//! `u_ms`, `v_ms` and perhaps `gust_ms`. Times are RFC 3339 with their zone (`2026-11-27T05:00:00Z`), in order.
//! `from_deg` is true, where the wind comes from, 0 to 360; it may be empty in a calm. An empty gust is no gust.
//! Lines that begin with `#` are remarks; `# source: …` and `# issued: TIME` say who made the forecast and when.
//!
//! ```text
//! # source: harbour office, by telephone
//! # issued: 2026-11-26T18:00:00Z
//! time,from_deg,mean_kn,gust_kn
//! 2026-11-27T05:00:00Z,310,18,27
//! 2026-11-27T08:00:00Z,290,15,
//! ```

use jiff::{SignedDuration, Timestamp};
use windrode_domain::{
    environment::{
        forecast::{Forecast, Provenance, STRONGEST_MS, Step},
        wind::Wind,
    },
    units::{Bearing, Speed},
};

/// Most bytes that are read: a line a minute for a year is half of it.
pub const MOST_BYTES: usize = 50_000_000;
/// Most problems that are told: nobody mends more at a time.
const MOST_PROBLEMS: usize = 50;

/// Something wrong with a table.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("line {line}: {what}")]
pub struct TableProblem {
    /// Line, from 1.
    pub line: u64,
    /// In words: field, value, mend.
    pub what: String,
}

/// Which columns hold the wind: their places in a line.
#[derive(Clone, Copy)]
enum Columns {
    Compass { from_deg: usize, mean_kn: usize },
    Vector { u_ms: usize, v_ms: usize },
}

#[derive(Clone, Copy)]
struct Header {
    time: usize,
    wind: Columns,
    /// Place of the gust, and its unit in m/s.
    gust: Option<(usize, f64)>,
}

const KNOT_MS: f64 = 1852.0 / 3600.0;

/// Reads a table.
///
/// # Errors
/// Every [`TableProblem`], with its line.
pub fn read(bytes: &[u8]) -> Result<Forecast, Vec<TableProblem>> {
    let only = |line: u64, what: String| vec![TableProblem { line, what }];
    if MOST_BYTES < bytes.len() {
        return Err(only(1, format!("the table of {} bytes is larger than {MOST_BYTES}", bytes.len())));
    }
    let text = std::str::from_utf8(bytes).map_err(|error| {
        let before = bytes.get(..error.valid_up_to()).unwrap_or_default();
        let line = 1 + before.split(|&byte| byte == b'\n').skip(1).count() as u64;
        only(line, "this is not text (UTF-8)".to_owned())
    })?;
    let mut problems = Vec::new();
    let provenance = provenance(text, &mut problems);
    let steps = steps(text, &mut problems);
    problems.sort_by_key(|problem| problem.line);
    problems.truncate(MOST_PROBLEMS);
    if !problems.is_empty() {
        return Err(problems);
    }
    Forecast::new(steps, provenance).map_err(|problems| {
        problems.into_iter().map(|p| TableProblem { line: 1, what: p.to_string() }).collect()
    })
}

/// What the remarks say of the source.
fn provenance(text: &str, problems: &mut Vec<TableProblem>) -> Provenance {
    let mut source = "a table".to_owned();
    let mut issued = None;
    for (line, remark) in (1..).zip(text.lines()) {
        let Some(remark) = remark.strip_prefix('#') else { continue };
        match remark.split_once(':').map(|(key, value)| (key.trim(), value.trim())) {
            Some(("source", said)) => said.clone_into(&mut source),
            Some(("issued", said)) => match said.parse::<Timestamp>() {
                Ok(at) => issued = Some(at),
                Err(_) => problems.push(TableProblem { line, what: bad_time("issued", said) }),
            },
            _ => {}
        }
    }
    Provenance { source, issued, member: None, grid: None }
}

fn bad_time(column: &str, said: &str) -> String {
    format!("{column} \"{said}\" is not a time with its zone, such as 2026-11-27T05:00:00Z")
}

fn steps(text: &str, problems: &mut Vec<TableProblem>) -> Vec<Step> {
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .trim(csv::Trim::All)
        .flexible(true)
        .from_reader(text.as_bytes());
    let header = match reader.headers().map_err(|error| error.to_string()).and_then(Header::of) {
        Ok(header) => header,
        Err(what) => {
            let line = reader.position().line().saturating_sub(1).max(1);
            problems.push(TableProblem { line, what });
            return Vec::new();
        }
    };
    let mut steps: Vec<Step> = Vec::new();
    for record in reader.records() {
        // The text is UTF-8 and lines may differ in length: nothing else can fail.
        let Ok(record) = record else { continue };
        let line = record.position().map_or(1, csv::Position::line);
        let mut wrong = Vec::new();
        let step = header.step(&record, &mut wrong);
        if let (Some(step), Some(before)) = (step, steps.last())
            && step.at <= before.at
        {
            wrong.push(format!("time {} does not come after {} in the line before", step.at, before.at));
        }
        steps.extend(step);
        problems.extend(wrong.into_iter().map(|what| TableProblem { line, what }));
        if MOST_PROBLEMS <= problems.len() {
            break;
        }
    }
    if steps.is_empty() && problems.is_empty() {
        problems.push(TableProblem { line: 1, what: "the table has no lines of wind".to_owned() });
    }
    steps
}

impl Header {
    fn of(names: &csv::StringRecord) -> Result<Self, String> {
        let place = |name: &str| names.iter().position(|column| column.eq_ignore_ascii_case(name));
        let known = ["time", "from_deg", "mean_kn", "gust_kn", "u_ms", "v_ms", "gust_ms"];
        if let Some(other) =
            names.iter().find(|name| !known.iter().any(|known| known.eq_ignore_ascii_case(name)))
        {
            return Err(format!("column \"{other}\" is not known; known are {}", known.join(", ")));
        }
        if let Some(twice) = names.iter().enumerate().find_map(|(i, name)| place(name).filter(|&p| p != i)) {
            return Err(format!("column \"{}\" is there twice", names.get(twice).unwrap_or_default()));
        }
        let time = place("time").ok_or("there is no column \"time\"")?;
        let compass = place("from_deg").zip(place("mean_kn"));
        let vector = place("u_ms").zip(place("v_ms"));
        let (wind, unit_ms, gust) = match (compass, vector) {
            (Some((from_deg, mean_kn)), None) => (Columns::Compass { from_deg, mean_kn }, KNOT_MS, "gust_kn"),
            (None, Some((u_ms, v_ms))) => (Columns::Vector { u_ms, v_ms }, 1.0, "gust_ms"),
            _ => {
                return Err(
                    "the wind must stand in from_deg and mean_kn, or else in u_ms and v_ms".to_owned()
                );
            }
        };
        let other = if gust == "gust_kn" { "gust_ms" } else { "gust_kn" };
        if place(other).is_some() {
            return Err(format!("column \"{other}\" does not go with the others; {gust} does"));
        }
        Ok(Self { time, wind, gust: place(gust).map(|place| (place, unit_ms)) })
    }

    /// A line's step; what is wrong with it goes to `wrong`.
    fn step(self, record: &csv::StringRecord, wrong: &mut Vec<String>) -> Option<Step> {
        let cell = |place: usize| record.get(place).unwrap_or_default();
        let at = cell(self.time).parse::<Timestamp>().ok();
        if at.is_none() {
            wrong.push(bad_time("time", cell(self.time)));
        }
        let wind = match self.wind {
            Columns::Vector { u_ms, v_ms } => {
                let east = number("u_ms", cell(u_ms), -STRONGEST_MS, STRONGEST_MS, wrong);
                let north = number("v_ms", cell(v_ms), -STRONGEST_MS, STRONGEST_MS, wrong);
                east.zip(north).map(|(east_ms, north_ms)| Wind { east_ms, north_ms })
            }
            Columns::Compass { from_deg, mean_kn } => compass_wind(cell(from_deg), cell(mean_kn), wrong),
        };
        let gust = match self.gust.map(|(place, unit_ms)| (cell(place), unit_ms)) {
            None | Some(("", _)) => None,
            Some((said, unit_ms)) => {
                number("gust", said, 0.0, STRONGEST_MS / unit_ms, wrong).map(|gust| gust * unit_ms)
            }
        };
        let gust = gust.map(Speed::metres_per_second);
        Some(Step { at: at?, wind: wind?, gust, gust_over: SignedDuration::ZERO })
    }
}

/// In a calm the direction may be empty; a wind from nowhere is refused.
fn compass_wind(from: &str, mean: &str, wrong: &mut Vec<String>) -> Option<Wind> {
    let mean_kn = number("mean_kn", mean, 0.0, STRONGEST_MS / KNOT_MS, wrong);
    if from.is_empty() && mean_kn == Some(0.0) {
        return Some(Wind::default());
    }
    if from.is_empty() {
        wrong.push("from_deg is empty, but the wind blows: say where it comes from".to_owned());
        return None;
    }
    let from_deg = number("from_deg", from, 0.0, 360.0, wrong);
    from_deg
        .zip(mean_kn)
        .map(|(from_deg, mean_kn)| Wind::blowing(Bearing::degrees(from_deg), Speed::knots(mean_kn)))
}

fn number(column: &str, said: &str, least: f64, greatest: f64, wrong: &mut Vec<String>) -> Option<f64> {
    let value = said.parse::<f64>().ok().filter(|value| (least..=greatest).contains(value));
    if value.is_none() {
        wrong.push(format!("{column} \"{said}\" is not a number from {least:.0} to {greatest:.0}"));
    }
    value
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(problems: &[TableProblem]) -> Vec<u64> {
        problems.iter().map(|problem| problem.line).collect()
    }

    #[test]
    fn a_table_tells_its_source_and_when_it_was_made() {
        let forecast = read(
            b"# source: harbour office\n# issued: 2026-11-26T18:00:00Z\n\
              gust_kn,mean_kn,from_deg,time\n27,18,310,2026-11-27T05:00:00Z\n",
        )
        .unwrap();
        assert_eq!(forecast.provenance().source, "harbour office");
        assert_eq!(forecast.provenance().issued, "2026-11-26T18:00:00Z".parse().ok());
        let step = forecast.steps()[0];
        assert!((step.wind.from().unwrap().as_degrees() - 310.0).abs() < 1e-9);
        assert!((step.gust.unwrap().as_knots() - 27.0).abs() < 1e-9);
    }

    #[test]
    fn components_and_compass_tell_the_same_wind() {
        let compass = read(b"time,from_deg,mean_kn\n2026-11-27T05:00:00+13:00,270,36\n").unwrap();
        // 36 kn are 18.52 m/s exactly.
        let vector = read(b"time,u_ms,v_ms,gust_ms\r\n2026-11-26T16:00:00Z,18.52,0,\r\n").unwrap();
        assert_eq!(compass.steps()[0].at, vector.steps()[0].at);
        assert!((compass.steps()[0].wind.east_ms - vector.steps()[0].wind.east_ms).abs() < 1e-9);
        assert_eq!(vector.steps()[0].gust, None);
    }

    #[test]
    fn every_bad_line_is_named_and_remarks_count() {
        let problems = read(
            b"# remark\ntime,from_deg,mean_kn\n2026-11-27 05:00,270,20\n2026-11-27T06:00:00Z,400,20\n\
              2026-11-27T07:00:00Z,270\n2026-11-27T08:00:00Z,270,10\n2026-11-27T08:00:00Z,270,10\n",
        )
        .unwrap_err();
        assert_eq!(lines(&problems), [3, 4, 5, 7]);
    }

    #[test]
    fn a_header_that_names_no_wind_is_refused() {
        for header in
            ["time,from_deg", "time,u_ms,mean_kn", "from_deg,mean_kn", "time,from_deg,mean_kn,gust_ms"]
        {
            assert!(read(header.as_bytes()).is_err(), "{header}");
        }
        assert!(read(b"time,from_deg,mean_kn,mean_kn\n").unwrap_err()[0].what.contains("twice"));
        assert!(read(b"time,from_deg,mean_kn\n").unwrap_err()[0].what.contains("no lines"));
        assert_eq!(lines(&read(b"time,from_deg,mean_kn\n2026,\xff,3\n").unwrap_err()), [2]);
        assert!(read(b"").is_err());
    }

    proptest::proptest! {
        #[test]
        fn no_text_makes_it_panic(text in "(time|u_ms|v_ms|,|\n|2026-11-27T05:00:00Z|[-0-9.eENa#\"])*") {
            let _ = read(text.as_bytes());
            let _ = read(format!("time,from_deg,mean_kn,gust_kn\n{text}").as_bytes());
        }
    }
}
