//! The weakest part: what gives first when the load comes.
//!
//! The load passes from the ground through every shackle and stretch to the deck. Each part bears the tension at its
//! own worst place; a bridle's two legs share it by their angle, `T / (2 cos α)`, `sin α = (spread / 2) / leg`. A
//! part gives at its breaking load times what wet, knots and age leave of it; the ground gives at its holding. Gear
//! is judged by peaks, for a snatch breaks it; the ground by gusts, for a snatch only moves the anchor a little.
//!
//! Left out: chafe, corrosion, heat, a link across a roller, a shackle pulled sideways.

use crate::sourced::{Confidence, Sourced};
use crate::tackle::{Connector, Gear, Joins, Snubber, SnubberLegs, StrongPoint, Stuff};
use crate::units::{Force, Length};

/// Tension in a gust and at its peak.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tension {
    /// As the gust's load holds.
    pub gust: Force,
    /// At the snatch.
    pub peak: Force,
}

impl Tension {
    fn times(self, factor: f64) -> Self {
        Self { gust: self.gust * factor, peak: self.peak * factor }
    }
    /// The same, nothing.
    const NONE: Self = Self { gust: Force::ZERO, peak: Force::ZERO };
}

/// Tensions along the line of load.
#[derive(Clone, Debug, PartialEq)]
pub struct LineTensions {
    /// At the shank.
    pub anchor: Tension,
    /// The greatest in each stretch of the rode, from the anchor up; one for every stretch.
    pub stretches: Vec<Tension>,
    /// At the boat: what snubber or rode brings to the deck.
    pub boat: Tension,
}

/// What kind of part it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PartKind {
    /// The ground itself.
    Ground,
    /// Shackle, swivel, link, hook.
    Connector,
    /// Chain or rope.
    Stretch,
    /// Snubber, or one leg of a bridle.
    Snubber,
    /// Cleat, bollard, stopper, windlass.
    StrongPoint,
}

/// A part with its load.
#[derive(Clone, Debug, PartialEq)]
pub struct PartLoad {
    /// What the crew call it.
    pub name: String,
    /// What kind it is.
    pub kind: PartKind,
    /// Where in the line it sits, in words.
    pub place: String,
    /// What it bears.
    pub load: Tension,
    /// What it may bear day after day; `None` for the ground.
    pub working_load: Option<Force>,
    /// At which it gives: what is left of the breaking load, or the holding.
    pub gives_at: Force,
    /// `gives_at` over the load that counts for it, the peak for gear and the gust for the ground. Infinite
    /// without load.
    pub margin: f64,
    /// Bears nothing unless the part before it fails: the windlass behind a snubber or cleat.
    pub standing_by: bool,
}

impl PartLoad {
    /// Peak over working load; `None` for the ground.
    pub fn use_of_working_load(&self) -> Option<f64> {
        self.working_load.map(|working| self.load.peak / working)
    }
}

/// Tensions that do not fit the gear.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum PartsError {
    /// Not one tension for every stretch.
    #[error("{tensions} tensions for {stretches} stretches of rode")]
    CountDiffers {
        /// Tensions given.
        tensions: usize,
        /// Stretches of the rode.
        stretches: usize,
    },
    /// The rode has no stretch at all.
    #[error("a rode without any stretch carries nothing")]
    EmptyRode,
    /// A tension is negative or no number.
    #[error("a tension of {0} cannot be")]
    Impossible(Force),
    /// A connector joins stretches that are not there.
    #[error("a connector joins stretch {lower} to the next, but there are {stretches}")]
    NothingToJoin {
        /// The lower stretch that it names.
        lower: usize,
        /// Stretches of the rode.
        stretches: usize,
    },
    /// A bridle whose points stand too far apart for its legs.
    #[error("a bridle's legs of {leg} do not meet from points {spread} apart")]
    BridleTooShort {
        /// A leg.
        leg: Length,
        /// Between its points.
        spread: Length,
    },
}

/// What a leg bears of the load that the snubber brings: all of it, or a bridle leg's `1 / (2 cos α)`.
///
/// # Errors
/// [`PartsError::BridleTooShort`] unless a leg is longer than half the spread.
pub fn leg_share(snubber: &Snubber) -> Result<f64, PartsError> {
    let SnubberLegs::Bridle { spread } = snubber.legs else { return Ok(1.0) };
    let leg = snubber.leg.length;
    let sine = spread / 2.0 / leg;
    if !(0.0..1.0).contains(&sine) {
        return Err(PartsError::BridleTooShort { leg, spread });
    }
    Ok(1.0 / (2.0 * (1.0 - sine * sine).sqrt()))
}

