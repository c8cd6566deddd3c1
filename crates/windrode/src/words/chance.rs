//! Chances in plain words: one in so many, never rounded in the calm direction.

use windrode_domain::uncertain::Band;

/// "1 in 230", "62 in 100"; the number after "in" is rounded down to two figures, so the chance never shrinks.
pub(crate) fn odds(chance: f64) -> String {
    if !(0.0..=1.0).contains(&chance) {
        return "unknown".to_owned();
    }
    if chance < 1e-6 {
        return "less than 1 in a million".to_owned();
    }
    if 0.995 < chance {
        return "all but certain".to_owned();
    }
    if 0.15 < chance {
        // The small part taken off is the noise of the last bits: 0.30 is 30 in 100, not 31.
        return format!("{:.0} in 100", (chance * 100.0 - 1e-9).ceil());
    }
    format!("1 in {}", grouped(two_figures_down(1.0 / chance)))
}

/// "about 1 in 200".
pub(crate) fn chance(value: f64) -> String {
    let words = odds(value);
    if words.starts_with(|c: char| c.is_ascii_digit()) { format!("about {words}") } else { words }
}

/// "about 1 in 200; between 1 in 800 and 1 in 60".
pub(crate) fn band(value: &Band) -> String {
    format!("{}; between {} and {}", chance(value.median), odds(value.p10), odds(value.p90))
}

/// Rounded down to two significant figures; the noise of `1/0.01` stays on its step.
fn two_figures_down(value: f64) -> f64 {
    let value = value * (1.0 + 1e-12);
    if value < 100.0 {
        return value.floor();
    }
    let step = 10_f64.powf(value.log10().floor() - 1.0);
    (value / step).floor() * step
}

/// Thousands parted by commas.
fn grouped(value: f64) -> String {
    let digits = format!("{value:.0}");
    let mut out = String::new();
    for (index, digit) in digits.chars().enumerate() {
        if index > 0 && (digits.len() - index).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_chance_is_never_told_smaller_than_it_is() {
        assert_eq!(odds(0.0042), "1 in 230");
        assert_eq!(odds(0.01), "1 in 100");
        assert_eq!(odds(0.05), "1 in 20");
        assert_eq!(odds(0.3), "30 in 100");
        assert_eq!(odds(0.301), "31 in 100");
        assert_eq!(odds(1.0 / 123_456.0), "1 in 120,000");
    }

    #[test]
    fn the_ends_of_chance_have_words_of_their_own() {
        assert_eq!(odds(0.0), "less than 1 in a million");
        assert_eq!(odds(1.0), "all but certain");
        assert_eq!(odds(f64::NAN), "unknown");
        assert_eq!(chance(1.0), "all but certain");
    }

    #[test]
    fn a_band_is_told_with_both_its_ends() {
        let told = band(&Band { p10: 1.0 / 800.0, median: 1.0 / 200.0, p90: 1.0 / 60.0 });
        assert_eq!(told, "about 1 in 200; between 1 in 800 and 1 in 60");
    }
}
