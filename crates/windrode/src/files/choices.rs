//! The words that vessel and stay files know: one list of each, by which the reader reads and which the page offers.
//!
//! A word that says nothing of its own is another name of the one before it: it is read, and not offered.

use windrode_domain::arrangement::Arrangement;
use windrode_domain::boat::{HullKind, PropellerKind};
use windrode_domain::environment::wind::Exposure;
use windrode_domain::seabed;
use windrode_domain::set::Burial;
use windrode_domain::swing::neighbour::NeighbourRode;
use windrode_domain::tackle::chain::{ChainGrade, ChainStandard};
use windrode_domain::tackle::rope::{RopeConstruction, Termination};
use windrode_domain::tackle::{AnchorClass, Joins, RopeFibre};

use super::stay::Turn;
use super::vessel::ReadsBelow;
use crate::crew_units::{ForceUnit, LengthUnit, SpeedUnit};

/// A word of a file.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Choice<T> {
    /// As it is written.
    pub(crate) word: &'static str,
    /// What it is.
    pub(crate) is: T,
    /// What it means, for the crew.
    pub(crate) says: &'static str,
}

/// One of them.
pub(crate) const fn choice<T>(word: &'static str, is: T, says: &'static str) -> Choice<T> {
    Choice { word, is, says }
}

/// `stay.arrangement`.
pub(crate) const ARRANGEMENTS: [Choice<Arrangement>; 6] = [
    choice("single anchor", Arrangement::SingleAnchor, "one anchor ahead; what is judged here"),
    choice(
        "two anchors forward",
        Arrangement::TwoAnchorsForward { between: None },
        "two rodes spread from the bow; not judged",
    ),
    choice(
        "tandem",
        Arrangement::Tandem { apart: None },
        "a second anchor on the first one's rode; not judged",
    ),
    choice("stern line", Arrangement::SternLine, "anchor ahead, a line ashore astern; not judged"),
    choice("fore and aft", Arrangement::ForeAndAft, "an anchor ahead and one astern; not judged"),
    choice("bahamian", Arrangement::Bahamian, "two anchors from the bow, up and down the stream; not judged"),
];

/// `wind.exposure`.
pub(crate) const EXPOSURES: [Choice<Exposure>; 4] = [
    choice("at sea", Exposure::AtSea, "open sea, more than 20 km from land"),
    choice("off sea", Exposure::OffSea, "the wind comes from the sea onto the coast"),
    choice(
        "off land",
        Exposure::OffLand,
        "the wind comes over land to windward; taken where nothing is told",
    ),
    choice("inland", Exposure::Inland, "among rough land all about"),
];

/// `ground.weed`: any of it may be where the anchor falls.
pub(crate) const WEED: [Choice<bool>; 11] = [
    choice("none", false, "no weed was seen"),
    choice("no", false, ""),
    choice("patches", true, "some bare, some covered: the anchor may fall on either"),
    choice("sparse", true, "thin, everywhere"),
    choice("some", true, ""),
    choice("yes", true, ""),
    choice("much", true, "most of the ground is covered"),
    choice("thick", true, "the ground is not seen through it"),
    choice("dense", true, ""),
    choice("kelp", true, "large weed with holdfasts"),
    choice("seagrass", true, "meadows with roots; often protected"),
];

/// `hull.kind`, `neighbour[].hull`.
pub(crate) const HULLS: [Choice<HullKind>; 3] = [
    choice("monohull sail", HullKind::MonohullSail, "one hull with a keel, mast and rigging"),
    choice("motor", HullKind::Motor, "one hull, high topsides, no rig to speak of"),
    choice("multihull", HullKind::Multihull, "two hulls or three"),
];

