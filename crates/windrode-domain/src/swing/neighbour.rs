//! The boats about: where they can be, and how near they come.
//!
//! In a steady wind boats on like gear lie alike and turn together, so that they keep their distance though their
//! circles overlap. In light air, when the tide turns, or where one hangs on chain and another on rope or a mooring,
//! one has turned while the other has not. Hence two cases (common practice, no source; the handbooks' spacing of the
//! sum of both circles for unlike gear is the second one):
//!
//! - **in step**: wind of [`LIGHT_AIR`] or more, like rodes. His bearing from his anchor is hers, give or take
//!   [`LAG_ALIKE_DEG`], or [`LAG_UNKNOWN_DEG`] where his kind of rode is a guess;
//! - **out of step**: light air, an unknown wind, unlike rodes, a mooring, or a hull seen in an unknown wind.
//!   He may be
//!   anywhere on his circle while she is anywhere in her sector (on her circle, when the wind is light or unknown).
//!
//! An anchor is seldom seen; a hull is. His anchor then lies up wind of the bow by his own reach, and a little to
//! either side, since he too sheers ([`SEEN_OFF_DEG`]). Reach and anchor are the same unknown there: the further off
//! his anchor, the longer his rode, and in the wind in which he was seen he lies where he was seen.
//!
//! ```text
//! bow(β) = seen + r e(wind ± off) + (r ± height) e(β)       r from his rode, r + height no more than taut
//! ```
//!
//! A rode of length `L` reaches from `L - height` (slack, the rest straight along the ground) to `L`, five hundredths
//! more on rope, which stretches. What he has veered, if not known, is guessed by scope with a wide band, and
//! said so.

use core::fmt;

use super::separation::{Separation, Turning, Turns, arc, hull, least, scaled, turned};
use super::{BULGE, Case, Region, RodeKind, Room, SwingError, cover, room};
use crate::boat::HullKind;
use crate::position::Offset;
use crate::units::{Bearing, Length, Speed};

/// Below this mean wind boats lie every way: where Beaufort's gentle breeze begins (common practice, no source).
pub const LIGHT_AIR: Speed = Speed::knots(7.0);
/// How far the bearings of boats on like gear differ in one wind, degrees either side (common practice, no source).
pub const LAG_ALIKE_DEG: f64 = 15.0;
/// The same where his kind of rode is a guess: twice as much.
pub const LAG_UNKNOWN_DEG: f64 = 30.0;
/// How far a bow's bearing from its anchor may be off the wind when it is seen, degrees either side: half the sheer
/// of the heading (common practice, no source).
pub const SEEN_OFF_DEG: f64 = 15.0;
/// Length of a neighbour of whom nothing is known: the upper part of what cruises.
pub const GUESSED_LENGTH: Length = Length::metres(15.0);
/// Stretch of a loaded rope, as a fraction of its length (nylon at a tenth of its breaking load, from memory).
const ROPE_STRETCH: f64 = 0.05;

/// What a neighbour hangs on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum NeighbourRode {
    /// Chain.
    Chain,
    /// Rope with or without chain.
    Rope,
    /// A mooring; his place is that of the buoy's sinker.
    Mooring,
    /// He does not swing: alongside, on piles, moored fore and aft, or aground.
    FixedOrAground,
    /// Not known; taken to turn with her, with a wider band.
    Unknown,
}

/// Which part of a hull was seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Part {
    /// The bow.
    Bow,
    /// The middle of the hull.
    Middle,
}

/// Where a neighbour is, metres from her anchor. A range and bearing make an offset by [`Offset::along`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Place {
    /// His anchor or sinker is known.
    Anchor {
        /// Where.
        at: Offset,
        /// To within what.
        within: Length,
    },
    /// His hull was seen.
    Seen {
        /// Which part of it.
        part: Part,
        /// Where.
        at: Offset,
        /// To within what.
        within: Length,
        /// Where the wind then came from; `None` when it is not known.
        wind_from: Option<Bearing>,
    },
}

/// A vessel near by.
#[derive(Clone, Debug, PartialEq)]
pub struct Neighbour {
    /// Name, or a word to know it by.
    pub name: String,
    /// Where.
    pub place: Place,
    /// Length over all, if known.
    pub length: Option<Length>,
    /// Kind of hull, if known; it decides the beam that is taken.
    pub hull: Option<HullKind>,
    /// What he hangs on.
    pub rode: NeighbourRode,
    /// How much of it is out, if known.
    pub veered: Option<Length>,
}

