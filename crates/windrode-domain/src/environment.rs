//! What surrounds her: tide, stream, wind, sea, ground, light.

pub mod current;
pub mod tide;