/// `neighbour[].kind`.
pub(crate) const NEIGHBOUR_RODES: [Choice<NeighbourRode>; 10] = [
    choice("chain", NeighbourRode::Chain, "lies to chain: swings late and short"),
    choice("rope", NeighbourRode::Rope, "lies to rope: swings early and wide"),
    choice("rope and chain", NeighbourRode::Rope, "rope with some chain: swings as rope does"),
    choice("mooring", NeighbourRode::Mooring, "on a buoy: swings in a small circle"),
    choice("fixed", NeighbourRode::FixedOrAground, "does not move"),
    choice("alongside", NeighbourRode::FixedOrAground, "made fast to a quay or to another"),
    choice("piles", NeighbourRode::FixedOrAground, "between piles"),
    choice("fore and aft", NeighbourRode::FixedOrAground, "held at both ends"),
    choice("aground", NeighbourRode::FixedOrAground, "sits on the bottom"),
    choice("unknown", NeighbourRode::Unknown, "nobody knows: guessed on the unfavourable side"),
];

/// `dive.seen`: how deep it was seen to lie. Words that may mean more or less take the less.
pub(crate) const BURIALS: [Choice<Burial>; 11] = [
    choice("not buried", Burial::Nothing, "lies on the ground"),
    choice("lying on the ground", Burial::Nothing, ""),
    choice("tip buried", Burial::Tip, "only the tip is in"),
    choice("tip", Burial::Tip, ""),
    choice("half buried", Burial::Tip, ""),
    choice("flukes buried", Burial::Flukes, "the flukes are in, the shank is seen"),
    choice("flukes", Burial::Flukes, ""),
    choice("buried", Burial::Flukes, ""),
    choice("shank buried", Burial::Shank, "the shank is in as well"),
    choice("shank", Burial::Shank, ""),
    choice("out of sight", Burial::Chain, "chain goes into the ground"),
];

/// `tide.table[].kind`.
pub(crate) const TURNS: [Choice<Turn>; 2] =
    [choice("high", Turn::High, "high water"), choice("low", Turn::Low, "low water")];

/// `tide.curve`: whether it is distorted.
pub(crate) const CURVES: [Choice<bool>; 2] = [
    choice("regular", false, "rises and falls evenly between its turns"),
    choice("distorted", true, "a stand, or a double high or low water"),
];

/// `anchor[].class`.
pub(crate) const ANCHORS: [Choice<AnchorClass>; 7] = [
    choice("scoop", AnchorClass::Scoop, "a concave fluke that digs like a spade, often with a roll bar"),
    choice("fluke", AnchorClass::Fluke, "two long flat flukes that pivot about a stock"),
    choice("plow", AnchorClass::Plow, "a ploughshare on a shank, hinged or not"),
    choice("claw", AnchorClass::Claw, "three curved blades in one piece"),
    choice("fisherman", AnchorClass::Fisherman, "a stock and two arms, one of which digs"),
    choice("grapnel", AnchorClass::Grapnel, "four prongs that fold, for rock and dinghies"),
    choice(
        "other",
        AnchorClass::Other,
        "none of these: may hold as little as the poorest of them, never more than a claw",
    ),
];

/// `sounder.reads`.
pub(super) const READINGS: [Choice<ReadsBelow>; 3] = [
    choice("below keel", ReadsBelow::Keel, "the water under her keel"),
    choice("below transducer", ReadsBelow::Transducer, "the water under the transducer"),
    choice("below surface", ReadsBelow::Surface, "the whole depth of water"),
];

/// `engine.propeller.kind`.
pub(crate) const PROPELLERS: [Choice<PropellerKind>; 5] = [
    choice("fixed two blades", PropellerKind::FixedTwoBlade, "two blades that do not move"),
    choice("fixed three blades", PropellerKind::FixedThreeBlade, "three blades that do not move"),
    choice(
        "feathering",
        PropellerKind::Feathering,
        "turns its blades round: pulls astern as it drives ahead",
    ),
    choice("folding geared", PropellerKind::FoldingGeared, "folds, the blades geared to each other"),
    choice("folding", PropellerKind::Folding, "folds, each blade by itself: little pull astern"),
];

