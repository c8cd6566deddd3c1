//! How a rode hangs and lies under a load.
//!
//! A rode pulled sideways at the bow hangs in a curve that its weight and the pull decide between them. While any of
//! it still lies on the ground the anchor feels a pull along the ground; once the last link lifts, it feels an upward
//! one as well. A weight slid down the rode (a kellet) bends the curve where it hangs, and for a range of loads it
//! *stands* at the very point where the rode leaves the ground, the ground bearing part of it.
//!
//! # Frame
//!
//! The anchor is the origin; `x` runs level towards the boat, `z` up. The roller is at height `h` above the *anchor*,
//! at distance `x`. The ground is plane through the anchor and rises towards the boat by the angle `β` (falls if
//! negative). `s` is unstretched length from the anchor.
//!
//! # Equations
//!
//! With `H` the horizontal pull (N, the same all along the hanging part), `V` the vertical one, `T = √(H² + V²)`,
//! `w` the weight in water (N/m, negative if it floats), `EA` the stiffness (N):
//!
//! ```text
//! dx/ds = (1 + T/EA) H/T      dz/ds = (1 + T/EA) V/T      dV/ds = w,  V jumps by W at a kellet
//! ```
//!
//! A uniform hanging piece of length `l` with `V = a` below and `b = a + w l` above has, from these,
//!
//! ```text
//! S  = Ta + Tb
//! Δx = (2H/w) atanh(w l / S) + H l/EA
//! Δz = l (a + b)/S           + (a + b) l / 2EA
//! ```
//!
//! which is the textbook difference of two asinh and of two roots, written so that nothing cancels: it holds to
//! rounding for a rope of no weight and for a chain up and down. On the ground the pull lies along the slope and
//! loses the ground's share and friction (`μ = sin β + C`, `C` per newton of weight in water):
//!
//! ```text
//! V = H tan β, T = H / cos β  at the touchdown;    dT/ds = w μ below it, never below nothing
//! ```
//!
//! A kellet at the touchdown with `R` of its weight borne by the ground: `V` just above is `H tan β + W − R`, the
//! tension just below `H / cos β − R μ`, `0 ≤ R ≤ W`.
//!
//! **One unknown serves all regimes**: the vertical pull at the roller. Walking down from there, `V` falls until it
//! meets `H tan β` (touchdown in a segment), jumps past it (a kellet stands there) or the anchor comes first (all
//! lifted); the height so reached rises strictly with it. See `walk.rs`.
//!
//! # Left out
//!
//! Current on the rode, the air weight of what is out of the water, bending, rope whose stiffness changes with load,
//! burial. A floating part that would rise above the roller, or a heavy part beyond a floating one that would touch
//! the ground, is refused by name ([`CatenaryError::RisesAboveRoller`], [`CatenaryError::TouchesGround`]). The
//! water's surface lies below the roller by an amount not known here: a floating part may reach it without being
//! refused. Where friction or an uphill lie leaves the end next the anchor without tension, it is taken to lie
//! straight.
//!
//! # Source
//!
//! Irvine, *Cable Structures* (MIT Press 1981), chapter 1; Jonkman, *Dynamics Modeling and Loads Analysis of an
//! Offshore Floating Wind Turbine*, NREL/TP-500-41958 (2007), section 2.6.2 (friction on the bed). Checked against
//! the integrated equation in `authorities/catenary`.

mod forward;
mod inverse;
mod lift;
mod line;
mod shape;
mod shortest;
mod walk;
mod work;

pub use self::lift::LiftOff;
pub use self::line::{Kellet, Line, LineError, Segment};
pub use self::shape::{KelletTension, SegmentTension, ShapePoint, Tensions};
pub use self::shortest::{Need, Stowed, shortest};
pub use self::work::Peak;

use crate::roots::RootError;
use crate::units::{Angle, Force, Length};
use walk::Ground;

/// The steepest ground reckoned with. Chain slides on far gentler slopes, and no chart calls 45° an anchorage.
pub const STEEPEST: Angle = Angle::degrees(45.0);

/// The ground under the rode.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bed {
    /// How it lies along the rode; positive where it rises from the anchor towards the boat.
    pub slope: Angle,
    /// Drag along the ground in newtons per newton of the resting weight in water; nothing is the careful choice.
    pub friction: f64,
}

