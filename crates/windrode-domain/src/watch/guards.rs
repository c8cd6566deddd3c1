//! The other guards: what the crew must hear beside the anchor, each on its own line.
//!
//! Each keeps what it needs of what was seen, and claims its alarm as long as its reason stands. None knows of
//! another, and none needs a fix.

mod instruments;
pub mod neighbours;
mod water;
mod wind;

pub(super) use self::instruments::{BatteryGuard, silence};
pub(super) use self::water::{WaterBy, WaterGuard};
pub(super) use self::wind::WindGuard;
