//! The sum of the constituents, and where it turns.
//!
//! The level, or the speed of a stream along its axis, is a mean and a sum of steady oscillations:
//!
//! ```text
//! h(t) = Z₀ + Σ f A cos(V + u − g)
//! ```
//!
//! `A` amplitude and `g` phase lag at Greenwich of the place; `V` the argument, `f` and `u` of the node
//! ([`super::constituents`], [`super::astronomy`]). Two conventions are in use, and differ by millimetres to
//! centimetres: see [`Convention`].
//!
//! For speed the time is cut in pieces in which every constituent turns evenly: a calendar year, or a day with the
//! exact argument and factor at both ends. Within a piece each constituent is a phasor multiplied by one fixed
//! complex ratio a step, set anew from its exact angle every 256 steps, so that rounding stays below 1e-13 of the
//! amplitude. Interpolating `ln f` and `u` over a day is good to 1e-7.
//!
//! High and low waters are sought where the slope changes sign, sampled every 6 minutes (the fastest constituent,
//! twelve a day, turns 18° meanwhile), then bracketed to a hundredth of a second. Two turns closer together than
//! that and its sampling are the flat of the curve, no events.
//!
//! Left out: weather, river, the seasons beyond their own constituents. Source: Schureman, SP 98, equations 1 to 6
//! and paragraph 451 on mid-year factors.

use jiff::civil::date;
use jiff::tz::Offset;
use jiff::{SignedDuration, Timestamp};

use super::astronomy::{Astronomy, NodeFactors};
use super::constituents::Constituent;
use super::{CurveError, TideError};
use crate::span::Span;

/// When the node factors are taken, and from where the arguments run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Convention {
    /// As the US tables: `f` and `u` of the middle of the calendar year held through it, `V` of its beginning
    /// advanced at the constant speeds. The level steps by millimetres at the year's end.
    UsTables,
    /// `f`, `u` and `V` of every instant.
    Continuous,
}

/// Harmonic constants of one constituent at one place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Constant {
    /// Which.
    pub constituent: &'static Constituent,
    /// Amplitude `A` in the unit of the curve (m, or m/s), not negative.
    pub amplitude: f64,
    /// Phase lag `g` on Greenwich, degrees.
    pub phase_deg: f64,
}

/// A mean and its constituents.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve {
    mean: f64,
    constants: Vec<Constant>,
    convention: Convention,
}

/// Which way the curve turns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sense {
    /// From rising to falling.
    Crest,
    /// From falling to rising.
    Trough,
}

/// Where the curve stands still.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Turn {
    /// When.
    pub at: Timestamp,
    /// What it reads there.
    pub value: f64,
    /// Which way it turns.
    pub sense: Sense,
}

/// First and last calendar year (UTC) that can be predicted: the elements of moon and sun are good to 0.07° there.
pub const YEARS: core::ops::RangeInclusive<i16> = 1800..=2200;

/// Between two looks at the slope: see the module's account.
const SLOPE_STEP: SignedDuration = SignedDuration::from_mins(6);
/// A phasor is set anew after so many multiplications: each costs it an ulp.
const STEPS_BETWEEN_ANCHORS: usize = 256;
/// Two turns nearer in time than this, and nearer in height than [`FLAT`], are the flat of the curve: the pieces
/// of a day meet with slopes that differ by less.
const FLAT_FOR: SignedDuration = SignedDuration::from_mins(2);
/// A tenth of a millimetre (or mm/s): nobody reads it.
const FLAT: f64 = 1e-4;
const DAY_S: i64 = 86_400;

impl Curve {
    /// A curve from its constants, in metres or metres a second.
    ///
    /// # Errors
    /// [`CurveError`] for a value that is not finite, a negative amplitude, a constituent given twice.
    pub fn new(mean: f64, constants: Vec<Constant>, convention: Convention) -> Result<Self, CurveError> {
        if !mean.is_finite() {
            return Err(CurveError::Mean { value: mean });
        }
        for (index, constant) in constants.iter().enumerate() {
            let name = constant.constituent.name();
            if !(0.0 <= constant.amplitude && constant.amplitude.is_finite()) {
                return Err(CurveError::Amplitude { name, value: constant.amplitude });
            }
            if !constant.phase_deg.is_finite() {
                return Err(CurveError::Phase { name, value: constant.phase_deg });
            }
            if constants[..index].iter().any(|earlier| earlier.constituent == constant.constituent) {
                return Err(CurveError::Twice { name });
            }
        }
        Ok(Self { mean, constants, convention })
    }

