//! The tidal stream: how fast the water runs along its channel, which way, and when it turns.
//!
//! In a channel the stream runs to and fro along one axis, flood one way, ebb nearly the other. Its speed along the
//! axis is a mean flow and a sum of constituents, like the height of the tide ([`super::tide::harmonic`]); flood
//! is positive, ebb negative. It need not pass through slack between two greatest speeds: where the mean flow is
//! strong the ebb may slacken and run harder again, and the tables print two ebbs in a row.
//!
//! A subordinate station takes its four turns from a reference: slack before flood, greatest flood, slack before
//! ebb and greatest ebb, each so much later, and the greatest speeds so many times as strong. Between them the
//! reference's curve is stretched to fit (time in proportion, speed in proportion), an assumption as for heights.
//!
//! # Validity
//!
//! At the place and depth of the station, along its axis only: what runs across the axis (it is greatest near slack)
//! is left out, and so are wind and river beyond the mean flow. Where the tables name no direction, or a ratio of
//! nought, the stream that way is weak and its set varies: [`StreamAt::sets_towards`] then says nothing.
//!
//! A table of speeds and directions, from a chart's diamond or the crew's own notes, has no axis: between two rows
//! the velocity goes straight from the one to the other, east and north apart, so that a stream that turns passes
//! through the slack between. Straight lines lie below the curve of a tidal stream: where only slacks and greatest
//! speeds are told, by up to a fifth of the greatest speed in between (sin x − 2x/π is 0.21 at most). Tell it hourly.
//!
//! Source: US National Ocean Service, *Tidal Current Tables*, table 2 and its explanation; Schureman, SP 98,
//! paragraphs 476 on.

use jiff::{SignedDuration, Timestamp};

use super::tide::TideError;
use super::tide::harmonic::{Curve, Reckoned, Sense, Turn, later, zero_between};
use super::tide::subordinate::{ABOUT, about};
use super::tide::warp::{Knot, Warp};
use crate::span::Span;
use crate::units::{Bearing, Speed};

/// The tidal stream of a place.
#[derive(Clone, Debug, PartialEq)]
pub enum Stream {
    /// From its harmonic constants along its axis.
    Axis(AxisStream),
    /// From a reference station's turns.
    Subordinate(SubordinateStream),
    /// From a table of speeds and directions.
    Table(StreamTable),
    /// Said to have no stream.
    Still,
}

/// Velocities in order of time.
#[derive(Clone, Debug, PartialEq)]
pub struct StreamTable {
    // Invariant: at least one, times ascending, every figure finite.
    rows: Vec<StreamRow>,
}

/// The velocity of the water at an instant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StreamRow {
    /// When.
    pub at: Timestamp,
    /// Metres a second towards the east.
    pub east_ms: f64,
    /// Metres a second towards the north.
    pub north_ms: f64,
}

/// Rows of a table further apart than this are not bridged: a stream that runs to and fro once a day goes from slack
/// to its greatest in 6.2 h, so that a longer gap may hide a turn.
pub const LONGEST_BETWEEN_ROWS: SignedDuration = SignedDuration::from_hours(7);

/// A stream along one axis.
#[derive(Clone, Debug, PartialEq)]
pub struct AxisStream {
    /// Metres a second along the axis, flood positive, mean flow included.
    pub curve: Curve,
    /// Where flood sets to, if it is known.
    pub flood: Option<Bearing>,
    /// Where ebb sets to, if it is known.
    pub ebb: Option<Bearing>,
}

/// A place known by its differences on a reference station.
#[derive(Clone, Debug, PartialEq)]
pub struct SubordinateStream {
    /// The reference station.
    pub reference: AxisStream,
    /// Its differences.
    pub differences: StreamDifferences,
    /// Where flood sets to, if it is known.
    pub flood: Option<Bearing>,
    /// Where ebb sets to, if it is known.
    pub ebb: Option<Bearing>,
}

