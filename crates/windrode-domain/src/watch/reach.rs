//! How far the rode lets her lie from her anchor, told load by load.
//!
//! The rode's own curve ([`crate::catenary`]) gives the level distance `X(H)` from anchor to roller under a load `H`,
//! the roller at its present height over the ground. It is tabled over `ln H`, where it is nearly straight: one
//! doubling of the load is worth 0.5 to 0.9 m of a common rode, so that a load known to a factor of two is known well
//! enough. The table is made again when the height has changed by a decimetre.
//!
//! Chain that rests on the ground resists being drawn straight with `μ w g` (`μ` 0.4 to 0.8, `w` weight in water,
//! `g` what rests). Below that load she may lie to a bend in the chain, anywhere *inside* `X`: then `X` is an upper
//! edge and no more.
//!
//! Where the rode is not known, a rode of the common kind is reckoned with and its error carried by who uses it.

use crate::catenary::{Bed, CatenaryError, Line, Segment};
use crate::units::{Force, Length, WeightPerLength};

/// Nodes of the table.
const NODES: usize = 41;
/// Load of the first node, N: less than any boat lies to.
const LEAST_N: f64 = 10.0;
/// Nodes lie this far apart in the logarithm of the load: 10 N to 30 kN. Between them `X` bends by less than 5 mm
/// (step²/8 times a second difference of 0.8 m).
const STEP_LN: f64 = 0.2;
/// Friction of chain on the ground, newtons per newton of weight in water: the middle of 0.4 to 0.8 for chain on sand
/// and mud, from memory, taken high so that lying inside is not read as more than it is.
const BED_FRICTION: f64 = 0.7;
/// Rode over height where the length is not known: common practice, no source.
const COMMON_SCOPE: f64 = 5.0;
/// Length of rode where nothing at all is known, m: common practice for 12 m boats in 5 to 7 m of water, no source.
const COMMON_LENGTH_M: f64 = 38.0;
/// Height of a roller above water where it is not given, m: own estimate for 8 to 20 m boats.
pub(super) const COMMON_ROLLER_M: f64 = 1.4;

/// The tabled reach of a rode at one height.
#[derive(Clone, Debug, PartialEq)]
pub struct Reach {
    height_m: f64,
    length_m: f64,
    distance_m: [f64; NODES],
    resting_n: [f64; NODES],
}

impl Reach {
    /// Of a rode with the roller at a height over the ground.
    ///
    /// # Errors
    /// As [`Line::under_load`]: a rode that is not longer than the height, or floats where it cannot.
    pub fn of(line: &Line, height: Length) -> Result<Self, CatenaryError> {
        let mut reach = Self {
            height_m: height.as_metres(),
            length_m: line.length().as_metres(),
            distance_m: [0.0; NODES],
            resting_n: [0.0; NODES],
        };
        let mut ln_n = LEAST_N.ln();
        for (distance_m, resting_n) in reach.distance_m.iter_mut().zip(&mut reach.resting_n) {
            let lie = line.under_load(height, Force::newtons(ln_n.exp()), &Bed::LEVEL)?;
            *distance_m = lie.distance().as_metres();
            *resting_n = line.weight_of_first(lie.grounded()).as_newtons();
            ln_n += STEP_LN;
        }
        Ok(reach)
    }

    /// Of a rode of the common kind: 10 mm chain, five times the height where that is known.
    ///
    /// # Panics
    /// Never: a chain five times as long as it hangs lies under any load.
    pub fn common(height: Option<Length>) -> Self {
        let height_m = height.map_or(COMMON_LENGTH_M / COMMON_SCOPE, |h| h.as_metres().max(1.0));
        let length_m = COMMON_SCOPE * height_m;
        let chain = Segment {
            length: Length::metres(length_m),
            weight: WeightPerLength::newtons_per_metre(19.2),
            stiffness: Force::newtons(8.54e6),
        };
        Line::new(vec![chain], vec![])
            .ok()
            .and_then(|line| Self::of(&line, Length::metres(height_m)).ok())
            .expect("a chain five times as long as it hangs lies under any load")
    }

    /// Height of the roller over the ground for which it holds.
    pub const fn height_m(&self) -> f64 {
        self.height_m
    }

    /// The rode drawn straight: `√(L² − h²)`, the radius of the plain circle.
    pub fn straight_m(&self) -> f64 {
        (self.length_m * self.length_m - self.height_m * self.height_m).max(0.0).sqrt()
    }

    /// Unstretched length from the anchor to the roller.
    pub const fn length_m(&self) -> f64 {
        self.length_m
    }

    /// Level distance from anchor to roller under a load, m. Beyond the table its last node holds.
    pub fn at_m(&self, load_n: f64) -> f64 {
        between(&self.distance_m, load_n)
    }

