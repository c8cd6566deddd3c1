//! The crate `nmea` 0.8 beside us on the same recorded lines, where it knows the sentence.
//!
//! Departures, known and left:
//! - it refuses DPT with a negative offset, which its own documentation allows, as the standard does;
//! - a field that is there and cannot be read makes us refuse the sentence; it often reads it as empty;
//! - its speeds and courses are `f32`: compared to seven digits.

use windrode_wire::nmea0183::{Report, read};

use crate::authority::{LOGS, lines};

fn near(ours: Option<f64>, theirs: Option<f64>, line: &str) {
    match (ours, theirs) {
        (None, None) => {}
        // An `f32` has 24 bits.
        (Some(ours), Some(theirs)) => {
            assert!((ours - theirs).abs() <= 1.2e-7 * ours.abs(), "{ours} {theirs}: {line}");
        }
        other => panic!("{other:?}: {line}"),
    }
}

/// Compares one line; whether there was anything to compare.
fn compare(line: &str) -> bool {
    let (Ok(theirs), Ok(ours)) = (nmea::parse_str(line), read(line.as_bytes())) else { return false };
    match (ours.report, theirs) {
        (Report::Gga(ours), nmea::ParseResult::GGA(theirs)) => {
            near(ours.position.map(windrode_domain::position::Position::latitude_deg), theirs.latitude, line);
            near(
                ours.position.map(windrode_domain::position::Position::longitude_deg),
                theirs.longitude,
                line,
            );
            near(ours.hdop, theirs.hdop.map(f64::from), line);
            assert_eq!(ours.satellites.map(u32::from), theirs.fix_satellites, "{line}");
        }
        (Report::Rmc(ours), nmea::ParseResult::RMC(theirs)) => {
            near(ours.position.map(windrode_domain::position::Position::latitude_deg), theirs.lat, line);
            near(ours.position.map(windrode_domain::position::Position::longitude_deg), theirs.lon, line);
            near(ours.speed.map(|it| it.speed.as_knots()), theirs.speed_over_ground.map(f64::from), line);
            near(
                ours.course.map(windrode_domain::units::Bearing::as_degrees),
                theirs.true_course.map(f64::from),
                line,
            );
            near(
                ours.variation.map(windrode_domain::units::Angle::as_degrees),
                theirs.magnetic_variation.map(f64::from),
                line,
            );
        }
        (Report::Gll(ours), nmea::ParseResult::GLL(theirs)) => {
            near(ours.position.map(windrode_domain::position::Position::latitude_deg), theirs.latitude, line);
            near(
                ours.position.map(windrode_domain::position::Position::longitude_deg),
                theirs.longitude,
                line,
            );
        }
        (Report::Mwv(ours), nmea::ParseResult::MWV(theirs)) => {
            let angle_deg = ours.angle.map(|it| it.as_degrees().rem_euclid(360.0));
            near(angle_deg, theirs.wind_direction.map(f64::from), line);
            near(
                ours.speed.map(windrode_domain::units::Speed::as_knots),
                theirs.wind_speed.map(f64::from),
                line,
            );
        }
        (Report::Vhw(ours), nmea::ParseResult::VHW(theirs)) => {
            near(ours.heading.map(windrode_domain::units::Bearing::as_degrees), theirs.heading_true, line);
            near(ours.speed.map(|it| it.speed.as_knots()), theirs.relative_speed_knots, line);
        }
        (Report::Dpt(ours), nmea::ParseResult::DPT(theirs)) => {
            near(
                ours.below_transducer.map(windrode_domain::units::Length::as_metres),
                theirs.water_depth,
                line,
            );
            near(ours.offset.map(windrode_domain::units::Length::as_metres), theirs.offset, line);
        }
        (Report::Hdt(ours), nmea::ParseResult::HDT(theirs)) => {
            near(
                ours.heading.map(windrode_domain::units::Bearing::as_degrees),
                theirs.heading.map(f64::from),
                line,
            );
        }
        _ => return false,
    }
    true
}

#[test]
fn where_the_other_crate_reads_a_line_we_read_the_same() {
    let texts = LOGS.iter().flat_map(|(log, _)| lines(log)).filter_map(|line| String::from_utf8(line).ok());
    let compared = texts.filter(|line| compare(line)).count();
    // Of 7 712 sentences; the rest the other crate does not know.
    assert!(2000 < compared, "{compared}");
}

#[test]
fn a_sounder_that_tells_the_depth_of_the_keel_is_read_here_and_refused_there() {
    let line = "$SDDPT,21.0,-1.5*4D";
    assert!(nmea::parse_str(line).is_err());
    let Report::Dpt(dpt) = read(line.as_bytes()).unwrap().report else { panic!() };
    assert_eq!(dpt.offset.map(windrode_domain::units::Length::as_metres), Some(-1.5));
}