    /// Its constants.
    pub fn constants(&self) -> &[Constant] {
        &self.constants
    }
    /// Its mean.
    pub const fn mean(&self) -> f64 {
        self.mean
    }
    /// How its node factors are taken.
    pub const fn convention(&self) -> Convention {
        self.convention
    }
    /// The same constants under another convention.
    #[must_use]
    pub fn under(self, convention: Convention) -> Self {
        Self { convention, ..self }
    }

    /// What it reads at an instant.
    ///
    /// # Errors
    /// [`TideError::OutsideValidity`] outside [`YEARS`].
    pub fn value_at(&self, at: Timestamp) -> Result<f64, TideError> {
        Ok(self.reckoned(at, at)?.value(at))
    }

    /// What it reads at the instants of [`Span::instants`].
    ///
    /// # Errors
    /// [`TideError::OutsideValidity`] outside [`YEARS`]; [`TideError::Step`] unless the step is positive.
    pub fn values(&self, span: Span, step: SignedDuration) -> Result<Vec<f64>, TideError> {
        self.reckoned(span.from(), span.to())?.values(span, step)
    }

    /// Where it turns within a span, in order.
    ///
    /// # Errors
    /// [`TideError::OutsideValidity`] outside [`YEARS`].
    pub fn turns(&self, span: Span) -> Result<Vec<Turn>, TideError> {
        self.reckoned(span.from(), span.to()).map(|reckoned| reckoned.turns())
    }

    /// Cuts a stretch of time into pieces in which every constituent turns evenly.
    pub(crate) fn reckoned(&self, from: Timestamp, to: Timestamp) -> Result<Reckoned, TideError> {
        // One look at the slope beyond either end, so that a turn at the very end is seen to be one.
        let (first, last) = (shifted(from, -SLOPE_STEP)?, shifted(to, SLOPE_STEP)?);
        let pieces = match self.convention {
            Convention::UsTables => self.years(first, last),
            Convention::Continuous => self.days(first, last),
        }?;
        Ok(Reckoned { from, to, first, last, pieces })
    }

    fn years(&self, first: Timestamp, last: Timestamp) -> Result<Vec<Piece>, TideError> {
        (valid_year(first)?..=valid_year(last)?).map(|year| self.year(year)).collect()
    }

    fn year(&self, year: i16) -> Result<Piece, TideError> {
        let (from, to) = (new_year(year)?, new_year(year + 1)?);
        let middle = shifted(from, SignedDuration::from_secs(to.duration_since(from).as_secs() / 2))?;
        let begun = Astronomy::at(from);
        let factors = NodeFactors::of(&Astronomy::at(middle));
        let waves = self.constants.iter().map(|constant| {
            let (f, u_deg) = constant.constituent.node(&factors);
            let angle_deg = constant.constituent.argument_deg(&begun) + u_deg - constant.phase_deg;
            Phasor {
                amplitude: f * constant.amplitude,
                angle_rad: angle_deg.rem_euclid(360.0).to_radians(),
                growth_per_s: 0.0,
                rate_rad_s: constant.constituent.speed_deg_h().to_radians() / 3600.0,
            }
        });
        Ok(Piece { from, to, mean: self.mean, waves: waves.collect() })
    }

    fn days(&self, first: Timestamp, last: Timestamp) -> Result<Vec<Piece>, TideError> {
        valid_year(first)?;
        valid_year(last)?;
        let (day, end) = (first.as_second().div_euclid(DAY_S), last.as_second().div_euclid(DAY_S));
        let mut knot = self.knot(day)?;
        let mut pieces = Vec::new();
        for day in day..=end {
            let next = self.knot(day + 1)?;
            pieces.push(self.day(&knot, &next));
            knot = next;
        }
        Ok(pieces)
    }

