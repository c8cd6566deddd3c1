//! From a load to how the rode lies: the vertical pull at the roller is sought whose height is the roller's.

use super::walk::{self, End, Hanging, Piece, Pull};
use super::{Bed, CatenaryError, Contact, Lie, Line, Place};
use crate::roots::{self, Bracket, Tangent};
use crate::units::{Angle, Force, Length};

/// The search for the vertical pull ends with a step this small against the load. The error left is of the order of
/// the step's square against the load: below rounding.
const STEP_SHARE: f64 = 1e-9;

impl Line {
    /// How the rode lies under a horizontal load, the roller at a height above the anchor.
    ///
    /// # Validity
    /// Any positive load; what the gear can bear is judged elsewhere. Checked from 1 N to 100 kN, heights 0.5 to 60
    /// m, scopes 1.05 to 50, slopes of 30° either way: distances to 1e-8 m against the integrated equation.
    ///
    /// # Errors
    /// [`CatenaryError`]: what cannot be (load, height, slope, friction), a rode not longer than the height, ground
    /// that rises above the roller, floating parts out of the model.
    pub fn under_load(&self, height: Length, horizontal: Force, bed: &Bed) -> Result<Lie, CatenaryError> {
        let place = Place::of(self, height, bed)?;
        let load_n = checked_load_n(horizontal)?;
        let pull = self.pull_at(&place, load_n, self.vertical_guess(&place, load_n))?;
        self.lie_of(&place, pull)
    }

    /// The pull at the roller whose horizontal part is the load and whose height is the roller's.
    pub(super) fn pull_at(&self, place: &Place, load_n: f64, guess_n: f64) -> Result<Pull, CatenaryError> {
        let at = |vertical| Pull { horizontal: load_n, vertical };
        let low =
            if self.foot == 0 { f64::NEG_INFINITY } else { load_n * place.ground.tan + self.beyond_foot_n };
        // With the ground level or falling and nothing afloat, the rode laid out is below the roller.
        if (0.0 < place.ground.sin || self.foot < self.parts.len()) && low.is_finite() {
            let laid_out = walk::rise(self, &place.ground, at(low)).z;
            if !(laid_out < place.height_m) {
                // A heavy part beyond a floating one is then on the ground itself.
                let laid = Place { height_m: laid_out, ..*place };
                self.check_afloat(&laid, at(low), walk::spread(self, &place.ground, at(low)).0.x)?;
                return Err(CatenaryError::GroundAboveRoller {
                    length: self.length(),
                    rise: Length::metres(laid_out),
                    height: Length::metres(place.height_m),
                });
            }
        }
        let short_of = |vertical| -> Result<Tangent, CatenaryError> {
            let rise = walk::rise(self, &place.ground, at(vertical));
            Ok(Tangent { value: rise.z - place.height_m, slope: rise.z_v })
        };
        let bracket = Bracket { low, high: f64::INFINITY };
        Ok(at(roots::newton(short_of, bracket, guess_n, STEP_SHARE * load_n)?))
    }

    /// A first guess at the vertical pull: the rode taken as even and without stretch.
    ///
    /// Grounded, `T = H + w h`; lifted, half the weight beside the chord's own slope.
    pub(super) fn vertical_guess(&self, place: &Place, load_n: f64) -> f64 {
        let (h_m, l_m) = (place.height_m, self.length_m);
        let hung_n = self.total_n.max(0.0) / l_m * h_m;
        let grounded_n = (hung_n * (hung_n + 2.0 * load_n)).sqrt();
        let lifted_n = load_n * h_m / (l_m * l_m - h_m * h_m).sqrt() + 0.5 * self.total_n;
        if self.foot == self.parts.len() && grounded_n < self.total_n { grounded_n } else { lifted_n }
    }

