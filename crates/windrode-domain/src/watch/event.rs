//! What can happen in a watch: something seen, something told by the crew, a neighbour's report, or time passing.

use jiff::{SignedDuration, Timestamp};

use super::effect::AlarmKind;
use super::given::Expected;
use super::observation::Observation;
use crate::position::Position;
use crate::units::{Bearing, Length, Speed};

/// One event of a watch.
#[derive(Clone, Debug, PartialEq)]
pub enum Event {
    /// One of her own instruments spoke.
    Observed(Observation),
    /// A vessel near by reported herself.
    Neighbour(NeighbourReport),
    /// The crew said something.
    Told(Told),
    /// Nothing happened but time: the call that the watch asked for.
    Tick,
}

/// What the crew say.
#[derive(Clone, Debug, PartialEq)]
pub enum Told {
    /// The anchor was let go here.
    Dropped {
        /// Where it lies, or lay when it touched ground.
        at: Position,
        /// How far that may be off, one standard deviation along either axis.
        spread: Length,
    },
    /// So much rode is out now: veered or hauled.
    RodeOut(Length),
    /// The engine runs, or was stopped.
    EngineRunning(bool),
    /// The anchor is aweigh: she leaves of her own accord.
    Aweigh,
    /// This alarm was heard by somebody.
    Acknowledge(AlarmKind),
    /// This alarm shall be still for a time, unless it worsens.
    Silence {
        /// Which.
        alarm: AlarmKind,
        /// For how long.
        lasting: SignedDuration,
    },
    /// This alarm is done with; it rings anew if its reason comes again.
    Clear(AlarmKind),
    /// What the plan and a new forecast make her expect.
    Expect(Expected),
}

/// What a vessel near by said of herself.
#[derive(Clone, Debug, PartialEq)]
pub struct NeighbourReport {
    /// When it was heard, by the boat's own clock.
    pub at: Timestamp,
    /// Her identity: the nine digits.
    pub mmsi: u32,
    /// What she said.
    pub said: NeighbourSaid,
}

/// What a neighbour can say.
#[derive(Clone, Debug, PartialEq)]
pub enum NeighbourSaid {
    /// Where she is, and how she moves; what she does not know is absent.
    Position {
        /// Her reference point, usually the antenna.
        at: Position,
        /// Way over the ground.
        speed: Option<Speed>,
        /// Whither, true.
        course: Option<Bearing>,
        /// True heading.
        heading: Option<Bearing>,
        /// Her own word for what she does.
        status: NeighbourStatus,
        /// She says her fix is good to 10 m.
        accurate: bool,
        /// Her rate of turn, degrees a minute, clockwise positive.
        turning_deg_min: Option<f64>,
    },
    /// What she is; metres from the reference point.
    Particulars {
        /// Name, if given.
        name: Option<String>,
        /// From the reference point to the bow.
        ahead: Option<Length>,
        /// From the reference point to the stern.
        astern: Option<Length>,
        /// From the reference point to her port side.
        port: Option<Length>,
        /// From the reference point to her starboard side.
        starboard: Option<Length>,
        /// Length over all, if given; it can be known where the reference point is not.
        length: Option<Length>,
        /// Beam, if given; likewise.
        beam: Option<Length>,
        /// Her type, as ITU-R M.1371 numbers it.
        ship_type: Option<u8>,
        /// Deepest draught, if given.
        draught: Option<Length>,
    },
}

/// A vessel's own word for what she does, as ITU-R M.1371 lists it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum NeighbourStatus {
    /// Under way using engine.
    UnderWayEngine,
    /// At anchor.
    AtAnchor,
    /// Not under command.
    NotUnderCommand,
    /// Moored.
    Moored,
    /// Aground.
    Aground,
    /// Under way sailing.
    UnderWaySailing,
    /// Another status, by its number.
    Other(u8),
    /// Not said.
    Unstated,
}