    fn knot(&self, day: i64) -> Result<Knot, TideError> {
        let at = Timestamp::from_second(day * DAY_S).map_err(|_| TideError::BeyondTheCalendar)?;
        let astronomy = Astronomy::at(at);
        let factors = NodeFactors::of(&astronomy);
        let waves = self.constants.iter().map(|constant| {
            let (f, u_deg) = constant.constituent.node(&factors);
            (f, constant.constituent.argument_deg(&astronomy), u_deg)
        });
        Ok(Knot { at, waves: waves.collect() })
    }

    fn day(&self, knot: &Knot, next: &Knot) -> Piece {
        let day_s = DAY_S as f64;
        let waves =
            self.constants.iter().zip(&knot.waves).zip(&next.waves).map(|((constant, here), there)| {
                let ((f0, v0_deg, u0_deg), (f1, v1_deg, u1_deg)) = (*here, *there);
                // The hour angle of the mean sun starts anew each midnight; `u` may pass from 180° to −180°.
                let whole_turns = 360.0 * f64::from(constant.constituent.species());
                let u_moved_deg = (u1_deg - u0_deg + 180.0).rem_euclid(360.0) - 180.0;
                Phasor {
                    amplitude: f0 * constant.amplitude,
                    angle_rad: (v0_deg + u0_deg - constant.phase_deg).rem_euclid(360.0).to_radians(),
                    growth_per_s: (f1 / f0).ln() / day_s,
                    rate_rad_s: (whole_turns + v1_deg - v0_deg + u_moved_deg).to_radians() / day_s,
                }
            });
        Piece { from: knot.at, to: next.at, mean: self.mean, waves: waves.collect() }
    }
}

/// Exact `f`, `V`, `u` (degrees) of every constant at the beginning of a day.
struct Knot {
    at: Timestamp,
    waves: Vec<(f64, f64, f64)>,
}

fn shifted(at: Timestamp, by: SignedDuration) -> Result<Timestamp, TideError> {
    at.checked_add(by).map_err(|_| TideError::BeyondTheCalendar)
}

fn valid_year(at: Timestamp) -> Result<i16, TideError> {
    let year = Offset::UTC.to_datetime(at).year();
    if YEARS.contains(&year) { Ok(year) } else { Err(TideError::OutsideValidity { year }) }
}

fn new_year(year: i16) -> Result<Timestamp, TideError> {
    Offset::UTC.to_timestamp(date(year, 1, 1).at(0, 0, 0, 0)).map_err(|_| TideError::BeyondTheCalendar)
}

/// One constituent in one piece: `A e^(γτ) cos(θ + ωτ)`, `τ` seconds from the piece's beginning.
#[derive(Clone, Copy, Debug)]
struct Phasor {
    amplitude: f64,
    angle_rad: f64,
    growth_per_s: f64,
    rate_rad_s: f64,
}

impl Phasor {
    fn at(&self, tau_s: f64) -> (f64, f64) {
        let (sin, cos) = (self.angle_rad + self.rate_rad_s * tau_s).sin_cos();
        let amplitude = self.amplitude * (self.growth_per_s * tau_s).exp();
        (amplitude * cos, amplitude * sin)
    }
    /// The phasor of its slope in time: the phasor times `γ + iω`.
    fn slope_at(&self, tau_s: f64) -> (f64, f64) {
        let (re, im) = self.at(tau_s);
        let (growth, rate) = (self.growth_per_s, self.rate_rad_s);
        (growth * re - rate * im, growth * im + rate * re)
    }
}

/// A stretch of time in which every constituent turns evenly; its end belongs to the next.
#[derive(Clone, Debug)]
struct Piece {
    from: Timestamp,
    to: Timestamp,
    mean: f64,
    waves: Vec<Phasor>,
}

/// What is summed along a piece.
#[derive(Clone, Copy)]
enum Order {
    Value,
    Slope,
}

impl Piece {
    fn tau_s(&self, at: Timestamp) -> f64 {
        at.duration_since(self.from).as_secs_f64()
    }
    fn value(&self, tau_s: f64) -> f64 {
        self.mean + self.waves.iter().map(|wave| wave.at(tau_s).0).sum::<f64>()
    }
    fn slope(&self, tau_s: f64) -> f64 {
        self.waves.iter().map(|wave| wave.slope_at(tau_s).0).sum()
    }