/// How the four turns of a subordinate station follow from the reference's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StreamDifferences {
    /// Slack before flood comes so much later.
    pub slack_before_flood: SignedDuration,
    /// Greatest flood comes so much later.
    pub flood: SignedDuration,
    /// Slack before ebb comes so much later.
    pub slack_before_ebb: SignedDuration,
    /// Greatest ebb comes so much later.
    pub ebb: SignedDuration,
    /// Flood runs so many times as fast.
    pub flood_ratio: f64,
    /// Ebb runs so many times as fast.
    pub ebb_ratio: f64,
}

/// The stream at an instant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StreamAt {
    /// How fast the water runs, never negative.
    pub speed: Speed,
    /// Where it sets to; `None` where the tables do not say, or it stands still.
    pub sets_towards: Option<Bearing>,
    /// Along the axis: flood positive, ebb negative. The speed where there is no axis.
    pub along_axis: Speed,
}

/// What the stream does at an event.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StreamTurn {
    /// It changes from ebb to flood or from flood to ebb.
    Slack,
    /// Its speed along the axis stands still while flooding.
    MaxFlood,
    /// Its speed along the axis stands still while ebbing.
    MaxEbb,
}

/// A slack, or a speed that stands still.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StreamEvent {
    /// When.
    pub at: Timestamp,
    /// Which.
    pub kind: StreamTurn,
    /// Along the axis: flood positive, ebb negative.
    pub along_axis: Speed,
}

/// Why a stream cannot be.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum StreamError {
    /// A ratio is negative or not a number.
    #[error("a speed ratio of {ratio} is not a number from nought up")]
    Ratio {
        /// What was given.
        ratio: f64,
    },
    /// A table without rows.
    #[error("a table of streams needs a row")]
    NoRows,
    /// A velocity is not a number.
    #[error("the stream at {at} is not a number")]
    Velocity {
        /// Whose.
        at: Timestamp,
    },
    /// A row does not come after the one before.
    #[error("the row of {later} does not come after that of {earlier}, which stands before it")]
    Order {
        /// The row before.
        earlier: Timestamp,
        /// The row.
        later: Timestamp,
    },
}

/// A stream made ready for one span.
#[derive(Debug)]
pub struct StreamPrediction<'a> {
    stream: &'a Stream,
    ready: Ready<'a>,
}

#[derive(Debug)]
enum Ready<'a> {
    Curve(Reckoned),
    Warped(Warp),
    Table(&'a StreamTable),
    Still,
}

impl Stream {
    /// The stream at an instant.
    ///
    /// # Errors
    /// [`TideError`] says why it cannot be known.
    pub fn at(&self, at: Timestamp) -> Result<StreamAt, TideError> {
        self.reckon(at, at)?.at(at)
    }

    /// Makes ready to answer many instants of one span.
    ///
    /// # Errors
    /// [`TideError`] if nothing can be said of the span.
    pub fn over(&self, span: Span) -> Result<StreamPrediction<'_>, TideError> {
        self.reckon(span.from(), span.to())
    }

    /// Every slack and every instant at which the speed along the axis stands still, in order of time. Of a table,
    /// the rows that tell a slack.
    ///
    /// # Errors
    /// [`TideError`] says why they cannot be known.
    pub fn events(&self, span: Span) -> Result<Vec<StreamEvent>, TideError> {
        match self {
            Self::Axis(place) => place.events(span),
            Self::Subordinate(place) => {
                let wide = about(span.from(), span.to(), place.differences.reach())?;
                let mut events: Vec<StreamEvent> = place
                    .reference
                    .steps(wide)?
                    .iter()
                    .map(|step| place.differences.moved(step))
                    .filter(|event| span.contains(event.at))
                    .collect();
                events.sort_by_key(|event| event.at);
                Ok(events)
            }
            Self::Table(table) => Ok(table.slacks(span)),
            Self::Still => Ok(Vec::new()),
        }
    }

    fn reckon(&self, from: Timestamp, to: Timestamp) -> Result<StreamPrediction<'_>, TideError> {
        let ready = match self {
            Self::Axis(place) => Ready::Curve(place.curve.reckoned(from, to)?),
            Self::Subordinate(place) => Ready::Warped(place.warp(from, to)?),
            Self::Table(table) => Ready::Table(table),
            Self::Still => Ready::Still,
        };
        Ok(StreamPrediction { stream: self, ready })
    }

    fn direction(&self, along_axis: f64) -> Option<Bearing> {
        let (flood, ebb) = match self {
            Self::Axis(place) => (place.flood, place.ebb),
            Self::Subordinate(place) => (place.flood, place.ebb),
            Self::Table(_) | Self::Still => (None, None),
        };
        match along_axis {
            v if 0.0 < v => flood,
            v if v < 0.0 => ebb,
            _ => None,
        }
    }
}

