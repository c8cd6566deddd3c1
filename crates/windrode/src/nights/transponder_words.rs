//! What a simulated vessel's transponder sends: her reports as the sentences in which a receiver hands them on.

use windrode_domain::simulate::ais_neighbour::Transponder;
use windrode_domain::simulate::scenario::ScenarioBoat;
use windrode_domain::watch::event::{NeighbourReport, NeighbourSaid, NeighbourStatus};
use windrode_wire::ais::bits::Bits;
use windrode_wire::ais::particulars::{Dimensions, Particulars};
use windrode_wire::ais::position::{Going, PositionReport};
use windrode_wire::ais::{armour, encode};

/// Where a boat's sides are from her antenna.
pub(crate) fn dimensions(boat: &ScenarioBoat) -> Dimensions {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "metres of a vessel, between nothing and what the field holds"
    )]
    let whole = |metres: f64, most: f64| metres.round().clamp(1.0, most) as u16;
    let side = u8::try_from(whole(boat.body.beam_m / 2.0, 63.0)).unwrap_or(63);
    Dimensions {
        ahead_m: whole(boat.antenna_aft_m, 511.0),
        astern_m: whole(boat.length_m - boat.antenna_aft_m, 511.0),
        port_m: side,
        starboard_m: side,
    }
}

/// What she is: message 5 of class A; of class B both parts of message 24, the name where she gives one.
pub(crate) fn particulars(transponder: Transponder, mmsi: u32, what: &Particulars, out: &mut String) {
    match transponder {
        Transponder::ClassA => write(encode::voyage(mmsi, what), out),
        Transponder::ClassB => {
            if what.name.is_some() {
                write(encode::name_part(mmsi, what), out);
            }
            write(encode::particulars_part(mmsi, what), out);
        }
    }
}

/// Where she is: message 1 of class A, message 18 of class B.
pub(crate) fn position(transponder: Transponder, report: &NeighbourReport, out: &mut String) {
    let Some(position) = position_report(report) else { return };
    write(
        match transponder {
            Transponder::ClassA => encode::class_a(report.mmsi, &position),
            Transponder::ClassB => encode::class_b(report.mmsi, &position),
        },
        out,
    );
}

/// What a simulated transponder cannot send is not heard of, as of a real one.
fn write(bits: Result<Bits, encode::Unsendable>, out: &mut String) {
    let Ok(bits) = bits else { return };
    let head = armour::Head { own: false, channel: Some('A'), sequence: 1 };
    for sentence in armour::sentences(&bits, head) {
        out.push_str(&sentence);
        out.push_str("\r\n");
    }
}

fn position_report(report: &NeighbourReport) -> Option<PositionReport> {
    let NeighbourSaid::Position { at, speed, course, heading, status, accurate, .. } = report.said else {
        return None;
    };
    Some(PositionReport {
        at: Some(at),
        accurate,
        speed: speed.map(|speed| Going { speed, or_more: false }),
        course,
        heading,
        status: code(status),
        ..PositionReport::default()
    })
}

/// As ITU-R M.1371-5 table 45 numbers it; those that simulated vessels use.
const fn code(status: NeighbourStatus) -> Option<u8> {
    match status {
        NeighbourStatus::UnderWayEngine => Some(0),
        NeighbourStatus::AtAnchor => Some(1),
        _ => None,
    }
}
