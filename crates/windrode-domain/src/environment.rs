//! What surrounds her: tide, stream, wind, sea, ground, light.

pub mod forecast;
pub mod heading;
pub mod loads;
pub mod stream_load;
pub mod waves;
pub mod wind;
pub mod windage;
