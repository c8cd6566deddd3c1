//! Where the anchor lies, from where the bow is.
//!
//! ```text
//! |y − A − b| = X(H) + c + s                       along the rode
//! A   anchor, m          random walk, 0.2 m/√h     nothing that holds moves; what creeps so slowly is not called
//! c   radius error, m    random walk               rode not as long as told, antenna, load taken wrongly
//! b   error of the fix   Ornstein-Uhlenbeck        moved by what Doppler says that the boat did not do
//! s   swing residual, m  Ornstein-Uhlenbeck        surge, sheer and gusts that the statics do not know
//! v   speed of a drag    random walk               only where the anchor is taken to drag
//! ```
//!
//! `y` is the bow, `X(H)` the rode's reach under the load. A Kalman filter carries `[A, c, b, s, v]`. What it is told
//! is one number, the **radial residual** `ν = |y − A − b| − X − c − s`. Where on the circle she lies tells nothing of
//! dragging; it is used, softly, to learn in which direction the anchor lies.

mod filter;
mod fix_error;
mod load;
mod noise;

pub use self::filter::{Filter, Radial};
pub use self::fix_error::{FixError, Step};
pub use self::load::Loads;
pub use self::noise::Noise;