impl Bed {
    /// Level and without friction: what is reckoned with when nothing is known to the good.
    pub const LEVEL: Self = Self { slope: Angle::ZERO, friction: 0.0 };
}

/// What the rode does at the ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Contact {
    /// Some of it rests; the pull on the anchor lies along the ground.
    Grounded {
        /// How much rests, unstretched, from the anchor.
        resting: Length,
    },
    /// A kellet stands where the rode leaves the ground.
    KelletAtTouchdown {
        /// How much rests, unstretched: the kellet's own place.
        resting: Length,
        /// How much of the kellet's weight the ground bears.
        borne: Force,
    },
    /// All of it hangs; the anchor is pulled up from the ground.
    Lifted {
        /// Angle of the pull above the ground.
        uplift: Angle,
    },
}

impl Contact {
    /// Angle of the pull on the anchor above the *ground*; nothing while anything is grounded.
    pub const fn uplift(self) -> Angle {
        match self {
            Self::Grounded { .. } | Self::KelletAtTouchdown { .. } => Angle::ZERO,
            Self::Lifted { uplift } => uplift,
        }
    }
    /// How much rests on the ground, unstretched, from the anchor: nothing if all hangs.
    pub const fn grounded(self) -> Length {
        match self {
            Self::Grounded { resting } | Self::KelletAtTouchdown { resting, .. } => resting,
            Self::Lifted { .. } => Length::ZERO,
        }
    }
}

/// How a rode lies under one load: made by [`Line::under_load`] and [`Line::at_distance`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lie {
    horizontal: Force,
    vertical: Force,
    distance: Length,
    height: Length,
    anchor_horizontal: Force,
    anchor_vertical: Force,
    contact: Contact,
    ground: Ground,
}

impl Lie {
    /// The horizontal pull at the roller.
    pub const fn horizontal(&self) -> Force {
        self.horizontal
    }
    /// The downward pull on the roller, which is the upward pull on the rode there.
    pub const fn vertical(&self) -> Force {
        self.vertical
    }
    /// The tension at the roller.
    pub fn tension(&self) -> Force {
        Force::newtons(self.horizontal.as_newtons().hypot(self.vertical.as_newtons()))
    }
    /// Level distance from the anchor to the roller.
    pub const fn distance(&self) -> Length {
        self.distance
    }
    /// Height of the roller above the anchor.
    pub const fn height(&self) -> Length {
        self.height
    }
    /// What the rode does at the ground.
    pub const fn contact(&self) -> Contact {
        self.contact
    }
    /// How much rests on the ground, unstretched, from the anchor: nothing if all hangs.
    pub const fn grounded(&self) -> Length {
        self.contact.grounded()
    }
    /// Angle of the pull on the anchor above the *ground*; nothing while anything is grounded.
    pub const fn uplift(&self) -> Angle {
        self.contact.uplift()
    }
    /// Horizontal pull on the anchor: less than at the roller by what the ground took.
    pub const fn anchor_horizontal(&self) -> Force {
        self.anchor_horizontal
    }
    /// Upward pull on the anchor, against the horizontal; negative downhill.
    pub const fn anchor_vertical(&self) -> Force {
        self.anchor_vertical
    }
}