    /// How much further it reaches for a load twice as great, about a load, m.
    pub fn doubling_m(&self, load_n: f64) -> f64 {
        let half = core::f64::consts::SQRT_2;
        self.at_m(load_n * half) - self.at_m(load_n / half)
    }

    /// Load over what draws the resting chain straight, at most 10.
    pub fn tautness(&self, load_n: f64) -> f64 {
        let friction_n = BED_FRICTION * between(&self.resting_n, load_n);
        if 10.0 * friction_n < load_n { 10.0 } else { load_n / friction_n }
    }

    /// How far inside the reach she can lie still under a load, m: twice the chain that the ground can hold in a bend
    /// behind the anchor. The rode runs from the anchor against the wind to the bend and back; all that lies beyond
    /// the bend must bear the load, `μ w (g − p) = H`, and she lies `2 p` nearer than drawn straight.
    pub fn bend_m(&self, load_n: f64) -> f64 {
        let resting_n = between(&self.resting_n, load_n);
        let weight_n_m = between(&self.resting_n, LEAST_N) / self.length_m;
        if 0.0 < weight_n_m { 2.0 * (resting_n - load_n / BED_FRICTION).max(0.0) / weight_n_m } else { 0.0 }
    }
}

fn between(nodes: &[f64; NODES], load_n: f64) -> f64 {
    let place = ((load_n.max(LEAST_N) / LEAST_N).ln() / STEP_LN).min((NODES - 1) as f64);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "from 0 to NODES - 1")]
    let lower = (place as usize).min(NODES - 2);
    let share = place - lower as f64;
    nodes[lower] + share * (nodes[lower + 1] - nodes[lower])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chain(length_m: f64) -> Line {
        let chain = Segment {
            length: Length::metres(length_m),
            weight: WeightPerLength::newtons_per_metre(19.6),
            stiffness: Force::newtons(8.54e6),
        };
        Line::new(vec![chain], vec![]).unwrap()
    }

    // The textbook catenary, written out: s = √(h² + 2ha), X = L − s + a acosh(1 + h/a); Irvine, Cable Structures,
    // ch. 1.
    #[test]
    fn the_table_gives_the_textbook_catenary() {
        let reach = Reach::of(&chain(40.0), Length::metres(7.2)).unwrap();
        for load_n in [30.0, 77.0, 120.0, 333.0, 480.0, 960.0, 1920.0_f64] {
            let (h, a) = (7.2, load_n / 19.6);
            let s = (h * h + 2.0 * h * a).sqrt();
            let x = if s <= 40.0 {
                40.0 - s + a * (1.0 + h / a).acosh()
            } else {
                2.0 * a * ((1600.0_f64 - h * h).sqrt() / (2.0 * a)).asinh()
            };
            // 5 mm between nodes, stretch of chain below 1 cm at 2 kN.
            assert!((reach.at_m(load_n) - x).abs() < 0.015, "{load_n} N: {} m for {x} m", reach.at_m(load_n));
        }
    }

    // Of a catenary that hangs whole, X = 2a asinh(√(L² − h²)/2a): 130 m of chain in 42 m.
    #[test]
    fn twice_the_load_is_worth_metres_of_a_rode_that_hangs_deep() {
        let shallow_m = Reach::of(&chain(40.0), Length::metres(7.2)).unwrap().doubling_m(300.0);
        assert!((0.4..0.9).contains(&shallow_m), "{shallow_m}");
        let deep = Reach::of(&chain(130.0), Length::metres(42.0)).unwrap();
        let x = |load_n: f64| {
            let a = load_n / 19.6;
            2.0 * a * ((130.0_f64.powi(2) - 42.0_f64.powi(2)).sqrt() / (2.0 * a)).asinh()
        };
        let half = core::f64::consts::SQRT_2;
        let hung_m = x(6000.0 * half) - x(6000.0 / half);
        assert!((deep.doubling_m(6000.0) - hung_m).abs() < 0.1, "{hung_m}");
        assert!(3.0 < deep.doubling_m(600.0));
    }

    #[test]
    fn a_rode_under_no_load_may_lie_anywhere_and_under_much_load_it_is_straight() {
        let reach = Reach::of(&chain(40.0), Length::metres(7.2)).unwrap();
        assert!(reach.tautness(30.0) < 0.1 && 50.0 < reach.bend_m(30.0));
        assert!(3.0 < reach.tautness(2000.0) && reach.bend_m(2000.0).abs() < 1e-12);
        assert!(reach.at_m(20_000.0) < reach.straight_m() + 0.2);
    }

    #[test]
    fn a_rode_not_longer_than_the_height_is_refused_and_a_common_one_stands_in() {
        assert!(Reach::of(&chain(7.0), Length::metres(7.2)).is_err());
        let common = Reach::common(None);
        assert!((20.0..50.0).contains(&common.at_m(300.0)));
        assert!(Reach::common(Some(Length::metres(40.0))).at_m(300.0) > 100.0);
    }
}