/// `connector[].joins`; stretches are numbered beside it.
pub(crate) const JOINS: [Choice<Joins>; 4] = [
    choice("anchor to rode", Joins::AnchorToRode, "the shackle at the anchor"),
    choice("stretches", Joins::Stretches(0), "between two stretches of the rode"),
    choice("rode to snubber", Joins::RodeToSnubber, "the hook or hitch of the snubber"),
    choice("rode to boat", Joins::RodeToBoat, "where the rode itself is made fast"),
];

/// `snubber[].legs`: whether it is a bridle.
pub(crate) const LEGS: [Choice<bool>; 2] =
    [choice("single", false, "one leg"), choice("bridle", true, "two legs, one to each side")];

/// `rode[].stretch[].grade`.
pub(crate) const GRADES: [Choice<ChainGrade>; 3] = [
    choice("30", ChainGrade::G30, "the ordinary galvanized chain"),
    choice("40", ChainGrade::G40, "about a third stronger"),
    choice("70", ChainGrade::G70, "high-tensile"),
];

/// `rode[].stretch[].standard`.
pub(crate) const STANDARDS: [Choice<ChainStandard>; 2] = [
    choice("ISO 4565", ChainStandard::Iso4565, "anchor chain of small craft"),
    choice("DIN 766", ChainStandard::Din766, "short-link chain, tested"),
];

/// `rode[].stretch[].rope`.
pub(crate) const FIBRES: [Choice<RopeFibre>; 5] = [
    choice("polyamide", RopeFibre::Polyamide, "nylon: stretches most"),
    choice("nylon", RopeFibre::Polyamide, ""),
    choice("polyester", RopeFibre::Polyester, "stretches little"),
    choice("polypropylene", RopeFibre::Polypropylene, "floats"),
    choice("lead-cored", RopeFibre::LeadCored, "sinks"),
];

/// `rode[].stretch[].construction`.
pub(crate) const LAYS: [Choice<RopeConstruction>; 3] = [
    choice(
        "three-strand",
        RopeConstruction::ThreeStrand,
        "laid: stretches most; taken where nothing is told",
    ),
    choice("octoplait", RopeConstruction::Octoplait, "eight strands plaited: lies flat in the locker"),
    choice("double braid", RopeConstruction::DoubleBraid, "a core in a cover: stretches least"),
];

/// `rode[].stretch[].ends`.
pub(crate) const ENDS: [Choice<Termination>; 2] = [
    choice("spliced", Termination::Spliced, "an eye round a thimble"),
    choice("knotted", Termination::Knotted, "leaves least of its strength; taken where nothing is told"),
];

/// `crew.length`.
pub(crate) const LENGTH_UNITS: [Choice<LengthUnit>; 3] = [
    choice("metres", LengthUnit::Metres, "m"),
    choice("feet", LengthUnit::Feet, "ft"),
    choice("fathoms", LengthUnit::Fathoms, "fm, of six feet"),
];

/// `crew.speed`.
pub(crate) const SPEED_UNITS: [Choice<SpeedUnit>; 2] =
    [choice("knots", SpeedUnit::Knots, "kn"), choice("metres per second", SpeedUnit::MetresPerSecond, "m/s")];

/// `crew.force`.
pub(crate) const FORCE_UNITS: [Choice<ForceUnit>; 3] = [
    choice("decanewtons", ForceUnit::Decanewtons, "daN, about a kilogram's weight"),
    choice("kilonewtons", ForceUnit::Kilonewtons, "kN, about a hundred kilograms' weight"),
    choice("pounds", ForceUnit::PoundsForce, "lbf"),
];

/// The word of what it is.
pub(crate) fn word_of<T: Copy + PartialEq>(known: &[Choice<T>], is: T) -> &'static str {
    known.iter().find(|choice| choice.is == is).map_or("", |choice| choice.word)
}