impl StreamPrediction<'_> {
    /// The stream at an instant of the span.
    ///
    /// # Errors
    /// [`TideError`] says why it cannot be known.
    pub fn at(&self, at: Timestamp) -> Result<StreamAt, TideError> {
        let along_axis = match &self.ready {
            Ready::Curve(curve) => curve.value(at),
            Ready::Warped(warp) => warp.value(at).ok_or(TideError::NoTurns { at })?,
            Ready::Table(table) => return table.at(at),
            Ready::Still => 0.0,
        };
        Ok(StreamAt {
            speed: Speed::metres_per_second(along_axis.abs()),
            sets_towards: self.stream.direction(along_axis),
            along_axis: Speed::metres_per_second(along_axis),
        })
    }
}

impl StreamRow {
    /// A speed with where it sets to; no direction is needed at slack, and none is read there.
    pub fn setting(at: Timestamp, speed: Speed, towards: Option<Bearing>) -> Self {
        let (sin, cos) = towards.map_or((0.0, 0.0), |towards| towards.as_radians().sin_cos());
        let speed_ms = speed.as_metres_per_second();
        Self { at, east_ms: speed_ms * sin, north_ms: speed_ms * cos }
    }

    fn speed_ms(&self) -> f64 {
        self.east_ms.hypot(self.north_ms)
    }
}

impl StreamTable {
    /// A table from its rows.
    ///
    /// # Errors
    /// Every [`StreamError`] in it.
    pub fn new(rows: Vec<StreamRow>) -> Result<Self, Vec<StreamError>> {
        let mut errors = Vec::new();
        if rows.is_empty() {
            errors.push(StreamError::NoRows);
        }
        let not_numbers = rows.iter().filter(|row| !row.speed_ms().is_finite());
        errors.extend(not_numbers.map(|row| StreamError::Velocity { at: row.at }));
        let pairs = rows.iter().zip(rows.iter().skip(1)).filter(|(earlier, later)| later.at <= earlier.at);
        errors.extend(
            pairs.map(|(earlier, later)| StreamError::Order { earlier: earlier.at, later: later.at }),
        );
        if errors.is_empty() { Ok(Self { rows }) } else { Err(errors) }
    }

    fn slacks(&self, span: Span) -> Vec<StreamEvent> {
        let slack = self.rows.iter().filter(|row| span.contains(row.at) && row.speed_ms() <= 0.0);
        slack
            .map(|row| StreamEvent { at: row.at, kind: StreamTurn::Slack, along_axis: Speed::ZERO })
            .collect()
    }

    fn at(&self, at: Timestamp) -> Result<StreamAt, TideError> {
        let next = self.rows.partition_point(|row| row.at < at);
        let before = next.checked_sub(1).and_then(|index| self.rows.get(index));
        match (before, self.rows.get(next)) {
            (_, Some(row)) if row.at == at => Ok(running(row.east_ms, row.north_ms)),
            (Some(before), Some(after)) => between(before, after, at),
            _ => {
                let ends =
                    (self.rows.first().map_or(at, |row| row.at), self.rows.last().map_or(at, |row| row.at));
                Err(TideError::StreamNotCovered { at, from: ends.0, to: ends.1 })
            }
        }
    }
}

