//! Fitting-out: what sentences mean in the boat's terms. Sentences are written by our own writer, whose bytes
//! are read back elsewhere, or stand in recorded logs.

use jiff::{SignedDuration, Timestamp};
use proptest::prelude::*;
use windrode_domain::boat::SounderReads;
use windrode_domain::environment::wind::Wind;
use windrode_domain::units::{Angle, Bearing, Length};
use windrode_domain::watch::observation::{Fix, FixKind, Observation, Seen, Source};
use windrode_wire::gpsd;
use windrode_wire::nmea0183::read;
use windrode_wire::observe::{Fitted, FittedOut, Vane, Want};

use crate::authority::lines;

/// In the years of the magnetic model.
const BEGIN: &str = "2026-11-27T05:00:00Z";

/// A boat that hears sentences without checksums, at seconds after [`BEGIN`].
struct Ears {
    fitted: Fitted,
    begin: Timestamp,
}

impl Ears {
    fn new(out: FittedOut) -> Self {
        Self { fitted: Fitted::new(out), begin: BEGIN.parse().unwrap() }
    }
    fn unknown() -> Self {
        Self::new(FittedOut::UNKNOWN)
    }
    #[track_caller]
    fn hear(&mut self, second: f64, line: &str) -> Vec<Seen> {
        let mut out = Vec::new();
        let heard = read(line.as_bytes()).unwrap_or_else(|refusal| panic!("{refusal}: {line}"));
        let at = self.begin + SignedDuration::from_secs_f64(second);
        self.fitted.hear(Source(3), &heard.report, at, &mut out);
        assert!(out.iter().all(|seen| seen.source == Source(3) && seen.at == at));
        out.into_iter().map(|observation: Observation| observation.seen).collect()
    }
}

#[track_caller]
fn fix(seen: &[Seen]) -> Fix {
    match seen {
        [Seen::Fix(fix), ..] => *fix,
        other => panic!("{other:?}"),
    }
}

#[track_caller]
fn wind(seen: &[Seen]) -> Wind {
    match seen {
        [Seen::Wind(wind)] => *wind,
        other => panic!("{other:?}"),
    }
}

#[track_caller]
fn water_m(seen: &[Seen]) -> f64 {
    match seen {
        [Seen::Water { depth }] => depth.as_metres(),
        other => panic!("{other:?}"),
    }
}

#[track_caller]
fn near(actual: f64, expected: f64, tolerance: f64) {
    assert!((actual - expected).abs() <= tolerance, "{actual} is not {expected} within {tolerance}");
}

fn gga(time: &str, quality: u8) -> String {
    format!("$GPGGA,{time},4112.0000,S,17448.0000,E,{quality},09,0.8,2.0,M,10.0,M,,")
}

fn rmc(time: &str, status: char, mode: char) -> String {
    format!("$GPRMC,{time},{status},4112.0000,S,17448.0000,E,0.100,90.0,271126,,,{mode}")
}

#[test]
fn one_epoch_is_one_fix_however_many_sentences_tell_it() {
    let mut ears = Ears::unknown();
    let mut fixes = 0;
    for second in 0..20_u8 {
        let time = format!("0500{second:02}");
        for line in
            [rmc(&time, 'A', 'D'), gga(&time, 2), format!("$GPGLL,4112.0000,S,17448.0000,E,{time},A,D")]
        {
            fixes +=
                ears.hear(second.into(), &line).iter().filter(|seen| matches!(seen, Seen::Fix(_))).count();
        }
    }
    assert_eq!(fixes, 20);
}

#[test]
fn once_settled_the_fix_is_that_which_tells_its_quality() {
    let mut ears = Ears::unknown();
    ears.hear(0.0, &rmc("050000", 'A', 'D'));
    ears.hear(0.0, &gga("050000", 2));
    assert!(ears.hear(1.0, &rmc("050001", 'A', 'D')).iter().all(|seen| matches!(seen, Seen::Way(_))));
    let fix = fix(&ears.hear(1.0, &gga("050001", 2)));
    assert_eq!((fix.kind, fix.satellites, fix.dilution), (FixKind::Differential, Some(9), Some(0.8)));
    assert_eq!(fix.stated, Some("2026-11-27T05:00:01Z".parse().unwrap()));
}

