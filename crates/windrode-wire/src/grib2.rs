//! Wind from GRIB edition 2, the form in which weather services hand out their models.
//!
//! A file holds fields: one quantity, at one level, at one instant, over one grid. Taken are the eastward and
//! northward wind at 10 m and the gust; other fields are passed over. At a place the components are interpolated
//! bilinearly between the four grid points round it, each component by itself, and so is the gust. A file mixes up
//! nothing: one model run, one member, one grid, no field twice; else it is refused with what it mixes.
//!
//! A gust may be told as the greatest of an interval; it then belongs to the end of the interval, and
//! [`windrode_domain::environment::forecast`] lets it stand through all of it. Where an instant has several gusts
//! (at the ground and at 10 m, of the instant and of an interval), the strongest is taken, over the longest of
//! their intervals. A service's mean wind is taken as the mean of ten minutes at 10 m.
//!
//! Two levels: `frame` knows messages, sections and octets; `product`, `grid` and `values` what they mean. Only
//! the unpacking of values is the `grib` crate's. Source: WMO-No. 306, Manual on Codes, volume I.2, FM 92.

mod frame;
mod grid;
mod product;
mod values;

use std::collections::{BTreeMap, BTreeSet};

use jiff::{SignedDuration, Timestamp};
use windrode_domain::{
    environment::{
        forecast::{Forecast, ForecastProblem, GridPoint, Provenance, Step},
        wind::Wind,
    },
    position::Position,
    units::Speed,
};

use self::{
    frame::Frame,
    grid::{Corners, Grid},
    product::{Found, Product, Quantity},
};

/// Most bytes that are read: a global model's wind for ten days.
pub const MOST_BYTES: usize = 200_000_000;
/// Most points that are unpacked for one place, so that a small file cannot ask for hours of work: 130 steps of a
/// global grid of 0.25°, three fields each, and something over.
const MOST_POINTS_UNPACKED: usize = 500_000_000;
/// Packing rounds; a gust of nothing may come out this much below it, m/s.
const PACKING_MS: f64 = 0.05;

/// Why a file gives no wind for a place.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum GribError {
    /// No message in it.
    #[error("this is not a GRIB file: it holds no message that begins with \"GRIB\"")]
    NotGrib,
    /// More than is read.
    #[error(
        "the file of {bytes} bytes is larger than {MOST_BYTES}: cut it to the region and hours of the stay"
    )]
    TooLarge {
        /// How large it is.
        bytes: usize,
    },
    /// More points than are unpacked.
    #[error(
        "the fields hold {points} points, more than {MOST_POINTS_UNPACKED}: cut the file to the region of the stay"
    )]
    TooManyPoints {
        /// How many.
        points: usize,
    },
    /// An edition that is not read.
    #[error("the message at byte {at} is of GRIB edition {edition}; only edition 2 is read")]
    Edition {
        /// Where the message begins.
        at: usize,
        /// The edition it states.
        edition: u8,
    },
    /// The file ends within a message.
    #[error(
        "the file is cut off: the message at byte {at} needs {needed} bytes and {found} are there; fetch it again"
    )]
    CutOff {
        /// Where the message begins.
        at: usize,
        /// How long it says it is.
        needed: u64,
        /// How much is there.
        found: usize,
    },
    /// A message that does not end where it says.
    #[error("the message at byte {at} does not end with \"7777\" where it says it does")]
    NoEnd {
        /// Where the message begins.
        at: usize,
    },
    /// Something after the last message.
    #[error("{bytes} bytes after the last message, from byte {at}, are no message; the file may be cut off")]
    Trailing {
        /// Where they begin.
        at: usize,
        /// How many.
        bytes: usize,
    },
    /// A section that cannot be, or out of order.
    #[error("the message at byte {at} is damaged at its byte {octet}")]
    Section {
        /// Where the message begins.
        at: usize,
        /// Where in the message.
        octet: usize,
    },
    /// A field of wind that cannot be read.
    #[error("the {what} of the message at byte {at} cannot be read: {why}")]
    Field {
        /// Where the message begins.
        at: usize,
        /// Which part of the field.
        what: &'static str,
        /// In words.
        why: String,
    },
    /// No wind in it.
    #[error("the file holds no 10 m wind; it holds: {}", .found.join(", "))]
    NoWind {
        /// What it holds, in words.
        found: Vec<String>,
    },
    /// Fields that do not belong together.
    #[error("the file mixes {what}: {one} and {other}; keep one of them")]
    Mixed {
        /// What it mixes.
        what: &'static str,
        /// One.
        one: String,
        /// Another.
        other: String,
    },
    /// A field twice.
    #[error("the {quantity} of {at} is there twice")]
    Duplicate {
        /// Which.
        quantity: &'static str,
        /// When.
        at: Timestamp,
    },
    /// One component without the other, or a gust without a wind.
    #[error("at {at} the {missing} is missing")]
    Unpaired {
        /// When.
        at: Timestamp,
        /// What is missing.
        missing: &'static str,
    },
    /// The place lies off the grid.
    #[error(
        "{place} lies outside the forecast, which covers {south_deg}° to {north_deg}° N, {west_deg}° to {east_deg}° E"
    )]
    Outside {
        /// The place.
        place: Position,
        /// Southern edge.
        south_deg: f64,
        /// Northern edge.
        north_deg: f64,
        /// Western edge.
        west_deg: f64,
        /// Eastern edge.
        east_deg: f64,
    },
    /// A grid point beside the place has no value.
    #[error("the {quantity} of {at} is missing at a grid point next to {place}")]
    Missing {
        /// Which.
        quantity: &'static str,
        /// When.
        at: Timestamp,
        /// The place.
        place: Position,
    },
    /// The values make no forecast.
    #[error(transparent)]
    Forecast(#[from] ForecastProblem),
}

