//! A forecast at one place: winds at instants, and what can be said between them.
//!
//! A model gives the wind every hour or three. Between two steps the components are taken straight in time, which
//! gives the direction. The *speed* of that vector is not taken for the load: between opposed winds it passes through
//! a calm that a front need not bring. The mean is taken as the straight line between the two speeds, which is never
//! less than the vector's (`|(1−f) a + f b| <= (1−f)|a| + f|b|`); the vector's own length is kept beside it
//! as the lull that may come. A gust given as the greatest of an interval that ends at its step may have come at any
//! time of the interval, so it stands through the whole of it.
//!
//! Outside its first and last step, and within a gap of more than [`MAX_GAP`], a forecast says nothing, and says
//! that.

use core::fmt;

use jiff::{SignedDuration, Timestamp};

use super::wind::{Exposure, Wind, WindAt};
use crate::position::Position;
use crate::span::Span;
use crate::uncertain::Origin;
use crate::units::{Angle, Bearing, Length, Speed};

/// Longest stretch between two steps that is interpolated: six hours, the step of the coarsest products in general
/// use; a front passes in less.
pub const MAX_GAP: SignedDuration = SignedDuration::from_hours(6);

/// Strongest wind that is believed, m/s: just above the strongest gust ever measured, 113.2 m/s at Barrow Island on
/// 10 April 1996 (WMO archive of weather extremes).
pub const STRONGEST_MS: f64 = 115.0;

/// The wind of one instant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// When it holds.
    pub at: Timestamp,
    /// Mean wind at 10 m.
    pub wind: Wind,
    /// Gust, if the forecast has one.
    pub gust: Option<Speed>,
    /// Length of the interval, ending at this instant, of which the gust is the greatest; zero if it is of the
    /// instant.
    pub gust_over: SignedDuration,
}

/// Where on a model's grid a forecast comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GridPoint {
    /// Degrees of latitude between grid points.
    pub latitude_step_deg: f64,
    /// Degrees of longitude between grid points.
    pub longitude_step_deg: f64,
    /// The nearest grid point.
    pub nearest: Position,
    /// How far away it is.
    pub distance: Length,
}

/// Who says so, and when they said it.
#[derive(Clone, Debug, PartialEq)]
pub struct Provenance {
    /// Centre and model, file, or the crew, in words.
    pub source: String,
    /// When the model run began; `None` if not known.
    pub issued: Option<Timestamp>,
    /// Member of an ensemble, if it is one.
    pub member: Option<u32>,
    /// The grid, if it comes from one.
    pub grid: Option<GridPoint>,
}

/// A forecast at a place.
///
/// Invariant: at least one step, in order of time, no two of one instant, every figure finite and below
/// [`STRONGEST_MS`].
#[derive(Clone, Debug, PartialEq)]
pub struct Forecast {
    steps: Vec<Step>,
    provenance: Provenance,
    tried: Option<TriedWind>,
}

/// A forecast's wind made another to see what would be: turned, and made stronger or lighter, at every step alike.
/// It is no forecast any more, and whoever shows it says so.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TriedWind {
    /// How far it is turned, clockwise.
    pub turned: Angle,
    /// How many times as strong, mean and gust alike.
    pub times: f64,
}

/// Strongest and lightest that a wind may be tried, times the forecast: what an error of a forecast, a squall or a
/// bullet off high ground could make of it, and ample beyond (a choice; [`STRONGEST_MS`] holds besides).
pub const TRIED_TIMES: (f64, f64) = (0.1, 10.0);

/// Why a wind cannot be tried.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum TriedWindError {
    /// The angle is no number.
    #[error("is turned by {turned_deg}°, which is no angle")]
    Turned {
        /// What was said.
        turned_deg: f64,
    },
    /// The factor is out of what is tried.
    #[error("is {times} times as strong (from {least} to {most} is tried)", least = TRIED_TIMES.0, most = TRIED_TIMES.1)]
    Times {
        /// What was said.
        times: f64,
    },
    /// It would then be a wind that has never blown.
    #[error("makes a wind that has never blown: {0}")]
    Beyond(ForecastProblem),
}