/// Why a rode cannot be said to lie so.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum CatenaryError {
    /// The height is nothing, negative or no number.
    #[error("a height of {height} from anchor to roller is not above it")]
    Height {
        /// As given.
        height: Length,
    },
    /// The load is nothing, negative or no number.
    #[error("a horizontal load of {} N is not a positive number", .load.as_newtons())]
    Load {
        /// As given.
        load: Force,
    },
    /// The distance is negative or no number.
    #[error("a distance of {} m is not a number of metres ahead of the anchor", .distance.as_metres())]
    Distance {
        /// As given.
        distance: Length,
    },
    /// The ground is steeper than is reckoned with.
    #[error("a slope of {} degrees is not within {} degrees either way", .slope.as_degrees(), STEEPEST.as_degrees())]
    Slope {
        /// As given.
        slope: Angle,
    },
    /// Friction is negative or no number.
    #[error("a friction of {friction} is not a number from 0 up")]
    Friction {
        /// As given.
        friction: f64,
    },
    /// The moving mass is nothing, negative or no number, or its speed is.
    #[error("a surge of {mass_kg} kg at {speed_ms} m/s is not a positive mass at a speed from 0 up")]
    Surge {
        /// Mass, kg.
        mass_kg: f64,
        /// Speed, m/s.
        speed_ms: f64,
    },
    /// An uplift that is asked for is outside what can be asked.
    #[error("an uplift of {} degrees above the ground is not from 0 to below plumb", .uplift.as_degrees())]
    Uplift {
        /// As given.
        uplift: Angle,
    },
    /// The rode does not even hang down to the anchor.
    #[error("{length} of rode is not longer than the {height} from anchor to roller")]
    ShorterThanHeight {
        /// Unstretched length.
        length: Length,
        /// Height of the roller above the anchor.
        height: Length,
    },
    /// Laid up the slope, the rode comes to the roller's height before it ends.
    #[error(
        "{length} of rode ends where the ground is {rise} above the anchor, not below the roller at {height}"
    )]
    GroundAboveRoller {
        /// Unstretched length.
        length: Length,
        /// Height of the ground where its end comes.
        rise: Length,
        /// Height of the roller above the anchor.
        height: Length,
    },
    /// So near the anchor the rode hangs plumb and does not pull.
    #[error("at {distance} the rode is slack: it pulls only beyond {plumb}")]
    TooNear {
        /// As asked.
        distance: Length,
        /// Where it begins to pull.
        plumb: Length,
    },
    /// Out of reach: the softest part would have to stretch to twice its length.
    #[error("{distance} is out of reach: at {farthest} the softest part has doubled its length")]
    TooFar {
        /// As asked.
        distance: Length,
        /// Where the softest part has doubled its length.
        farthest: Length,
    },
    /// The surge is not spent before the softest part has doubled its length.
    #[error("a surge of {energy_j} J from {} N is not spent before the softest part doubles its length at {} N", .steady.as_newtons(), .limit.as_newtons())]
    SurgeTooGreat {
        /// Energy to be taken up, J.
        energy_j: f64,
        /// The load it begins from.
        steady: Force,
        /// The load at which the softest part has doubled its length.
        limit: Force,
    },
    /// A floating part would rise above the roller: it floats on the surface, which this does not reckon.
    #[error(
        "a floating part would rise to {top}, above the roller at {height}: it floats on the surface instead"
    )]
    RisesAboveRoller {
        /// The highest point.
        top: Length,
        /// Height of the roller.
        height: Length,
    },
    /// A part beyond the first hanging one would sink into the ground.
    #[error("the rode would touch the ground again {along} from the anchor, by {depth}")]
    TouchesGround {
        /// Unstretched length from the anchor.
        along: Length,
        /// How far below the ground.
        depth: Length,
    },
    /// Even all that is stowed does not do it.
    #[error("the {stowed} stowed is not enough")]
    NotEnoughStowed {
        /// All there is to veer.
        stowed: Length,
    },
    /// Cut to that length it is no rode.
    #[error("the rode cannot be veered so")]
    Line(#[from] LineError),
    /// The search for the state failed: our own failure, not the caller's.
    #[error("how the rode lies was not found")]
    Search(#[from] RootError),
}

/// Everything about the place that every solve needs, checked once.
#[derive(Clone, Copy, Debug)]
struct Place {
    height_m: f64,
    ground: Ground,
}

impl Place {
    fn of(line: &Line, height: Length, bed: &Bed) -> Result<Self, CatenaryError> {
        if !(0.0 < height.as_metres() && height.is_finite()) {
            return Err(CatenaryError::Height { height });
        }
        if !(bed.slope.abs() <= STEEPEST) {
            return Err(CatenaryError::Slope { slope: bed.slope });
        }
        if !(0.0 <= bed.friction && bed.friction.is_finite()) {
            return Err(CatenaryError::Friction { friction: bed.friction });
        }
        if !(height < line.length()) {
            return Err(CatenaryError::ShorterThanHeight { length: line.length(), height });
        }
        Ok(Self { height_m: height.as_metres(), ground: Ground::of(bed) })
    }
}
