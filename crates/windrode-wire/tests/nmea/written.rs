//! What is written is read back as it was.

use jiff::civil::Date;
use proptest::prelude::*;
use windrode_domain::position::Position;
use windrode_domain::units::{Angle, Bearing, Length, Speed};
use windrode_wire::nmea0183::clock::{UtcTime, Zda};
use windrode_wire::nmea0183::depth::Dpt;
use windrode_wire::nmea0183::encode::{self, Decimals};
use windrode_wire::nmea0183::fields::SpeedTold;
use windrode_wire::nmea0183::heading::{Hdg, Hdt, MagneticBearing};
use windrode_wire::nmea0183::machinery::{Measurement, Rpm, Turns};
use windrode_wire::nmea0183::motion::Vtg;
use windrode_wire::nmea0183::position::{Gga, Mode, Quality, Rmc, Status};
use windrode_wire::nmea0183::satellites::{Gsa, Gsv, InView};
use windrode_wire::nmea0183::sentence::{Checksum, Talker};
use windrode_wire::nmea0183::wind::{Mwv, Reference};
use windrode_wire::nmea0183::{Report, read};

const TALKER: Talker = Talker(*b"GP");
const FINE: Decimals = Decimals::FINE;

/// Writes a sentence and hands over the line without its ending.
fn written(write: impl FnOnce(&mut String)) -> String {
    let mut out = String::new();
    write(&mut out);
    assert!(out.ends_with("\r\n"));
    out.trim_end().to_owned()
}

/// What is read back; its checksum fits.
#[track_caller]
fn back(line: &str) -> Report<'_> {
    let heard = read(line.as_bytes()).unwrap_or_else(|refusal| panic!("{refusal}: {line}"));
    assert_eq!(heard.checksum, Checksum::Fits);
    heard.report
}

fn positions() -> impl Strategy<Value = Position> {
    (-90.0..=90.0, -180.0..180.0).prop_map(|(lat, lon)| Position::new(lat, lon).unwrap())
}

fn times() -> impl Strategy<Value = UtcTime> {
    (0_i8..24, 0_i8..60, 0_i8..60, 0_i32..100)
        .prop_map(|(h, m, s, c)| UtcTime::new(h, m, s, c * 10_000_000).unwrap())
}

fn told(knots: f64) -> SpeedTold {
    SpeedTold { speed: Speed::knots(knots), step: Speed::knots(0.001) }
}

/// Seven decimals of a minute: half of the last is 0.1 mm on the ground.
const HALF_STEP_DEG: f64 = 0.51e-7 / 60.0;

#[track_caller]
fn same_place(ours: Option<Position>, theirs: Position) {
    let ours = ours.unwrap();
    assert!((ours.latitude_deg() - theirs.latitude_deg()).abs() <= HALF_STEP_DEG);
    // West of 180° and east of it are one.
    let off_deg = (ours.longitude_deg() - theirs.longitude_deg() + 180.0).rem_euclid(360.0) - 180.0;
    assert!(off_deg.abs() <= HALF_STEP_DEG, "{off_deg}");
}