#[test]
fn bursts_ten_minutes_apart_are_a_fix_each() {
    let mut ears = Ears::unknown();
    for burst in 0..6_u8 {
        let time = format!("05{burst}000");
        let second = 600.0 * f64::from(burst);
        let seen = [ears.hear(second, &rmc(&time, 'A', 'A')), ears.hear(second, &gga(&time, 1))].concat();
        assert_eq!(seen.iter().filter(|seen| matches!(seen, Seen::Fix(_))).count(), 1, "{burst}");
    }
}

#[test]
fn when_the_better_sentence_fails_the_other_is_taken() {
    let mut ears = Ears::unknown();
    ears.hear(0.0, &gga("050000", 1));
    let told = (1..20_u8).map(|second| ears.hear(second.into(), &rmc(&format!("0500{second:02}"), 'A', 'A')));
    let first = told.take_while(|seen| !seen.iter().any(|seen| matches!(seen, Seen::Fix(_)))).count();
    assert!(first <= 3, "{first}");
}

#[test]
fn a_warning_is_no_fix_whatever_stands_beside_it() {
    for line in
        [gga("050000", 0), rmc("050000", 'V', 'A'), rmc("050000", 'A', 'N'), "$GPGGA,,,,,,0,,,,M,,M,,".into()]
    {
        assert_eq!(Ears::unknown().hear(0.0, &line), [Seen::NoFix], "{line}");
    }
    let mut ears = Ears::unknown();
    assert_eq!(ears.hear(0.0, &rmc("050000", 'V', 'N')), [Seen::NoFix]);
    assert_eq!(ears.hear(0.1, &gga("050000", 1)), []);
    fix(&ears.hear(1.0, &gga("050001", 1)));
}

#[test]
fn one_burst_of_warnings_is_one_word() {
    let mut ears = Ears::unknown();
    assert_eq!(ears.hear(0.0, &rmc("050000", 'V', 'N')), [Seen::NoFix]);
    assert_eq!(ears.hear(0.1, &gga("050000", 0)), []);
    assert_eq!(ears.hear(1.0, &gga("050001", 0)), [Seen::NoFix]);
}

#[test]
fn a_reckoned_or_invented_fix_says_so() {
    assert_eq!(fix(&Ears::unknown().hear(0.0, &gga("050000", 6))).kind, FixKind::Estimated);
    assert_eq!(fix(&Ears::unknown().hear(0.0, &gga("050000", 8))).kind, FixKind::NotMeasured);
    assert_eq!(fix(&Ears::unknown().hear(0.0, &rmc("050000", 'A', 'E'))).kind, FixKind::Estimated);
}

#[test]
fn a_time_of_day_without_date_is_no_time() {
    let mut ears = Ears::unknown();
    assert_eq!(fix(&ears.hear(0.0, &gga("050000", 1))).stated, None);
    ears.hear(0.5, "$GPZDA,235959.50,27,11,2026,00,00");
    let stated = fix(&ears.hear(1.0, &gga("000000.00", 1))).stated;
    assert_eq!(stated, Some("2026-11-28T00:00:00Z".parse().unwrap()));
    assert_eq!(fix(&ears.hear(4000.0, &gga("010000", 1))).stated, None);
}

#[test]
fn errors_that_the_receiver_states_go_with_the_fix_while_they_are_fresh() {
    let mut ears = Ears::unknown();
    ears.hear(0.0, "$GPGST,050000,0.9,1.5,1.1,20.0,1.4,1.2,3.0");
    near(fix(&ears.hear(0.1, &gga("050000", 1))).spread.unwrap().as_metres(), 1.4, 1e-12);
    assert_eq!(fix(&ears.hear(9.0, &gga("050009", 1))).spread, None);
}

