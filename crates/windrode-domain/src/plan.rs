//! The plan of a stay: from boat, gear, place, water and wind to one sheet that says how she lies.
//!
//! ```text
//! inputs ──> for every instant: water, load, rode, room ──> chance, weakest part ──> findings ──> sheet
//! ```

pub mod limits;
pub mod sheet;