/// Every part with its load, the least margin first; parts that only stand by come last.
///
/// `holding` is what the ground is to be trusted with (the band's unfavourable end, at the uplift of the gust).
///
/// # Errors
/// [`PartsError`] if tensions and gear do not fit.
pub fn parts(gear: &Gear, tensions: &LineTensions, holding: Force) -> Result<Vec<PartLoad>, PartsError> {
    check(gear, tensions)?;
    let leg = match &gear.snubber {
        Some(snubber) => Some((snubber, tensions.boat.times(leg_share(snubber)?))),
        None => None,
    };
    let mut parts = vec![ground(tensions.anchor, holding)];
    for (stretch, &load) in gear.rode.stretches.iter().zip(&tensions.stretches) {
        let left = stretch.breaking_load * stretch.strength_left;
        let kind = PartKind::Stretch;
        parts.push(part(&stretch.name, kind, "in the rode", load, Some(stretch.working_load), left));
    }
    for connector in &gear.connectors {
        parts.push(connected(connector, tensions)?);
    }
    if let Some((snubber, load)) = leg {
        let leg = &snubber.leg;
        let place = match snubber.legs {
            SnubberLegs::Single => "between rode and deck",
            SnubberLegs::Bridle { .. } => "each leg, between rode and deck",
        };
        let left = leg.breaking_load * leg.strength_left;
        parts.push(part(&leg.name, PartKind::Snubber, place, load, Some(leg.working_load), left));
    }
    parts.push(strong_point(&gear.cleat, leg.map_or(tensions.boat, |(_, load)| load)));
    if let Some(windlass) = &gear.windlass {
        parts.push(PartLoad { standing_by: true, ..strong_point(windlass, Tension::NONE) });
    }
    parts.sort_by(|a, b| a.standing_by.cmp(&b.standing_by).then(a.margin.total_cmp(&b.margin)));
    Ok(parts)
}

fn check(gear: &Gear, tensions: &LineTensions) -> Result<(), PartsError> {
    let stretches = gear.rode.stretches.len();
    if stretches == 0 {
        return Err(PartsError::EmptyRode);
    }
    if tensions.stretches.len() != stretches {
        return Err(PartsError::CountDiffers { tensions: tensions.stretches.len(), stretches });
    }
    let all = tensions.stretches.iter().chain([&tensions.anchor, &tensions.boat]);
    for force in all.flat_map(|tension| [tension.gust, tension.peak]) {
        if !(0.0 <= force.as_newtons() && force.is_finite()) {
            return Err(PartsError::Impossible(force));
        }
    }
    Ok(())
}

fn part(
    name: &str,
    kind: PartKind,
    place: &str,
    load: Tension,
    working_load: Option<Force>,
    gives_at: Force,
) -> PartLoad {
    let counts = if kind == PartKind::Ground { load.gust } else { load.peak };
    let margin = if Force::ZERO < counts { gives_at / counts } else { f64::INFINITY };
    let (name, place) = (name.to_owned(), place.to_owned());
    PartLoad { name, kind, place, load, working_load, gives_at, margin, standing_by: false }
}

fn ground(load: Tension, holding: Force) -> PartLoad {
    part("the ground", PartKind::Ground, "at the anchor", load, None, holding)
}

fn strong_point(point: &StrongPoint, load: Tension) -> PartLoad {
    let (working, gives_at) = (Some(point.working_load), point.breaking_load);
    part(&point.name, PartKind::StrongPoint, "on deck", load, working, gives_at)
}

/// Tension where two stretches meet: the lower one's greatest, which stands at its upper end.
fn joint(lower: usize, tensions: &LineTensions) -> Result<Tension, PartsError> {
    let stretches = tensions.stretches.len();
    match tensions.stretches.get(lower) {
        Some(&below) if lower.saturating_add(1) < stretches => Ok(below),
        _ => Err(PartsError::NothingToJoin { lower, stretches }),
    }
}