    /// The lie that a solved pull makes, if the model holds for it.
    pub(super) fn lie_of(&self, place: &Place, pull: Pull) -> Result<Lie, CatenaryError> {
        let ground = place.ground;
        let (spread, end) = walk::spread(self, &ground, pull);
        let (contact, anchor_h, anchor_v) = match end {
            End::Lifted { vertical } => {
                let uplift = Angle::radians(vertical.atan2(pull.horizontal) - ground.slope_rad);
                (Contact::Lifted { uplift }, pull.horizontal, vertical)
            }
            End::Grounded { resting_m, anchor_t } => {
                let contact = Contact::Grounded { resting: Length::metres(resting_m) };
                (contact, anchor_t * ground.cos, anchor_t * ground.sin)
            }
            End::OnKellet { resting_m, anchor_t, borne_n } => {
                let (resting, borne) = (Length::metres(resting_m), Force::newtons(borne_n));
                let contact = Contact::KelletAtTouchdown { resting, borne };
                (contact, anchor_t * ground.cos, anchor_t * ground.sin)
            }
        };
        if self.foot < self.parts.len() {
            self.check_afloat(place, pull, spread.x)?;
            // A floating part next the anchor cannot rest: pulled below the ground there, it has no lie.
            if contact.uplift() < Angle::ZERO {
                return Err(CatenaryError::TouchesGround { along: Length::ZERO, depth: Length::ZERO });
            }
        }
        Ok(Lie {
            horizontal: Force::newtons(pull.horizontal),
            vertical: Force::newtons(pull.vertical),
            distance: Length::metres(spread.x),
            height: Length::metres(place.height_m),
            anchor_horizontal: Force::newtons(anchor_h),
            anchor_vertical: Force::newtons(anchor_v),
            contact,
            ground,
        })
    }

    /// A rode with a floating part is no longer hollow upward everywhere: it may rise above the roller or sag into
    /// the ground, and then it does not lie as reckoned.
    fn check_afloat(&self, place: &Place, pull: Pull, distance_m: f64) -> Result<(), CatenaryError> {
        let (mut x, mut z) = (distance_m, place.height_m);
        let under_roller_m = distance_m * place.ground.tan;
        if place.height_m < under_roller_m {
            let (rise, height) = (Length::metres(under_roller_m), Length::metres(place.height_m));
            return Err(CatenaryError::GroundAboveRoller { length: self.length(), rise, height });
        }
        let (mut top, mut lowest) = (z, (0.0, 0.0));
        let mut look = |x: f64, z: f64, along_m: f64| {
            top = z.max(top);
            let above = z - x * place.ground.tan;
            if above < lowest.0 {
                lowest = (above, along_m);
            }
        };
        walk::walk(self, &place.ground, pull, |piece| {
            let Piece::Hanging(p) = piece else { return };
            let (dx, dz) = walk::piece_spread(&p, pull.horizontal, p.length_m);
            (x, z) = (x - dx, z - dz);
            look(x, z, p.from_m);
            if let Some(turn_m) = turn(&p, pull.horizontal * place.ground.tan) {
                let (dx, dz) = walk::piece_spread(&p, pull.horizontal, turn_m);
                look(x + dx, z + dz, p.from_m + turn_m);
            }
        });
        if place.height_m + SLACK_M < top {
            let (top, height) = (Length::metres(top), Length::metres(place.height_m));
            return Err(CatenaryError::RisesAboveRoller { top, height });
        }
        if lowest.0 < -SLACK_M {
            let (along, depth) = (Length::metres(lowest.1), Length::metres(-lowest.0));
            return Err(CatenaryError::TouchesGround { along, depth });
        }
        Ok(())
    }
}

/// A micrometre: far above rounding, far below anything that floats or touches.
const SLACK_M: f64 = 1e-6;

/// Where, above its lower end, a hanging piece is level (if it floats) or runs along the ground (if it sinks).
fn turn(piece: &Hanging, along_ground: f64) -> Option<f64> {
    let level = if piece.weight_n_m < 0.0 { 0.0 } else { along_ground };
    let turn_m = (level - piece.lower) / piece.weight_n_m;
    (0.0 < turn_m && turn_m < piece.length_m).then_some(turn_m)
}

/// The load in newtons, if it is one.
pub(super) fn checked_load_n(load: Force) -> Result<f64, CatenaryError> {
    let load_n = load.as_newtons();
    if 0.0 < load_n && load_n.is_finite() { Ok(load_n) } else { Err(CatenaryError::Load { load }) }
}