/// Something taken for want of better.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Assumption {
    /// His length.
    Length(Length),
    /// His beam, by kind and length.
    Beam(Length),
    /// What he has veered.
    Veered {
        /// At least.
        low: Length,
        /// At most.
        high: Length,
    },
    /// His kind of rode: he is taken to turn with her, more loosely, on as much as rope would want.
    KindOfRode,
    /// The wind in which he was seen is not known: his anchor may lie on any side of him.
    WindWhenSeen,
    /// The wind of the instant is not known: both may lie any way.
    WindNow,
}

impl fmt::Display for Assumption {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Length(length) => write!(f, "length taken as {:.0} m", length.as_metres()),
            Self::Beam(beam) => write!(f, "beam taken as {:.1} m", beam.as_metres()),
            Self::Veered { low, high } => {
                write!(f, "rode taken as {:.0} to {:.0} m", low.as_metres(), high.as_metres())
            }
            Self::KindOfRode => write!(f, "kind of rode unknown: taken to turn with her"),
            Self::WindWhenSeen => write!(f, "wind when seen unknown: anchor taken on any side"),
            Self::WindNow => write!(f, "wind unknown: both taken to lie any way"),
        }
    }
}

/// A neighbour with every gap filled, and what it was filled with.
struct Filled {
    length_m: f64,
    beam_m: f64,
    reaches_m: [f64; 2],
    assumed: Vec<Assumption>,
}

impl Region {
    /// The least distance from any part of her to any part of a neighbour.
    ///
    /// # Errors
    /// [`SwingError::NotAMeasure`] when a figure of the neighbour is no number or less than nothing.
    pub fn room_to_neighbour(&self, neighbour: &Neighbour) -> Result<Room, SwingError> {
        self.room_in_case(neighbour, self.case(neighbour))
    }

    /// Whether she and a neighbour turn together.
    pub fn case(&self, neighbour: &Neighbour) -> Case {
        let alike = match neighbour.rode {
            NeighbourRode::FixedOrAground => return Case::Still,
            NeighbourRode::Mooring => false,
            NeighbourRode::Unknown => true,
            NeighbourRode::Chain => self.berthing.rode == RodeKind::Chain,
            NeighbourRode::Rope => self.berthing.rode == RodeKind::Rope,
        };
        let placed = !matches!(neighbour.place, Place::Seen { wind_from: None, .. });
        if alike && placed && self.wind_holds() { Case::InStep } else { Case::OutOfStep }
    }

    /// The same, in or out of step by the caller's choice. A neighbour who does not swing stands still in any case,
    /// one whose anchor may lie on any side is out of step in any case, and none who swings stands still.
    ///
    /// # Errors
    /// As [`Region::room_to_neighbour`].
    pub fn room_in_case(&self, neighbour: &Neighbour, case: Case) -> Result<Room, SwingError> {
        let (at, within_m) = checked(neighbour)?;
        let height_m = self.berthing.height.as_metres();
        let filled = fill(neighbour, height_m);
        let (seen, unplaced) = match neighbour.place {
            Place::Seen { part, wind_from: Some(wind_from), .. } => (Some((part, wind_from)), false),
            Place::Seen { wind_from: None, .. } => (None, true),
            Place::Anchor { .. } => (None, false),
        };
        let (body, margin_m, case) = if neighbour.rode == NeighbourRode::FixedOrAground {
            (vec![Turning::fixed(at)], still_radius_m(neighbour.place, &filled), Case::Still)
        } else if unplaced {
            (vec![Turning::fixed(at)], any_side_radius_m(&filled), Case::OutOfStep)
        } else if case == Case::InStep {
            (self.in_step_body(neighbour, &filled, at, seen), bend_m(&filled, seen), case)
        } else {
            let anchors = anchors(&filled, height_m, at, seen).into_iter().map(|(at, _)| Turning::fixed(at));
            (anchors.collect(), circle_radius_m(&filled) + bend_m(&filled, seen), Case::OutOfStep)
        };
        let mut turns = self.turns;
        if case == Case::OutOfStep && !self.wind_holds() {
            turns.half = core::f64::consts::PI;
        }
        let mut assumed = filled.assumed;
        assumed.extend(unplaced.then_some(Assumption::WindWhenSeen));
        assumed.extend(self.berthing.wind.is_none().then_some(Assumption::WindNow));
        Ok(self.room_less(neighbour, &body, turns, margin_m + within_m, (case, assumed)))
    }

