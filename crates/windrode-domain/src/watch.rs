//! Keeping watch: where the anchor lies, whether it moves, and what else the crew must hear.
//!
//! A boat at anchor moves all the time: she swings with the wind, sheers from side to side, ranges ahead and falls
//! back, turns with the stream. None of that moves the anchor. An anchor that drags goes along the rode, towards
//! where she is pulled, and takes her bow with it. So the bow's distance from the anchor, against what the rode
//! reaches under that load, tells the one from the other; where round its circle she lies does not.
//!
//! The watch is a value. It changes only in its `step`, from one event at one instant: nothing in here reads a clock,
//! so a recorded night gives the same words as the night itself. Silence is an event too: the watch asks to be called
//! at an instant, and what has not been heard by then is told.

pub mod observation;
pub mod event;
pub mod given;
pub mod verdict;
pub mod effect;
mod own_clock;
mod doppler;
mod receivers;
mod instrument;
pub mod sample;
mod gather;
pub mod found;
pub mod reach;
pub mod estimate;
pub mod drag;
pub mod circle;
pub mod detector;
pub mod limit;
mod leaving;
pub mod guards;
mod alarm;
pub mod reason;
mod judgement;
pub mod remembered;
pub mod step;
pub mod view;
pub mod neighbours;
