//! One moment of a stay, any of it: what the three drawings show there.
//!
//! The figures are worked out by the same code as those of the sheet, at the moment itself and not at the instant of
//! the sheet that lies nearest. The rode hangs in the plane of the pull, on ground that rises that way by the slope's
//! share, in the predicted water with its residual: under the gust, and under the steady load.
//!
//! Where she can be is drawn twice: nine times in ten, and every other time, the second with the spread of the lie
//! and the sheer scaled as a normal's quartiles stand to its tenth parts either side, [`HALF_OF_NINE_TENTHS`]. Where
//! nothing holds her to a side both are the whole circle.

use jiff::Timestamp;

use super::OneAfterTheOther;
use super::board::Board;
use super::inputs::Inputs;
use super::laid::Laid;
use super::over_stay::OverStay;
use super::pictures;
use super::riding;
use super::sheet::{Instant, RodeCurve, Sheet};
use crate::position::Offset;
use crate::units::{Angle, Bearing, Length};

/// Half-width that holds half of a normal over that which holds nine tenths of it: 0.6745 / 1.6449.
pub const HALF_OF_NINE_TENTHS: f64 = 0.410;

/// One moment.
#[derive(Clone, Debug, PartialEq)]
pub struct Moment {
    /// When.
    pub at: Timestamp,
    /// Its figures, as those of the sheet's instants; the chance is that of the sheet's nearest instant.
    pub figures: Instant,
    /// Depth of water at the anchor with its residual; `None` when it cannot be said.
    pub water: Option<Length>,
    /// From the ground at the anchor up to the point where the line leaves the boat.
    pub height: Option<Length>,
    /// Slope of the ground from the anchor the way the load pulls.
    pub slope: Angle,
    /// Rode on the ground under the gust, then under the steady load; empty when it cannot be said how she rides.
    pub rode: Vec<HangingRode>,
    /// Where her hull lies under the steady load; `None` when nothing settles how she heads.
    pub hull: Option<HullNow>,
    /// Where any part of her can be, from the widest in.
    pub within: Vec<Within>,
}

/// The rode as it hangs.
#[derive(Clone, Debug, PartialEq)]
pub struct HangingRode {
    /// Its curve.
    pub curve: RodeCurve,
    /// How much of it lies on the ground.
    pub grounded: Length,
    /// Horizontal distance from anchor to where the line leaves the boat.
    pub reach: Length,
}

/// Where her hull lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HullNow {
    /// Her bow, from the anchor.
    pub bow: Offset,
    /// Where she heads.
    pub heading: Bearing,
}

/// Where she is so often.
#[derive(Clone, Debug, PartialEq)]
pub struct Within {
    /// How often.
    pub share: f64,
    /// The border of it, from the anchor.
    pub outline: Vec<Offset>,
}

/// What is to be shown of a moment; `None` when it lies outside the stay.
pub fn moment(inputs: &Inputs, laid: Option<&Laid>, sheet: &Sheet, at: Timestamp) -> Option<Moment> {
    if !inputs.span.contains(at) {
        return None;
    }
    let board = Board::at(inputs, &[at]);
    let laid = laid.map(|laid| Laid::riding(&board, laid.length, laid.line.clone()).ridden_like(laid.ridden));
    let over = laid.as_ref().map(|laid| OverStay::of(&board, laid, &OneAfterTheOther));
    let mut figures = super::instants(&board, laid.as_ref(), over.as_ref()).pop()?;
    if let Some(riding) = &mut figures.riding {
        riding.hazard = nearest_hazard(sheet, at);
    }
    let conditions = board.conditions.first()?;
    let water = conditions.water.map(|water| water.depth.0);
    Some(Moment {
        at,
        figures,
        water,
        height: water.map(|water| water + riding::lead_height(inputs)),
        slope: conditions
            .weather
            .as_ref()
            .map_or(Angle::ZERO, |weather| riding::slope_towards(inputs, weather)),
        rode: laid.as_ref().map_or(Vec::new(), |laid| hanging(&board, laid, at)),
        hull: laid.as_ref().and_then(|laid| hull(&board, laid)),
        within: laid.as_ref().map_or(Vec::new(), |laid| within(&board, laid)),
    })
}

fn nearest_hazard(sheet: &Sheet, at: Timestamp) -> f64 {
    let nearest = sheet.instants.iter().min_by_key(|instant| instant.at.duration_since(at).abs());
    nearest.and_then(|instant| instant.riding.as_ref()).map_or(0.0, |riding| riding.hazard)
}

fn hanging(board: &Board<'_>, laid: &Laid, at: Timestamp) -> Vec<HangingRode> {
    let (Some(Some(ride)), Some(water)) =
        (laid.rides.first(), board.conditions.first().and_then(|conditions| conditions.water))
    else {
        return Vec::new();
    };
    let depth = water.depth.0;
    let height = depth + riding::lead_height(board.inputs);
    let bed = crate::catenary::Bed { slope: ride.slope, friction: 0.0 };
    let hang = |(caption, lie): (&'static str, &crate::catenary::Lie)| {
        let lie = laid.line.under_load(height, lie.horizontal(), &bed).ok()?;
        Some(HangingRode {
            curve: pictures::drawn(board, laid, (caption, at, depth), &lie),
            grounded: lie.grounded(),
            reach: lie.distance(),
        })
    };
    [("gust", &ride.at_gust), ("steady", &ride.at_steady)].into_iter().filter_map(hang).collect()
}

fn hull(board: &Board<'_>, laid: &Laid) -> Option<HullNow> {
    let weather = board.conditions.first()?.weather.as_ref().ok()?;
    let ride = laid.rides.first()?.as_ref()?;
    let settled = weather.lie.spread < Angle::degrees(180.0);
    settled.then(|| HullNow {
        bow: Offset::along(weather.lie.pull, ride.at_steady.distance()),
        heading: weather.lie.heading,
    })
}

fn within(board: &Board<'_>, laid: &Laid) -> Vec<Within> {
    let shares = [(0.9, 1.0), (0.5, HALF_OF_NINE_TENTHS)];
    let one = |(share, of_it): (f64, f64)| {
        Some(Within { share, outline: laid.region_of(board, 0, of_it)?.outline() })
    };
    shares.into_iter().filter_map(one).collect()
}