proptest! {
    #[test]
    fn a_fix_comes_back(position in positions(), time in times(), satellites in 0_u8..60, quality in 0_u8..10) {
        let report = Gga {
            time: Some(time), position: Some(position), quality: Some(Quality::from_number(quality)),
            satellites: Some(satellites), hdop: Some(0.75), altitude: Some(Length::metres(2.5)),
            geoid: Some(Length::metres(46.125)), age_s: None, station: None,
        };
        let line = written(|out| encode::gga(&report, TALKER, FINE, out));
        let Report::Gga(read) = back(&line) else { panic!() };
        same_place(read.position, position);
        prop_assert_eq!(Gga { position: Some(position), ..read }, report);
    }

    #[test]
    fn a_way_comes_back_to_half_a_thousandth_of_a_knot(
        position in positions(), time in times(), knots in 0.0..60.0, course in 0.0..360.0, days in 0..36_000,
    ) {
        let later = jiff::SignedDuration::from_hours(24 * i64::from(days));
        let date = Date::constant(1980, 1, 1).checked_add(later).unwrap();
        let report = Rmc {
            time: Some(time), status: Some(Status::Valid), position: Some(position), speed: Some(told(knots)),
            course: Some(Bearing::degrees(course)), date: Some(date), variation: Some(Angle::degrees(-3.25)),
            mode: Some(Mode::Differential), navigation: Some(b'V'),
        };
        let line = written(|out| encode::rmc(&report, TALKER, FINE, out));
        let Report::Rmc(read) = back(&line) else { panic!() };
        same_place(read.position, position);
        let speed = read.speed.unwrap();
        prop_assert!((speed.speed.as_knots() - knots).abs() <= 0.000_501);
        prop_assert!((speed.step.as_knots() - 0.001).abs() < 1e-12);
        let off = read.course.unwrap().to(Bearing::degrees(course)).as_degrees();
        prop_assert!(off.abs() <= 0.005_001, "{}", off);
        prop_assert_eq!((read.time, read.date), (report.time, report.date));
        prop_assert_eq!((read.mode, read.status), (report.mode, report.status));
        prop_assert!((read.variation.unwrap().as_degrees() + 3.25).abs() < 1e-9);
    }

    #[test]
    fn wind_heading_and_depth_come_back(
        angle in -180.0..180.0, knots in 0.0..90.0, depth in 0.0..200.0, heading in 0.0..360.0,
    ) {
        let mwv = Mwv {
            angle: Some(Angle::degrees(angle)), reference: Some(Reference::Felt), speed: Some(Speed::knots(knots)),
            status: Some(Status::Valid),
        };
        let line = written(|out| encode::mwv(&mwv, TALKER, FINE, out));
        let Report::Mwv(read) = back(&line) else { panic!() };
        let off = Bearing::degrees(angle).to(Bearing::degrees(read.angle.unwrap().as_degrees())).as_degrees();
        prop_assert!(off.abs() <= 0.005_001);
        prop_assert!((read.speed.unwrap().as_knots() - knots).abs() <= 0.000_501);
        let (below_transducer, offset) = (Some(Length::metres(depth)), Some(Length::metres(-1.5)));
        let dpt = Dpt { below_transducer, offset, range: None };
        let line = written(|out| encode::dpt(&dpt, TALKER, FINE, out));
        let Report::Dpt(read) = back(&line) else { panic!() };
        prop_assert!((read.below_transducer.unwrap().as_metres() - depth).abs() <= 0.000_501);
        prop_assert_eq!(read.offset, dpt.offset);
        let line = written(|out| encode::hdt(&Hdt { heading: Some(Bearing::degrees(heading)) }, TALKER, FINE, out));
        let Report::Hdt(read) = back(&line) else { panic!() };
        prop_assert!(read.heading.unwrap().to(Bearing::degrees(heading)).as_degrees().abs() <= 0.005_001);
    }
}

#[test]
fn a_bearing_a_hair_short_of_north_is_written_as_north() {
    let line =
        written(|out| encode::hdt(&Hdt { heading: Some(Bearing::degrees(359.999)) }, TALKER, FINE, out));
    assert!(line.starts_with("$GPHDT,0.00,T*"), "{line}");
}

#[test]
fn minutes_a_hair_short_of_sixty_are_the_next_degree() {
    let position = Some(Position::new(-41.999_999_999_99, 9.999_999_999_99).unwrap());
    let report = Gga {
        time: None,
        position,
        quality: Some(Quality::NoFix),
        satellites: None,
        hdop: None,
        altitude: None,
        geoid: None,
        age_s: None,
        station: None,
    };
    let line = written(|out| encode::gga(&report, TALKER, Decimals::USUAL, out));
    assert!(line.contains(",4200.0000,S,01000.0000,E,"), "{line}");
}