/// What a field takes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Offered {
    /// Which field of which document: `stay:wind.exposure`, rows without their numbers.
    pub(crate) field: &'static str,
    /// Each word with its meaning.
    pub(crate) words: Vec<(&'static str, &'static str)>,
}

fn offered<T>(field: &'static str, known: &[Choice<T>]) -> Offered {
    let own = known.iter().filter(|choice| !choice.says.is_empty());
    Offered { field, words: own.map(|choice| (choice.word, choice.says)).collect() }
}

/// All that is offered.
pub(crate) fn all() -> Vec<Offered> {
    let mut all = of_stay();
    all.extend(of_vessel());
    all
}

fn of_stay() -> Vec<Offered> {
    let plain = |field, words: Vec<&'static str>| Offered {
        field,
        words: words.into_iter().map(|word| (word, "")).collect(),
    };
    vec![
        offered("stay:stay.arrangement", &ARRANGEMENTS),
        plain("stay:ground.nature", seabed::nature_words().collect()),
        plain("stay:ground.quality", seabed::qualifier_words().collect()),
        offered("stay:ground.weed", &WEED),
        offered("stay:tide.curve", &CURVES),
        offered("stay:tide.table[].kind", &TURNS),
        offered("stay:wind.exposure", &EXPOSURES),
        offered("stay:neighbour[].kind", &NEIGHBOUR_RODES),
        offered("stay:neighbour[].hull", &HULLS),
        offered("stay:dive.seen", &BURIALS),
    ]
}

fn of_vessel() -> Vec<Offered> {
    vec![
        offered("vessel:hull.kind", &HULLS),
        offered("vessel:sounder.reads", &READINGS),
        offered("vessel:engine.propeller.kind", &PROPELLERS),
        offered("vessel:anchor[].class", &ANCHORS),
        offered("vessel:rode[].stretch[].grade", &GRADES),
        offered("vessel:rode[].stretch[].standard", &STANDARDS),
        offered("vessel:rode[].stretch[].rope", &FIBRES),
        offered("vessel:rode[].stretch[].construction", &LAYS),
        offered("vessel:rode[].stretch[].ends", &ENDS),
        offered("vessel:snubber[].legs", &LEGS),
        offered("vessel:snubber[].rope", &FIBRES),
        offered("vessel:snubber[].construction", &LAYS),
        offered("vessel:snubber[].ends", &ENDS),
        offered("vessel:connector[].joins", &JOINS),
        offered("vessel:crew.length", &LENGTH_UNITS),
        offered("vessel:crew.speed", &SPEED_UNITS),
        offered("vessel:crew.force", &FORCE_UNITS),
    ]
}

#[cfg(test)]
mod tests {
    use windrode_domain::seabed::Bottom;
    use windrode_domain::uncertain::Origin;

    use super::*;

    #[test]
    fn no_word_is_offered_twice_and_none_without_another() {
        for Offered { field, words } in all() {
            assert!(1 < words.len(), "{field}");
            for (index, (word, _)) in words.iter().enumerate() {
                assert!(words.iter().skip(index + 1).all(|(other, _)| other != word), "{field}: {word}");
            }
        }
    }

    #[test]
    fn a_word_that_is_not_offered_means_what_another_means() {
        for (index, weed) in WEED.iter().enumerate().filter(|(_, weed)| weed.says.is_empty()) {
            assert!(WEED[..index].iter().any(|other| other.is == weed.is && !other.says.is_empty()));
        }
        for (index, seen) in BURIALS.iter().enumerate().filter(|(_, seen)| seen.says.is_empty()) {
            assert!(BURIALS[..index].iter().any(|other| other.is == seen.is && !other.says.is_empty()));
        }
    }

    #[test]
    fn every_ground_that_is_offered_is_read() {
        for word in seabed::nature_words().chain(seabed::qualifier_words()) {
            assert!(Bottom::parse(word, Origin::Given).is_ok(), "{word}");
        }
    }
}