fn connected(connector: &Connector, tensions: &LineTensions) -> Result<PartLoad, PartsError> {
    let (load, place) = match connector.joins {
        Joins::AnchorToRode => (tensions.anchor, "between anchor and rode"),
        Joins::Stretches(lower) => (joint(lower, tensions)?, "in the rode"),
        Joins::RodeToSnubber => (tensions.boat, "between rode and snubber"),
        // The bitter end bears nothing while anything before it holds.
        Joins::RodeToBoat => (Tension::NONE, "at the bitter end"),
    };
    let (working, gives_at) = (Some(connector.working_load), connector.breaking_load);
    let standing_by = connector.joins == Joins::RodeToBoat;
    let bears = part(&connector.name, PartKind::Connector, place, load, working, gives_at);
    Ok(PartLoad { standing_by, ..bears })
}

/// How much nylon stretches at a working peak, over its length: 20 to 25 %, from memory, medium confidence;
/// the larger.
pub const SNUBBER_STRETCH: Sourced<f64> =
    Sourced::new(0.25, "nylon at a working peak, remembered practice", Confidence::Medium);
/// The least bight of chain to leave slack behind a snubber: common practice, no source.
pub const LEAST_SLACK_BIGHT: Length = Length::metres(2.0);
/// What the bight is longer than the stretch by, so that a peak beyond the one reckoned with finds it slack: assumed.
const BIGHT_OVER_STRETCH: f64 = 1.25;

