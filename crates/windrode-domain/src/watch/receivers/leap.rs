//! Leaps that no boat can make.
//!
//! Between two fixes `dt` apart a boat goes no further than `allowed = 20 m + 5.1 m/s · min(dt, 10 s) + 15 m/s ·
//! (dt - 10 s)`: 20 m are what fixes scatter by reflections, 5.1 m/s are 10 kn, a quarter more than the 8 kn that a
//! boat which has just broken out may make, and in more than ten seconds she may have gathered 30 kn of way. Further
//! than that is a leap, unless the way over the ground by Doppler, which reflections hardly touch, says the same.
//!
//! A leap is left out. What comes after says what it was: back where it came from, and it was a bad fix; or staying
//! where it leapt to. If the Doppler or another receiver goes along, it was her own way. If nothing goes along, this
//! receiver cannot be trusted until it comes back.

use jiff::Timestamp;

use crate::position::{Offset, Position};
use crate::units::Length;
use crate::watch::own_clock::seconds;

/// Scatter of fixes that is no leap, m: bursts of reflections reach 5 to 24 m at anchor, smoothed by the receiver.
const SCATTER_M: f64 = 20.0;
/// Way that she may have at once, m/s: 10 kn.
const AT_ONCE_MS: f64 = 5.1;
/// In so many seconds she may have gathered more.
const GATHERS_S: f64 = 10.0;
/// Way that any vessel of this size may gather, m/s: 30 kn.
const GATHERED_MS: f64 = 15.0;
/// Share of a distance by which integrated Doppler may differ from it and still bear it out (a choice).
const DOPPLER_SHARE: f64 = 0.3;
/// Drift of her own while a receiver was away that still counts as coming back, m/s: a drag of 2 kn.
const RETURN_MS: f64 = 1.0;
/// However long it was away, coming back is no further off than this, m.
const RETURN_MOST_M: f64 = 100.0;
/// Another receiver bears a place out if it is no further off, m: both may scatter.
const WITNESS_M: f64 = 40.0;
/// Until so many good fixes a receiver has no place of its own: its first fix may have been the wild one.
const FIRST_FIXES: u32 = 5;
/// Then where it stays for so long is where it is, s.
const FIRST_STAYS_S: f64 = 10.0;

/// A place that was trusted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Base {
    /// When.
    pub(super) at: Timestamp,
    /// Where.
    pub(super) place: Position,
    /// How many fixes were good up to here.
    pub(super) fixes: u32,
}

/// What else is known of her way since a base.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Witness {
    /// The way by Doppler since the base, if it was there all the while.
    pub(super) went: Option<Offset>,
    /// The fastest way over the ground said at either end, m/s, where reports are far between.
    pub(super) way_ms: Option<f64>,
    /// Where another trusted receiver is.
    pub(super) other: Option<Position>,
    /// The receiver's own clock has stepped since the base: then whatever goes beyond scatter is a leap.
    pub(super) clock_stepped: bool,
}

/// A receiver that has leapt.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Leap {
    /// Since when it is away.
    pub(super) since: Timestamp,
    /// How far it leapt.
    pub(super) distance_m: f64,
    /// In how long, s.
    pub(super) within_s: f64,
    last: (Timestamp, Position),
    stays_since: Timestamp,
}

/// What a fix is against what was trusted before.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Step {
    /// It may be her own way.
    Possible,
    /// It leapt, or is still away.
    Away(Leap),
}

/// How far a boat may go, and a fix scatter.
pub(super) fn allowed_m(dt_s: f64) -> f64 {
    SCATTER_M + AT_ONCE_MS * dt_s.clamp(0.0, GATHERS_S) + GATHERED_MS * (dt_s - GATHERS_S).max(0.0)
}

/// Judges a fix against the last that was trusted.
pub(super) fn judge(
    base: &Base,
    away: Option<&Leap>,
    at: Timestamp,
    place: Position,
    witness: &Witness,
) -> Step {
    let dt_s = seconds(at, base.at);
    let moved = base.place.offset_of(place);
    if is_borne_out(moved, dt_s, place, witness) {
        return Step::Possible;
    }
    let distance_m = moved.length().as_metres();
    let Some(away) = away else {
        let allowed_m = if witness.clock_stepped { SCATTER_M } else { allowed_m(dt_s) };
        return if distance_m <= allowed_m {
            Step::Possible
        } else {
            let last = (at, place);
            Step::Away(Leap { since: at, distance_m, within_s: dt_s, last, stays_since: at })
        };
    };
    if distance_m <= (SCATTER_M + RETURN_MS * dt_s).min(RETURN_MOST_M) {
        return Step::Possible;
    }
    let mut away = *away;
    let hop_m = away.last.1.towards(place).0.as_metres();
    if allowed_m(seconds(at, away.last.0)) < hop_m {
        away.stays_since = at;
    }
    away.last = (at, place);
    let stays_s = seconds(at, away.stays_since);
    if base.fixes < FIRST_FIXES && FIRST_STAYS_S <= stays_s { Step::Possible } else { Step::Away(away) }
}

fn is_borne_out(moved: Offset, dt_s: f64, place: Position, witness: &Witness) -> bool {
    let distance_m = moved.length().as_metres();
    let slack = Length::metres(SCATTER_M + DOPPLER_SHARE * distance_m);
    let by_doppler = witness.went.is_some_and(|went| went.distance_to(moved) <= slack);
    let by_way =
        witness.way_ms.is_some_and(|way_ms| distance_m <= SCATTER_M + (1.0 + DOPPLER_SHARE) * way_ms * dt_s);
    // Another receiver says where she is; it bears out a place that is otherwise too far off to be reached.
    let by_other = witness.other.is_some_and(|other| other.towards(place).0 <= Length::metres(WITNESS_M));
    by_doppler || by_way || by_other
}
