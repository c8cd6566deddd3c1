//! Where a function passes through nothing: bracketed, so that the answer exists; bounded, so that it ends.
//!
//! [`newton`] follows the tangent and falls back to halving whenever the tangent leaves the bracket or gains too
//! little;
//! [`bisect`] needs no slope and ends after `log2(width / tolerance)` halvings, whatever the function is.

/// The value of a function and its slope, at one argument.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tangent {
    /// The value.
    pub value: f64,
    /// The derivative there; it only steers, so it may be approximate.
    pub slope: f64,
}

/// Where to look: the function is negative (or nothing) at `low` and positive (or nothing) at `high`.
///
/// Either end may be infinite; the search then widens by doubling.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bracket {
    /// The function is not positive here.
    pub low: f64,
    /// The function is not negative here.
    pub high: f64,
}

/// Why no root is given.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum RootError {
    /// The bracket is empty or not a number.
    #[error("no root can be sought between {low} and {high}")]
    NoBracket {
        /// Its lower end.
        low: f64,
        /// Its upper end.
        high: f64,
    },
    /// The function does not change sign between the ends.
    #[error("no change of sign between {low} and {high}")]
    NoSignChange {
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
    },
    /// The search did not settle.
    #[error("the search for a root did not settle near {near}")]
    NotSettled {
        /// The last argument tried.
        near: f64,
    },
}

/// Steps after which a search is given up: 1100 halvings exhaust every exponent of a double, and no bracket in use
/// is wider than a few dozen octaves.
const MOST_STEPS: usize = 1200;

/// Finds where a rising function passes through nothing, by tangents kept inside a bracket.
///
/// It ends when a step is no longer than `tolerance` (in the argument's own unit); that step is still taken, so the
/// error left is of the order of the step's square.
///
/// # Errors
/// What the function itself refuses; [`RootError`] if the bracket is no bracket or the search does not settle.
/// Whether the ends really have opposite signs is the caller's knowledge: without it the search ends at an end.
pub fn newton<E: From<RootError>>(
    mut function: impl FnMut(f64) -> Result<Tangent, E>,
    bracket: Bracket,
    guess: f64,
    tolerance: f64,
) -> Result<f64, E> {
    let Bracket { mut low, mut high } = bracket;
    if !(low < high) {
        return Err(RootError::NoBracket { low, high }.into());
    }
    let mut at = if low < guess && guess < high { guess } else { between(low, high, low) };
    let mut step_before = f64::INFINITY;
    for _ in 0..MOST_STEPS {
        let Tangent { value, slope } = function(at)?;
        if value < 0.0 {
            low = at;
        } else {
            high = at;
        }
        let mut step = -value / slope;
        let gains = step.abs() < 0.5 * step_before || !(low.is_finite() && high.is_finite());
        let next = at + step;
        let next = if low <= next && next <= high && (gains || step.abs() <= tolerance) {
            next
        } else {
            let halved = between(low, high, at);
            step = halved - at;
            halved
        };
        if step.abs() <= tolerance || (next - at).abs() <= f64::EPSILON * at.abs() {
            return Ok(next);
        }
        step_before = step.abs();
        at = next;
    }
    Err(RootError::NotSettled { near: at }.into())
}

/// The middle of a bracket; beyond the finite end by twice as far as `at` if the other end is infinite.
fn between(low: f64, high: f64, at: f64) -> f64 {
    match (low.is_finite(), high.is_finite()) {
        (true, true) => low + 0.5 * (high - low),
        (true, false) => low + (2.0 * (at - low)).max(f64::EPSILON.max(low.abs())),
        (false, true) => high - (2.0 * (high - at)).max(f64::EPSILON.max(high.abs())),
        (false, false) => 0.0,
    }
}

/// Finds where a function changes sign, to within `tolerance` in its argument, without its slope.
///
/// # Errors
/// What the function itself refuses; [`RootError::NoSignChange`] if both ends have the same sign.
pub fn bisect<E: From<RootError>>(
    mut function: impl FnMut(f64) -> Result<f64, E>,
    bracket: Bracket,
    tolerance: f64,
) -> Result<f64, E> {
    let Bracket { mut low, mut high } = bracket;
    if !(low < high && low.is_finite() && high.is_finite()) {
        return Err(RootError::NoBracket { low, high }.into());
    }
    let rises = function(low)? <= 0.0;
    if rises != (0.0 <= function(high)?) {
        return Err(RootError::NoSignChange { low, high }.into());
    }
    for _ in 0..MOST_STEPS {
        let middle = low + 0.5 * (high - low);
        if high - low <= tolerance || middle <= low || high <= middle {
            return Ok(middle);
        }
        if (function(middle)? < 0.0) == rises {
            low = middle;
        } else {
            high = middle;
        }
    }
    Err(RootError::NotSettled { near: low }.into())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square_less_two(x: f64) -> Tangent {
        Tangent { value: x * x - 2.0, slope: 2.0 * x }
    }

    #[test]
    fn the_root_of_two_is_found_from_both_sides() {
        for guess in [0.001, 1.9, 1e6] {
            let bracket = Bracket { low: 0.0, high: f64::INFINITY };
            let root = newton(|x| Ok::<_, RootError>(square_less_two(x)), bracket, guess, 1e-9).unwrap();
            // The last step is squared: rounding is all that is left.
            assert!((root - core::f64::consts::SQRT_2).abs() < 1e-15, "{guess}: {root}");
        }
    }

    #[test]
    fn a_tangent_that_runs_away_is_halved_instead() {
        // Newton's method on atan diverges from beyond 1.3917.
        let atan = |x: f64| Ok::<_, RootError>(Tangent { value: x.atan(), slope: 1.0 / (1.0 + x * x) });
        let root = newton(atan, Bracket { low: -50.0, high: 70.0 }, 60.0, 1e-9).unwrap();
        assert!(root.abs() < 1e-12, "{root}");
    }

    #[test]
    fn a_flat_slope_does_not_stop_the_search() {
        let cubic = |x: f64| Ok::<_, RootError>(Tangent { value: x * x * x - 1e-9, slope: 3.0 * x * x });
        let root = newton(cubic, Bracket { low: -1.0, high: 1.0 }, 0.0, 1e-12).unwrap();
        assert!((root - 1e-3).abs() < 1e-12, "{root}");
    }

    #[test]
    fn halving_finds_a_falling_root_too() {
        let root = bisect(|x| Ok::<_, RootError>(3.0 - x), Bracket { low: 0.0, high: 10.0 }, 1e-9).unwrap();
        assert!((root - 3.0).abs() <= 1e-9);
    }

    #[test]
    fn a_bracket_without_change_of_sign_is_refused() {
        let refused = bisect(|x| Ok::<_, RootError>(x + 1.0), Bracket { low: 0.0, high: 1.0 }, 1e-9);
        assert_eq!(refused, Err(RootError::NoSignChange { low: 0.0, high: 1.0 }));
        let nowhere = Bracket { low: f64::NAN, high: 1.0 };
        let refused = newton(|x| Ok(square_less_two(x)), nowhere, 0.0, 1e-9);
        assert!(matches!(refused, Err(RootError::NoBracket { .. })));
    }
}