/// Chain to leave slack behind the snubber, so that at full stretch the snubber bears all, and if it parts the chain
/// is there: a quarter more than it stretches, by practice or by its stiffness under the peak, whichever is more.
pub fn slack_bight(snubber: &Snubber, leg_peak: Force) -> Length {
    let by_stiffness = snubber.leg.length * (leg_peak / snubber.leg.stiffness);
    let by_practice = match snubber.leg.stuff {
        Stuff::Rope { .. } => snubber.leg.length * SNUBBER_STRETCH.value,
        Stuff::Chain { .. } => Length::ZERO,
    };
    (by_stiffness.max(by_practice) * BIGHT_OVER_STRETCH).max(LEAST_SLACK_BIGHT)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tackle::{Anchor, AnchorClass, Rode, RopeFibre, Stretch};
    use crate::uncertain::Origin;
    use crate::units::{Mass, MassPerLength, WeightPerLength};

    fn newtons(value: f64) -> Force {
        Force::newtons(value)
    }

    fn stretch(name: &str, breaking_n: f64, length_m: f64) -> Stretch {
        Stretch {
            name: name.to_owned(),
            stuff: Stuff::Rope { fibre: RopeFibre::Polyamide, diameter: Length::metres(0.012) },
            length: Length::metres(length_m),
            mass: MassPerLength::kilograms_per_metre(0.1),
            weight: WeightPerLength::newtons_per_metre(0.1),
            breaking_load: newtons(breaking_n),
            strength_left: 0.6,
            working_load: newtons(breaking_n / 5.0),
            stiffness: newtons(40_000.0),
            origin: Origin::Given,
        }
    }

    fn connector(name: &str, joins: Joins, breaking_n: f64) -> Connector {
        let (breaking_load, working_load) = (newtons(breaking_n), newtons(breaking_n / 5.0));
        Connector { name: name.to_owned(), joins, breaking_load, working_load, origin: Origin::Given }
    }

    fn point(name: &str) -> StrongPoint {
        let (working_load, breaking_load) = (newtons(8000.0), newtons(16_000.0));
        StrongPoint { name: name.to_owned(), working_load, breaking_load, origin: Origin::Assumed }
    }

    fn gear(legs: Option<SnubberLegs>) -> Gear {
        Gear {
            anchor: Anchor {
                name: "bower".to_owned(),
                class: AnchorClass::Scoop,
                mass: Mass::kilograms(20.0),
            },
            rode: Rode {
                name: "main".to_owned(),
                stretches: vec![stretch("lower", 40_000.0, 30.0), stretch("upper", 30_000.0, 50.0)],
                marks: None,
            },
            connectors: vec![
                connector("anchor shackle", Joins::AnchorToRode, 40_000.0),
                connector("splice", Joins::Stretches(0), 9000.0),
                connector("hook", Joins::RodeToSnubber, 20_000.0),
                connector("bitter end", Joins::RodeToBoat, 5000.0),
            ],
            snubber: legs.map(|legs| Snubber {
                leg: stretch("snubber", 25_000.0, 8.0),
                legs,
                height: Length::metres(1.2),
            }),
            cleat: point("bow cleat"),
            windlass: Some(point("windlass")),
            kellets: Vec::new(),
        }
    }

    fn tension(gust_n: f64) -> Tension {
        Tension { gust: newtons(gust_n), peak: newtons(1.5 * gust_n) }
    }

    fn tensions() -> LineTensions {
        let stretches = vec![tension(2000.0), tension(2100.0)];
        LineTensions { anchor: tension(1900.0), stretches, boat: tension(2100.0) }
    }

    #[test]
    fn every_part_is_there_once_in_order_of_margin() {
        let parts = parts(&gear(Some(SnubberLegs::Single)), &tensions(), newtons(4000.0)).unwrap();
        let names: Vec<_> = parts.iter().map(|part| part.name.as_str()).collect();
        // ground, two stretches, four connectors, snubber, cleat, windlass
        assert_eq!(names.len(), 10);
        assert_eq!(names[0], "the ground");
        assert_eq!(names[1], "splice");
        let bearing: Vec<_> = parts.iter().filter(|part| !part.standing_by).map(|part| part.margin).collect();
        assert!(bearing.is_sorted());
        let standing: Vec<_> =
            parts.iter().filter(|part| part.standing_by).map(|p| p.name.as_str()).collect();
        assert_eq!(standing, ["bitter end", "windlass"]);
    }

    #[test]
    fn the_ground_is_judged_by_gusts_and_gear_by_peaks() {
        let parts = parts(&gear(None), &tensions(), newtons(4000.0)).unwrap();
        let margin = |name: &str| parts.iter().find(|part| part.name == name).unwrap().margin;
        assert!((margin("the ground") - 4000.0 / 1900.0).abs() < 1e-12);
        assert!((margin("splice") - 9000.0 / 3000.0).abs() < 1e-12);
        // Knots and wet leave six tenths.
        assert!((margin("upper") - 18_000.0 / 3150.0).abs() < 1e-12);
        assert!((margin("bow cleat") - 16_000.0 / 3150.0).abs() < 1e-12);
    }

    // Two legs at 60° to each other bear T/√3 each (any book of statics); at 120° each bears all of it.
    #[test]
    fn a_bridle_shares_the_load_by_its_angle() {
        let mut bridle = gear(Some(SnubberLegs::Bridle { spread: Length::metres(8.0) })).snubber.unwrap();
        assert!((leg_share(&bridle).unwrap() - 1.0 / 3.0_f64.sqrt()).abs() < 1e-12);
        bridle.leg.length = Length::metres(8.0 / 3.0_f64.sqrt());
        assert!((leg_share(&bridle).unwrap() - 1.0).abs() < 1e-12);
        bridle.leg.length = Length::metres(4.0);
        assert!(matches!(leg_share(&bridle), Err(PartsError::BridleTooShort { .. })));
    }

    #[test]
    fn tensions_that_do_not_fit_the_rode_are_refused() {
        let short = LineTensions { stretches: vec![tension(1.0)], ..tensions() };
        assert!(matches!(
            parts(&gear(None), &short, newtons(1.0)),
            Err(PartsError::CountDiffers { tensions: 1, stretches: 2 })
        ));
        let odd = LineTensions { boat: tension(f64::NAN), ..tensions() };
        assert!(matches!(parts(&gear(None), &odd, newtons(1.0)), Err(PartsError::Impossible(_))));
        let mut lost = gear(None);
        lost.connectors[1].joins = Joins::Stretches(1);
        assert!(matches!(
            parts(&lost, &tensions(), newtons(1.0)),
            Err(PartsError::NothingToJoin { lower: 1, stretches: 2 })
        ));
    }

    // Common practice, no source: eight metres of nylon want two to three metres of slack chain.
    #[test]
    fn eight_metres_of_nylon_want_two_to_three_metres_of_slack() {
        let snubber = gear(Some(SnubberLegs::Single)).snubber.unwrap();
        let slack = slack_bight(&snubber, newtons(3000.0)).as_metres();
        assert!((2.0..=3.0).contains(&slack), "{slack}");
        // A peak that stretches it further wants more.
        assert!(slack < slack_bight(&snubber, newtons(12_000.0)).as_metres());
    }
}
