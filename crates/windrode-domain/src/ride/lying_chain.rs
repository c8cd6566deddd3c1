//! The chain that lies on the ground, and remembers.
//!
//! In light air the ground holds the chain where it lies: she rides to the bend where it leaves its old lie,
//! anywhere inside its reach, until the load is enough to drag it straight. The rode is cut into equal links of
//! length `ds`, laid at places of their own as far as a *pivot* `j`. From there it runs straight to the boat, lying
//! first and then hanging. With `H` her pull, `μ` the friction and `W` the weight in water of what lies beyond the
//! pivot, the pull at the pivot is `T = H − μ W`:
//!
//! ```text
//! μ w ds < T     the pivot's link is drawn loose:    j ← j − 1
//! T < −μ w ds    the next link comes to rest:        j ← j + 1, laid towards the boat
//! ```
//!
//! One link a step at most. The rode from the pivot on reaches as far as the whole would, less what lies behind: `x =
//! s_j + d`, `d` from pivot to roller, true while anything beyond the pivot rests (and where nothing does, `T = H`
//! has drawn the pivot back to the anchor). What lies beyond the pivot turns with her without friction: left out.
//! Friction of chain on ground 0.4 to 0.8 (from memory of offshore practice, low confidence).

use super::reach::Pull;
use crate::catenary::Line;
use crate::position::Offset;
use crate::units::Length;

/// Links that the rode is cut into.
const LINKS: usize = 120;

/// How the chain lies.
#[derive(Clone, Debug, PartialEq)]
pub struct LyingChain {
    places: [Offset; LINKS + 1],
    /// Friction of all that lies from the anchor to a link, N.
    friction_to_n: [f64; LINKS + 1],
    link_m: f64,
    pivot: usize,
}

impl LyingChain {
    /// Nothing laid: straight from the anchor to the boat. Friction in newtons per newton of weight in water.
    pub fn straight_from(anchor: Offset, line: &Line, friction: f64) -> Self {
        let link_m = line.length().as_metres() / LINKS as f64;
        let mut friction_to_n = [0.0; LINKS + 1];
        for (i, to_n) in friction_to_n.iter_mut().enumerate() {
            *to_n = friction * line.weight_of_first(Length::metres(link_m * i as f64)).as_newtons();
        }
        Self { places: [anchor; LINKS + 1], friction_to_n, link_m, pivot: 0 }
    }
    /// Where the anchor is.
    pub const fn anchor(&self) -> Offset {
        self.places[0]
    }
    /// Where the rode leaves its lie.
    pub const fn pivot(&self) -> Offset {
        self.places[self.pivot]
    }
    /// Rode between the anchor and there, m.
    pub const fn laid_m(&self) -> f64 {
        self.link_m * self.pivot as f64
    }
    /// Pull that comes to the anchor, N: nothing while the pivot holds.
    pub fn pull_on_anchor_n(&self, pull: &Pull, friction: f64) -> f64 {
        if self.pivot == 0 { (pull.load_n - friction * pull.resting_n).max(0.0) } else { 0.0 }
    }
    /// The anchor goes; the chain is drawn straight behind the boat.
    pub fn move_anchor(&mut self, by: Offset) {
        self.pivot = 0;
        self.places[0] = self.places[0] + by;
    }
    /// A link is drawn loose or comes to rest, towards a roller at `to_boat` from the pivot, `distance_m` off.
    pub(super) fn follow(&mut self, pull: &Pull, friction: f64, to_boat: Offset, distance_m: f64) {
        let j = self.pivot;
        let at_pivot_n = pull.load_n - (friction * pull.resting_n - self.friction_to_n[j]);
        if 0 < j && self.friction_to_n[j] - self.friction_to_n[j - 1] < at_pivot_n {
            self.pivot = j - 1;
        } else if j < LINKS && at_pivot_n < self.friction_to_n[j] - self.friction_to_n[j + 1] {
            // With the boat over the pivot the chain heaps up.
            let share = (self.link_m / distance_m.max(self.link_m)).min(1.0);
            let by = Offset { east_m: to_boat.east_m * share, north_m: to_boat.north_m * share };
            self.places[j + 1] = self.places[j] + by;
            self.pivot = j + 1;
        }
    }
}