    /// Appends the sums at `count` instants, `step_s` apart from `start_s`.
    fn sweep(&self, order: Order, start_s: f64, step_s: f64, count: usize, sums: &mut Vec<f64>) {
        let mut bank = Bank::turning(&self.waves, step_s);
        let offset = match order {
            Order::Value => self.mean,
            Order::Slope => 0.0,
        };
        for block in (0..count).step_by(STEPS_BETWEEN_ANCHORS) {
            let anchor_s = start_s + block as f64 * step_s;
            bank.anchor(self.waves.iter().map(|wave| match order {
                Order::Value => wave.at(anchor_s),
                Order::Slope => wave.slope_at(anchor_s),
            }));
            for _ in block..count.min(block + STEPS_BETWEEN_ANCHORS) {
                sums.push(offset + bank.sum_and_advance());
            }
        }
    }
}

/// Four constituents side by side, as a processor likes them.
const LANES: usize = 4;

/// Phasors and the ratios by which one step turns them.
struct Bank {
    phasors: Vec<([f64; LANES], [f64; LANES])>,
    ratios: Vec<([f64; LANES], [f64; LANES])>,
}

impl Bank {
    fn turning(waves: &[Phasor], step_s: f64) -> Self {
        let groups = waves.len().div_ceil(LANES);
        let empty = ([0.0; LANES], [0.0; LANES]);
        let mut ratios = vec![empty; groups];
        for (group, ratios) in waves.chunks(LANES).zip(&mut ratios) {
            for (lane, wave) in group.iter().enumerate() {
                let (sin, cos) = (wave.rate_rad_s * step_s).sin_cos();
                let growth = (wave.growth_per_s * step_s).exp();
                (ratios.0[lane], ratios.1[lane]) = (growth * cos, growth * sin);
            }
        }
        Self { phasors: vec![empty; groups], ratios }
    }

    fn anchor(&mut self, exact: impl Iterator<Item = (f64, f64)>) {
        for (index, (re, im)) in exact.enumerate() {
            let group = &mut self.phasors[index / LANES];
            (group.0[index % LANES], group.1[index % LANES]) = (re, im);
        }
    }

    fn sum_and_advance(&mut self) -> f64 {
        let mut sums = [0.0; LANES];
        for ((re, im), (c, s)) in self.phasors.iter_mut().zip(&self.ratios) {
            for lane in 0..LANES {
                sums[lane] += re[lane];
                let turned = re[lane] * c[lane] - im[lane] * s[lane];
                im[lane] = re[lane] * s[lane] + im[lane] * c[lane];
                re[lane] = turned;
            }
        }
        (sums[0] + sums[1]) + (sums[2] + sums[3])
    }
}

/// A curve cut in pieces over a stretch of time.
#[derive(Clone, Debug)]
pub(crate) struct Reckoned {
    from: Timestamp,
    to: Timestamp,
    /// The pieces cover this much, a little more than what was asked for.
    first: Timestamp,
    last: Timestamp,
    pieces: Vec<Piece>,
}

impl Reckoned {
    /// What the curve reads; an instant outside the stretch is read off the piece next to it.
    pub(crate) fn value(&self, at: Timestamp) -> f64 {
        let index = self.pieces.partition_point(|piece| piece.to <= at).min(self.pieces.len() - 1);
        let piece = &self.pieces[index];
        piece.value(piece.tau_s(at))
    }

    fn values(&self, span: Span, step: SignedDuration) -> Result<Vec<f64>, TideError> {
        if !step.is_positive() {
            return Err(TideError::Step);
        }
        let step_ns = step.as_nanos();
        let reached = |at: Timestamp| at.duration_since(span.from()).as_nanos();
        // Whole steps strictly before the end, which is an instant of its own.
        let regular = (reached(span.to()) + step_ns - 1) / step_ns;
        let mut values = Vec::with_capacity(usize::try_from(regular).unwrap_or(0) + 1);
        for piece in &self.pieces {
            let done = values.len() as i128;
            let within = ((reached(piece.to) + step_ns - 1) / step_ns).clamp(done, regular.max(done));
            let start_ns = done * step_ns - reached(piece.from);
            let count = usize::try_from(within - done).unwrap_or(0);
            piece.sweep(Order::Value, start_ns as f64 * 1e-9, step.as_secs_f64(), count, &mut values);
        }
        values.push(self.value(span.to()));
        Ok(values)
    }