fn between(before: &StreamRow, after: &StreamRow, at: Timestamp) -> Result<StreamAt, TideError> {
    let lasting = after.at.duration_since(before.at);
    if LONGEST_BETWEEN_ROWS < lasting {
        return Err(TideError::StreamGap { from: before.at, to: after.at });
    }
    let along = at.duration_since(before.at).as_secs_f64() / lasting.as_secs_f64();
    let part = |from: f64, to: f64| from + (to - from) * along;
    Ok(running(part(before.east_ms, after.east_ms), part(before.north_ms, after.north_ms)))
}

fn running(east_ms: f64, north_ms: f64) -> StreamAt {
    let speed_ms = east_ms.hypot(north_ms);
    let speed = Speed::metres_per_second(speed_ms);
    let towards = || Bearing::degrees(east_ms.atan2(north_ms).to_degrees());
    StreamAt { speed, sets_towards: (0.0 < speed_ms).then(towards), along_axis: speed }
}

/// An event of the reference, and which way the stream turns there: a slack before flood rises.
#[derive(Clone, Copy, Debug)]
struct Step {
    event: StreamEvent,
    rising: bool,
}

impl AxisStream {
    fn events(&self, span: Span) -> Result<Vec<StreamEvent>, TideError> {
        Ok(self.steps(span)?.into_iter().map(|step| step.event).collect())
    }

    fn steps(&self, span: Span) -> Result<Vec<Step>, TideError> {
        Ok(steps(&self.curve.reckoned(span.from(), span.to())?, span))
    }
}

/// The turns of a curve and the slacks between them: from one turn to the next the speed goes one way only, so that
/// a slack lies between them exactly if their signs differ.
fn steps(curve: &Reckoned, span: Span) -> Vec<Step> {
    let turns = curve.turns();
    let mut steps = Vec::with_capacity(2 * turns.len() + 1);
    let (mut before, mut value_before) = (span.from(), curve.value(span.from()));
    for turn in &turns {
        steps.extend(slack(curve, (before, value_before), (turn.at, turn.value)));
        steps.push(Step { event: stood_still(turn), rising: turn.sense == Sense::Trough });
        (before, value_before) = (turn.at, turn.value);
    }
    steps.extend(slack(curve, (before, value_before), (span.to(), curve.value(span.to()))));
    steps
}

fn stood_still(turn: &Turn) -> StreamEvent {
    let kind = if 0.0 <= turn.value { StreamTurn::MaxFlood } else { StreamTurn::MaxEbb };
    StreamEvent { at: turn.at, kind, along_axis: Speed::metres_per_second(turn.value) }
}

fn slack(curve: &Reckoned, (from, v_from): (Timestamp, f64), (to, v_to): (Timestamp, f64)) -> Option<Step> {
    let changes = v_from * v_to < 0.0;
    if !changes {
        return None;
    }
    let value = |tau_s: f64| curve.value(later(from, tau_s));
    let at = later(from, zero_between(value, 0.0, to.duration_since(from).as_secs_f64()));
    let event = StreamEvent { at, kind: StreamTurn::Slack, along_axis: Speed::ZERO };
    Some(Step { event, rising: v_from < v_to })
}

impl SubordinateStream {
    /// A place from its differences.
    ///
    /// # Errors
    /// [`StreamError`] for a ratio that is negative or not a number.
    pub fn new(
        reference: AxisStream,
        differences: StreamDifferences,
        [flood, ebb]: [Option<Bearing>; 2],
    ) -> Result<Self, StreamError> {
        for ratio in [differences.flood_ratio, differences.ebb_ratio] {
            if !(0.0 <= ratio && ratio.is_finite()) {
                return Err(StreamError::Ratio { ratio });
            }
        }
        Ok(Self { reference, differences, flood, ebb })
    }

    fn warp(&self, from: Timestamp, to: Timestamp) -> Result<Warp, TideError> {
        let wide = about(from, to, self.differences.reach().saturating_add(ABOUT))?;
        let reckoned = self.reference.curve.reckoned(wide.from(), wide.to())?;
        let knots: Vec<Knot> = steps(&reckoned, wide)
            .iter()
            .map(|step| {
                let (there, here) = (step.event, self.differences.moved(step));
                Knot {
                    there: there.at,
                    there_value: there.along_axis.as_metres_per_second(),
                    here: here.at,
                    here_value: here.along_axis.as_metres_per_second(),
                }
            })
            .collect();
        Ok(Warp::new(reckoned, knots))
    }
}

