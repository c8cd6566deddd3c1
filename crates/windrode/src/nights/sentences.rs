//! What the simulated instruments say, as the sentences in which such instruments say it.
//!
//! In one second the compass, the vane and the sounder speak first, then the receiver its way and its fix, as on a wire
//! where the receiver's burst comes at the end of the second that it tells of.

use jiff::Timestamp;
use windrode_domain::units::{Length, Speed};
use windrode_domain::watch::observation::{Fix, FixKind, Observation, Seen, Way};
use windrode_wire::nmea0183::clock::UtcTime;
use windrode_wire::nmea0183::depth::Dpt;
use windrode_wire::nmea0183::encode::{self, Decimals};
use windrode_wire::nmea0183::fields::SpeedTold;
use windrode_wire::nmea0183::heading::Hdt;
use windrode_wire::nmea0183::motion::Vtg;
use windrode_wire::nmea0183::position::{Gga, Mode, Quality};
use windrode_wire::nmea0183::sentence::Talker;
use windrode_wire::nmea0183::wind::Mwd;

const RECEIVER: Talker = Talker(*b"GP");
const COMPASS: Talker = Talker(*b"HE");
const VANE: Talker = Talker(*b"WI");
const SOUNDER: Talker = Talker(*b"SD");

/// Fine enough that the writing adds nothing to the errors that are simulated: 0.2 mm of latitude, 0.01°, 1 mm. The
/// decimals of a speed are the receiver's own, from the step in which it tells it.
const FINE: Decimals = Decimals { seconds: 2, minutes: 7, speed: 2, angle: 2, metres: 3 };

/// Appends the sentences of one second.
pub(super) fn write(readings: &[Observation], out: &mut String) {
    for reading in readings.iter().filter(|reading| !matches!(reading.seen, Seen::Fix(_) | Seen::NoFix)) {
        sentence(reading, out);
    }
    for reading in readings.iter().filter(|reading| matches!(reading.seen, Seen::Fix(_) | Seen::NoFix)) {
        sentence(reading, out);
    }
}

fn sentence(reading: &Observation, out: &mut String) {
    match reading.seen {
        Seen::Fix(fix) => encode::gga(&told(&fix, reading.at), RECEIVER, FINE, out),
        Seen::NoFix => encode::gga(&no_fix(reading.at), RECEIVER, FINE, out),
        Seen::Way(way) => {
            let decimals = Decimals { speed: decimals(way.step), ..FINE };
            encode::vtg(&vtg(&way), RECEIVER, decimals, out);
        }
        Seen::Heading { bow, .. } => encode::hdt(&Hdt { heading: Some(bow) }, COMPASS, FINE, out),
        Seen::Wind(wind) => {
            let mwd = Mwd { from: wind.from(), from_magnetic: None, speed: Some(wind.speed()) };
            encode::mwd(&mwd, VANE, FINE, out);
        }
        Seen::Water { depth } => encode::dpt(&dpt(depth), SOUNDER, FINE, out),
        // The simulated boat carries no other instrument.
        _ => {}
    }
}

const fn quality(kind: FixKind) -> Quality {
    match kind {
        FixKind::Autonomous | FixKind::Unstated => Quality::Autonomous,
        FixKind::Differential => Quality::Differential,
        FixKind::CarrierPhase => Quality::FixedPhase,
        FixKind::Estimated => Quality::Estimated,
        FixKind::NotMeasured => Quality::Simulator,
    }
}

fn told(fix: &Fix, at: Timestamp) -> Gga {
    Gga {
        position: Some(fix.antenna),
        quality: Some(quality(fix.kind)),
        satellites: fix.satellites,
        hdop: fix.dilution,
        ..no_fix(at)
    }
}

fn no_fix(at: Timestamp) -> Gga {
    Gga {
        time: Some(UtcTime::of(at)),
        position: None,
        quality: Some(Quality::NoFix),
        satellites: None,
        hdop: None,
        altitude: None,
        geoid: None,
        age_s: None,
        station: None,
    }
}

fn vtg(way: &Way) -> Vtg {
    Vtg {
        course: way.course,
        course_magnetic: None,
        speed: Some(SpeedTold { speed: way.speed, step: way.step }),
        speed_metric: None,
        mode: Some(Mode::Autonomous),
    }
}

/// The transducer sits so deep below the surface.
const TRANSDUCER: Length = Length::metres(0.5);

fn dpt(depth: Length) -> Dpt {
    Dpt { below_transducer: Some(depth - TRANSDUCER), offset: Some(TRANSDUCER), range: None }
}

/// Decimals of a knot that tell a step.
fn decimals(step: Speed) -> u8 {
    match step.as_knots() {
        step_kn if 0.05 < step_kn => 1,
        step_kn if 0.005 < step_kn => 2,
        _ => 3,
    }
}