#[test]
fn the_way_is_told_once_with_its_step_by_the_finer_sentence() {
    let mut ears = Ears::unknown();
    let vtg = |speed: &str| format!("$GPVTG,90.0,T,,M,{speed},N,,K,A");
    let ways = |seen: Vec<Seen>| {
        seen.into_iter()
            .filter_map(|seen| match seen {
                Seen::Way(way) => Some(way.step.as_knots()),
                _ => None,
            })
            .collect::<Vec<_>>()
    };
    assert_eq!(ways(ears.hear(0.0, "$GPRMC,050000,A,4112.0000,S,17448.0000,E,0.1,90.0,271126,,,A")).len(), 1);
    near(ways(ears.hear(0.1, &vtg("0.123")))[0], 0.001, 1e-9);
    assert!(ways(ears.hear(1.0, "$GPRMC,050001,A,4112.0000,S,17448.0000,E,0.1,90.0,271126,,,A")).is_empty());
    near(ways(ears.hear(1.1, &vtg("0.123")))[0], 0.001, 1e-9);
    assert!(ways(ears.hear(2.0, "$GPVTG,90.0,T,,M,0.123,N,,K,N")).is_empty());
}

#[test]
fn a_speed_of_nothing_has_no_course() {
    let seen = Ears::unknown().hear(0.0, "$GPVTG,90.0,T,,M,0.0,N,0.0,K,A");
    assert!(matches!(seen[..], [Seen::Way(way)] if way.course.is_none()), "{seen:?}");
}

#[test]
fn a_compass_is_brought_to_true_north_by_what_it_says_or_by_the_model() {
    let bow = |seen: Vec<Seen>| match seen[..] {
        [Seen::Heading { bow, .. }] => Some(bow.as_degrees()),
        [] => None,
        _ => panic!("{seen:?}"),
    };
    let mut ears = Ears::unknown();
    near(bow(ears.hear(0.0, "$HCHDG,100.0,2.0,E,5.0,W")).unwrap(), 97.0, 1e-9);
    near(bow(Ears::unknown().hear(0.0, "$HCHDG,1.0,,,5.0,W")).unwrap(), 356.0, 1e-9);
    let mut ears = Ears::unknown();
    assert_eq!(bow(ears.hear(0.0, "$HCHDM,100.0,M")), None);
    assert_eq!(ears.fitted.withheld().for_want_of(Want::Place), 1);
    ears.hear(1.0, &gga("050001", 1));
    // Source: pygeomag 1.1.0 with WMM_2025.COF, 41.2° S 174.8° E at sea level, 2026.90468: 23.238455° east.
    near(bow(ears.hear(2.0, "$HCHDM,100.0,M")).unwrap(), 123.238_455, 1e-4);
}

#[test]
fn a_true_heading_is_taken_before_a_magnetic_one_of_the_same_source() {
    let mut ears = Ears::unknown();
    assert_eq!(ears.hear(0.0, "$HCHDT,120.0,T").len(), 1);
    assert_eq!(ears.hear(0.5, "$HCHDG,100.0,,,21.0,E").len(), 0);
    assert_eq!(ears.hear(9.0, "$HCHDG,100.0,,,21.0,E").len(), 1);
}

