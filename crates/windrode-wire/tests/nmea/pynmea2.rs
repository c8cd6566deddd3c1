//! Field by field against pynmea2 (`authorities/nmea/pynmea2.json`).

use windrode_domain::units::Speed;
use windrode_wire::nmea0183::clock::UtcTime;
use windrode_wire::nmea0183::position::{Mode, Quality, Status};
use windrode_wire::nmea0183::wind::Reference;
use windrode_wire::nmea0183::{Report, read};

use crate::authority::{Authority, Case, Fields, authority};

/// What we read of a field, as it stands in a sentence.
#[derive(Debug)]
enum Value {
    Number(Option<f64>),
    Letter(Option<char>),
}

type Said = Vec<(&'static str, Value)>;

fn number(name: &'static str, value: Option<impl Into<f64>>) -> (&'static str, Value) {
    (name, Value::Number(value.map(Into::into)))
}

fn letter(name: &'static str, value: Option<char>) -> (&'static str, Value) {
    (name, Value::Letter(value))
}

fn status(status: Option<Status>) -> Option<char> {
    status.map(|status| if status == Status::Valid { 'A' } else { 'V' })
}

/// `hhmmss.ss` as a number.
fn time(time: Option<UtcTime>) -> (&'static str, Value) {
    let digits = time.map(|time| {
        let (hour, minute, second, nanosecond) = time.parts();
        let whole = i32::from(hour) * 10_000 + i32::from(minute) * 100 + i32::from(second);
        f64::from(whole) + f64::from(nanosecond) * 1e-9
    });
    number("timestamp", digits)
}

fn knots(speed: Speed) -> f64 {
    speed.as_knots()
}

fn said(report: &Report<'_>) -> Said {
    match report {
        Report::Gga(r) => vec![
            time(r.time),
            number("gps_qual", r.quality.map(Quality::number)),
            number("num_sats", r.satellites),
            number("horizontal_dil", r.hdop),
            number("altitude", r.altitude.map(windrode_domain::units::Length::as_metres)),
            number("geo_sep", r.geoid.map(windrode_domain::units::Length::as_metres)),
            number("age_gps_data", r.age_s),
            number("ref_station_id", r.station),
        ],
        Report::Rmc(r) => vec![
            time(r.time),
            letter("status", status(r.status)),
            number("spd_over_grnd", r.speed.map(|it| knots(it.speed))),
            number("true_course", r.course.map(windrode_domain::units::Bearing::as_degrees)),
            number(
                "datestamp",
                r.date.map(|it| {
                    i32::from(it.day()) * 10_000 + i32::from(it.month()) * 100 + i32::from(it.year() % 100)
                }),
            ),
            number("mag_variation", r.variation.map(|it| it.as_degrees().abs())),
            letter("mag_var_dir", r.variation.map(|it| if it.as_degrees() < 0.0 { 'W' } else { 'E' })),
            letter("mode_indicator", r.mode.map(Mode::letter)),
            letter("nav_status", r.navigation.map(char::from)),
        ],
        Report::Gll(r) => {
            vec![
                time(r.time),
                letter("status", status(r.status)),
                letter("faa_mode", r.mode.map(Mode::letter)),
            ]
        }
        Report::Zda(r) => vec![
            time(r.time),
            number("day", r.date.map(jiff::civil::Date::day)),
            number("month", r.date.map(jiff::civil::Date::month)),
            number("year", r.date.map(jiff::civil::Date::year)),
        ],
        other => said_of_the_boat(other),
    }
}

fn said_of_the_boat(report: &Report<'_>) -> Said {
    match report {
        Report::Vtg(r) => vec![
            number("true_track", r.course.map(windrode_domain::units::Bearing::as_degrees)),
            number(
                "mag_track",
                r.course_magnetic.map(windrode_wire::nmea0183::heading::MagneticBearing::as_degrees),
            ),
            number("spd_over_grnd_kts", r.speed.map(|it| knots(it.speed))),
            number("spd_over_grnd_kmph", r.speed_metric.map(|it| it.speed.as_metres_per_second() * 3.6)),
            letter("faa_mode", r.mode.map(Mode::letter)),
        ],
        Report::Vhw(r) => vec![
            number("heading_true", r.heading.map(windrode_domain::units::Bearing::as_degrees)),
            number(
                "heading_magnetic",
                r.heading_magnetic.map(windrode_wire::nmea0183::heading::MagneticBearing::as_degrees),
            ),
            number("water_speed_knots", r.speed.map(|it| knots(it.speed))),
            number("water_speed_km", r.speed_metric.map(|it| it.speed.as_metres_per_second() * 3.6)),
        ],
        Report::Hdt(r) => vec![number("heading", r.heading.map(windrode_domain::units::Bearing::as_degrees))],
        Report::Hdg(r) => vec![
            number("heading", r.compass.map(windrode_wire::nmea0183::heading::MagneticBearing::as_degrees)),
            number("deviation", r.deviation.map(|it| it.as_degrees().abs())),
            number("variation", r.variation.map(|it| it.as_degrees().abs())),
            letter("var_dir", r.variation.map(|it| if it.as_degrees() < 0.0 { 'W' } else { 'E' })),
        ],
        Report::Rot(r) => vec![number("rate_of_turn", r.rate_deg_min), letter("status", status(r.status))],
        Report::Dbt(r) => {
            vec![number("depth_meters", r.depth.map(windrode_domain::units::Length::as_metres))]
        }
        Report::Dpt(r) => vec![
            number("depth", r.below_transducer.map(windrode_domain::units::Length::as_metres)),
            number("offset", r.offset.map(windrode_domain::units::Length::as_metres)),
            number("range", r.range.map(windrode_domain::units::Length::as_metres)),
        ],
        Report::Mwv(r) => vec![
            number("wind_angle", r.angle.map(|it| it.as_degrees().rem_euclid(360.0))),
            letter("reference", r.reference.map(|it| if it == Reference::Felt { 'R' } else { 'T' })),
            number("wind_speed", r.speed.map(knots)),
            letter("status", status(r.status)),
        ],
        Report::Mwd(r) => vec![
            number("direction_true", r.from.map(windrode_domain::units::Bearing::as_degrees)),
            number(
                "direction_magnetic",
                r.from_magnetic.map(windrode_wire::nmea0183::heading::MagneticBearing::as_degrees),
            ),
            number("wind_speed_knots", r.speed.map(knots)),
        ],
        other => said_of_the_sky(other),
    }
}

fn said_of_the_sky(report: &Report<'_>) -> Said {
    match report {
        Report::Mtw(r) => vec![number("temperature", r.water_c)],
        Report::Gsa(r) => vec![
            letter("mode", r.choice.map(char::from)),
            number("mode_fix_type", r.dimensions),
            number("sv_id01", r.satellites[0]),
            number("sv_id07", r.satellites[6]),
            number("sv_id12", r.satellites[11]),
            number("pdop", r.pdop),
            number("hdop", r.hdop),
            number("vdop", r.vdop),
        ],
        Report::Gsv(r) => vec![
            number("num_messages", r.sentences),
            number("msg_num", r.number),
            number("num_sv_in_view", r.in_view),
            number("sv_prn_num_1", r.satellites[0].map(|it| it.satellite)),
            number("elevation_deg_1", r.satellites[0].and_then(|it| it.elevation_deg)),
            number("azimuth_4", r.satellites[3].and_then(|it| it.azimuth_deg)),
            number("snr_4", r.satellites[3].and_then(|it| it.carrier_db_hz)),
        ],
        other => panic!("{other:?} is not among the cases"),
    }
}

#[track_caller]
fn check(case: &Case, name: &str, ours: &Value, theirs: &str) {
    let agree = match ours {
        Value::Letter(letter) => letter.map(String::from).unwrap_or_default() == theirs,
        Value::Number(None) => theirs.is_empty(),
        // Units go to SI and back: a few roundings of a double.
        Value::Number(Some(ours)) => {
            theirs.parse::<f64>().is_ok_and(|theirs| (ours - theirs).abs() <= 1e-12 * theirs.abs().max(1.0))
        }
    };
    assert!(agree, "{}: {name} is {ours:?} against {theirs:?}", case.line);
}

fn check_xdr(case: &Case, report: &Report<'_>, listed: &[String]) {
    let Report::Xdr(xdr) = report else { panic!("{report:?}") };
    let theirs: Vec<_> = listed.chunks(4).filter(|four| !four[1].is_empty()).collect();
    let ours: Vec<_> = xdr.measurements().collect();
    assert_eq!(ours.len(), theirs.len(), "{}", case.line);
    for (ours, theirs) in ours.iter().zip(theirs) {
        check(case, &theirs[3], &Value::Letter(Some(char::from(ours.kind))), &theirs[0]);
        check(case, &theirs[3], &Value::Number(Some(ours.value)), &theirs[1]);
        check(case, &theirs[3], &Value::Letter(ours.unit.map(char::from)), &theirs[2]);
        assert_eq!(ours.name, theirs[3]);
    }
}

fn check_position(case: &Case, report: &Report<'_>) {
    let position = match report {
        Report::Gga(gga) => gga.position,
        Report::Rmc(rmc) => rmc.position,
        Report::Gll(gll) => gll.position,
        _ => return,
    };
    let theirs = case.latitude_deg.zip(case.longitude_deg);
    assert_eq!(position.is_some(), theirs.is_some(), "{}", case.line);
    if let (Some(ours), Some((latitude_deg, longitude_deg))) = (position, theirs) {
        // A few roundings of a double of 360: nanometres.
        assert!((ours.latitude_deg() - latitude_deg).abs() < 1e-13 * 180.0, "{}", case.line);
        assert!((ours.longitude_deg() - longitude_deg).abs() < 1e-13 * 360.0, "{}", case.line);
    }
}

/// Departure: one receiver (`saab-r4.log`) leaves out the side of the variation, so that its mode stands
/// there beside an empty number. Read here as no variation told; the other reader hands on the letter.
fn departs(name: &str, theirs: &str) -> bool {
    name == "mag_var_dir" && theirs == "A"
}

#[test]
fn every_field_reads_as_the_other_reader_reads_it() {
    let Authority { cases, .. } = authority();
    assert!(1000 < cases.len());
    let mut departures = 0;
    for case in &cases {
        let report = read(case.line.as_bytes()).unwrap().report;
        check_position(case, &report);
        match &case.fields {
            Fields::Listed(listed) => check_xdr(case, &report, listed),
            Fields::Named(named) => {
                for (name, ours) in said(&report) {
                    let theirs = named.get(name).map_or("", String::as_str);
                    if departs(name, theirs) {
                        departures += 1;
                    } else {
                        check(case, name, &ours, theirs);
                    }
                }
            }
        }
    }
    // All the lines of that log; if it were none, the departure would be gone.
    assert_eq!(departures, 12);
}