    /// Where the curve turns between the ends asked for.
    pub(crate) fn turns(&self) -> Vec<Turn> {
        let mut found = Vec::new();
        let mut rising: Option<bool> = None;
        let mut slopes = Vec::new();
        for piece in &self.pieces {
            let (start, end) = (piece.from.max(self.first), piece.to.min(self.last));
            let lasting = end.duration_since(start);
            let start_s = piece.tau_s(start);
            let steps = usize::try_from(lasting.as_secs() / SLOPE_STEP.as_secs()).unwrap_or(0) + 1;
            let step_s = lasting.as_secs_f64() / steps as f64;
            slopes.clear();
            piece.sweep(Order::Slope, start_s, step_s, steps + 1, &mut slopes);
            for (index, &slope) in slopes.iter().enumerate().filter(|(_, slope)| **slope != 0.0) {
                let rises = 0.0 < slope;
                if rising.is_some_and(|before| before != rises) {
                    let here_s = start_s + index as f64 * step_s;
                    let turned_s = piece.turned_between((here_s - step_s).max(start_s), here_s);
                    found.push(self.turn(piece, turned_s, if rises { Sense::Trough } else { Sense::Crest }));
                }
                rising = Some(rises);
            }
        }
        let turns = without_flats(found).into_iter();
        turns.filter(|turn| self.from <= turn.at && turn.at <= self.to).collect()
    }

    fn turn(&self, piece: &Piece, tau_s: f64, sense: Sense) -> Turn {
        let at = later(piece.from, tau_s);
        let value = piece.value(tau_s);
        // At the year's end the level may step: the crest is the higher side, the trough the lower.
        let before = self.value(at.checked_sub(SignedDuration::from_nanos(1)).unwrap_or(at));
        let stepped = tau_s <= 0.0;
        let value = match sense {
            Sense::Crest if stepped => value.max(before),
            Sense::Trough if stepped => value.min(before),
            Sense::Crest | Sense::Trough => value,
        };
        Turn { at, value, sense }
    }
}

impl Piece {
    /// Where the slope passes nought in a stretch where it changes sign.
    fn turned_between(&self, a_s: f64, b_s: f64) -> f64 {
        zero_between(|tau_s| self.slope(tau_s), a_s, b_s)
    }
}

/// An instant so many seconds after another, to the millisecond.
pub(crate) fn later(from: Timestamp, seconds: f64) -> Timestamp {
    from.checked_add(to_the_millisecond(seconds)).unwrap_or(from)
}

/// A length of time from seconds, which are fewer than the calendar has.
pub(crate) fn to_the_millisecond(seconds: f64) -> SignedDuration {
    SignedDuration::try_from_secs_f64((seconds * 1000.0).round() / 1000.0).unwrap_or(SignedDuration::ZERO)
}

/// Where `f` changes sign between `a` and `b`, to a hundredth (of a second). If it has one sign at both ends (a turn
/// so close to one of them that rounding hides it), the end nearer to nought.
///
/// Regula falsi with every third step a bisection, so that it ends within 120 looks whatever `f` is.
pub(crate) fn zero_between(f: impl Fn(f64) -> f64, a: f64, b: f64) -> f64 {
    const NARROW_S: f64 = 0.01;
    let (mut a, mut b) = (a, b);
    let (mut f_a, mut f_b) = (f(a), f(b));
    let changes = f_a * f_b < 0.0;
    if !changes {
        return if f_b.abs() < f_a.abs() { b } else { a };
    }
    for look in 0..120 {
        let middle = if look % 3 == 2 { 0.5 * (a + b) } else { (a * f_b - b * f_a) / (f_b - f_a) };
        let f_middle = f(middle);
        if f_middle == 0.0 {
            return middle;
        }
        if f_a * f_middle < 0.0 {
            (b, f_b) = (middle, f_middle);
        } else {
            (a, f_a) = (middle, f_middle);
        }
        if b - a < NARROW_S {
            break;
        }
    }
    0.5 * (a + b)
}

