//! Ground tackle: anchors, chain and rope, what joins them, what takes the load on deck.
//!
//! A rode is told from the anchor up. Each stretch of it has a mass, a weight in water, a breaking load, a working
//! load and a stiffness; figures of the maker's win over tables. Connectors and strong points are parts of the chain
//! of load like any other: the weakest of all is what gives first.

use crate::uncertain::Origin;
use crate::units::{Force, GRAVITY_M_S2, Length, Mass, MassPerLength, SEA_WATER_KG_M3, WeightPerLength};

/// Class of anchor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum AnchorClass {
    /// Concave fluke, with or without a roll bar.
    Scoop,
    /// Pivoting flat flukes.
    Fluke,
    /// Convex ploughshare, hinged or not.
    Plow,
    /// One-piece claw.
    Claw,
    /// Stock across, two arms.
    Fisherman,
    /// Folding arms.
    Grapnel,
    /// None of these.
    Other,
}

/// An anchor.
#[derive(Clone, Debug, PartialEq)]
pub struct Anchor {
    /// What the crew call it.
    pub name: String,
    /// Class.
    pub class: AnchorClass,
    /// Mass in air.
    pub mass: Mass,
}

/// What a rope is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum RopeFibre {
    /// Polyamide (nylon).
    Polyamide,
    /// Polyester.
    Polyester,
    /// Polypropylene: floats.
    Polypropylene,
    /// Lead-cored polyester or polyamide.
    LeadCored,
}

/// What a stretch of rode is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Stuff {
    /// Short-link chain of a nominal size.
    Chain {
        /// Diameter of the link's wire.
        size: Length,
    },
    /// Rope of a fibre.
    Rope {
        /// The fibre.
        fibre: RopeFibre,
        /// Nominal diameter.
        diameter: Length,
    },
}

impl Stuff {
    /// Part of the weight that sea water carries: density of the water over that of the stuff.
    ///
    /// Steel 7850, polyamide 1140, polyester 1380, polypropylene 910 kg/m³ (makers' data sheets; the last from
    /// memory). Lead-cored rope has no one density: its weight in water must be given.
    pub fn buoyant_share(self) -> Option<f64> {
        let density_kg_m3 = match self {
            Self::Chain { .. } => 7850.0,
            Self::Rope { fibre: RopeFibre::Polyamide, .. } => 1140.0,
            Self::Rope { fibre: RopeFibre::Polyester, .. } => 1380.0,
            Self::Rope { fibre: RopeFibre::Polypropylene, .. } => 910.0,
            Self::Rope { fibre: RopeFibre::LeadCored, .. } => return None,
        };
        Some(SEA_WATER_KG_M3 / density_kg_m3)
    }
}

/// A stretch of chain or rope.
#[derive(Clone, Debug, PartialEq)]
pub struct Stretch {
    /// What the crew call it: "10 mm chain, grade 40".
    pub name: String,
    /// What it is.
    pub stuff: Stuff,
    /// Its length, unloaded.
    pub length: Length,
    /// Mass of a metre, in air.
    pub mass: MassPerLength,
    /// Weight of a metre in sea water; negative if it floats.
    pub weight: WeightPerLength,
    /// Least breaking load, new, dry, unknotted.
    pub breaking_load: Force,
    /// Share of the breaking load left by wet, knots or splices: 1 for chain.
    pub strength_left: f64,
    /// Load that it may carry day after day.
    pub working_load: Force,
    /// Axial stiffness `EA`.
    pub stiffness: Force,
    /// Where the figures come from.
    pub origin: Origin,
}

impl Stretch {
    /// Weight of a metre in sea water from its mass in air; `None` if the stuff has no one density.
    pub fn weight_in_water(stuff: Stuff, mass: MassPerLength) -> Option<WeightPerLength> {
        let carried = stuff.buoyant_share()?;
        Some(WeightPerLength::newtons_per_metre(
            mass.as_kilograms_per_metre() * GRAVITY_M_S2 * (1.0 - carried),
        ))
    }
}

