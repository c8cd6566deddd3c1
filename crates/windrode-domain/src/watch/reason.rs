//! Why the watch says what it says: each with its numbers. The words are made at the edge.

use jiff::{SignedDuration, Timestamp};

use super::guards::neighbours::{NeighbourThreat, ThreatKind};
use super::observation::Source;
use super::sample::Unsound;
use crate::units::{Angle, Bearing, Length, Speed};

/// A reason. The code of each is part of the public contract.
#[derive(Clone, Debug, PartialEq)]
pub enum Reason {
    /// The bow lies where the rode lets it, give or take.
    LiesToHerRode {
        /// Metres beyond the rode's reach; negative inside.
        beyond: Length,
        /// One standard deviation.
        spread: Length,
    },
    /// The anchor has gone so far.
    AnchorGone {
        /// How far.
        distance: Length,
        /// One standard deviation of it.
        spread: Length,
        /// Whither, if it can be told.
        toward: Option<Bearing>,
        /// How fast it goes, if it can be told.
        speed: Option<Speed>,
        /// When it began, as far as can be told.
        began: Option<Timestamp>,
    },
    /// She is outside the plain circle round the drop: the backstop.
    OutsideCircle {
        /// How far she is from its middle.
        from_middle: Length,
        /// Its radius.
        radius: Length,
    },
    /// The drop that was recorded and the fixes do not belong together: no rode and no error of a receiver is so long.
    DropElsewhere {
        /// How far she is from the drop.
        from_drop: Length,
        /// What rode and receiver may come to.
        limit: Length,
    },
    /// Something speaks for dragging, not enough to call it.
    SpeaksForDragging {
        /// Evidence over what rings: below 1.
        share: f64,
    },
    /// The watch has not seen enough of how she lies.
    NotSettled {
        /// How long it has watched.
        watched: SignedDuration,
    },
    /// No length of rode is known, and she has shown too little of her circle to tell it.
    LittleOfCircle {
        /// Arc that she has swung through as seen from where the anchor is thought to lie.
        arc: Angle,
    },
    /// Places come so seldom, and rode, drop and wind are all unknown, that nobody could tell a drag from a swing.
    TooSeldom {
        /// The longest of the last intervals.
        interval: SignedDuration,
    },
    /// The heading is heard and not believed: it is left out of account.
    HeadingLeftOut {
        /// Why.
        why: Unsound,
    },
    /// The wind is heard and not believed: it is left out of account.
    WindLeftOut {
        /// Why.
        why: Unsound,
    },
    /// Neither heading nor wind is there: bow and load are guessed.
    HeadingAndWindMissing,
    /// She moves as a boat does that leaves: it is watched whether she does.
    MayBeLeaving {
        /// Way over the ground.
        speed: Speed,
        /// Whither.
        course: Bearing,
    },
    /// She makes way, and has not lain since the watch was taken: the anchor is not down yet.
    NotDownYet {
        /// Way over the ground.
        speed: Speed,
        /// Whither.
        course: Bearing,
    },
    /// She has left and lies somewhere else: the watch is to be ended, or taken anew.
    LiesElsewhere {
        /// Since when she was under way.
        left: Timestamp,
        /// How far she lies from where her anchor lay, if that was known.
        from_anchor: Option<Length>,
        /// How long she has lain still.
        lasting: SignedDuration,
    },
    /// The crew said that the anchor is aweigh.
    ToldAweigh,
    /// She goes where she heads: an anchor does not drag that way.
    GoesAlongHeading {
        /// Way over the ground.
        speed: Speed,
        /// Whither.
        course: Bearing,
        /// For how long.
        lasting: SignedDuration,
    },
    /// She goes faster and longer than any drag.
    GoesFast {
        /// Way over the ground.
        speed: Speed,
        /// Whither.
        course: Bearing,
        /// For how long.
        lasting: SignedDuration,
    },
    /// No receiver has given a fix since the watch began.
    NoFixYet {
        /// How long that is.
        waited: SignedDuration,
    },
    /// No fix that can be trusted has come for so long.
    NoUsableFix {
        /// How long.
        lasting: SignedDuration,
        /// What is allowed.
        limit: SignedDuration,
    },
    /// This receiver cannot be trusted, or is not heard.
    Receiver {
        /// Which.
        source: Source,
        /// Why.
        fault: Fault,
    },
    /// Two receivers disagree.
    ReceiversDisagree {
        /// The one that is used.
        used: Source,
        /// The other.
        other: Source,
        /// How far they are apart.
        apart: Length,
        /// What may be between them.
        limit: Length,
    },
    /// The water under the keel is too little now.
    WaterNow {
        /// Under the keel; negative where she takes the ground.
        under_keel: Length,
        /// What it rings at.
        limit: Length,
        /// Whether the sounder says so, or the tide foretold.
        sounded: bool,
    },
    /// The water under the keel will be too little.
    WaterForetold {
        /// Under the keel; negative where she takes the ground.
        under_keel: Length,
        /// What it rings at.
        limit: Length,
        /// When it is lowest.
        at: Timestamp,
    },
    /// More wind than the set has proved.
    WindAboveProof {
        /// The strongest gust of ten minutes.
        gust: Speed,
        /// Mean of ten minutes.
        mean: Speed,
        /// What the set has proved.
        proved: Speed,
    },
    /// More wind than was foretold.
    WindAboveForecast {
        /// Mean of ten minutes.
        mean: Speed,
        /// Mean foretold.
        foretold_mean: Speed,
        /// Gust foretold, if one was.
        foretold_gust: Option<Speed>,
    },
    /// The wind has shifted since the watch was taken, or since it was last told.
    WindShift {
        /// From where it came.
        before: Bearing,
        /// From where it comes.
        from: Bearing,
        /// By how much, clockwise positive.
        turn: Angle,
        /// Its strength.
        mean: Speed,
    },
    /// A neighbour drags, drifts or comes too near.
    Neighbour(NeighbourThreat),
    /// The battery is low.
    BatteryLow {
        /// Volts.
        volts: f64,
        /// What it rings at.
        limit_v: f64,
    },
    /// An instrument that spoke is silent.
    SensorSilent {
        /// Which.
        sensor: Sensor,
        /// How long.
        lasting: SignedDuration,
    },
    /// The water stands otherwise than foretold.
    TideOtherwise {
        /// Sounded less foretold.
        residual: Length,
    },
    /// The wind blows from another quarter than foretold.
    WindFromElsewhere {
        /// From where it comes.
        from: Bearing,
        /// From where it was foretold.
        foretold: Bearing,
        /// Its strength.
        mean: Speed,
    },
    /// The plan said not to lie here.
    PlanForbids,
    /// The plan could not say whether to lie here.
    PlanCannotSay,
    /// The boat's clock was set back, and the times told are by the clock as it is now.
    ClockSetBack {
        /// By how much.
        by: SignedDuration,
    },
    /// It stood when the watch broke off, and has not been judged again yet.
    StoodBefore {
        /// When the watch broke off.
        broke_off: Timestamp,
    },
}

