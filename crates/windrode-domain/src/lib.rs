//! The seamanship of lying at anchor: physics, estimation, judgement.
//!
//! A boat rides to wind, stream and sea; the rode carries her load to the anchor; the ground holds, or does not; the
//! water rises and falls under her and she swings among shores and neighbours. This crate works out all of it for
//! every instant of a stay, with its uncertainty, and says in four words how she lies.
//!
//! # Units, frames, signs
//!
//! SI throughout, in types that say their unit ([`units`]). Time is UTC and always an argument. Bearings are true.
//! Winds blow *from*, streams set *to*. Depths say their datum ([`depth`]). Heights of the rode are reckoned from the
//! anchor up to the bow roller.
//!
//! # Invariants
//!
//! No I/O, no clock, no randomness of its own. Absence is never zero and never "safe". Nothing is rounded here.
//!
//! # Reading order
//!
//! The modules are listed in the order in which a newcomer should read them.

pub mod units;
pub mod position;
pub mod span;
pub mod depth;
pub mod uncertain;
pub mod sourced;
pub mod drawn;
mod even_draws;
pub mod boat;
pub mod tackle;
pub mod roots;
pub mod catenary;
pub mod environment;
pub mod seabed;
pub mod holding;
pub mod propeller;
pub mod set;
pub mod arrangement;
pub mod parts;
pub mod chance;
pub mod trade_rules;
pub mod swing;
pub mod collision_rules;
pub mod plan;
pub mod watch;
pub mod ride;
pub mod simulate;