/// What is wrong with the steps of a forecast.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum ForecastProblem {
    /// There are none.
    #[error("the forecast has no steps")]
    Empty,
    /// Two steps of one instant.
    #[error("two steps are of {0}")]
    Duplicate(Timestamp),
    /// A step earlier than the one before it.
    #[error("the step of {at} comes after that of {after}")]
    Unordered {
        /// The earlier instant.
        at: Timestamp,
        /// The later instant that stands before it.
        after: Timestamp,
    },
    /// A mean wind that is no number or beyond anything measured.
    #[error("the mean wind of {at} is {speed_ms} m/s, which is not a wind (0 to {STRONGEST_MS})")]
    Mean {
        /// When.
        at: Timestamp,
        /// What was said.
        speed_ms: f64,
    },
    /// A gust that is no number, negative or beyond anything measured.
    #[error("the gust of {at} is {speed_ms} m/s, which is not a wind (0 to {STRONGEST_MS})")]
    Gust {
        /// When.
        at: Timestamp,
        /// What was said.
        speed_ms: f64,
    },
    /// A gust of an interval that ends before it begins.
    #[error("the gust of {at} is the greatest of {seconds} s")]
    GustInterval {
        /// When.
        at: Timestamp,
        /// What was said.
        seconds: i64,
    },
}

/// Why nothing can be said of an instant.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ForecastError {
    /// It lies before the first step.
    #[error("cannot say before {first}: the forecast begins there")]
    Before {
        /// The first step.
        first: Timestamp,
    },
    /// It lies after the last step.
    #[error("cannot say after {last}: the forecast ends there")]
    After {
        /// The last step.
        last: Timestamp,
    },
    /// It lies in a gap too long to bridge.
    #[error("cannot say between {from} and {to}: the forecast has no step for more than 6 h")]
    Gap {
        /// The step before.
        from: Timestamp,
        /// The step after.
        to: Timestamp,
    },
}

impl fmt::Display for TriedWind {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let turned_deg = self.turned.as_degrees();
        let way = if turned_deg < 0.0 { "anticlockwise" } else { "clockwise" };
        write!(
            out,
            "tried, not forecast: turned {:.0}° {way}, {:.2} times as strong",
            turned_deg.abs(),
            self.times
        )
    }
}

impl Forecast {
    /// From steps in order of time.
    ///
    /// # Errors
    /// Every [`ForecastProblem`] there is.
    pub fn new(steps: Vec<Step>, provenance: Provenance) -> Result<Self, Vec<ForecastProblem>> {
        let mut problems: Vec<_> = steps.iter().flat_map(problems_of).collect();
        for (before, step) in steps.iter().zip(steps.iter().skip(1)) {
            if step.at == before.at {
                problems.push(ForecastProblem::Duplicate(step.at));
            } else if step.at < before.at {
                problems.push(ForecastProblem::Unordered { at: step.at, after: before.at });
            }
        }
        if steps.is_empty() {
            problems.push(ForecastProblem::Empty);
        }
        if problems.is_empty() { Ok(Self { steps, provenance, tried: None }) } else { Err(problems) }
    }

    /// Its steps, in order of time.
    pub fn steps(&self) -> &[Step] {
        &self.steps
    }
    /// Who says so.
    pub const fn provenance(&self) -> &Provenance {
        &self.provenance
    }
    /// What was made of it to see what would be; `None` where it stands as it was forecast.
    pub const fn tried(&self) -> Option<TriedWind> {
        self.tried
    }
    /// Who says so, in words: a wind that is tried never passes for one that was forecast.
    pub fn source(&self) -> String {
        let source = &self.provenance.source;
        self.tried.map_or_else(|| source.clone(), |tried| format!("{tried}; made from: {source}"))
    }
    /// What its figures are: forecast, or assumed where they are tried.
    pub const fn origin(&self) -> Origin {
        if self.tried.is_some() { Origin::Assumed } else { Origin::Forecast }
    }
    /// The same with another wind, turned and made stronger or lighter at every step.
    ///
    /// # Errors
    /// [`TriedWindError`] when that is no wind that can be tried.
    pub fn trying(&self, wind: TriedWind) -> Result<Self, TriedWindError> {
        let (turned_deg, times) = (wind.turned.as_degrees(), wind.times);
        if !turned_deg.is_finite() {
            return Err(TriedWindError::Turned { turned_deg });
        }
        if !(TRIED_TIMES.0..=TRIED_TIMES.1).contains(&times) {
            return Err(TriedWindError::Times { times });
        }
        let one = |step: &Step| Step {
            wind: step.wind.turned(wind.turned) * times,
            gust: step.gust.map(|gust| gust * times),
            ..*step
        };
        let steps: Vec<Step> = self.steps.iter().map(one).collect();
        if let Some(problem) = steps.iter().flat_map(problems_of).next() {
            return Err(TriedWindError::Beyond(problem));
        }
        let before = self.tried.unwrap_or(TriedWind { turned: Angle::ZERO, times: 1.0 });
        let tried = TriedWind { turned: before.turned + wind.turned, times: before.times * times };
        Ok(Self { steps, provenance: self.provenance.clone(), tried: Some(tried) })
    }
    /// From the first step to the last; `None` of a single step.
    pub fn span(&self) -> Option<Span> {
        Span::new(self.steps.first()?.at, self.steps.last()?.at).ok()
    }
    /// How long before `now` the model run began; `None` if that is not known.
    pub fn age(&self, now: Timestamp) -> Option<SignedDuration> {
        Some(now.duration_since(self.provenance.issued?))
    }
    /// The stretches between steps that are too long to bridge.
    pub fn gaps(&self) -> impl Iterator<Item = Span> {
        let pairs = self.steps.iter().zip(self.steps.iter().skip(1));
        pairs.filter_map(|(a, b)| Span::new(a.at, b.at).ok()).filter(|gap| MAX_GAP < gap.duration())
    }