    fn wind_holds(&self) -> bool {
        self.berthing.wind.is_some_and(|wind| LIGHT_AIR <= wind)
    }

    fn room_less(
        &self,
        neighbour: &Neighbour,
        body: &[Turning],
        turns: Turns,
        margin_m: f64,
        (case, assumed): (Case, Vec<Assumption>),
    ) -> Room {
        let found = least(&self.corners, body, turns, f64::INFINITY);
        let less = found.map(|found| Separation { least_m: (found.least_m - margin_m).max(0.0), ..found });
        Room { assumed, ..room(neighbour.name.clone(), less, case) }
    }

    /// Every place of his hull while her bearing is `β`, as a body that turns with it.
    fn in_step_body(
        &self,
        neighbour: &Neighbour,
        filled: &Filled,
        at: Offset,
        seen: Option<(Part, Bearing)>,
    ) -> Vec<Turning> {
        let lag_deg = if neighbour.rode == NeighbourRode::Unknown { LAG_UNKNOWN_DEG } else { LAG_ALIKE_DEG };
        let lags = arc(lag_deg.to_radians(), BULGE);
        // Seen at `r`, he may since lie closer or further by what the rode's sag takes up and gives, up to taut.
        let play_m = self.berthing.height.as_metres();
        let sheer = self.berthing.sheer.as_radians();
        anchors(filled, play_m, at, seen)
            .chunk_by(|(_, one), (_, other)| one == other)
            .flat_map(|same_reach| {
                let reaches_m = match same_reach {
                    [(_, Some(r)), ..] => [r - play_m, (r + play_m).min(filled.reaches_m[1])],
                    _ => filled.reaches_m,
                };
                let upright = cover(reaches_m, (filled.length_m, filled.beam_m), sheer);
                let swept = upright.into_iter().flat_map(|p| lags.iter().map(move |turn| turned(p, *turn)));
                let lagging = hull(swept.collect());
                same_reach
                    .iter()
                    .flat_map(|(fixed, _)| lagging.iter().map(|p| Turning { fixed: *fixed, turning: *p }))
                    .collect::<Vec<_>>()
            })
            .collect()
    }
}

/// Where the place says he is, and to within how many metres.
fn checked(neighbour: &Neighbour) -> Result<(Offset, f64), SwingError> {
    let (at, within) = match neighbour.place {
        Place::Anchor { at, within } | Place::Seen { at, within, .. } => (at, within),
    };
    let measures = [
        ("the neighbour's distance", at.length().as_metres()),
        ("the neighbour's uncertainty of place", within.as_metres()),
        ("the neighbour's length", neighbour.length.map_or(0.0, Length::as_metres)),
        ("the neighbour's rode", neighbour.veered.map_or(0.0, Length::as_metres)),
    ];
    match measures.into_iter().find(|(_, value)| !(0.0 <= *value && value.is_finite())) {
        Some((what, value)) => Err(SwingError::NotAMeasure { what, value }),
        None => Ok((at, within.as_metres())),
    }
}

fn fill(neighbour: &Neighbour, height_m: f64) -> Filled {
    let mut assumed = Vec::new();
    let length_m = neighbour.length.unwrap_or_else(|| {
        assumed.push(Assumption::Length(GUESSED_LENGTH));
        GUESSED_LENGTH
    });
    let beam = length_m * beam_per_length(neighbour.hull);
    assumed.push(Assumption::Beam(beam));
    if neighbour.rode == NeighbourRode::Unknown {
        assumed.push(Assumption::KindOfRode);
    }
    let swings = neighbour.rode != NeighbourRode::FixedOrAground;
    let (low_m, high_m) = neighbour.veered.map_or_else(
        || veered_by_scope_m(neighbour.rode, height_m),
        |veered| (veered.as_metres(), veered.as_metres()),
    );
    if swings && neighbour.veered.is_none() {
        assumed.push(Assumption::Veered { low: Length::metres(low_m), high: Length::metres(high_m) });
    }
    let stretch = if neighbour.rode == NeighbourRode::Rope { 1.0 + ROPE_STRETCH } else { 1.0 };
    let slack_m = if neighbour.rode == NeighbourRode::Mooring { 0.0 } else { (low_m - height_m).max(0.0) };
    Filled {
        length_m: length_m.as_metres(),
        beam_m: beam.as_metres(),
        reaches_m: [slack_m, high_m * stretch],
        assumed,
    }
}

