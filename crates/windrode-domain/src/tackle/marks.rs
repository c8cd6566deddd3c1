//! A length of rode told in the crew's own marks.
//!
//! Paint, ties or tags stand on the rode every so many metres from the anchor, in a series of looks that begins again
//! when it runs out. What has run out over the roller is then "the second red, and two metres": the last mark out,
//! how it looks, which of its look it is, and what has gone out beyond it.
//!
//! ```text
//! count  = ⌊L / every⌋            marks out
//! beyond = L − count · every      (m)
//! ```

use super::Marks;
use crate::plan::sheet::MarkAt;
use crate::units::Length;

/// A mark nearer than this counts as out: a millimetre, so that 10 m told in feet is still the ten-metre mark. Nobody
/// reads a mark on a wet chain closer than a link, thirty times as much.
const AT_THE_MARK_M: f64 = 1e-3;

impl Marks {
    /// A length of rode in these marks; `None` when the length is negative or not a number, or the marks do not stand
    /// a positive distance apart.
    pub fn at(&self, length: Length) -> Option<MarkAt> {
        let (length_m, every_m) = (length.as_metres(), self.every.as_metres());
        if !(0.0 <= length_m && length_m.is_finite() && AT_THE_MARK_M < every_m && every_m.is_finite()) {
            return None;
        }
        let marks_out = ((length_m + AT_THE_MARK_M) / every_m).floor();
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a floor of a non-negative quotient; no rode has more marks than a usize counts"
        )]
        let count = marks_out as usize;
        let (looks, nth_of_its_look) = self.look_of(count);
        let beyond = Length::metres((length_m - marks_out * every_m).max(0.0));
        Some(MarkAt { count, looks, nth_of_its_look, beyond })
    }

    /// How the mark of a count looks, and which of its look it is.
    fn look_of(&self, count: usize) -> (Option<String>, usize) {
        let Some(before) = count.checked_sub(1) else { return (None, 0) };
        if self.looks.is_empty() {
            return (None, count);
        }
        let (rounds, place) = (before / self.looks.len(), before % self.looks.len());
        let look = &self.looks[place];
        let same = |looks: &[String]| looks.iter().filter(|other| *other == look).count();
        (Some(look.clone()), rounds * same(&self.looks) + same(&self.looks[..=place]))
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn marks(every_m: f64, looks: &[&str]) -> Marks {
        Marks { every: Length::metres(every_m), looks: looks.iter().map(|&look| look.to_owned()).collect() }
    }

    #[track_caller]
    fn check(marks: &Marks, length_m: f64, count: usize, looks: Option<&str>, nth: usize, beyond_m: f64) {
        let at = marks.at(Length::metres(length_m)).unwrap();
        assert_eq!((at.count, at.looks.as_deref(), at.nth_of_its_look), (count, looks, nth));
        assert!((at.beyond.as_metres() - beyond_m).abs() < 1e-9, "{}", at.beyond);
    }

    #[test]
    fn forty_two_metres_are_the_second_red_and_two_metres() {
        let marks = marks(10.0, &["red", "white", "blue"]);
        check(&marks, 42.0, 4, Some("red"), 2, 2.0);
        check(&marks, 30.0, 3, Some("blue"), 1, 0.0);
        check(&marks, 9.5, 0, None, 0, 9.5);
        check(&marks, 0.0, 0, None, 0, 0.0);
    }

    // Common practice, no source: a sounder reading 7 m under a keel of 2 m with the chain leaving 1 m above the
    // water means 10 m, and at four to one 40 m, four of the ten-metre marks.
    #[test]
    fn four_to_one_in_ten_metres_is_the_fourth_mark() {
        let height = Length::metres(7.0 + 2.0 + 1.0);
        check(&marks(10.0, &["yellow"]), (height * 4.0).as_metres(), 4, Some("yellow"), 4, 0.0);
    }

    #[test]
    fn a_look_that_comes_twice_in_a_round_is_counted_through() {
        let marks = marks(5.0, &["red", "white", "red"]);
        check(&marks, 15.0, 3, Some("red"), 2, 0.0);
        check(&marks, 20.0, 4, Some("red"), 3, 0.0);
        check(&marks, 31.0, 6, Some("red"), 4, 1.0);
    }

    #[test]
    fn a_mark_told_in_feet_is_still_at_its_mark() {
        let marks = Marks { every: Length::feet(30.0), looks: vec!["red".to_owned()] };
        let at = marks.at(Length::feet(150.0)).unwrap();
        assert_eq!(at.count, 5);
        assert!(at.beyond.as_metres() < 1e-9);
    }

    #[test]
    fn what_is_not_a_length_has_no_mark() {
        let good = marks(10.0, &["red"]);
        assert_eq!(good.at(Length::metres(f64::NAN)), None);
        assert_eq!(good.at(Length::metres(-1.0)), None);
        assert_eq!(marks(0.0, &["red"]).at(Length::metres(10.0)), None);
    }

    proptest! {
        #[test]
        fn marks_and_what_is_beyond_make_up_the_length(length_m in 0.0..500.0_f64, every_m in 1.0..30.0_f64) {
            let at = marks(every_m, &["red", "white"]).at(Length::metres(length_m)).unwrap();
            let told_m = at.count as f64 * every_m + at.beyond.as_metres();
            // A mark within a millimetre counts as out.
            prop_assert!((told_m - length_m).abs() <= AT_THE_MARK_M + 1e-9);
            prop_assert!(at.beyond.as_metres() < every_m);
        }

        #[test]
        fn counted_over_all_looks_the_marks_come_to_the_count(count in 1_usize..60) {
            let marks = marks(10.0, &["red", "white", "red", "blue"]);
            let last_of = |look: &str| {
                (1..=count)
                    .filter_map(|n| marks.at(Length::metres(10.0 * n as f64)))
                    .filter(|at| at.looks.as_deref() == Some(look))
                    .map(|at| at.nth_of_its_look)
                    .max()
                    .unwrap_or(0)
            };
            prop_assert_eq!(last_of("red") + last_of("white") + last_of("blue"), count);
        }
    }
}
