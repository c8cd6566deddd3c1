//! Neighbours that drag, drift or come too near.

use jiff::Timestamp;

use crate::units::Length;

/// What a neighbour does that the crew must hear.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ThreatKind {
    /// Her anchor drags, and her way leads here.
    Dragging,
    /// She drifts, and her way leads here.
    Adrift,
    /// She comes too near.
    Closing,
}

/// A neighbour that the crew must hear of.
#[derive(Clone, Debug, PartialEq)]
pub struct NeighbourThreat {
    /// Her identity: the nine digits.
    pub mmsi: u32,
    /// Her name, if she gave it.
    pub name: Option<String>,
    /// What she does.
    pub kind: ThreatKind,
    /// The least distance between the hulls.
    pub nearest: Length,
    /// When that is.
    pub at: Timestamp,
}