/// The wind fields of a file, not yet unpacked.
#[derive(Clone, Debug)]
pub struct WindGrids<'a> {
    fields: Vec<(Product, Frame<'a>)>,
    grid: Grid,
    run: product::Run,
}

/// The fields of one instant: indices.
#[derive(Default)]
struct Instant {
    eastward: Option<usize>,
    northward: Option<usize>,
    gusts: Vec<usize>,
}

impl<'a> WindGrids<'a> {
    /// Finds the wind in a file.
    ///
    /// # Errors
    /// Every [`GribError`] there is: what is no GRIB, is damaged, holds no wind or mixes winds.
    pub fn read(bytes: &'a [u8]) -> Result<Self, Vec<GribError>> {
        if MOST_BYTES < bytes.len() {
            return Err(vec![GribError::TooLarge { bytes: bytes.len() }]);
        }
        let frames = frame::fields(bytes).map_err(|error| vec![error])?;
        let (fields, others, problems) = sort_out(&frames);
        if !problems.is_empty() {
            return Err(problems);
        }
        let Some(&(first, first_frame)) = fields.first() else {
            return Err(vec![GribError::NoWind { found: others.into_iter().collect() }]);
        };
        let grid = grid_of(&first_frame).map_err(|error| vec![error])?;
        let grids = Self { fields, grid, run: first.run };
        let problems = grids.problems();
        if problems.is_empty() { Ok(grids) } else { Err(problems) }
    }

    /// The forecast at a place.
    ///
    /// # Errors
    /// Every [`GribError`] there is: a place off the grid, missing or damaged values.
    pub fn at(&self, place: Position) -> Result<Forecast, Vec<GribError>> {
        let Some(corners) = self.grid.corners(place) else {
            return Err(vec![self.outside(place)]);
        };
        let mut steps = Vec::new();
        let mut problems = Vec::new();
        for (at, instant) in self.instants() {
            match self.step(at, &instant, &corners, place) {
                Ok(step) => steps.push(step),
                Err(error) => problems.push(error),
            }
        }
        if !problems.is_empty() {
            return Err(problems);
        }
        Forecast::new(steps, self.provenance(place, &corners))
            .map_err(|problems| problems.into_iter().map(GribError::from).collect())
    }

    fn outside(&self, place: Position) -> GribError {
        let [south_deg, north_deg, west_deg, east_deg] = self.grid.bounds_deg();
        GribError::Outside { place, south_deg, north_deg, west_deg, east_deg }
    }

    fn provenance(&self, place: Position, corners: &Corners) -> Provenance {
        let (latitude_step_deg, longitude_step_deg) = self.grid.steps_deg();
        let centre = product::centre_in_words(self.run.centre);
        Provenance {
            source: format!("{centre}, model {}", self.run.process),
            issued: Some(self.run.began),
            member: self.run.member.map(u32::from),
            grid: Some(GridPoint {
                latitude_step_deg,
                longitude_step_deg,
                nearest: corners.nearest,
                distance: place.towards(corners.nearest).0,
            }),
        }
    }

    /// What the fields mix up, have twice or lack.
    fn problems(&self) -> Vec<GribError> {
        let mut problems: Vec<_> =
            self.fields.iter().find_map(|(product, frame)| self.mixed(product, frame)).into_iter().collect();
        let points = self.grid.points().saturating_mul(self.fields.len());
        if MOST_POINTS_UNPACKED < points {
            problems.push(GribError::TooManyPoints { points });
        }
        let mut seen = BTreeSet::new();
        for (product, _) in &self.fields {
            let key = (product.at, product.quantity, product.at_ground, product.over);
            if !seen.insert(key) {
                problems.push(GribError::Duplicate { quantity: product.quantity.word(), at: product.at });
            }
        }
        let lacking = self.instants().into_iter().flat_map(|(at, instant)| {
            let components =
                [(instant.eastward, Quantity::Eastward), (instant.northward, Quantity::Northward)];
            components
                .into_iter()
                .filter(|(field, _)| field.is_none())
                .map(move |(_, quantity)| GribError::Unpaired { at, missing: quantity.word() })
        });
        problems.extend(lacking);
        problems
    }

