//! How far an anchor that goes steadily must have gone before anybody could call it, in the noise of these nights.
//!
//! [`windrode_domain::watch::limit`] gives the seconds from the noise along the rode: that of the receiver as it was
//! drawn for the night, its white part averaged over the fixes of a sample, and what surge and sheer leave about the
//! rode's reach, taken as 0.45 m over 25 s (simulated nights of these families). It is the limit of who has fixes
//! alone, wind and heading known without error; Doppler lowers it by a third for half a knot, and for slow drags
//! hardly. One false alarm in [`QUIET_NIGHTS`] nights of ten hours is asked of it.

use windrode_domain::simulate::Scenario;
use windrode_domain::simulate::anchor_in_ground::AnchorStory;
use windrode_domain::watch::limit::ResidualNoise;

/// Nights for each false alarm.
const QUIET_NIGHTS: f64 = 300.0;
/// A night, s.
const NIGHT_S: f64 = 36_000.0;
/// What surge and sheer leave, m and s.
const SWING: (f64, f64) = (0.45, 25.0);
/// A sample of the watch, s.
const SAMPLE_S: f64 = 5.0;
/// Of a creep so slow, m/s, samples of half a minute lose nothing: its noise lasts for minutes.
const CREEP: (f64, f64) = (0.005, 30.0);
/// So long before the drag, s, tells the level: several memories of the slow error.
const BEFORE_S: f64 = 3_600.0;

/// A steady drag and the noise it must be seen in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct SteadyDrag {
    speed_ms: f64,
    slow: (f64, f64),
    quick: (f64, f64),
    white_m: f64,
    interval_s: f64,
}

impl SteadyDrag {
    /// Of a night whose anchor goes at one speed along the rode; nothing of one that holds, goes by the ground's law or
    /// has been fouled.
    pub(super) fn of(scenario: &Scenario) -> Option<Self> {
        let AnchorStory::Goes(going) = &scenario.anchor else { return None };
        let receiver = &scenario.sensors.receiver;
        (going.fouled_within_m.is_none() && receiver.recorded.is_none()).then_some(Self {
            speed_ms: going.speed_ms,
            slow: receiver.slow,
            quick: receiver.quick,
            white_m: receiver.white_m,
            interval_s: f64::from(receiver.interval_s),
        })
    }

    /// The middle of several, number by number.
    pub(super) fn middle(of: &[Self]) -> Option<Self> {
        let median = |number: fn(&Self) -> f64| {
            let mut numbers: Vec<f64> = of.iter().map(number).collect();
            numbers.sort_by(f64::total_cmp);
            numbers.get(numbers.len() / 2).copied()
        };
        Some(Self {
            speed_ms: median(|drag| drag.speed_ms)?,
            slow: (median(|drag| drag.slow.0)?, median(|drag| drag.slow.1)?),
            quick: (median(|drag| drag.quick.0)?, median(|drag| drag.quick.1)?),
            white_m: median(|drag| drag.white_m)?,
            interval_s: median(|drag| drag.interval_s)?,
        })
    }

    /// Metres that it has gone before it can be called; nothing where it cannot within an hour or more.
    pub(super) fn least_m(&self) -> Option<f64> {
        let sample_s = if self.speed_ms < CREEP.0 { CREEP.1 } else { SAMPLE_S };
        let every_s = sample_s.max(self.interval_s);
        let noise = ResidualNoise {
            remembered: vec![self.slow, self.quick, SWING],
            white_m: self.white_m / (every_s / self.interval_s).sqrt(),
        };
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "at most some hundreds")]
        let before = (BEFORE_S / every_s) as usize;
        let ln_gamma = (QUIET_NIGHTS * NIGHT_S / every_s).ln();
        noise.least_s(self.speed_ms, every_s, before, ln_gamma).map(|least_s| self.speed_ms * least_s)
    }
}

#[cfg(test)]
mod tests {
    use rand_pcg::Pcg64;
    use windrode_domain::simulate::Family;

    use super::*;

    fn least_m(family: Family) -> Option<f64> {
        let drags: Vec<SteadyDrag> =
            (0..15).filter_map(|i| SteadyDrag::of(&family.draw(&mut Pcg64::new(i, 1)))).collect();
        SteadyDrag::middle(&drags)?.least_m()
    }

    #[test]
    fn half_a_knot_needs_some_three_metres_and_slow_drags_some_five() {
        let [fast_m, slow_m, creep_m] =
            [Family::HalfKnot, Family::MetreAMinute, Family::Creep].map(|family| least_m(family).unwrap());
        assert!((2.0..4.0).contains(&fast_m), "{fast_m}");
        assert!((3.5..6.5).contains(&slow_m), "{slow_m}");
        assert!((3.5..6.5).contains(&creep_m), "{creep_m}");
    }

    #[test]
    fn a_drag_that_is_not_steady_along_the_rode_has_no_limit_here() {
        for family in [Family::Steady, Family::SquallDrag, Family::Tripped] {
            assert_eq!(least_m(family), None, "{}", family.word());
        }
    }
}
