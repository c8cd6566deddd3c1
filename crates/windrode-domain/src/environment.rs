//! What surrounds her: tide, stream, wind, sea, loads, light, where a compass points.

pub mod tide;
pub mod current;
pub mod wind;
pub mod forecast;
pub mod waves;
pub mod windage;
pub mod stream_load;
pub mod heading;
pub mod loads;
pub mod almanac;
pub mod magnetism;