impl StreamDifferences {
    fn moved(&self, step: &Step) -> StreamEvent {
        let (later, ratio) = match step.event.kind {
            StreamTurn::Slack if step.rising => (self.slack_before_flood, 0.0),
            StreamTurn::Slack => (self.slack_before_ebb, 0.0),
            StreamTurn::MaxFlood => (self.flood, self.flood_ratio),
            StreamTurn::MaxEbb => (self.ebb, self.ebb_ratio),
        };
        let at = step.event.at.checked_add(later).unwrap_or(step.event.at);
        StreamEvent { at, kind: step.event.kind, along_axis: step.event.along_axis * ratio }
    }

    fn reach(&self) -> SignedDuration {
        let all = [self.slack_before_flood, self.flood, self.slack_before_ebb, self.ebb];
        all.into_iter().map(SignedDuration::abs).max().unwrap_or(SignedDuration::ZERO)
    }
}

#[cfg(test)]
mod tests {
    use super::super::tide::constituents::Constituent;
    use super::super::tide::harmonic::{Constant, Convention};
    use super::*;

    fn axis(mean: f64) -> AxisStream {
        let constants = [("M2", 1.0, 20.0), ("K1", 0.5, 200.0), ("M4", 0.1, 70.0)];
        let constants = constants.map(|(name, amplitude, phase_deg)| Constant {
            constituent: Constituent::by_name(name).expect("a known name"),
            amplitude,
            phase_deg,
        });
        let curve = Curve::new(mean, constants.to_vec(), Convention::UsTables).expect("a curve");
        AxisStream { curve, flood: Some(Bearing::degrees(30.0)), ebb: Some(Bearing::degrees(215.0)) }
    }

    fn span() -> Span {
        let from: Timestamp = "2026-12-28T00:00:00Z".parse().expect("an instant");
        Span::new(from, from + SignedDuration::from_hours(24 * 8)).expect("a span")
    }

    fn differences() -> StreamDifferences {
        StreamDifferences {
            slack_before_flood: SignedDuration::from_mins(20),
            flood: SignedDuration::from_mins(35),
            slack_before_ebb: SignedDuration::from_mins(-10),
            ebb: SignedDuration::from_mins(5),
            flood_ratio: 0.5,
            ebb_ratio: 1.5,
        }
    }

    #[test]
    fn flood_and_ebb_set_each_its_own_way_and_slack_lies_between() {
        let stream = Stream::Axis(axis(0.0));
        let events = stream.events(span()).expect("events");
        assert!(28 < events.len());
        for event in &events {
            let there = stream.at(event.at).expect("a stream");
            // Events are kept to the millisecond.
            assert!((there.along_axis - event.along_axis).abs().as_metres_per_second() < 1e-5);
            match event.kind {
                StreamTurn::MaxFlood => assert_eq!(there.sets_towards, Some(Bearing::degrees(30.0))),
                StreamTurn::MaxEbb => assert_eq!(there.sets_towards, Some(Bearing::degrees(215.0))),
                StreamTurn::Slack => assert!(there.speed.as_metres_per_second() < 1e-5),
            }
        }
    }

    #[test]
    fn a_strong_mean_flow_leaves_no_slack_and_every_stop_an_ebb() {
        let stream = Stream::Axis(axis(-3.0));
        let events = stream.events(span()).expect("events");
        assert!(
            events.iter().all(|event| event.kind == StreamTurn::MaxEbb && event.along_axis < Speed::ZERO)
        );
        assert!(28 < events.len());
    }

