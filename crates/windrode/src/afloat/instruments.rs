//! What her own instruments say in a second, as NMEA 0183 sentences.
//!
//! The wind is told as the vane feels it: from the bow, her own way in it. The compass, the vane, the sounder, the
//! engine and the battery speak first, then the receiver: RMC, VTG, GST, GGA.

use jiff::Timestamp;
use jiff::tz::TimeZone;
use windrode_domain::environment::wind::Wind;
use windrode_domain::simulate::Truth;
use windrode_domain::units::{Length, Speed};
use windrode_domain::watch::observation::{Fix, Observation, Seen, Way};
use windrode_wire::nmea0183::clock::UtcTime;
use windrode_wire::nmea0183::depth::Dpt;
use windrode_wire::nmea0183::encode::{self, Decimals};
use windrode_wire::nmea0183::fields::SpeedTold;
use windrode_wire::nmea0183::heading::Hdt;
use windrode_wire::nmea0183::machinery::{Measurement, Rpm, Turns};
use windrode_wire::nmea0183::motion::Vtg;
use windrode_wire::nmea0183::position::{Gga, Gst, Mode, Quality, Rmc, Status};
use windrode_wire::nmea0183::sentence::Talker;
use windrode_wire::nmea0183::wind::{Mwv, Reference};

const RECEIVER: Talker = Talker(*b"GP");
const COMPASS: Talker = Talker(*b"HE");
const VANE: Talker = Talker(*b"WI");
const SOUNDER: Talker = Talker(*b"SD");
const ENGINE: Talker = Talker(*b"ER");
const BATTERY: Talker = Talker(*b"II");
/// A receiver of some quality tells 2 cm and 0.01 kn, the other instruments a tenth.
const DECIMALS: Decimals = Decimals { seconds: 2, minutes: 5, speed: 2, angle: 1, metres: 2 };
/// The transducer sits so deep below the surface.
const TRANSDUCER: Length = Length::metres(0.5);

/// Appends the sentences of one second; `spread_m` is what the receiver says of its own fixes.
pub(super) fn write(readings: &[Observation], truth: &Truth, spread_m: f64, out: &mut String) {
    let way = readings.iter().find_map(|reading| match reading.seen {
        Seen::Way(way) => Some(way),
        _ => None,
    });
    for reading in readings {
        match reading.seen {
            Seen::Heading { bow, .. } => encode::hdt(&Hdt { heading: Some(bow) }, COMPASS, DECIMALS, out),
            Seen::Wind(wind) => encode::mwv(&felt(wind, truth), VANE, DECIMALS, out),
            Seen::Water { depth } => encode::dpt(&dpt(depth), SOUNDER, DECIMALS, out),
            Seen::Engine { rpm } => encode::rpm(&turning(rpm), ENGINE, DECIMALS, out),
            Seen::Battery { volts } => encode::xdr(&[battery(volts)], BATTERY, DECIMALS, out),
            _ => {}
        }
    }
    for reading in readings {
        match reading.seen {
            Seen::Fix(fix) => receiver(reading.at, Some(&fix), way, spread_m, out),
            Seen::NoFix => receiver(reading.at, None, None, spread_m, out),
            _ => {}
        }
    }
}

/// The wind over the ground as it is felt on board.
fn felt(wind: Wind, truth: &Truth) -> Mwv {
    let way = truth.antenna_way_ms;
    let felt = Wind { east_ms: wind.east_ms - way.east_m, north_ms: wind.north_ms - way.north_m };
    Mwv {
        angle: felt.from().map(|from| truth.heading.to(from)),
        reference: Some(Reference::Felt),
        speed: Some(felt.speed()),
        status: Some(Status::Valid),
    }
}

fn dpt(depth: Length) -> Dpt {
    Dpt { below_transducer: Some(depth - TRANSDUCER), offset: Some(TRANSDUCER), range: None }
}

const fn turning(rpm: f64) -> Rpm {
    Rpm {
        what: Some(Turns::Engine),
        number: Some(0),
        rpm: Some(rpm),
        pitch_percent: None,
        status: Some(Status::Valid),
    }
}

const fn battery(volts: f64) -> Measurement<'static> {
    Measurement { kind: b'U', value: volts, unit: Some(b'V'), name: "HOUSE" }
}

/// Its burst of one fix.
fn receiver(at: Timestamp, fix: Option<&Fix>, way: Option<Way>, spread_m: f64, out: &mut String) {
    let way = way.filter(|_| fix.is_some());
    let speed = way.map(told);
    let course = way.and_then(|way| way.course);
    let time = Some(UtcTime::of(at));
    let rmc = Rmc {
        time,
        status: Some(if fix.is_some() { Status::Valid } else { Status::Warning }),
        position: fix.map(|fix| fix.antenna),
        speed,
        course,
        date: Some(TimeZone::UTC.to_datetime(at).date()),
        variation: None,
        mode: Some(if fix.is_some() { Mode::Autonomous } else { Mode::NotValid }),
        navigation: None,
    };
    encode::rmc(&rmc, RECEIVER, DECIMALS, out);
    if way.is_some() {
        let vtg =
            Vtg { course, course_magnetic: None, speed, speed_metric: None, mode: Some(Mode::Autonomous) };
        encode::vtg(&vtg, RECEIVER, DECIMALS, out);
    }
    if fix.is_some() {
        let along = Some(Length::metres(spread_m));
        let gst = Gst {
            time,
            ranges: None,
            major: None,
            minor: None,
            orientation: None,
            latitude: along,
            longitude: along,
            altitude: None,
        };
        encode::gst(&gst, RECEIVER, DECIMALS, out);
    }
    let gga = Gga {
        time,
        position: fix.map(|fix| fix.antenna),
        quality: Some(if fix.is_some() { Quality::Autonomous } else { Quality::NoFix }),
        satellites: fix.and_then(|fix| fix.satellites),
        hdop: fix.and_then(|fix| fix.dilution),
        altitude: None,
        geoid: None,
        age_s: None,
        station: None,
    };
    encode::gga(&gga, RECEIVER, DECIMALS, out);
}

const fn told(way: Way) -> SpeedTold {
    SpeedTold { speed: way.speed, step: Speed::knots(0.01) }
}