#[test]
fn a_sounding_is_brought_to_the_surface_by_what_it_is_below() {
    let fitted = |sounder| FittedOut { sounder, draught: Some(Length::metres(2.0)), ..FittedOut::UNKNOWN };
    let hear = |out: FittedOut, line: &str| Ears::new(out).hear(0.0, line);
    near(water_m(&hear(fitted(None), "$SDDBS,16.4,f,5.0,M,2.7,F")), 5.0, 1e-9);
    near(water_m(&hear(fitted(None), "$SDDPT,4.6,0.4,")), 5.0, 1e-9);
    // 1.6 m from the transducer to the keel, 2.0 m from the keel to the surface.
    near(water_m(&hear(fitted(None), "$SDDPT,4.6,-1.6,")), 5.0, 1e-9);
    near(water_m(&hear(fitted(None), "$SDDBK,,f,3.0,M,,F")), 5.0, 1e-9);
    let transducer = Some(SounderReads::BelowTransducer(Length::metres(0.5)));
    near(water_m(&hear(fitted(transducer), "$SDDBT,,f,4.5,M,,F")), 5.0, 1e-9);
    near(water_m(&hear(fitted(transducer), "$SDDPT,4.5,0.0,")), 5.0, 1e-9);
    near(water_m(&hear(fitted(Some(SounderReads::BelowKeel)), "$SDDBT,,f,3.0,M,,F")), 5.0, 1e-9);
    near(water_m(&hear(fitted(Some(SounderReads::BelowSurface)), "$SDDBT,,f,5.0,M,,F")), 5.0, 1e-9);
}

#[test]
fn a_sounding_below_nobody_knows_what_is_withheld_and_counted() {
    let mut ears = Ears::unknown();
    assert_eq!(ears.hear(0.0, "$SDDBT,,f,5.0,M,,F"), []);
    assert_eq!(ears.hear(0.0, "$SDDPT,4.6,-1.6,"), []);
    assert_eq!(ears.fitted.withheld().for_want_of(Want::SounderFitting), 1);
    assert_eq!(ears.fitted.withheld().for_want_of(Want::Draught), 1);
}

#[test]
fn felt_wind_needs_a_heading_and_a_way_that_are_fresh() {
    let mut ears = Ears::unknown();
    let felt = "$WIMWV,30.0,R,20.0,N,A";
    assert_eq!(ears.hear(0.0, felt), []);
    ears.hear(0.0, "$HCHDT,350.0,T");
    assert_eq!(ears.hear(0.0, felt), []);
    ears.hear(0.0, "$GPVTG,,T,,M,0.1,N,,K,A");
    let found = wind(&ears.hear(0.0, felt));
    near(found.from().unwrap().as_degrees(), 20.0, 1e-9);
    near(found.speed().as_knots(), 20.0, 1e-9);
    assert_eq!(ears.hear(9.0, felt), []);
    assert_eq!(ears.fitted.withheld().for_want_of(Want::Heading), 2);
    assert_eq!(ears.fitted.withheld().for_want_of(Want::Way), 1);
}

/// Felt wind by the wind triangle, in the form of the trade: from the bow, clockwise.
fn felt_of(from: f64, knots: f64, bow: f64, course: f64, way: f64) -> (f64, f64) {
    let vector = |direction: f64, size: f64| {
        (size * direction.to_radians().sin(), size * direction.to_radians().cos())
    };
    // The air comes from `from`; her way makes an air from ahead of her course.
    let ((we, wn), (ve, vn)) = (vector(from, knots), vector(course, way));
    let (east, north) = (we + ve, wn + vn);
    ((east.atan2(north).to_degrees() - bow).rem_euclid(360.0), east.hypot(north))
}

proptest! {
    #[test]
    fn the_wind_over_the_ground_does_not_depend_on_how_she_moves_in_it(
        from in 0.0..360.0_f64, knots in 3.0..50.0_f64, bow in 0.0..360.0_f64,
        course in 0.0..360.0_f64, way in 0.001..8.0_f64,
    ) {
        let (angle, felt) = felt_of(from, knots, bow, course, way);
        let mut ears = Ears::unknown();
        ears.hear(0.0, &format!("$HCHDT,{:.6},T", bow.min(359.999_999)));
        ears.hear(0.0, &format!("$GPVTG,{course:.6},T,,M,{way:.6},N,,K,A"));
        let found = wind(&ears.hear(0.0, &format!("$WIMWV,{:.6},R,{felt:.6},N,A", angle.min(359.999_999))));
        let expected = Wind::blowing(Bearing::degrees(from), windrode_domain::units::Speed::knots(knots));
        // Six decimals of a degree and a knot were written.
        prop_assert!((found.east_ms - expected.east_ms).hypot(found.north_ms - expected.north_ms) < 2e-6);
    }
}