#[test]
fn what_is_not_known_is_written_as_nothing_and_read_as_nothing() {
    let rmc = Rmc {
        time: None,
        status: Some(Status::Warning),
        position: None,
        speed: None,
        course: None,
        date: None,
        variation: None,
        mode: Some(Mode::NotValid),
        navigation: None,
    };
    let line = written(|out| encode::rmc(&rmc, TALKER, FINE, out));
    assert_eq!(back(&line), Report::Rmc(rmc));
    let vtg = Vtg { course: None, course_magnetic: None, speed: None, speed_metric: None, mode: None };
    let line = written(|out| encode::vtg(&vtg, TALKER, FINE, out));
    assert_eq!(back(&line), Report::Vtg(vtg));
}

#[test]
fn time_sky_battery_and_engine_come_back() {
    let zda = Zda { time: UtcTime::new(23, 59, 59, 250_000_000), date: Some(Date::constant(2026, 12, 31)) };
    let line = written(|out| encode::zda(&zda, TALKER, FINE, out));
    assert_eq!(back(&line), Report::Zda(zda));
    let rpm = Rpm {
        what: Some(Turns::Engine),
        number: Some(0),
        rpm: Some(1850.5),
        pitch_percent: None,
        status: Some(Status::Valid),
    };
    let line = written(|out| encode::rpm(&rpm, TALKER, FINE, out));
    assert_eq!(back(&line), Report::Rpm(rpm));
    let seen = |satellite, carrier| InView {
        satellite,
        elevation_deg: Some(45.0),
        azimuth_deg: Some(120.0),
        carrier_db_hz: carrier,
    };
    let gsv = Gsv {
        talker: TALKER,
        sentences: Some(1),
        number: Some(1),
        in_view: Some(2),
        satellites: [Some(seen(7, Some(41.0))), Some(seen(12, None)), None, None],
        signal: None,
    };
    let line = written(|out| encode::gsv(&gsv, FINE, out));
    assert_eq!(back(&line), Report::Gsv(gsv));
    let mut satellites = [None; 12];
    satellites[..2].copy_from_slice(&[Some(7), Some(12)]);
    let gsa = Gsa {
        talker: TALKER,
        choice: Some(b'A'),
        dimensions: Some(3),
        satellites,
        pdop: Some(1.5),
        hdop: Some(0.75),
        vdop: Some(1.25),
        system: Some(1),
    };
    let line = written(|out| encode::gsa(&gsa, FINE, out));
    assert_eq!(back(&line), Report::Gsa(gsa));
    let measured = Measurement { kind: b'U', value: 12.625, unit: Some(b'V'), name: "BATT" };
    let line = written(|out| encode::xdr(&[measured], TALKER, FINE, out));
    let Report::Xdr(xdr) = back(&line) else { panic!() };
    assert_eq!(xdr.measurements().collect::<Vec<_>>(), [measured]);
}

#[test]
fn a_compass_comes_back_with_its_corrections_signed() {
    let hdg = Hdg {
        compass: Some(MagneticBearing::degrees(231.5)),
        deviation: Some(Angle::degrees(-2.0)),
        variation: Some(Angle::degrees(1.5)),
    };
    let line = written(|out| encode::hdg(&hdg, TALKER, FINE, out));
    assert!(line.starts_with("$GPHDG,231.50,2.00,W,1.50,E*"), "{line}");
    let Report::Hdg(read) = back(&line) else { panic!() };
    assert!((read.deviation.unwrap().as_degrees() + 2.0).abs() < 1e-12);
}

#[test]
fn a_wind_from_ahead_is_told_as_nought_without_a_sign() {
    for degrees in [-0.03, 0.0, 0.03, 359.97] {
        let mwv = Mwv {
            angle: Some(Angle::degrees(degrees)),
            reference: Some(Reference::Felt),
            speed: Some(Speed::knots(7.0)),
            status: Some(Status::Valid),
        };
        let line = written(|out| encode::mwv(&mwv, TALKER, Decimals::USUAL, out));
        assert!(line.contains("MWV,0.0,R,"), "{line}");
    }
}
