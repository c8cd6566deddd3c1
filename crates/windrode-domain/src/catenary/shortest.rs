//! How much rode to veer: the shortest that keeps the shank down, or that reaches so far.
//!
//! At the shortest length for an uplift `α` the pull on the anchor is known, `V = H tan(β + α)`, and all of the rode
//! hangs; the height it makes is explicit in the length and grows with it while the upper end rises. For a reach the
//! rode is solved at each length tried.

use super::forward::checked_load_n;
use super::{Bed, CatenaryError, Line, LineError, Place, Segment};
use crate::roots::{self, Bracket};
use crate::units::{Angle, Force, Length};

/// What is aboard to veer: the rode in its locker, and what comes above it however much is out (a snubber).
#[derive(Clone, Debug, PartialEq)]
pub struct Stowed {
    line: Line,
    above: Vec<Segment>,
}

/// What the rode must do.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Need {
    /// The pull on the anchor does not rise from the ground.
    NoUplift,
    /// It rises from the ground by no more than this.
    Uplift(Angle),
    /// The boat lies at least so far from the anchor.
    Reach(Length),
}

/// Lengths are found to this, and given as much too long rather than too short, m.
const NANOMETRE: f64 = 1e-9;

impl Stowed {
    /// A rode to be veered from the anchor up, with what stays in series above it.
    ///
    /// # Errors
    /// [`LineError`] if all of it together is no rode.
    pub fn new(line: Line, above: Vec<Segment>) -> Result<Self, LineError> {
        let stowed = Self { line, above };
        stowed.veered(stowed.line.length())?;
        Ok(stowed)
    }

    /// The rode from anchor to roller when `length` of it is veered.
    ///
    /// # Errors
    /// As [`Line::first`].
    pub fn veered(&self, length: Length) -> Result<Line, LineError> {
        let out = self.line.first(length)?;
        if self.above.is_empty() {
            return Ok(out);
        }
        let segments = out.segments().iter().chain(&self.above).copied().collect();
        Line::new(segments, out.kellets().to_vec())
    }

    /// All there is to veer, without what is above.
    pub const fn length(&self) -> Length {
        self.line.length()
    }

    fn above_m(&self) -> f64 {
        self.above.iter().map(|segment| segment.length.as_metres()).sum()
    }
}

/// The least length to veer for a need, under a horizontal load with the roller at a height above the anchor.
///
/// # Validity
/// As [`Line::under_load`]. The length is of the stowed rode, without what is above it; found to a nanometre, on the
/// long side. On ground that rises, a rode can also be too long: that is not asked here.
///
/// # Errors
/// [`CatenaryError::NotEnoughStowed`] if even all of it does not do; [`CatenaryError::Uplift`] for an uplift that is
/// not from 0 to below plumb; else as [`Line::under_load`] of the rode so veered.
pub fn shortest(
    stowed: &Stowed,
    need: Need,
    height: Length,
    horizontal: Force,
    bed: &Bed,
) -> Result<Length, CatenaryError> {
    let load_n = checked_load_n(horizontal)?;
    let least_m = (height.as_metres() - stowed.above_m()).max(0.0) + NANOMETRE;
    if !(least_m < stowed.length().as_metres()) {
        return Err(CatenaryError::NotEnoughStowed { stowed: stowed.length() });
    }
    // Checks height, slope and friction once, on the whole of it.
    let place = Place::of(&stowed.veered(stowed.length())?, height, bed)?;
    let found_m = match need {
        Need::NoUplift => shortest_for_uplift(stowed, Angle::ZERO, &place, load_n, least_m)?,
        Need::Uplift(uplift) => shortest_for_uplift(stowed, uplift, &place, load_n, least_m)?,
        Need::Reach(distance) => shortest_for_reach(stowed, distance, &place, load_n, least_m)?,
    };
    let length = Length::metres(found_m + NANOMETRE).min(stowed.length());
    // What is found must be a state the model holds for: a floating part may not have been.
    let lie = stowed.veered(length)?.under_load(height, horizontal, bed)?;
    match need {
        Need::Reach(distance) if lie.distance() + Length::metres(1e-6) < distance => {
            Err(CatenaryError::NotEnoughStowed { stowed: stowed.length() })
        }
        _ => Ok(length),
    }
}

fn shortest_for_uplift(
    stowed: &Stowed,
    uplift: Angle,
    place: &Place,
    load_n: f64,
    least_m: f64,
) -> Result<f64, CatenaryError> {
    let pull_rad = place.ground.slope_rad + uplift.as_radians();
    if !(0.0 <= uplift.as_radians() && pull_rad < core::f64::consts::FRAC_PI_2) {
        return Err(CatenaryError::Uplift { uplift });
    }
    let anchor_v = load_n * pull_rad.tan();
    let beyond = |length_m: f64| -> Result<f64, CatenaryError> {
        let line = stowed.veered(Length::metres(length_m))?;
        Ok(line.height_lifting(&place.ground, load_n, anchor_v) - place.height_m)
    };
    let mut low = least_m;
    if 0.0 <= beyond(low)? {
        return Ok(low);
    }
    for high in milestones(stowed, anchor_v) {
        if high <= low {
            continue;
        }
        if 0.0 <= beyond(high)? {
            return roots::bisect(beyond, Bracket { low, high }, 0.1 * NANOMETRE);
        }
        low = high;
    }
    Err(CatenaryError::NotEnoughStowed { stowed: stowed.length() })
}

/// Lengths between which the height rises or falls without turning: joints, kellets, and where a floating part turns
/// level.
fn milestones(stowed: &Stowed, anchor_v: f64) -> Vec<f64> {
    let mut vertical = anchor_v + stowed.line.at_anchor_n;
    let mut places = Vec::new();
    for part in &stowed.line.parts {
        let level_m = -vertical / part.weight_n_m;
        if 0.0 < level_m && level_m < part.length_m {
            places.push(part.from_m + level_m);
        }
        places.push((part.from_m + part.length_m).min(stowed.length().as_metres()));
        vertical += part.weight_n_m * part.length_m + part.kellet_n;
    }
    places
}

fn shortest_for_reach(
    stowed: &Stowed,
    distance: Length,
    place: &Place,
    load_n: f64,
    least_m: f64,
) -> Result<f64, CatenaryError> {
    if !(0.0 <= distance.as_metres() && distance.is_finite()) {
        return Err(CatenaryError::Distance { distance });
    }
    let beyond = |length_m: f64| -> Result<f64, CatenaryError> {
        let line = stowed.veered(Length::metres(length_m))?;
        match line.reach(place, load_n) {
            Ok((reach_m, _)) => Ok(reach_m - distance.as_metres()),
            // Longer than fits under the roller up the slope: it has reached as far as it ever can.
            Err(CatenaryError::GroundAboveRoller { .. }) => Ok(f64::INFINITY),
            Err(other) => Err(other),
        }
    };
    if 0.0 <= beyond(least_m)? {
        return Ok(least_m);
    }
    let high = stowed.length().as_metres();
    if !(0.0 <= beyond(high)?) {
        return Err(CatenaryError::NotEnoughStowed { stowed: stowed.length() });
    }
    roots::bisect(beyond, Bracket { low: least_m, high }, 0.1 * NANOMETRE)
}
