//! The other guards: what the crew must hear beside the anchor, each on its own line.

pub mod neighbours;
