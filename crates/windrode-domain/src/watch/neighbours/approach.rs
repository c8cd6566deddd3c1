//! Whether a moving neighbour comes to us: her hull as she heads now, carried along her way, against all our swing.
//!
//! Our boat can be anywhere within her reach and length of her anchor. The hull of the other is a segment from bow
//! to stern, half a beam wide; if her heading is unknown, it may lie any way round her antenna. Both are convex,
//! so their distance is a convex function of time under steady way, and a search by thirds finds its least.

use jiff::{SignedDuration, Timestamp};

use super::{Approach, OwnState, TURNS_BY_DEG};
use crate::position::Offset;
use crate::units::{Angle, Bearing, Length};

/// Her hull about her reference point, m.
#[expect(clippy::struct_field_names, reason = "each carries its unit")]
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Hull {
    pub(super) ahead_m: f64,
    pub(super) astern_m: f64,
    pub(super) half_beam_m: f64,
}

/// Where she is and how she moves, on a sheet about some origin.
#[derive(Clone, Copy, Debug)]
pub(super) struct Mover {
    pub(super) at: Offset,
    pub(super) velocity_ms: Offset,
    pub(super) heading: Option<Bearing>,
    pub(super) hull: Hull,
}

/// Rounds of the search: each leaves two thirds, so sixty bring two hours below a microsecond.
const ROUNDS: usize = 60;

/// Steps of the ways that are tried on either side: 10° apart.
const WAYS_EACH_SIDE: i32 = 6;

/// Nearest approach within a time from now, on her way and on those that it may turn into. `ours` is the middle of our
/// swing on the same sheet.
pub(super) fn nearest(
    mover: &Mover,
    ours: Offset,
    own: &OwnState,
    now: Timestamp,
    look_ahead: SignedDuration,
) -> Option<Approach> {
    let swing_m = (own.reach + own.length).as_metres();
    let longest_s = look_ahead.as_secs_f64();
    let (nearest_m, after_s) = least(mover, ours, swing_m, longest_s)?;
    let turned = (-WAYS_EACH_SIDE..=WAYS_EACH_SIDE).filter_map(|step| {
        let by = Angle::degrees(TURNS_BY_DEG * f64::from(step) / f64::from(WAYS_EACH_SIDE));
        least(&mover.turned(by), ours, swing_m, longest_s)
    });
    let sooner = |a: &(f64, f64), b: &(f64, f64)| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1));
    let (may_be_m, may_be_s) = turned.min_by(sooner)?;
    let at = |after_s: f64| now.checked_add(SignedDuration::try_from_secs_f64(after_s).ok()?).ok();
    Some(Approach {
        nearest: Length::metres(nearest_m),
        at: at(after_s)?,
        may_be: Length::metres(may_be_m),
        may_be_at: at(may_be_s)?,
        now: Length::metres((clearance_m(mover, ours, 0.0) - swing_m).max(0.0)),
    })
}

/// The least gap on a way, not below nothing, m, and after how long, s: the first touch where there is none.
fn least(mover: &Mover, ours: Offset, swing_m: f64, longest_s: f64) -> Option<(f64, f64)> {
    let gap_m = |after_s: f64| clearance_m(mover, ours, after_s) - swing_m;
    let (mut low, mut high) = (0.0, longest_s);
    for _ in 0..ROUNDS {
        let third = (high - low) / 3.0;
        if gap_m(low + third) <= gap_m(high - third) { high -= third } else { low += third }
    }
    let mut after_s = f64::midpoint(low, high);
    let nearest_m = gap_m(after_s);
    if !nearest_m.is_finite() {
        return None;
    }
    if nearest_m <= 0.0 {
        after_s = first_touch_s(&gap_m, after_s);
    }
    Some((nearest_m.max(0.0), after_s))
}

impl Mover {
    /// On another way, as fast.
    fn turned(&self, by: Angle) -> Self {
        let (sin, cos) = by.as_radians().sin_cos();
        let Offset { east_m, north_m } = self.velocity_ms;
        let velocity_ms =
            Offset { east_m: east_m * cos + north_m * sin, north_m: north_m * cos - east_m * sin };
        Self { velocity_ms, ..*self }
    }
}

/// The gap is positive at first (or she touches already) and not at `last_s`: halving finds where it closes.
fn first_touch_s(gap_m: &impl Fn(f64) -> f64, last_s: f64) -> f64 {
    if gap_m(0.0) <= 0.0 {
        return 0.0;
    }
    let (mut low, mut high) = (0.0, last_s);
    for _ in 0..ROUNDS {
        let middle = f64::midpoint(low, high);
        if gap_m(middle) <= 0.0 { high = middle } else { low = middle }
    }
    high
}

/// Distance from a point to her hull after some seconds, m.
fn clearance_m(mover: &Mover, point: Offset, after_s: f64) -> f64 {
    let hull = mover.hull;
    let at = mover.at
        + Offset { east_m: mover.velocity_ms.east_m * after_s, north_m: mover.velocity_ms.north_m * after_s };
    let to_point = point - at;
    let Some(heading) = mover.heading else {
        return to_point.length().as_metres() - hull.ahead_m.max(hull.astern_m);
    };
    let (sin, cos) = heading.as_radians().sin_cos();
    let along_m = to_point.east_m * sin + to_point.north_m * cos;
    let across_m = to_point.east_m * cos - to_point.north_m * sin;
    let past_m = along_m - along_m.clamp(-hull.astern_m.max(0.0), hull.ahead_m.max(0.0));
    past_m.hypot(across_m) - hull.half_beam_m
}
