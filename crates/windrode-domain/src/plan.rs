//! The plan of a stay: from boat, gear, place, water and wind to one sheet that says how she lies.
//!
//! ```text
//! inputs ──> for every instant: water, load, rode, room ──> chance, weakest part ──> findings ──> sheet
//! ```

pub mod limits;
pub mod inputs;
pub mod conditions;
pub mod riding;
pub mod board;
pub mod laid;
pub mod choose;
pub mod over_stay;
mod findings;
pub mod sheet;
pub mod explain;