/// The widest of usual boats (design practice, from memory): the kind unknown is taken as the widest of all.
const fn beam_per_length(kind: Option<HullKind>) -> f64 {
    match kind {
        Some(HullKind::MonohullSail) => 0.33,
        Some(HullKind::Motor) => 0.36,
        Some(HullKind::Multihull) | None => 0.6,
    }
}

/// What is usually veered, least and most, metres (common practice, no source): chain about five times the height
/// from ground to roller and hardly less than 25 m, rope about seven times, moorings no more than the water and as
/// much again. The band about each is a choice; an unknown kind has both bands.
fn veered_by_scope_m(rode: NeighbourRode, height_m: f64) -> (f64, f64) {
    match rode {
        NeighbourRode::Chain => ((4.0 * height_m).max(20.0), (7.0 * height_m).max(30.0)),
        NeighbourRode::Unknown => ((4.0 * height_m).max(20.0), (9.0 * height_m).max(40.0)),
        NeighbourRode::Rope => ((5.0 * height_m).max(25.0), (9.0 * height_m).max(40.0)),
        NeighbourRode::Mooring | NeighbourRode::FixedOrAground => (0.0, 2.0 * height_m),
    }
}

/// Where his anchor may be: the corners of it, each with the reach that puts it there if he was seen, to within
/// [`bend_m`].
fn anchors(
    filled: &Filled,
    height_m: f64,
    at: Offset,
    seen: Option<(Part, Bearing)>,
) -> Vec<(Offset, Option<f64>)> {
    let Some((part, wind_from)) = seen else { return vec![(at, None)] };
    let up_wind = Offset::along(wind_from, Length::metres(1.0));
    let athwart = Offset { east_m: up_wind.north_m, north_m: -up_wind.east_m };
    let bow = match part {
        Part::Bow => at,
        Part::Middle => at + scaled(up_wind, filled.length_m / 2.0),
    };
    let (sin_off, cos_off) = SEEN_OFF_DEG.to_radians().sin_cos();
    let [low_m, high_m] = filled.reaches_m;
    // All is straight from the least reach to the greatest but for the taut rode, which ends what he may range.
    let taut_m = (high_m - height_m).max(low_m);
    let mut reaches_m = vec![low_m, taut_m, high_m];
    reaches_m.dedup();
    let corner = |r: f64, side: f64| {
        bow + scaled(up_wind, r * f64::midpoint(1.0, cos_off)) + scaled(athwart, r * side)
    };
    reaches_m.into_iter().flat_map(|r| [-sin_off, sin_off].map(|side| (corner(r, side), Some(r)))).collect()
}

/// How far the arc on which his anchor may lie bends off the straight line between its corners, either way.
fn bend_m(filled: &Filled, seen: Option<(Part, Bearing)>) -> f64 {
    let cos_off = SEEN_OFF_DEG.to_radians().cos();
    if seen.is_some() { filled.reaches_m[1] * (1.0 - cos_off) / 2.0 } else { 0.0 }
}

/// Of the circle about his anchor.
fn circle_radius_m(filled: &Filled) -> f64 {
    (filled.reaches_m[1] + filled.length_m).hypot(filled.beam_m / 2.0)
}

/// About the hull as seen, when his anchor may be on any side of it: out to the anchor, and back round it. The part
/// seen may be half a length from the bow.
fn any_side_radius_m(filled: &Filled) -> f64 {
    filled.length_m / 2.0 + filled.reaches_m[1] + circle_radius_m(filled)
}

/// About the place of a hull that does not swing and whose heading is not known.
fn still_radius_m(place: Place, filled: &Filled) -> f64 {
    let ahead_or_astern_m = match place {
        Place::Seen { part: Part::Middle, .. } => filled.length_m / 2.0,
        Place::Seen { part: Part::Bow, .. } | Place::Anchor { .. } => filled.length_m,
    };
    ahead_or_astern_m.hypot(filled.beam_m / 2.0)
}
