//! The winds of a kind of night.

use rand::Rng;

use super::{WindStory, between, happens};
use crate::simulate::story::WindKnot;

/// When a wind goes round.
pub(super) struct Turned {
    pub(super) begins_s: f64,
    pub(super) ends_s: f64,
}

/// No wind at all, to be replaced.
pub(super) fn calm() -> WindStory {
    WindStory {
        knots: Vec::new(),
        turbulence: 0.0,
        direction_gusts: 0.0,
        mean_wanders: (0.0, 1.0),
        direction_wanders: (0.0, 1.0),
    }
}

/// Gusts of open water to a sheltered bay, and a mean that wanders by a tenth and 8° in the hour.
fn gusty<R: Rng + ?Sized>(knots: Vec<WindKnot>, rng: &mut R) -> WindStory {
    WindStory {
        knots,
        turbulence: between(rng, (0.10, 0.20)),
        direction_gusts: between(rng, (0.7, 1.3)),
        mean_wanders: (0.10, 2400.0),
        direction_wanders: (8.0, 2400.0),
    }
}

/// One mean, within bounds, m/s.
pub(super) fn steady<R: Rng + ?Sized>(mean_ms: (f64, f64), rng: &mut R) -> WindStory {
    let knot = WindKnot { at_s: 0.0, mean_ms: between(rng, mean_ms), from_deg: between(rng, (0.0, 360.0)) };
    gusty(vec![knot], rng)
}

/// 140° to 200° either way, in a time within bounds, begun between one hour and five.
pub(super) fn shift<R: Rng + ?Sized>(
    mean_ms: (f64, f64),
    lasting_s: (f64, f64),
    rng: &mut R,
) -> (WindStory, Turned) {
    let before = WindKnot {
        at_s: between(rng, (3600.0, 18_000.0)),
        mean_ms: between(rng, mean_ms),
        from_deg: between(rng, (0.0, 360.0)),
    };
    let turn_deg = between(rng, (140.0, 200.0)) * if happens(rng, 0.5) { 1.0 } else { -1.0 };
    let after = WindKnot {
        at_s: before.at_s + between(rng, lasting_s),
        mean_ms: between(rng, mean_ms),
        from_deg: before.from_deg + turn_deg,
    };
    let turned = Turned { begins_s: before.at_s, ends_s: after.at_s };
    (gusty(vec![before, after], rng), turned)
}

/// A wind that dies away in ten minutes, hardly stirs for ten to thirty, and comes from the other side within five to
/// fifteen; the turn is the time from when it stirs least.
pub(super) fn dies_and_turns<R: Rng + ?Sized>(rng: &mut R) -> (WindStory, Turned) {
    let before = WindKnot {
        at_s: between(rng, (3600.0, 18_000.0)),
        mean_ms: between(rng, (4.0, 9.0)),
        from_deg: between(rng, (0.0, 360.0)),
    };
    let stirring_ms = between(rng, (0.3, 1.0));
    let lull = WindKnot { at_s: before.at_s + 600.0, mean_ms: stirring_ms, ..before };
    let stirs = WindKnot {
        at_s: lull.at_s + between(rng, (600.0, 1800.0)),
        from_deg: before.from_deg + between(rng, (160.0, 200.0)),
        ..lull
    };
    let after = WindKnot {
        at_s: stirs.at_s + between(rng, (300.0, 900.0)),
        mean_ms: between(rng, (4.0, 9.0)),
        ..stirs
    };
    let turned = Turned { begins_s: lull.at_s, ends_s: after.at_s };
    (gusty(vec![before, lull, stirs, after], rng), turned)
}

/// A squall's knots: up in one to three minutes, ten to thirty minutes, down in ten.
fn squall<R: Rng + ?Sized>(calm: WindKnot, begins_s: f64, rng: &mut R) -> [WindKnot; 4] {
    let most_ms = calm.mean_ms * between(rng, (2.0, 2.8));
    let veer_deg = between(rng, (20.0, 100.0)) * if happens(rng, 0.5) { 1.0 } else { -1.0 };
    let up_s = begins_s + between(rng, (60.0, 180.0));
    let ebbs_s = up_s + between(rng, (600.0, 1800.0));
    let blowing = |at_s| WindKnot { at_s, mean_ms: most_ms, from_deg: calm.from_deg + veer_deg };
    [
        WindKnot { at_s: begins_s, ..calm },
        blowing(up_s),
        blowing(ebbs_s),
        WindKnot { at_s: ebbs_s + 600.0, ..calm },
    ]
}

/// One to three squalls in a night, in 5 to 8 m/s of wind.
pub(super) fn squalls<R: Rng + ?Sized>(night_s: f64, rng: &mut R) -> WindStory {
    let calm =
        WindKnot { at_s: 0.0, mean_ms: between(rng, (5.0, 8.0)), from_deg: between(rng, (0.0, 360.0)) };
    let share_s = night_s / 3.0;
    let mut knots = vec![calm];
    for third in 0..3 {
        let begins_s = share_s * f64::from(third) + between(rng, (1200.0, share_s - 2800.0));
        if third == 0 || happens(rng, 0.5) {
            knots.extend(squall(calm, begins_s, rng));
        }
    }
    gusty(knots, rng)
}

/// One squall, begun between one hour and three; when, and its mean at the height, m/s.
pub(super) fn one_squall<R: Rng + ?Sized>(rng: &mut R) -> (WindStory, f64, f64) {
    let calm =
        WindKnot { at_s: 0.0, mean_ms: between(rng, (5.0, 8.0)), from_deg: between(rng, (0.0, 360.0)) };
    let begins_s = between(rng, (3600.0, 10_800.0));
    let blowing = squall(calm, begins_s, rng);
    let most_ms = blowing[1].mean_ms;
    let mut knots = vec![calm];
    knots.extend(blowing);
    (gusty(knots, rng), begins_s, most_ms)
}