    /// The wind at an instant; where the forecast gives no gust, one by exposure.
    ///
    /// # Errors
    /// [`ForecastError`] names the time after or before which nothing can be said.
    pub fn at(&self, at: Timestamp, exposure: Exposure) -> Result<WindAt, ForecastError> {
        let wind = self.between_steps(at, exposure)?;
        let gust_origin = if self.tried.is_some() { Origin::Assumed } else { wind.gust_origin };
        Ok(WindAt { gust_origin, ..wind })
    }

    fn between_steps(&self, at: Timestamp, exposure: Exposure) -> Result<WindAt, ForecastError> {
        let after = self.steps.partition_point(|step| step.at < at);
        match (after.checked_sub(1).and_then(|i| self.steps.get(i)), self.steps.get(after)) {
            (_, Some(step)) if step.at == at => Ok(between(step, step, 0.0, exposure)),
            (Some(before), Some(after)) => {
                let gap = after.at.duration_since(before.at);
                if MAX_GAP < gap {
                    return Err(ForecastError::Gap { from: before.at, to: after.at });
                }
                let fraction = at.duration_since(before.at).as_secs_f64() / gap.as_secs_f64();
                Ok(between(before, after, fraction, exposure))
            }
            (None, Some(first)) => Err(ForecastError::Before { first: first.at }),
            (Some(last), None) => Err(ForecastError::After { last: last.at }),
            // No steps at all: excluded by the constructor, and nothing can be said after any instant.
            (None, None) => Err(ForecastError::After { last: at }),
        }
    }
}

fn problems_of(step: &Step) -> Vec<ForecastProblem> {
    let mut problems = Vec::new();
    let mean_ms = step.wind.speed().as_metres_per_second();
    if !(0.0..=STRONGEST_MS).contains(&mean_ms) {
        problems.push(ForecastProblem::Mean { at: step.at, speed_ms: mean_ms });
    }
    if let Some(gust) = step.gust
        && !(0.0..=STRONGEST_MS).contains(&gust.as_metres_per_second())
    {
        problems.push(ForecastProblem::Gust { at: step.at, speed_ms: gust.as_metres_per_second() });
    }
    if step.gust_over < SignedDuration::ZERO {
        problems.push(ForecastProblem::GustInterval { at: step.at, seconds: step.gust_over.as_secs() });
    }
    problems
}

fn between(before: &Step, after: &Step, fraction: f64, exposure: Exposure) -> WindAt {
    let vector = before.wind.towards(after.wind, fraction);
    let line = |a: Speed, b: Speed| a + (b - a) * fraction;
    let mean = line(before.wind.speed(), after.wind.speed());
    let gust_of = |step: &Step| step.gust.unwrap_or_else(|| exposure.gust(step.wind.speed()));
    let mut gust = line(gust_of(before), gust_of(after));
    let remaining = after.at.duration_since(before.at).as_secs_f64() * (1.0 - fraction);
    if let Some(greatest) = after.gust
        && remaining < after.gust_over.as_secs_f64()
    {
        gust = gust.max(greatest);
    }
    let forecast = before.gust.is_some() && after.gust.is_some();
    WindAt {
        mean,
        from: vector.from(),
        resultant: vector.speed(),
        turning: turning(before.wind.from(), after.wind.from()),
        // Models smooth: a gust below the mean cannot be, and the mean stands.
        gust: gust.max(mean),
        gust_origin: if forecast { Origin::Forecast } else { Origin::Computed },
    }
}

