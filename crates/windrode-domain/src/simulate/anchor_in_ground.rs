//! The anchor in the ground: it holds, it goes as a story says, or it goes as the ground lets it.
//!
//! The law of the ground, with `x` how far it has gone since it began to dig in, `C∞` what it can hold when deep:
//!
//! ```text
//! C(x) = C∞ (1 − exp(−(x + x0)/l))                    digging in
//! C_eff = C × uplift × direction                      × η once broken out
//! v = min(1.2, (T0 − C_eff) / C_eff) m/s              where the pull T0 passes what holds
//! ```
//!
//! The uplift's share is [`crate::holding::uplift_factor`]'s. Pulled more than 60° off the way it was set, it holds
//! a share that falls in a straight line to its value at 180° (0.5 to 0.8); pulled more than 120° off it may trip.
//! Gone [`BREAKING_OUT_M`] at more than it can ever hold, it has broken out and holds `η` of it (0.3 to 0.7). It
//! digs in anew when the pull has been below 0.3 of that for a minute, or by chance at each metre gone. All figures
//! from memory, low confidence; the scatter of holding is large even where it is measured.

use rand::Rng;

use crate::holding::uplift_factor;
use crate::position::Offset;
use crate::ride::Ride;
use crate::ride::wandering::happens;
use crate::units::Angle;

/// Fastest that a dragging anchor goes, m/s.
const FASTEST_MS: f64 = 1.2;
/// Gone so far at more than it can hold, it has broken out, m.
pub const BREAKING_OUT_M: f64 = 1.0;
/// Share of what it holds below which the pull lets it sink in again, and for how long, s.
const SINKS_IN: (f64, f64) = (0.3, 60.0);
/// The direction begins to tell at this, and past this the anchor may trip, degrees.
const OFF_ITS_SET_DEG: (f64, f64) = (60.0, 120.0);
/// Gone so far in a new direction, it is set that way, m.
const TURNED_ROUND_M: f64 = 3.0;

/// Digging in anew it begins as deep as this share of its digging length leaves it: a quarter of what it can hold.
const ANEW_SHARE: f64 = 0.3;

/// What the anchor does this night.
#[derive(Clone, Debug, PartialEq)]
pub enum AnchorStory {
    /// It holds, whatever comes.
    Holds,
    /// It goes towards the boat at a steady speed from some instant on.
    Goes(Going),
    /// It goes as the ground lets it.
    ByLaw(GroundLaw),
}

/// A drag at a steady speed along the pull.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Going {
    /// From this second on at the earliest.
    pub from_s: f64,
    /// Only once her bow has come as near to the anchor as this, m, but not later than an hour and a half: the rode
    /// fouls the anchor as she passes, and she goes off with it on what is left.
    pub fouled_within_m: Option<f64>,
    /// Speed over the ground, m/s.
    pub speed_ms: f64,
    /// Until it has gone so far, m.
    pub until_m: f64,
}

/// Latest that a fouled anchor waits for her to pass, s.
const WAITS_S: f64 = 5400.0;
/// Load at which a rode that has caught the anchor comes taut, N.
const FOULED_LOAD_N: f64 = 100.0;

/// What the ground is like, for one anchor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GroundLaw {
    /// `C∞`, N.
    pub holds_n: f64,
    /// How far it had dug in when the night began: `x0`, m.
    pub dug_in_m: f64,
    /// Length over which it digs in: `l`, three to five fluke lengths, m.
    pub digging_m: f64,
    /// `η`.
    pub broken_out_share: f64,
    /// Chance at each metre gone, once broken out, that it digs in again.
    pub sets_again_a_metre: f64,
    /// It digs in again when the pull eases.
    pub sets_again_at_rest: bool,
    /// Share that it holds pulled the opposite way.
    pub opposite_share: f64,
    /// It trips when pulled right round.
    pub trips: bool,
    /// Where between the two laws of uplift, 0 to 1.
    pub uplift_draw: f64,
}

/// The state of an anchor.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct InGround {
    story: AnchorStory,
    /// Whole way gone, m.
    gone_m: f64,
    /// How far it has gone digging in: `x + x0`, m.
    dug_m: f64,
    overpulled_m: f64,
    broken_out: bool,
    at_ease_s: f64,
    /// The way it is set, of unit length; `None` until it has been pulled.
    set: Option<Offset>,
    turned_m: f64,
    begun: bool,
    moving: bool,
}

impl InGround {
    pub(super) fn new(story: AnchorStory) -> Self {
        let dug_m = if let AnchorStory::ByLaw(law) = &story { law.dug_in_m } else { 0.0 };
        Self {
            story,
            gone_m: 0.0,
            dug_m,
            overpulled_m: 0.0,
            broken_out: false,
            at_ease_s: 0.0,
            set: None,
            turned_m: 0.0,
            begun: false,
            moving: false,
        }
    }
    pub(super) const fn gone_m(&self) -> f64 {
        self.gone_m
    }
    pub(super) const fn broken_out(&self) -> bool {
        self.broken_out
    }
    pub(super) const fn moving(&self) -> bool {
        self.moving
    }

