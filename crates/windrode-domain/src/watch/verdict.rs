//! What the watch says: one word, and the reasons for it with their numbers.

use jiff::Timestamp;

use crate::position::Position;
use crate::units::{Bearing, Length};

/// The word.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Verdict {
    /// The anchor has not moved, as far as can be told, and it can be told.
    Holding,
    /// Something speaks for dragging, not enough to call it; or too little is known yet.
    Doubtful,
    /// The anchor moves, or has moved.
    Dragging,
    /// It cannot be told: nothing to be trusted says where she is.
    Blind,
    /// She leaves of her own accord.
    UnderWay,
}

impl Verdict {
    /// A word for programs, the same for ever.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Holding => "holding",
            Self::Doubtful => "doubtful",
            Self::Dragging => "dragging",
            Self::Blind => "blind",
            Self::UnderWay => "under_way",
        }
    }
}

/// Where the anchor is thought to lie.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AnchorEstimate {
    /// The middle.
    pub at: Position,
    /// One standard deviation along the worse axis.
    pub spread: Length,
}

/// How far and which way the anchor has gone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moved {
    /// How far.
    pub distance: Length,
    /// One standard deviation of it.
    pub spread: Length,
    /// Whither, if it can be told.
    pub toward: Option<Bearing>,
    /// When it began, as far as can be told.
    pub since: Option<Timestamp>,
    /// Speed of it, m/s, if it can be told.
    pub speed_ms: Option<f64>,
}
