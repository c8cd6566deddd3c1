//! Messages in the domain's terms: what a vessel near by said of herself.
//!
//! Stations ashore and aids to navigation are no vessels and report nothing here; nor does the boat's own transponder.
//! A position that was put in by hand, reckoned, or sent while the receiver does not work is no fix and is left out:
//! a vessel that sends nothing else falls silent, which is what is known of her.

use jiff::Timestamp;
use windrode_domain::units::Length;
use windrode_domain::watch::event::{NeighbourReport, NeighbourSaid, NeighbourStatus};

use super::particulars::{Dimensions, Particulars};
use super::position::{FixSecond, PositionReport, Turn};
use super::{Content, Heard, Message};

/// What a message heard at an instant says of a neighbour: where she is, what she is, both or neither.
pub fn reports(heard: &Heard, at: Timestamp) -> impl Iterator<Item = NeighbourReport> {
    let message = (!heard.own).then_some(&heard.message);
    let said = message.map_or([None, None], said);
    let mmsi = heard.message.mmsi;
    said.into_iter().flatten().map(move |said| NeighbourReport { at, mmsi, said })
}

fn said(message: &Message) -> [Option<NeighbourSaid>; 2] {
    match &message.content {
        Content::Position(report) => [position(report), None],
        Content::Extended(report, particulars) => [position(report), Some(what(particulars))],
        Content::Particulars(particulars) => [None, Some(what(particulars))],
        Content::BaseStation(_) | Content::Safety { .. } | Content::Aid(_) | Content::Unlisted(_) => {
            [None, None]
        }
    }
}

fn position(report: &PositionReport) -> Option<NeighbourSaid> {
    let at = report.at?;
    if matches!(report.second, Some(FixSecond::Manual | FixSecond::DeadReckoned | FixSecond::Inoperative)) {
        return None;
    }
    Some(NeighbourSaid::Position {
        at,
        speed: report.speed.map(|going| going.speed),
        course: report.course,
        heading: report.heading,
        status: status(report.status),
        accurate: report.accurate,
        // Without a turn indicator only a bound is told, which is no rate.
        turning_deg_min: match report.turn {
            Some(Turn::Rate { deg_min, .. }) => Some(deg_min),
            Some(Turn::Starboard | Turn::Port) | None => None,
        },
    })
}

/// Numbers of ITU-R M.1371-5 table 48.
const fn status(code: Option<u8>) -> NeighbourStatus {
    match code {
        None | Some(15) => NeighbourStatus::Unstated,
        Some(0) => NeighbourStatus::UnderWayEngine,
        Some(1) => NeighbourStatus::AtAnchor,
        Some(2) => NeighbourStatus::NotUnderCommand,
        Some(5) => NeighbourStatus::Moored,
        Some(6) => NeighbourStatus::Aground,
        Some(8) => NeighbourStatus::UnderWaySailing,
        Some(other) => NeighbourStatus::Other(other),
    }
}

fn what(particulars: &Particulars) -> NeighbourSaid {
    let metres = |m: u16| Length::metres(f64::from(m));
    let dimensions = particulars.dimensions;
    let fore_and_aft = dimensions.and_then(Dimensions::ahead_and_astern_m);
    let athwart = dimensions.and_then(Dimensions::port_and_starboard_m);
    NeighbourSaid::Particulars {
        name: particulars.name.clone(),
        ahead: fore_and_aft.map(|(ahead, _)| metres(ahead)),
        astern: fore_and_aft.map(|(_, astern)| metres(astern)),
        port: athwart.map(|(port, _)| metres(port.into())),
        starboard: athwart.map(|(_, starboard)| metres(starboard.into())),
        length: dimensions.and_then(Dimensions::length_m).map(metres),
        beam: dimensions.and_then(Dimensions::beam_m).map(|beam| metres(beam.into())),
        ship_type: particulars.ship_type,
        draught: particulars.draught.map(|draught| Length::metres(f64::from(draught.dm) / 10.0)),
    }
}

#[cfg(test)]
mod tests {
    use windrode_domain::position::Position;

    use super::*;
    use crate::ais::message::{Aid, BaseStation};
    use crate::ais::particulars::Dimensions;

    fn heard(content: Content) -> Vec<NeighbourSaid> {
        let message = Message { number: 1, repeat: 0, mmsi: 244_000_000, bits: 168, content };
        let heard = Heard { own: false, channel: None, message };
        let own = Heard { own: true, ..heard.clone() };
        assert_eq!(reports(&own, Timestamp::UNIX_EPOCH).count(), 0);
        reports(&heard, Timestamp::UNIX_EPOCH).map(|report| report.said).collect()
    }

    fn at() -> Option<Position> {
        Position::new(43.0, -6.0).ok()
    }

    #[test]
    fn a_vessel_that_is_somewhere_and_something_says_both() {
        let report = PositionReport { at: at(), ..PositionReport::default() };
        let said = heard(Content::Extended(report, Particulars::default()));
        assert!(matches!(said[..], [NeighbourSaid::Position { .. }, NeighbourSaid::Particulars { .. }]));
    }

    #[test]
    fn what_is_no_fix_is_not_reported() {
        let with =
            |at, second| heard(Content::Position(PositionReport { at, second, ..PositionReport::default() }));
        assert_eq!(with(at(), Some(FixSecond::At(59))).len(), 1);
        assert_eq!(with(at(), Some(FixSecond::Unknown)).len(), 1);
        assert_eq!(with(at(), None).len(), 1);
        for none in [FixSecond::Manual, FixSecond::DeadReckoned, FixSecond::Inoperative] {
            assert_eq!(with(at(), Some(none)), []);
        }
        assert_eq!(with(None, Some(FixSecond::At(0))), []);
    }

    #[test]
    fn a_buoy_or_a_station_ashore_is_no_neighbour() {
        let aid = Aid {
            kind: 14,
            name: None,
            at: at(),
            impossible_position: false,
            accurate: true,
            dimensions: None,
            fix_device: 1,
            second: FixSecond::At(0),
            off_position: Some(false),
            raim: false,
            is_virtual: false,
        };
        let station = BaseStation {
            time: None,
            at: at(),
            impossible_position: false,
            accurate: true,
            fix_device: 1,
            raim: false,
        };
        for content in [Content::Aid(aid), Content::BaseStation(station), Content::Unlisted(8)] {
            assert_eq!(heard(content), []);
        }
    }

    #[test]
    fn a_turn_without_an_indicator_is_no_rate() {
        for (turn, expected) in [
            (Some(Turn::Starboard), None),
            (Some(Turn::Rate { deg_min: -3.0, or_more: false }), Some(-3.0)),
            (None, None),
        ] {
            let report = PositionReport { at: at(), turn, ..PositionReport::default() };
            let [NeighbourSaid::Position { turning_deg_min, .. }] = heard(Content::Position(report))[..]
            else {
                panic!("one position")
            };
            assert_eq!(turning_deg_min, expected);
        }
    }

    #[test]
    fn a_size_without_a_reference_point_is_her_length_and_beam_and_no_distance_to_her_ends() {
        let dimensions = Some(Dimensions { ahead_m: 0, astern_m: 12, port_m: 0, starboard_m: 4 });
        let said = heard(Content::Particulars(Particulars { dimensions, ..Particulars::default() }));
        let [NeighbourSaid::Particulars { ahead, astern, port, starboard, length, beam, .. }] = said[..]
        else {
            panic!("one vessel")
        };
        assert_eq!([ahead, astern, port, starboard], [None; 4]);
        assert_eq!([length, beam], [Some(Length::metres(12.0)), Some(Length::metres(4.0))]);
    }
}