/// The crew's own marks on the rode.
#[derive(Clone, Debug, PartialEq)]
pub struct Marks {
    /// Metres from one mark to the next; the first stands so far from the anchor.
    pub every: Length,
    /// How the marks look, in words, from the anchor on; when they run out they begin again.
    pub looks: Vec<String>,
}

/// A rode as it lies in the locker.
#[derive(Clone, Debug, PartialEq)]
pub struct Rode {
    /// What the crew call it.
    pub name: String,
    /// Stretches from the anchor up. Not empty.
    pub stretches: Vec<Stretch>,
    /// Marks, if it has any.
    pub marks: Option<Marks>,
}

impl Rode {
    /// All there is of it.
    pub fn length(&self) -> Length {
        self.stretches.iter().map(|stretch| stretch.length).sum()
    }
    /// Chain and no rope.
    pub fn is_all_chain(&self) -> bool {
        self.stretches.iter().all(|stretch| matches!(stretch.stuff, Stuff::Chain { .. }))
    }
}

/// Where in the line of load a connector sits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Joins {
    /// Anchor and rode.
    AnchorToRode,
    /// Two stretches of the rode, the lower counted from the anchor, from 0.
    Stretches(usize),
    /// Rode and snubber or bridle: the hook or hitch.
    RodeToSnubber,
    /// Rode and boat: the bitter end.
    RodeToBoat,
}

/// A shackle, swivel, joining link, hook.
#[derive(Clone, Debug, PartialEq)]
pub struct Connector {
    /// What the crew call it.
    pub name: String,
    /// What it joins.
    pub joins: Joins,
    /// Least breaking load.
    pub breaking_load: Force,
    /// Working load limit.
    pub working_load: Force,
    /// Where the figures come from.
    pub origin: Origin,
}

/// One line from the rode to a strong point, or two from either bow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SnubberLegs {
    /// One line over the roller or fairlead.
    Single,
    /// A bridle: two equal legs from points so far apart.
    Bridle {
        /// Athwartships distance between the two points.
        spread: Length,
    },
}

/// A snubber or bridle: the stretch that takes the shock.
#[derive(Clone, Debug, PartialEq)]
pub struct Snubber {
    /// One leg of it; its length is a leg's.
    pub leg: Stretch,
    /// One leg or two.
    pub legs: SnubberLegs,
    /// Height above the water of the point it is made fast to or led over.
    pub height: Length,
}

/// A cleat, bollard, stopper or windlass.
#[derive(Clone, Debug, PartialEq)]
pub struct StrongPoint {
    /// What the crew call it.
    pub name: String,
    /// Load it may carry.
    pub working_load: Force,
    /// Load at which it, or what it is bolted to, gives; working load where no more is known.
    pub breaking_load: Force,
    /// Where the figures come from.
    pub origin: Origin,
}

/// A weight let down on the rode.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KelletOnRode {
    /// Metres from the anchor.
    pub from_anchor: Length,
    /// Mass in air, steel.
    pub mass: Mass,
}

impl KelletOnRode {
    /// Its weight in sea water, taken as steel.
    pub fn weight_in_water(self) -> Force {
        self.mass.weight() * (1.0 - SEA_WATER_KG_M3 / 7850.0)
    }
}

/// What is let go and made fast for one stay.
#[derive(Clone, Debug, PartialEq)]
pub struct Gear {
    /// The anchor.
    pub anchor: Anchor,
    /// The rode.
    pub rode: Rode,
    /// Connectors, in no order.
    pub connectors: Vec<Connector>,
    /// Snubber or bridle, if one is used.
    pub snubber: Option<Snubber>,
    /// What the snubber, or else the rode, is made fast to.
    pub cleat: StrongPoint,
    /// The windlass, which should carry none of it.
    pub windlass: Option<StrongPoint>,
    /// Weights on the rode.
    pub kellets: Vec<KelletOnRode>,
}