/// A wind that comes out of a calm, or dies into one, does not turn.
fn turning(before: Option<Bearing>, after: Option<Bearing>) -> Angle {
    match (before, after) {
        (Some(before), Some(after)) => before.to(after),
        _ => Angle::ZERO,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn instant(hour: i64) -> Timestamp {
        let midnight: Timestamp = "2026-12-31T21:00:00Z".parse().unwrap();
        midnight.checked_add(SignedDuration::from_hours(hour)).unwrap()
    }

    fn step(hour: i64, from_deg: f64, mean_kn: f64, gust_kn: Option<f64>) -> Step {
        Step {
            at: instant(hour),
            wind: Wind::blowing(Bearing::degrees(from_deg), Speed::knots(mean_kn)),
            gust: gust_kn.map(Speed::knots),
            gust_over: SignedDuration::ZERO,
        }
    }

    fn provenance() -> Provenance {
        Provenance { source: "invented".into(), issued: Some(instant(-6)), member: None, grid: None }
    }

    fn forecast(steps: Vec<Step>) -> Forecast {
        Forecast::new(steps, provenance()).unwrap()
    }

    fn halfway(a: Step, b: Step) -> WindAt {
        let hours = b.at.duration_since(a.at);
        let at = a.at.checked_add(hours / 2).unwrap();
        forecast(vec![a, b]).at(at, Exposure::OffLand).unwrap()
    }

    fn tried(turned_deg: f64, times: f64) -> TriedWind {
        TriedWind { turned: Angle::degrees(turned_deg), times }
    }

    #[test]
    fn a_wind_that_is_tried_turns_and_grows_at_every_step_and_says_that_it_is_tried() {
        let of = forecast(vec![step(0, 350.0, 10.0, Some(16.0)), step(3, 20.0, 12.0, None)]);
        let other = of.trying(tried(30.0, 1.5)).expect("a wind");
        for (before, after) in of.steps().iter().zip(other.steps()) {
            let turn = before.wind.from().unwrap().to(after.wind.from().unwrap());
            assert!((turn.as_degrees() - 30.0).abs() < 1e-9, "{turn:?}");
            assert!((after.wind.speed().as_knots() - 1.5 * before.wind.speed().as_knots()).abs() < 1e-9);
        }
        assert!((other.steps()[0].gust.unwrap().as_knots() - 24.0).abs() < 1e-9);
        assert_eq!(other.steps()[1].gust, None);
        assert_eq!((of.origin(), other.origin()), (Origin::Forecast, Origin::Assumed));
        assert_eq!(other.at(instant(1), Exposure::OffLand).unwrap().gust_origin, Origin::Assumed);
        assert_eq!(
            other.source(),
            "tried, not forecast: turned 30° clockwise, 1.50 times as strong; made from: invented"
        );
    }

    #[test]
    fn a_wind_that_is_tried_there_and_back_is_the_forecasts_again() {
        let of = forecast(vec![step(0, 350.0, 10.0, Some(16.0)), step(3, 20.0, 12.0, None)]);
        let back = of.trying(tried(-70.0, 2.0)).and_then(|it| it.trying(tried(70.0, 0.5))).expect("a wind");
        for (before, after) in of.steps().iter().zip(back.steps()) {
            assert!((before.wind.east_ms - after.wind.east_ms).abs() < 1e-12);
            assert!((before.wind.north_ms - after.wind.north_ms).abs() < 1e-12);
        }
        // It has been laid hands on: it does not pass for the forecast.
        assert_eq!(back.tried(), Some(tried(0.0, 1.0)));
    }

    #[test]
    fn what_is_no_wind_is_not_tried() {
        let of = forecast(vec![step(0, 350.0, 100.0, None)]);
        assert!(matches!(of.trying(tried(f64::NAN, 1.0)), Err(TriedWindError::Turned { .. })));
        for times in [f64::NAN, f64::INFINITY, -1.0, 0.0, 11.0] {
            assert!(matches!(of.trying(tried(0.0, times)), Err(TriedWindError::Times { .. })), "{times}");
        }
        // 100 kn three times over is 154 m/s.
        assert!(matches!(of.trying(tried(0.0, 3.0)), Err(TriedWindError::Beyond(_))));
    }

    #[test]
    fn a_steady_wind_stays_as_it_is_between_steps() {
        let wind = halfway(step(0, 350.0, 20.0, Some(30.0)), step(3, 350.0, 20.0, Some(30.0)));
        assert!((wind.mean.as_knots() - 20.0).abs() < 1e-9);
        assert!((wind.gust.as_knots() - 30.0).abs() < 1e-9);
        assert!((wind.from.unwrap().as_degrees() - 350.0).abs() < 1e-9);
        assert_eq!(wind.gust_origin, Origin::Forecast);
    }

    #[test]
    fn a_shift_through_north_goes_the_short_way_over_the_years_end() {
        let wind = halfway(step(0, 350.0, 20.0, None), step(6, 10.0, 20.0, None));
        let from_deg = wind.from.unwrap().as_degrees();
        assert!(from_deg.min(360.0 - from_deg) < 1e-9);
        assert!((wind.turning.as_degrees() - 20.0).abs() < 1e-9);
    }

    #[test]
    fn between_opposed_winds_the_load_does_not_pass_through_a_calm() {
        let wind = halfway(step(0, 0.0, 20.0, None), step(3, 180.0, 20.0, None));
        assert!(wind.resultant.as_knots() < 1e-9);
        assert!((wind.mean.as_knots() - 20.0).abs() < 1e-9);
        assert!((wind.turning.as_degrees().abs() - 180.0).abs() < 1e-9);
    }

    #[test]
    fn the_mean_is_never_less_than_the_vector() {
        for turn in 0..=36 {
            let wind = halfway(step(0, 30.0, 12.0, None), step(3, 30.0 + f64::from(turn) * 10.0, 25.0, None));
            assert!(wind.resultant.as_knots() <= wind.mean.as_knots() + 1e-9);
            assert!(wind.mean <= wind.gust);
        }
    }

    #[test]
    fn a_mean_without_gusts_gets_them_by_exposure() {
        let wind = halfway(step(0, 90.0, 20.0, None), step(3, 90.0, 20.0, None));
        // WMO/TD-No. 1555: 1.52 with land to windward.
        assert!((wind.gust / wind.mean - 1.52).abs() < 0.005);
        assert_eq!(wind.gust_origin, Origin::Computed);
    }

    #[test]
    fn the_greatest_gust_of_an_interval_stands_through_all_of_it() {
        let mut late = step(6, 90.0, 20.0, Some(40.0));
        late.gust_over = SignedDuration::from_hours(3);
        let series = forecast(vec![step(0, 90.0, 20.0, Some(25.0)), late]);
        let gust_kn = |minutes: i64| {
            let at = instant(0).checked_add(SignedDuration::from_mins(minutes)).unwrap();
            series.at(at, Exposure::AtSea).unwrap().gust.as_knots()
        };
        assert!((gust_kn(181) - 40.0).abs() < 1e-9);
        assert!(gust_kn(179) < 33.0);
    }

    #[test]
    fn outside_its_steps_it_says_when_it_ceases_to_say() {
        let series = forecast(vec![step(0, 90.0, 20.0, None), step(6, 90.0, 20.0, None)]);
        let late = series.at(instant(7), Exposure::AtSea).unwrap_err();
        assert_eq!(late, ForecastError::After { last: instant(6) });
        assert_eq!(late.to_string(), "cannot say after 2027-01-01T03:00:00Z: the forecast ends there");
        let early = series.at(instant(-1), Exposure::AtSea).unwrap_err();
        assert_eq!(early, ForecastError::Before { first: instant(0) });
        assert!(series.at(instant(6), Exposure::AtSea).is_ok());
        assert!(series.at(instant(0), Exposure::AtSea).is_ok());
    }

    #[test]
    fn a_long_gap_is_not_bridged() {
        let series = forecast(vec![step(0, 90.0, 20.0, None), step(7, 90.0, 20.0, None)]);
        let error = series.at(instant(3), Exposure::AtSea).unwrap_err();
        assert_eq!(error, ForecastError::Gap { from: instant(0), to: instant(7) });
        assert_eq!(series.gaps().count(), 1);
        assert!(series.at(instant(7), Exposure::AtSea).is_ok());
    }

    #[test]
    fn every_problem_is_told_at_once() {
        let mut broken = step(2, 90.0, f64::NAN, Some(-3.0));
        broken.gust_over = SignedDuration::from_hours(-1);
        let steps = vec![step(3, 0.0, 10.0, None), broken, step(2, 0.0, 300.0, Some(f64::INFINITY))];
        let problems = Forecast::new(steps, provenance()).unwrap_err();
        assert_eq!(problems.len(), 7, "{problems:?}");
        assert_eq!(Forecast::new(vec![], provenance()).unwrap_err(), vec![ForecastProblem::Empty]);
    }

    #[test]
    fn its_age_is_reckoned_from_the_model_run() {
        let series = forecast(vec![step(0, 90.0, 20.0, None)]);
        assert_eq!(series.age(instant(3)), Some(SignedDuration::from_hours(9)));
        assert!(series.span().is_none());
    }
}