#[test]
fn the_wind_of_the_instruments_own_true_is_taken_with_the_stream_where_a_log_tells_it() {
    let mut ears = Ears::unknown();
    ears.hear(0.0, "$HCHDT,0.0,T");
    ears.hear(0.0, "$GPVTG,,T,,M,0.0,N,,K,A");
    ears.hear(0.0, "$VWVHW,,T,,M,2.0,N,,K");
    // She lies to her anchor, bow north, in a stream of 2 kn that sets south. Air that blows south at 12 kn
    // over water that itself flows south at 2 kn blows at 14 kn over the ground.
    let found = wind(&ears.hear(0.0, "$WIMWV,0.0,T,12.0,N,A"));
    near(found.speed().as_knots(), 14.0, 1e-9);
}

#[test]
fn of_several_winds_of_a_source_the_best_is_told_and_the_others_not() {
    let mut ears = Ears::unknown();
    ears.hear(0.0, "$HCHDT,0.0,T");
    ears.hear(0.0, "$GPVTG,,T,,M,0.0,N,,K,A");
    assert_eq!(ears.hear(0.0, "$WIMWD,10.0,T,,M,15.0,N,7.7,M").len(), 1);
    assert_eq!(ears.hear(0.1, "$WIMWV,12.0,R,15.0,N,A").len(), 0);
    assert_eq!(ears.hear(0.2, "$WIMWV,11.0,T,15.0,N,A").len(), 0);
    assert_eq!(ears.hear(0.2, "$WIMWV,11.0,R,15.0,N,V").len(), 0);
}

#[test]
fn a_vane_high_up_feels_more_wind_than_blows_at_ten_metres_and_a_low_one_less() {
    let at = |height_m: f64| {
        let vane = Vane { height: Some(Length::metres(height_m)), turned: Angle::ZERO, speed_factor: 1.0 };
        let mut ears = Ears::new(FittedOut { vane, ..FittedOut::UNKNOWN });
        wind(&ears.hear(0.0, "$WIMWD,0.0,T,,M,20.0,N,,M")).speed().as_knots()
    };
    // Logarithmic law over the open sea, z0 0.2 mm: 15 m is 1.0375 of 10 m (evaluated with numpy 2.4).
    near(at(15.0), 20.0 / 1.037_474, 1e-4);
    near(at(10.0), 20.0, 1e-9);
    // Over rough water, z0 5 mm: 5 m is 0.9088 of 10 m.
    near(at(5.0), 20.0 / 0.908_807, 1e-4);
}

#[test]
fn battery_heel_engine_turning_and_log_are_told() {
    let mut ears = Ears::unknown();
    let seen = ears.hear(0.0, "$IIXDR,U,12.61,V,START BATT,U,12.85,V,HOUSE BATT,A,3.5,D,HEEL,A,-1.0,D,TRIM");
    assert_eq!(seen, [Seen::Battery { volts: 12.85 }, Seen::Attitude { heel_deg: 3.5, pitch_deg: -1.0 }]);
    assert_eq!(ears.hear(0.0, "$ERRPM,E,1,1500.0,,A"), [Seen::Engine { rpm: 1500.0 }]);
    assert_eq!(ears.hear(0.0, "$ERRPM,E,1,1500.0,,V"), []);
    assert_eq!(ears.hear(0.0, "$TIROT,-30.0,A"), [Seen::Turning { rate_deg_s: -0.5 }]);
}

#[test]
fn the_sky_is_summed_over_its_systems() {
    let mut ears = Ears::unknown();
    ears.hear(0.0, "$GLGSV,1,1,02,65,30,100,30,66,40,200,");
    ears.hear(0.0, "$GPGSV,2,1,05,01,30,100,40,02,40,200,50,03,10,300,,04,80,010,45");
    let seen = ears.hear(0.0, "$GPGSV,2,2,05,05,20,020,35");
    let [Seen::Sky(sky)] = seen[..] else { panic!("{seen:?}") };
    assert_eq!((sky.in_view, sky.carrier_db_hz), (Some(7), Some(40.0)));
}