    /// What a field has different from the first.
    fn mixed(&self, product: &Product, frame: &Frame<'_>) -> Option<GribError> {
        let (ours, theirs) = (self.run, product.run);
        let mixed =
            |what: &'static str, one: String, other: String| Some(GribError::Mixed { what, one, other });
        if ours.centre != theirs.centre {
            let name = product::centre_in_words;
            return mixed("services", name(ours.centre), name(theirs.centre));
        }
        if ours.began != theirs.began {
            return mixed("model runs", ours.began.to_string(), theirs.began.to_string());
        }
        if ours.member != theirs.member {
            let word = |member: Option<u8>| member.map_or("no member".to_owned(), |n| n.to_string());
            return mixed("members of an ensemble", word(ours.member), word(theirs.member));
        }
        match grid_of(frame) {
            Err(error) => Some(error),
            Ok(grid) if grid == self.grid => None,
            Ok(grid) => mixed("grids", grid_in_words(self.grid), grid_in_words(grid)),
        }
    }

    fn instants(&self) -> BTreeMap<Timestamp, Instant> {
        let mut instants = BTreeMap::<Timestamp, Instant>::new();
        for (index, (product, _)) in self.fields.iter().enumerate() {
            let instant = instants.entry(product.at).or_default();
            match product.quantity {
                Quantity::Eastward => instant.eastward = Some(index),
                Quantity::Northward => instant.northward = Some(index),
                Quantity::Gust => instant.gusts.push(index),
            }
        }
        instants
    }

    fn step(
        &self,
        at: Timestamp,
        instant: &Instant,
        corners: &Corners,
        place: Position,
    ) -> Result<Step, GribError> {
        let component = |index: Option<usize>, quantity: Quantity| {
            let index = index.ok_or(GribError::Unpaired { at, missing: quantity.word() })?;
            self.value(index, corners, place)
        };
        let east_ms = component(instant.eastward, Quantity::Eastward)?;
        let north_ms = component(instant.northward, Quantity::Northward)?;
        let mut gust: Option<Speed> = None;
        let mut gust_over = SignedDuration::ZERO;
        for &index in &instant.gusts {
            let value_ms = self.value(index, corners, place)?;
            let rounded_ms = if (-PACKING_MS..0.0).contains(&value_ms) { 0.0 } else { value_ms };
            let speed = Speed::metres_per_second(rounded_ms);
            gust = Some(gust.map_or(speed, |strongest| strongest.max(speed)));
            let over = self.fields.get(index).map_or(SignedDuration::ZERO, |(product, _)| product.over);
            gust_over = gust_over.max(over);
        }
        Ok(Step { at, wind: Wind { east_ms, north_ms }, gust, gust_over })
    }

    /// A field's value at a place. Points of no weight may be missing.
    fn value(&self, index: usize, corners: &Corners, place: Position) -> Result<f64, GribError> {
        // The indices are those of `instants`, from the same list.
        let Some((product, frame)) = self.fields.get(index) else { return Err(GribError::NotGrib) };
        let values = values::unpack(frame, self.grid.points()).map_err(|why| GribError::Field {
            at: frame.message_at,
            what: "packing",
            why,
        })?;
        let weighted = corners.corners.iter().filter(|(_, weight)| 0.0 < *weight).map(|&(index, weight)| {
            let value = values.get(index).copied().filter(|value| value.is_finite())?;
            Some(f64::from(value) * weight)
        });
        let missing = || GribError::Missing { quantity: product.quantity.word(), at: product.at, place };
        weighted.sum::<Option<f64>>().ok_or_else(missing)
    }
}

fn grid_of(frame: &Frame<'_>) -> Result<Grid, GribError> {
    Grid::read(frame.grid).map_err(|why| GribError::Field { at: frame.message_at, what: "grid", why })
}

fn grid_in_words(grid: Grid) -> String {
    let [south_deg, north_deg, west_deg, east_deg] = grid.bounds_deg();
    let (latitude_step_deg, _) = grid.steps_deg();
    format!("{latitude_step_deg}° over {south_deg} to {north_deg}, {west_deg} to {east_deg}")
}

type SortedOut<'a> = (Vec<(Product, Frame<'a>)>, BTreeSet<String>, Vec<GribError>);

/// Fields of wind; words for the others; what cannot be read.
fn sort_out<'a>(frames: &[Frame<'a>]) -> SortedOut<'a> {
    let mut winds = Vec::new();
    let mut others = BTreeSet::new();
    let mut problems = Vec::new();
    for frame in frames {
        match product::read(frame) {
            Ok(Found::Wind(product)) => winds.push((product, *frame)),
            Ok(Found::Other(words)) => {
                others.insert(words);
            }
            Err(why) => problems.push(GribError::Field { at: frame.message_at, what: "product", why }),
        }
    }
    (winds, others, problems)
}

#[cfg(test)]
mod tests;