    /// Once a second, before the steps: whether a told drag begins.
    pub(super) fn second(&mut self, ride: &mut Ride, at_s: f64) {
        let AnchorStory::Goes(going) = &self.story else { return };
        if self.begun || at_s < going.from_s {
            return;
        }
        let Some(near_m) = going.fouled_within_m else {
            self.begun = true;
            return;
        };
        let off_m = ride.bow().distance_to(ride.anchor()).as_metres();
        if off_m <= near_m || going.from_s + WAITS_S <= at_s {
            self.begun = true;
            ride.foul(FOULED_LOAD_N);
        }
    }

    /// A step of the motion: the anchor goes, if it goes. One draw of chance at each metre gone by the law.
    pub(super) fn step<R: Rng + ?Sized>(&mut self, ride: &mut Ride, dt_s: f64, rng: &mut R) {
        let speed_ms = match &self.story {
            AnchorStory::Holds => 0.0,
            AnchorStory::Goes(going) => {
                if self.begun && self.gone_m < going.until_m {
                    going.speed_ms
                } else {
                    0.0
                }
            }
            AnchorStory::ByLaw(law) => {
                let law = *law;
                self.speed_by_law(&law, ride, dt_s)
            }
        };
        self.moving = 0.0 < speed_ms;
        if !self.moving {
            return;
        }
        let Some(way) = ride.towards_boat() else { return };
        let by_m = speed_ms * dt_s;
        ride.move_anchor(Offset { east_m: way.east_m * by_m, north_m: way.north_m * by_m });
        let before_m = self.gone_m;
        self.gone_m += by_m;
        if let AnchorStory::ByLaw(law) = &self.story {
            let law = *law;
            self.dragged(way, by_m);
            if before_m.floor() < self.gone_m.floor()
                && self.broken_out
                && happens(rng, law.sets_again_a_metre)
            {
                self.sets_anew(&law, way);
            }
        }
    }

    /// What it holds now over what comes, as a speed, m/s.
    fn speed_by_law(&mut self, law: &GroundLaw, ride: &Ride, dt_s: f64) -> f64 {
        let pull_n = ride.anchor_load_n();
        if pull_n <= 0.0 {
            self.eases(law, ride, dt_s);
            return 0.0;
        }
        let Some(way) = ride.towards_boat() else { return 0.0 };
        let set = *self.set.get_or_insert(way);
        let aligned = (set.east_m * way.east_m + set.north_m * way.north_m).clamp(-1.0, 1.0);
        let off_deg = aligned.acos().to_degrees();
        if law.trips && OFF_ITS_SET_DEG.1 < off_deg {
            self.broken_out = true;
        }
        let uplift = uplift_factor(Angle::radians(ride.uplift_rad()), law.uplift_draw);
        let most_n = law.holds_n * uplift * direction_share(off_deg, law.opposite_share);
        let dug = 1.0 - (-self.dug_m / law.digging_m).exp();
        let holds_n = most_n * if self.broken_out { law.broken_out_share } else { dug };
        if pull_n < SINKS_IN.0 * holds_n {
            self.eases(law, ride, dt_s);
        } else {
            self.at_ease_s = 0.0;
        }
        let over_n = pull_n - holds_n;
        if !(0.0 < over_n) {
            return 0.0;
        }
        let speed_ms = (over_n / holds_n.max(1.0)).min(FASTEST_MS);
        if most_n < pull_n {
            self.overpulled_m += speed_ms * dt_s;
        }
        self.broken_out |= BREAKING_OUT_M < self.overpulled_m;
        speed_ms
    }

    fn dragged(&mut self, way: Offset, by_m: f64) {
        if !self.broken_out {
            self.dug_m += by_m;
        }
        let set = self.set.unwrap_or(way);
        let aligned = set.east_m * way.east_m + set.north_m * way.north_m;
        self.turned_m =
            if aligned < OFF_ITS_SET_DEG.0.to_radians().cos() { self.turned_m + by_m } else { 0.0 };
        if TURNED_ROUND_M < self.turned_m {
            self.set = Some(way);
            // Out of its old hole: what it had dug in does not count any more.
            self.dug_m = 0.0;
            self.turned_m = 0.0;
        }
    }

    fn eases(&mut self, law: &GroundLaw, ride: &Ride, dt_s: f64) {
        self.at_ease_s += dt_s;
        if self.broken_out && law.sets_again_at_rest && SINKS_IN.1 < self.at_ease_s {
            let way = ride.towards_boat();
            if let Some(way) = way.or(self.set) {
                self.sets_anew(law, way);
            }
        }
    }

    fn sets_anew(&mut self, law: &GroundLaw, way: Offset) {
        self.broken_out = false;
        self.overpulled_m = 0.0;
        self.dug_m = ANEW_SHARE * law.digging_m;
        self.at_ease_s = 0.0;
        self.set = Some(way);
    }
}

/// Share held when pulled so far off the way it was set.
fn direction_share(off_deg: f64, opposite_share: f64) -> f64 {
    let beyond = ((off_deg - OFF_ITS_SET_DEG.0) / (180.0 - OFF_ITS_SET_DEG.0)).max(0.0);
    1.0 - beyond * (1.0 - opposite_share)
}
