//! The plain circle: a backstop that depends on no estimate.
//!
//! Centre: where the anchor was let go, or where it was first thought to lie. Radius: the rode drawn straight,
//! `√(L² − h²)`, the antenna's distance from the bow where the heading is not known, and a margin for the fix. She
//! must be outside for 30 s and in two samples, so that one leaping fix rings nothing. Once outside she is so until she
//! is 5 m inside. It is slow and it cries in a burst; but nothing that the estimate gets wrong can silence it.

/// Margin for the fix, m: in simulated nights of all kinds, bursts included, the least that cries once in 500.
pub const MARGIN_M: f64 = 25.0;
/// How long she must be outside, s.
const LASTING_S: f64 = 30.0;

/// She is back when she is so far inside, m: a fifth of the margin, and more than a fix trembles.
const BACK_M: f64 = 5.0;

/// The plain circle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Circle {
    /// Centre, east and north of the watch's origin, m.
    pub centre: [f64; 2],
    /// Seconds for which she has been outside.
    pub outside_s: f64,
    /// Samples for which she has been outside.
    pub outside_samples: f64,
    /// How far she was from the centre, m.
    pub from_m: f64,
    /// Radius, m.
    pub radius_m: f64,
}

impl Circle {
    /// About a centre.
    pub const fn about(centre: [f64; 2]) -> Self {
        Self { centre, outside_s: 0.0, outside_samples: 0.0, from_m: 0.0, radius_m: 0.0 }
    }

    /// Takes a place, the rode drawn straight and what else lies between anchor and place into account.
    pub fn step(&mut self, seconds: f64, place: [f64; 2], straight_m: f64, beyond_m: f64) {
        self.radius_m = straight_m + beyond_m + MARGIN_M;
        self.from_m = (place[0] - self.centre[0]).hypot(place[1] - self.centre[1]);
        let inside_m = if self.left() { self.radius_m - BACK_M } else { self.radius_m };
        if self.from_m <= inside_m {
            self.outside_s = 0.0;
            self.outside_samples = 0.0;
        } else {
            self.outside_s += if 0.0 < self.outside_samples { seconds } else { 0.0 };
            self.outside_samples += 1.0;
        }
    }

    /// She is outside, and has been for as long as it takes.
    pub fn left(&self) -> bool {
        2.0 <= self.outside_samples && LASTING_S <= self.outside_s
    }

    /// Every number that it carries, for the memory.
    pub(super) fn each(&mut self, visit: &mut dyn FnMut(&mut f64)) {
        self.centre.iter_mut().for_each(&mut *visit);
        visit(&mut self.outside_s);
        visit(&mut self.outside_samples);
        visit(&mut self.from_m);
        visit(&mut self.radius_m);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_leap_rings_nothing_and_half_a_minute_outside_does() {
        let mut circle = Circle::about([0.0, 0.0]);
        circle.step(5.0, [100.0, 0.0], 40.0, 0.0);
        circle.step(5.0, [60.0, 0.0], 40.0, 0.0);
        assert!(!circle.left());
        for sample in 0..7 {
            assert!(!circle.left(), "after {sample}");
            circle.step(5.0, [0.0, -66.0], 40.0, 0.0);
        }
        assert!(circle.left());
    }

    #[test]
    fn of_fixes_ten_minutes_apart_two_outside_ring() {
        let mut circle = Circle::about([0.0, 0.0]);
        circle.step(600.0, [100.0, 0.0], 40.0, 0.0);
        assert!(!circle.left());
        circle.step(600.0, [100.0, 0.0], 40.0, 0.0);
        assert!(circle.left());
    }

    #[test]
    fn she_who_trembles_about_the_circle_has_left_it_once_until_she_is_well_inside() {
        let mut circle = Circle::about([0.0, 0.0]);
        let mut times = 0;
        for sample in 0..200 {
            let before = circle.left();
            let trembles_m = if sample % 20 < 12 { 2.0 } else { -4.0 };
            circle.step(5.0, [65.0 + trembles_m, 0.0], 40.0, 0.0);
            times += u32::from(!before && circle.left());
        }
        assert_eq!(times, 1);
        circle.step(5.0, [59.0, 0.0], 40.0, 0.0);
        assert!(!circle.left());
    }

    #[test]
    fn a_bow_inside_the_radius_is_never_outside_and_no_number_is() {
        let mut circle = Circle::about([0.0, 0.0]);
        for _ in 0..1000 {
            circle.step(1.0, [64.9, 0.0], 40.0, 0.0);
        }
        assert!(!circle.left());
        for _ in 0..40 {
            circle.step(1.0, [f64::NAN, 0.0], 40.0, 0.0);
        }
        assert!(circle.left(), "a place that is no number is not inside");
    }
}
