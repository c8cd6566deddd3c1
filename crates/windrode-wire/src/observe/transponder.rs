//! The boat's own transponder: what it sends of her to others, heard aboard, stands in where no receiver speaks.
//!
//! It tells a place to 1/10 000 of a minute (0.19 m), a way to 0.1 kn, a heading to 1°, and repeats a receiver of its
//! own. Beside another receiver it is no second opinion: it may be the same one, told late. So its place and way are
//! taken only while no fix has come from elsewhere for [`ages::RECEIVER_SILENT`], its heading while no other came.
//!
//! Source: ITU-R M.1371-5 annex 8 (fields); IEC 61162-1 (VDO).

use jiff::Timestamp;
use windrode_domain::units::Speed;
use windrode_domain::watch::observation::{Fix, FixKind, Observation, Seen, Source};

use super::ages::{self, Recent};
use super::{Fitted, Hearing};
use crate::ais::Heard;
use crate::ais::message::Content;
use crate::ais::position::{FixSecond, PositionReport};
use crate::nmea0183::fields::SpeedTold;

/// Step of a way: a tenth of a knot.
const STEP: Speed = Speed::knots(0.1);

/// What of the last place and heading was the transponder's.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct StandIn {
    pub(super) place_at: Option<Timestamp>,
    pub(super) heading_at: Option<Timestamp>,
}

impl Fitted {
    /// Hears what a transponder sent: of the boat's own (VDO) her place, way and heading, where nobody else tells them.
    pub fn hear_transponder(
        &mut self,
        source: Source,
        heard: &Heard,
        at: Timestamp,
        out: &mut Vec<Observation>,
    ) {
        let report = match &heard.message.content {
            Content::Position(report) | Content::Extended(report, _) if heard.own => report,
            _ => return,
        };
        let mut hearing = Hearing { source, at, out };
        self.own_place(report, &mut hearing);
        let other = self.aboard.heading.filter(|last| Some(last.at) != self.stand_in.heading_at);
        if report.heading.is_some() && other.is_none_or(|last| last.fresh(at, ages::BETTER_HEARD).is_none()) {
            self.true_heading(report.heading, &mut hearing);
            self.stand_in.heading_at = Some(at);
        }
    }

    fn own_place(&mut self, report: &PositionReport, hearing: &mut Hearing<'_>) {
        let at = hearing.at;
        let other = self.aboard.place.filter(|last| Some(last.at) != self.stand_in.place_at);
        if other.is_some_and(|last| last.fresh(at, ages::RECEIVER_SILENT).is_some()) {
            return;
        }
        let unmeasured = [FixSecond::Manual, FixSecond::DeadReckoned, FixSecond::Inoperative];
        let measured = report.second.is_none_or(|second| !unmeasured.contains(&second));
        let Some(antenna) = report.at.filter(|_| measured) else {
            hearing.say(Seen::NoFix);
            return;
        };
        self.aboard.place = Some(Recent::new(antenna, at));
        self.stand_in.place_at = Some(at);
        let kind = FixKind::Unstated;
        hearing.say(Seen::Fix(Fix {
            antenna,
            spread: None,
            satellites: None,
            dilution: None,
            kind,
            stated: None,
        }));
        if let Some(going) = report.speed.filter(|going| !going.or_more) {
            self.say_way(SpeedTold { speed: going.speed, step: STEP }, report.course, hearing);
        }
    }
}

#[cfg(test)]
mod tests {
    use windrode_domain::position::Position;
    use windrode_domain::units::Bearing;

    use super::super::FittedOut;
    use super::*;
    use crate::ais::message::Message;
    use crate::ais::position::Going;

    fn at(seconds: i64) -> Timestamp {
        Timestamp::from_second(1_800_000_000 + seconds).unwrap()
    }

    fn own(report: PositionReport) -> Heard {
        let content = Content::Position(report);
        Heard {
            own: true,
            channel: None,
            message: Message { number: 18, repeat: 0, mmsi: 230_000_001, bits: 168, content },
        }
    }

    fn here() -> PositionReport {
        PositionReport {
            at: Position::new(60.1, 24.9).ok(),
            speed: Some(Going { speed: Speed::knots(0.2), or_more: false }),
            course: Some(Bearing::degrees(90.0)),
            heading: Some(Bearing::degrees(200.0)),
            ..PositionReport::default()
        }
    }

    fn heard(fitted: &mut Fitted, heard: &Heard, seconds: i64) -> Vec<Seen> {
        let mut out = Vec::new();
        fitted.hear_transponder(Source(3), heard, at(seconds), &mut out);
        out.into_iter().map(|observation| observation.seen).collect()
    }

    #[test]
    fn where_nobody_else_tells_the_transponder_stands_in() {
        let mut fitted = Fitted::new(FittedOut::UNKNOWN);
        for seconds in 0..4 {
            let seen = heard(&mut fitted, &own(here()), seconds);
            assert!(matches!(seen[..], [Seen::Fix(_), Seen::Way(_), Seen::Heading { .. }]), "{seen:?}");
        }
        let none = own(PositionReport { at: None, ..PositionReport::default() });
        assert_eq!(heard(&mut fitted, &none, 5), [Seen::NoFix]);
    }

    #[test]
    fn beside_a_receiver_it_is_not_heard_until_that_has_been_silent() {
        let mut fitted = Fitted::new(FittedOut::UNKNOWN);
        fitted.aboard.place = Some(Recent::new(Position::new(60.1, 24.9).unwrap(), at(0)));
        assert!(!heard(&mut fitted, &own(here()), 2).iter().any(|seen| matches!(seen, Seen::Fix(_))));
        assert!(heard(&mut fitted, &own(here()), 40).iter().any(|seen| matches!(seen, Seen::Fix(_))));
    }

    #[test]
    fn another_vessel_is_not_the_boat() {
        let mut fitted = Fitted::new(FittedOut::UNKNOWN);
        let other = Heard { own: false, ..own(here()) };
        assert!(heard(&mut fitted, &other, 0).is_empty());
    }
}