/// What speaks against a receiver.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fault {
    /// It says that it has no fix.
    NoFix,
    /// Its fixes are reckoned, typed in or simulated, not measured.
    NotMeasured,
    /// It is silent.
    Silent {
        /// How long.
        lasting: SignedDuration,
    },
    /// It leapt as no boat can.
    Leap {
        /// How far.
        distance: Length,
        /// In how long.
        within: SignedDuration,
    },
    /// It leapt, and its own clock stepped with it: the sign of a counterfeit signal.
    LeapWithClock {
        /// How far.
        distance: Length,
        /// How far its clock stepped against the boat's, seconds.
        clock_s: f64,
    },
    /// It says the same place to the last digit while she moves.
    Frozen {
        /// How long.
        lasting: SignedDuration,
    },
    /// Its satellites have gone: the sign of jamming, or of a covered antenna.
    SatellitesGone {
        /// Used now.
        used: u8,
        /// Used usually.
        usual: f64,
    },
    /// Its signals have sunk: the sign of jamming.
    SignalsSunk {
        /// Carrier to noise now, dB-Hz.
        carrier_db_hz: f64,
        /// What it usually is.
        usual_db_hz: f64,
    },
}

/// An instrument that may fall silent.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Sensor {
    /// The compass.
    Heading,
    /// The wind's.
    Wind,
    /// The sounder.
    Sounder,
    /// The battery's meter.
    Battery,
}

impl Fault {
    /// A word for programs, the same for ever.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::NoFix => "receiver_no_fix",
            Self::NotMeasured => "receiver_not_measured",
            Self::Silent { .. } => "receiver_silent",
            Self::Leap { .. } => "receiver_leapt",
            Self::LeapWithClock { .. } => "receiver_leapt_with_clock",
            Self::Frozen { .. } => "receiver_frozen",
            Self::SatellitesGone { .. } => "satellites_gone",
            Self::SignalsSunk { .. } => "signals_sunk",
        }
    }
}

impl Reason {
    /// A word for programs, the same for ever.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::LiesToHerRode { .. } => "lies_to_her_rode",
            Self::AnchorGone { .. } => "anchor_gone",
            Self::OutsideCircle { .. } => "outside_circle",
            Self::DropElsewhere { .. } => "drop_elsewhere",
            Self::SpeaksForDragging { .. } => "speaks_for_dragging",
            Self::NotSettled { .. } => "not_settled",
            Self::LittleOfCircle { .. } => "little_of_circle",
            Self::TooSeldom { .. } => "too_seldom",
            Self::HeadingLeftOut { .. } => "heading_left_out",
            Self::WindLeftOut { .. } => "wind_left_out",
            Self::HeadingAndWindMissing => "heading_and_wind_missing",
            Self::MayBeLeaving { .. } => "may_be_leaving",
            Self::NotDownYet { .. } => "not_down_yet",
            Self::LiesElsewhere { .. } => "lies_elsewhere",
            Self::ToldAweigh => "told_aweigh",
            Self::GoesAlongHeading { .. } => "goes_along_heading",
            Self::GoesFast { .. } => "goes_fast",
            Self::NoFixYet { .. } => "no_fix_yet",
            Self::NoUsableFix { .. } => "no_usable_fix",
            Self::Receiver { fault, .. } => fault.code(),
            Self::ReceiversDisagree { .. } => "receivers_disagree",
            Self::WaterNow { .. } => "water_now",
            Self::WaterForetold { .. } => "water_foretold",
            Self::WindAboveProof { .. } => "wind_above_proof",
            Self::WindAboveForecast { .. } => "wind_above_forecast",
            Self::WindShift { .. } => "wind_shift",
            Self::Neighbour(threat) => match threat.kind {
                ThreatKind::Dragging => "neighbour_dragging",
                ThreatKind::Adrift => "neighbour_adrift",
                ThreatKind::Closing => "neighbour_closing",
            },
            Self::BatteryLow { .. } => "battery_low",
            Self::SensorSilent { .. } => "sensor_silent",
            Self::TideOtherwise { .. } => "tide_otherwise",
            Self::WindFromElsewhere { .. } => "wind_from_elsewhere",
            Self::PlanForbids => "plan_forbids",
            Self::PlanCannotSay => "plan_cannot_say",
            Self::ClockSetBack { .. } => "clock_set_back",
            Self::StoodBefore { .. } => "stood_before",
        }
    }
}