#[test]
fn a_server_that_writes_millimetres_is_not_believed_finer_than_its_receiver() {
    let mut fitted = Fitted::new(FittedOut::UNKNOWN);
    let at = BEGIN.parse().unwrap();
    let mut step_kn = |speed: &str| {
        let mut out = Vec::new();
        let line =
            format!(r#"{{"class":"TPV","mode":3,"lat":-41.2,"lon":174.8,"speed":{speed},"track":90.0}}"#);
        fitted.hear_gpsd(Source(1), &gpsd::read(line.as_bytes()).unwrap(), at, &mut out);
        match out[1].seen {
            Seen::Way(way) => way.step.as_knots(),
            other => panic!("{other:?}"),
        }
    };
    // 0.3 kn and 0.5 kn to the millimetre a second.
    near(step_kn("0.154"), 0.1, 1e-9);
    near(step_kn("0.257"), 0.1, 1e-9);
    near(step_kn("0.133"), 0.001 / 0.514_444, 1e-6);
    near(step_kn("0.257"), 0.001 / 0.514_444, 1e-6);
}

/// What is seen of a line of a gpsd server by a boat whose variation is told by the world magnetic model.
fn seen_of_server(line: &str) -> Vec<Seen> {
    let mut fitted = Fitted::new(FittedOut::UNKNOWN);
    let mut out = Vec::new();
    fitted.hear_gpsd(Source(1), &gpsd::read(line.as_bytes()).unwrap(), BEGIN.parse().unwrap(), &mut out);
    out.into_iter().map(|observation| observation.seen).collect()
}

#[test]
fn a_server_s_wind_over_the_ground_is_one_where_it_is_surely_from_north() {
    let fix = r#""class":"TPV","mode":3,"lat":-41.2,"lon":174.8"#;
    let wind = |rest: &str| {
        let seen = seen_of_server(&format!("{{{fix},{rest}}}"));
        seen.into_iter().find_map(|seen| if let Seen::Wind(wind) = seen { Some(wind) } else { None })
    };
    let told = wind(r#""wanglet":231.0,"wanglem":209.5,"wspeedt":8.2"#).unwrap();
    near(told.from().unwrap().as_degrees(), 231.0, 1e-9);
    near(told.speed().as_metres_per_second(), 8.2, 1e-9);
    assert_eq!(wind(r#""wanglet":31.0,"wspeedt":8.2"#), None);
    // Magnetic alone: brought to true by the model, whose variation there and then is 22 to 23° E (WMM).
    let magnetic = wind(r#""wanglem":209.5,"wspeedt":8.2"#).unwrap();
    near(magnetic.from().unwrap().as_degrees(), 232.0, 1.0);
}

#[test]
fn a_server_s_imu_tells_heading_and_heel_as_an_attitude_does() {
    let seen = seen_of_server(r#"{"class":"IMU","heading":141.5,"pitch":1.5,"roll":-4.0}"#);
    assert!(
        seen.iter()
            .any(|seen| matches!(seen, Seen::Heading { bow, .. } if (bow.as_degrees() - 141.5).abs() < 1e-9))
    );
    assert!(seen.contains(&Seen::Attitude { heel_deg: -4.0, pitch_deg: 1.5 }));
}

#[test]
fn a_server_without_fix_has_none() {
    let mut fitted = Fitted::new(FittedOut::UNKNOWN);
    let mut out = Vec::new();
    let report = gpsd::read(br#"{"class":"TPV","mode":1}"#).unwrap();
    fitted.hear_gpsd(Source(1), &report, BEGIN.parse().unwrap(), &mut out);
    assert!(matches!(out[..], [Observation { seen: Seen::NoFix, .. }]));
}

/// Each line of the log of a small sailing vessel, a second at each ZDA.
fn sailing_vessel(keep: impl Fn(&str) -> bool) -> (Vec<Seen>, Fitted) {
    let mut fitted = Fitted::new(FittedOut::UNKNOWN);
    let (mut at, mut out) = ("2018-08-20T09:47:37Z".parse::<Timestamp>().unwrap(), Vec::new());
    for line in lines("bundg_zeus_9.log") {
        let Ok(heard) = read(&line) else { continue };
        at += SignedDuration::from_secs(i64::from(line.starts_with(b"$GPZDA")));
        if keep(std::str::from_utf8(&line).unwrap()) {
            fitted.hear(Source(0), &heard.report, at, &mut out);
        }
    }
    (out.into_iter().map(|observation| observation.seen).collect(), fitted)
}

#[test]
fn a_real_sailing_vessel_is_heard_once_for_each_thing() {
    let (seen, fitted) = sailing_vessel(|_| true);
    let count = |which: fn(&Seen) -> bool| seen.iter().filter(|seen| which(seen)).count();
    // Of some 150 s: a GGA each in 138 of them, an RMC in 146; in the first epochs RMC or GLL may come
    // before.
    assert!((138..=140).contains(&count(|seen| matches!(seen, Seen::Fix(_)))));
    assert!((145..=147).contains(&count(|seen| matches!(seen, Seen::Way(_)))));
    assert!((149..=150).contains(&count(|seen| matches!(seen, Seen::Wind(_)))));
    // DPT and DBT come both; DPT, which tells its offset, is taken.
    assert!((149..=150).contains(&count(|seen| matches!(seen, Seen::Water { .. }))));
    assert_eq!(fitted.withheld().for_want_of(Want::MagneticModel), 0);
    let depths = seen
        .iter()
        .filter_map(|seen| if let Seen::Water { depth } = seen { Some(depth.as_metres()) } else { None });
    // The log's DPT reads 5.2 to 6.7 m below a transducer 0.4 m deep.
    assert!(depths.into_iter().all(|depth_m| (5.59..7.11).contains(&depth_m)));
}

/// The winds that she hears if only one kind of MWV comes.
fn winds_by(reference: &str) -> Vec<Wind> {
    let (seen, _) = sailing_vessel(|line| match &line[3..6] {
        "MWD" => false,
        "MWV" => line.contains(reference),
        _ => true,
    });
    seen.into_iter().filter_map(|seen| if let Seen::Wind(wind) = seen { Some(wind) } else { None }).collect()
}

/// Speeds in knots that a tenth, a half and nine tenths stay below, and the same of directions.
fn quantiles(winds: &[Wind]) -> ([f64; 3], [f64; 3]) {
    let of = |mut values: Vec<f64>| {
        values.sort_by(f64::total_cmp);
        [1, 5, 9].map(|tenths| values[tenths * values.len() / 10])
    };
    let directions = winds.iter().map(|wind| wind.from().unwrap().as_degrees());
    (of(winds.iter().map(|wind| wind.speed().as_knots()).collect()), of(directions.collect()))
}

#[test]
fn the_wind_reckoned_from_the_felt_one_is_that_which_her_own_instrument_reckons() {
    let (felt, own) = (winds_by(",R,"), winds_by(",T,"));
    let ((felt_kn, felt_deg), (own_kn, own_deg)) = (quantiles(&felt), quantiles(&own));
    // Both medians over the same 150 s, hers by an instrument whose damping and masthead correction nobody
    // knows: the spread of either is some 2 kn and 8°, the median of 150 of them good to a fifth of that.
    assert!((felt_kn[1] - own_kn[1]).abs() < 0.4, "{felt_kn:?} {own_kn:?}");
    assert!((felt_deg[1] - own_deg[1]).abs() < 1.6, "{felt_deg:?} {own_deg:?}");
    // The instrument damps; what is reckoned from each reading does not.
    assert!(
        felt_kn[0] < own_kn[0]
            && own_kn[2] < felt_kn[2]
            && felt_deg[0] < own_deg[0]
            && own_deg[2] < felt_deg[2]
    );
}