fn without_flats(turns: Vec<Turn>) -> Vec<Turn> {
    let mut kept: Vec<Turn> = Vec::with_capacity(turns.len());
    for turn in turns {
        let flat = kept.last().is_some_and(|last| {
            turn.at.duration_since(last.at) < FLAT_FOR && (turn.value - last.value).abs() < FLAT
        });
        if flat {
            kept.pop();
        } else {
            kept.push(turn);
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> Timestamp {
        text.parse().expect("an instant")
    }

    fn curve(mean: f64, constants: &[(&str, f64, f64)], convention: Convention) -> Curve {
        let constants = constants.iter().map(|&(name, amplitude, phase_deg)| Constant {
            constituent: Constituent::by_name(name).expect("a known name"),
            amplitude,
            phase_deg,
        });
        Curve::new(mean, constants.collect(), convention).expect("a curve")
    }

    const PORT: [(&str, f64, f64); 7] = [
        ("M2", 1.80, 120.0),
        ("S2", 0.60, 165.0),
        ("N2", 0.35, 98.0),
        ("K2", 0.17, 163.0),
        ("K1", 0.08, 100.0),
        ("O1", 0.07, 350.0),
        ("M4", 0.12, 210.0),
    ];

    // Source: summed term by term in Python (numpy 2.4) from V₀, f, u as printed by hatyan 2.14 for 2026-07-01.
    #[test]
    fn a_port_summed_elsewhere_reads_the_same() {
        let port = curve(2.40, &PORT, Convention::Continuous);
        let begun = at("2026-07-01T00:00:00Z");
        for (hours, height) in
            [(0, 0.74811), (3, 3.02930), (6, 3.91438), (9, 1.66397), (12, 0.78955), (24, 0.60868)]
        {
            let found = port.value_at(begun + SignedDuration::from_hours(hours)).expect("a valid year");
            // V₀ there may differ by 0.06°, 2 mm of this M2; f and u were held, and drift 1 mm in a day.
            assert!((found - height).abs() < 4e-3, "{hours} h: {found}");
        }
        let span = Span::new(begun, begun + SignedDuration::from_hours(25)).expect("a span");
        let turns = port.turns(span).expect("a valid year");
        let expected = [(5.0908, 4.13206), (11.4108, 0.72162), (17.3747, 4.48665), (23.8658, 0.60511)];
        assert_eq!(turns.len(), expected.len());
        for (turn, (hours, height)) in turns.iter().zip(expected) {
            let found = turn.at.duration_since(begun).as_secs_f64() / 3600.0;
            // 0.06° of M2 is 0.002 h.
            assert!((found - hours).abs() < 0.004, "{found} against {hours}");
            assert!((turn.value - height).abs() < 4e-3, "{} against {height}", turn.value);
        }
    }

    #[test]
    fn the_fast_path_reads_what_the_slow_one_reads() {
        for convention in [Convention::UsTables, Convention::Continuous] {
            let port = curve(2.40, &PORT, convention);
            let span = Span::new(at("2026-12-20T03:07:11Z"), at("2027-01-12T00:00:00Z")).expect("a span");
            let step = SignedDuration::from_mins(7);
            let values = port.values(span, step).expect("a valid year");
            assert_eq!(values.len(), span.instants(step).count());
            for (instant, value) in span.instants(step).zip(values) {
                let slow = port.value_at(instant).expect("a valid year");
                assert!((slow - value).abs() < 1e-10, "{instant}: {slow} against {value}");
            }
        }
    }

    #[test]
    fn between_midnights_the_continuous_level_is_that_of_the_exact_sum() {
        let port =
            curve(0.0, &[("M2", 1.0, 0.0), ("K2", 1.0, 0.0), ("M1", 1.0, 0.0)], Convention::Continuous);
        for hour in 0..48 {
            let when = at("2026-03-05T00:30:00Z") + SignedDuration::from_hours(hour);
            let astronomy = Astronomy::at(when);
            let factors = NodeFactors::of(&astronomy);
            let exact: f64 = port
                .constants()
                .iter()
                .map(|constant| {
                    let (f, u_deg) = constant.constituent.node(&factors);
                    f * (constant.constituent.argument_deg(&astronomy) + u_deg).to_radians().cos()
                })
                .sum();
            // Curvature of M1's u over a day, an eighth of (0.11° a day)².
            assert!((port.value_at(when).expect("a valid year") - exact).abs() < 1e-5);
        }
    }

    #[test]
    fn highs_and_lows_alternate_through_a_year_and_its_end() {
        for convention in [Convention::UsTables, Convention::Continuous] {
            // Nearly diurnal, with a semidiurnal tide that vanishes and comes back twice a month.
            let port = curve(0.0, &[("K1", 0.3, 10.0), ("O1", 0.3, 200.0), ("M2", 0.15, 40.0)], convention);
            let span = Span::new(at("2026-11-01T00:00:00Z"), at("2027-11-01T00:00:00Z")).expect("a span");
            let turns = port.turns(span).expect("valid years");
            assert!(500 < turns.len());
            for pair in turns.windows(2) {
                assert!(pair[0].at < pair[1].at);
                assert_ne!(pair[0].sense, pair[1].sense, "{pair:?}");
                assert_eq!(pair[0].sense == Sense::Crest, pair[1].value < pair[0].value, "{pair:?}");
            }
        }
    }

    #[test]
    fn a_single_wave_turns_twice_a_period_and_reaches_its_amplitude() {
        let port = curve(1.0, &[("S2", 2.0, 30.0)], Convention::UsTables);
        let span = Span::new(at("2026-05-01T00:00:00Z"), at("2026-05-02T00:00:00Z")).expect("a span");
        let turns = port.turns(span).expect("a valid year");
        // S2 is high at 0 h and 12 h for a lag of nought; 30° at 30 °/h is an hour.
        let expected = [("01:00", 3.0), ("07:00", -1.0), ("13:00", 3.0), ("19:00", -1.0)];
        assert_eq!(turns.len(), 4);
        for (turn, (clock, value)) in turns.iter().zip(expected) {
            let off = turn.at.duration_since(at(&format!("2026-05-01T{clock}:00Z"))).abs();
            assert!(off < SignedDuration::from_millis(20), "{} {clock}", turn.at);
            assert!((turn.value - value).abs() < 1e-9);
        }
    }

    #[test]
    fn a_turn_on_the_edge_of_the_span_is_in_it() {
        let port = curve(0.0, &[("S2", 2.0, 0.0)], Convention::UsTables);
        let noon = at("2026-05-01T12:00:00Z");
        let span = Span::new(noon - SignedDuration::from_mins(1), noon + SignedDuration::from_mins(1))
            .expect("a span");
        assert_eq!(port.turns(span).expect("a valid year").len(), 1);
    }

    #[test]
    fn constants_that_cannot_be_are_refused_by_name() {
        let constituent = Constituent::by_name("m2").expect("a known name");
        let constant = |amplitude, phase_deg| Constant { constituent, amplitude, phase_deg };
        let made = |constants| Curve::new(0.0, constants, Convention::Continuous);
        assert!(matches!(made(vec![constant(-0.1, 0.0)]), Err(CurveError::Amplitude { name: "M2", .. })));
        assert!(matches!(made(vec![constant(f64::NAN, 0.0)]), Err(CurveError::Amplitude { .. })));
        assert!(matches!(made(vec![constant(1.0, f64::INFINITY)]), Err(CurveError::Phase { .. })));
        assert!(matches!(made(vec![constant(1.0, 0.0); 2]), Err(CurveError::Twice { name: "M2" })));
        assert!(matches!(Curve::new(f64::NAN, vec![], Convention::UsTables), Err(CurveError::Mean { .. })));
    }

    #[test]
    fn years_beyond_the_elements_are_refused() {
        let port = curve(0.0, &PORT, Convention::Continuous);
        for when in [
            "1799-06-01T00:00:00Z",
            "2201-06-01T00:00:00Z",
            "9999-12-30T00:00:00Z",
            "-009000-01-01T00:00:00Z",
        ] {
            assert!(matches!(port.value_at(at(when)), Err(TideError::OutsideValidity { .. })), "{when}");
        }
    }
}