    #[test]
    fn the_stretched_stream_meets_every_moved_turn() {
        let made = SubordinateStream::new(axis(0.0), differences(), [Some(Bearing::degrees(90.0)), None]);
        let stream = Stream::Subordinate(made.expect("ratios that can be"));
        let prediction = stream.over(span()).expect("a prediction");
        for event in stream.events(span()).expect("events") {
            let there = prediction.at(event.at).expect("a stream");
            assert!(
                (there.along_axis - event.along_axis).abs().as_metres_per_second() < 1e-4,
                "{event:?} {there:?}"
            );
        }
        let ebbing =
            span().instants(SignedDuration::from_mins(10)).map(|at| prediction.at(at).expect("a stream"));
        assert!(
            ebbing.filter(|there| there.along_axis < Speed::ZERO).all(|there| there.sets_towards.is_none())
        );
    }

    #[test]
    fn a_ratio_that_cannot_be_is_refused() {
        for ratio in [-0.1, f64::NAN, f64::INFINITY] {
            let differences = StreamDifferences { ebb_ratio: ratio, ..differences() };
            assert!(SubordinateStream::new(axis(0.0), differences, [None, None]).is_err());
        }
    }

    #[test]
    fn water_said_to_be_still_runs_nowhere() {
        let there = Stream::Still.at(span().from()).expect("a stream");
        assert_eq!((there.speed, there.sets_towards), (Speed::ZERO, None));
    }

    fn told(rows: &[(i64, f64, Option<f64>)]) -> Stream {
        let rows = rows.iter().map(|&(hours, speed_ms, towards)| {
            let at = span().from() + SignedDuration::from_hours(hours);
            StreamRow::setting(at, Speed::metres_per_second(speed_ms), towards.map(Bearing::degrees))
        });
        Stream::Table(StreamTable::new(rows.collect()).expect("a table"))
    }

    // Vectors worked by hand: halfway from 2 m/s north to 2 m/s east is √2 m/s to the north-east.
    #[test]
    fn between_rows_of_a_table_the_velocity_goes_straight() {
        let stream = told(&[(0, 2.0, Some(0.0)), (2, 2.0, Some(90.0))]);
        let there = stream.at(span().from() + SignedDuration::from_hours(1)).expect("a stream");
        assert!((there.speed.as_metres_per_second() - 2.0_f64.sqrt()).abs() < 1e-12);
        assert!((there.sets_towards.expect("it runs").as_degrees() - 45.0).abs() < 1e-9);
    }

    #[test]
    fn a_stream_told_to_turn_round_passes_through_the_slack() {
        let stream = told(&[(0, 1.0, Some(20.0)), (3, 0.0, None), (6, 1.0, Some(200.0))]);
        let at = |hours| stream.at(span().from() + SignedDuration::from_hours(hours)).expect("a stream");
        assert_eq!(at(3).sets_towards, None);
        assert!((at(2).sets_towards.expect("it runs").as_degrees() - 20.0).abs() < 1e-9);
        assert!((at(4).speed.as_metres_per_second() - 1.0 / 3.0).abs() < 1e-12);
        assert_eq!(stream.events(span()).expect("events").len(), 1);
    }

    #[test]
    fn beyond_its_rows_and_across_a_long_gap_a_table_says_nothing() {
        let stream = told(&[(1, 1.0, Some(20.0)), (9, 1.0, Some(200.0))]);
        let at = |hours| stream.at(span().from() + SignedDuration::from_hours(hours));
        assert!(matches!(at(0), Err(TideError::StreamNotCovered { .. })));
        assert!(matches!(at(10), Err(TideError::StreamNotCovered { .. })));
        assert!(matches!(at(4), Err(TideError::StreamGap { .. })));
        assert!(at(1).is_ok() && at(9).is_ok());
    }

    #[test]
    fn a_table_that_cannot_be_is_refused() {
        let row = |ms: f64| StreamRow { at: span().from(), east_ms: ms, north_ms: 0.0 };
        assert_eq!(StreamTable::new(vec![]), Err(vec![StreamError::NoRows]));
        assert_eq!(StreamTable::new(vec![row(1.0), row(f64::NAN)]).unwrap_err().len(), 2);
    }
}
