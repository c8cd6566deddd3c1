//! An invented sheet for the tests of its views: figures that could be, of a bay and boats that are not.

use jiff::{SignedDuration, Timestamp, tz::TimeZone};
use windrode_domain::environment::heading::Lies;
use windrode_domain::parts::PartKind;
use windrode_domain::plan::limits::Limits;
use windrode_domain::plan::ridden::{NotRidden, Ridden};
use windrode_domain::plan::sheet::{
    BowLoad, BowTable, CurvePoint, Finding, Head, Instant, LeastRoom, LieDensity, Mark, MarkAt, MarkOnRode,
    PartLine, Provenance, Reason, Remedy, Reminder, Riding, RodeCurve, RuleBeside, SeaNow, SectorShare,
    Sheet, StayChance, StreamNow, TideTurn, Unknown, Veer, Verdict, WindNow,
};
use windrode_domain::position::{Offset, Position};
use windrode_domain::span::Span;
use windrode_domain::uncertain::{Band, Origin};
use windrode_domain::units::{Angle, Bearing, Force, Length, Speed};

use crate::crew_units::{CrewUnits, ForceUnit, LengthUnit, SpeedUnit};
use crate::words::{Clock, Voice};

/// A crew in metres, knots and decanewtons, in New Zealand.
pub(crate) fn voice() -> Voice {
    Voice {
        units: CrewUnits {
            length: LengthUnit::Metres,
            speed: SpeedUnit::Knots,
            force: ForceUnit::Decanewtons,
        },
        clock: Clock::new(TimeZone::get("Pacific/Auckland").unwrap()),
    }
}

/// The same crew in feet and pounds.
pub(crate) fn american() -> Voice {
    Voice {
        units: CrewUnits { length: LengthUnit::Feet, speed: SpeedUnit::Knots, force: ForceUnit::PoundsForce },
        ..voice()
    }
}

/// An instant so many hours after the beginning.
pub(crate) fn after(hours: f64) -> Timestamp {
    let begin: Timestamp = "2026-11-27T05:00:00Z".parse().unwrap();
    #[expect(clippy::cast_possible_truncation, reason = "a few days of seconds")]
    let seconds = (hours * 3600.0).round() as i64;
    begin.checked_add(SignedDuration::from_secs(seconds)).unwrap()
}

/// 48 hours in which she lies with care.
pub(crate) fn sheet() -> Sheet {
    Sheet {
        head: head(),
        verdict: Verdict::LiesWithCare,
        findings: findings(),
        veer: Some(veer()),
        chance: Some(StayChance {
            band: Band { p10: 1.0 / 810.0, median: 1.0 / 205.0, p90: 1.0 / 62.0 },
            failing_to_set: Some(0.09),
            worst: after(19.0),
        }),
        ridden: Ok(ridden()),
        parts: parts(),
        limits: Limits::default(),
        instants: (0..=288).map(|step| instant(f64::from(step) / 6.0)).collect(),
        turns: turns(),
        dark: vec![span(2.4, 11.7), span(26.4, 35.7)],
        sun: vec![(after(2.4), "sunset"), (after(11.7), "sunrise"), (after(26.4), "sunset")],
        proved_gust: Some(Speed::knots(34.0)),
        band_begins_gust: Some(Speed::knots(43.5)),
        table_load: Some(Force::newtons(7900.0)),
        density: density(),
        marks: marks(),
        curves: curves(),
        ground_slope: Angle::degrees(SLOPE_DEG),
        bow_table: bow_table(),
        rules: vec![RuleBeside {
            rule: "Four times the depth, all chain in fair weather".to_owned(),
            by_rule: Length::metres(40.0),
            parts: "the gust lifts the last link before the rule's length is out".to_owned(),
        }],
        provenance: provenance(),
        reminders: reminders(),
    }
}

/// The same stay with nothing known of wind, water or ground.
pub(crate) fn nothing_known() -> Sheet {
    let blank = |instant: Instant| Instant {
        tide: None,
        water: None,
        under_keel: None,
        riding: None,
        least_room: None,
        ..instant
    };
    Sheet {
        verdict: Verdict::CannotSay,
        findings: vec![
            Finding {
                reason: Reason::Unknown(Unknown::Wind { after: after(0.0) }),
                calls_for: Verdict::CannotSay,
                at: Some(after(0.0)),
                remedies: vec![Remedy::FindOut("a forecast that covers the stay".to_owned())],
            },
            Finding {
                reason: Reason::Unknown(Unknown::Depth),
                calls_for: Verdict::CannotSay,
                at: None,
                remedies: vec![],
            },
        ],
        veer: None,
        chance: None,
        ridden: Err(NotRidden::Unknown),
        parts: vec![],
        instants: sheet().instants.into_iter().map(blank).collect(),
        turns: vec![],
        proved_gust: None,
        band_begins_gust: None,
        table_load: None,
        density: LieDensity { sectors: vec![] },
        marks: vec![],
        curves: vec![],
        bow_table: BowTable {
            depths: vec![],
            gusts: vec![],
            rode: vec![],
            marks: vec![],
            uplift_allowed: Angle::degrees(0.0),
        },
        rules: vec![],
        provenance: vec![],
        ..sheet()
    }
}

/// The stay with a forecast that ends after 33 hours.
pub(crate) fn forecast_ends() -> Sheet {
    let mut sheet = sheet();
    for instant in &mut sheet.instants {
        if after(33.0) < instant.at {
            instant.riding = None;
            instant.least_room = None;
        }
    }
    sheet.verdict = Verdict::CannotSay;
    sheet.findings.insert(
        0,
        Finding {
            reason: Reason::Unknown(Unknown::Wind { after: after(33.0) }),
            calls_for: Verdict::CannotSay,
            at: Some(after(33.0)),
            remedies: vec![Remedy::LeaveBefore(after(33.0))],
        },
    );
    sheet
}

/// Names that would break a page, a terminal or a line.
pub(crate) fn hostile() -> Sheet {
    let mut sheet = sheet();
    sheet.head.stay = "<b>&\"quoted\" \u{1b}[2J ]]> 港 Ōtara".to_owned();
    sheet.head.boat = "Wreck\u{202e}gnol ".repeat(30);
    for mark in &mut sheet.marks {
        mark.name = format!("<script>alert(1)</script>&{} {}", mark.name, "long ".repeat(60));
    }
    sheet.head.anchor = "20 kg scoop (−≤≈→)".to_owned();
    sheet
}

fn span(from_h: f64, to_h: f64) -> Span {
    Span::new(after(from_h), after(to_h)).unwrap()
}

fn head() -> Head {
    Head {
        stay: "Two nights in Otter Cove".to_owned(),
        boat: "Merganser".to_owned(),
        anchor_at: Position::new(-41.2057, 174.8).unwrap(),
        span: span(0.0, 48.0),
        anchor: "20 kg scoop".to_owned(),
        length_overall: Length::metres(12.8),
        draught: Length::metres(2.0),
        roller_height: Length::metres(1.4),
        tide_source: "harmonic constants of an invented station".to_owned(),
        datum: "chart datum (lowest astronomical tide)".to_owned(),
        wind_source: "forecast file, 3-hourly".to_owned(),
        wind_issued: Some(after(-6.0)),
        wind_tried: None,
    }
}

fn mark_at(nth: usize, beyond_m: f64) -> MarkAt {
    MarkAt {
        count: nth * 2,
        looks: Some("red".to_owned()),
        nth_of_its_look: nth,
        beyond: Length::metres(beyond_m),
    }
}

fn veer() -> Veer {
    Veer {
        length: Length::metres(42.0),
        aboard: Length::metres(70.0),
        origin: Origin::Computed,
        greatest_height: Length::metres(10.3),
        mark: Some(mark_at(4, 2.0)),
        snubber: Some(Length::metres(8.0)),
        slack_bight: Some(Length::metres(2.1)),
    }
}

fn findings() -> Vec<Finding> {
    vec![
        Finding {
            reason: Reason::ChanceOfDragging { chance: 1.0 / 62.0, limit: 0.01 },
            calls_for: Verdict::LiesWithCare,
            at: Some(after(19.0)),
            remedies: vec![
                Remedy::VeerTo {
                    length: Length::metres(52.0),
                    more: Length::metres(10.0),
                    mark: Some(mark_at(5, 2.0)),
                },
                Remedy::SetAt(Force::newtons(4400.0)),
                Remedy::LeaveBefore(after(17.5)),
            ],
        },
        Finding {
            reason: Reason::LittleRoom {
                to: "Kittiwake".to_owned(),
                room: Length::metres(9.4),
                limit: Length::metres(12.8),
                assumed: vec!["his rode".to_owned(), "his length".to_owned()],
            },
            calls_for: Verdict::LiesWithCare,
            at: Some(after(22.0)),
            remedies: vec![Remedy::LieFarther { towards: Bearing::degrees(250.0), by: Length::metres(4.0) }],
        },
        Finding {
            reason: Reason::WindShift { turn: Angle::degrees(-128.0) },
            calls_for: Verdict::LiesWell,
            at: Some(after(20.5)),
            remedies: vec![],
        },
        Finding {
            reason: Reason::Assumed {
                what: "Windage".to_owned(),
                taken: "14 m² by kind and length".to_owned(),
            },
            calls_for: Verdict::LiesWell,
            at: None,
            remedies: vec![],
        },
    ]
}

fn ridden() -> Ridden {
    Ridden {
        at: after(6.0),
        by_balance: Force::newtons(5100.0),
        by_ride: Force::newtons(4900.0),
        of_an_hour: Force::newtons(5800.0),
        of_an_hour_p90: Force::newtons(6900.0),
        snatched: 0.0,
        over_balance: 0.961,
        hour_over_stretch: 1.11,
    }
}

fn parts() -> Vec<PartLine> {
    let part = |name: &str, kind, [load_n, may_n, gives_n]: [f64; 3]| PartLine {
        name: name.to_owned(),
        kind,
        load: Force::newtons(load_n),
        may_carry: Force::newtons(may_n),
        gives_at: Force::newtons(gives_n),
        at: after(19.0),
        origin: Origin::Given,
    };
    vec![
        part("the ground", PartKind::Ground, [6100.0, 7300.0, 11_200.0]),
        part("nylon snubber 16 mm", PartKind::Snubber, [6800.0, 9000.0, 41_000.0]),
        part("bow shackle 10 mm", PartKind::Connector, [6800.0, 9800.0, 58_800.0]),
        part("chain 10 mm grade 40", PartKind::Stretch, [6800.0, 15_700.0, 62_800.0]),
    ]
}

fn tide_m(hours: f64) -> f64 {
    1.9 + 1.3 * (core::f64::consts::TAU * (hours - 5.2) / 12.42).cos()
}

fn wind_kn(hours: f64) -> f64 {
    13.0 + 15.0 * (-((hours - 19.0) / 5.0).powi(2)).exp() + 1.2 * (hours * 0.9).sin()
}

/// North-westerly, then a change to the south.
fn wind_from_deg(hours: f64) -> f64 {
    315.0 - 128.0 / (1.0 + (-(hours - 20.5) * 1.6).exp()) + 4.0 * (hours * 0.7).sin()
}

fn instant(hours: f64) -> Instant {
    let tide = tide_m(hours);
    let (mean_kn, from) = (wind_kn(hours), Bearing::degrees(wind_from_deg(hours)));
    let gust_n = 3.6 * (mean_kn * 1.4).powi(2);
    let load = BowLoad {
        steady: Force::newtons(gust_n * 0.5),
        gust: Force::newtons(gust_n),
        peak: Force::newtons(gust_n * 1.2),
    };
    let dark = (2.4..11.7).contains(&hours) || (26.4..35.7).contains(&hours);
    Instant {
        at: after(hours),
        tide: Some(Length::metres(tide)),
        water: Some(Length::metres(5.4 + tide)),
        under_keel: Some(Length::metres(0.9 + tide)),
        riding: Some(Riding {
            wind: WindNow {
                mean: Speed::knots(mean_kn),
                gust: Speed::knots(mean_kn * 1.4),
                from: Some(from),
                gust_origin: Origin::Computed,
            },
            stream: StreamNow {
                speed: Speed::knots(0.4 + 0.2 * hours.sin()),
                towards: Some(Bearing::degrees(70.0)),
            },
            sea: SeaNow { height: Length::metres(0.3), period_s: 2.1 },
            load,
            load_p90: BowLoad { peak: load.peak * 1.3, gust: load.gust * 1.3, steady: load.steady * 1.3 },
            heading: Some(from),
            heading_spread: Angle::degrees(25.0),
            lies: Lies::WindRode,
            reach: Length::metres(46.0 - 0.6 * tide),
            uplift: Angle::degrees((mean_kn - 24.0).max(0.0) * 0.8),
            grounded: Length::metres((30.0 - mean_kn).max(0.0)),
            tension: load.peak,
            hazard: 1e-5 * (mean_kn / 20.0).powi(6),
        }),
        least_room: Some(LeastRoom {
            to: "Kittiwake".to_owned(),
            room: Length::metres(22.0 + 12.6 * -((hours - 22.0) * 0.2).cos()),
        }),
        dark,
    }
}

fn turns() -> Vec<TideTurn> {
    (0..8)
        .map(|turn| {
            let hours = 5.2 + 6.21 * f64::from(turn);
            TideTurn { at: after(hours), high: turn % 2 == 0, height: Length::metres(tide_m(hours)) }
        })
        .filter(|turn| turn.at <= after(48.0))
        .collect()
}

fn density() -> LieDensity {
    let mut sectors: Vec<SectorShare> = (0..72)
        .map(|sector| {
            let middle = Bearing::degrees(f64::from(sector) * 5.0 + 2.5);
            let lobe = |towards: f64, width: f64, weight: f64| {
                let off = middle.to(Bearing::degrees(towards)).as_degrees();
                weight * (-(off / width).powi(2)).exp()
            };
            let share = lobe(135.0, 18.0, 2.2) + lobe(7.0, 15.0, 3.0) + lobe(70.0, 26.0, 0.25);
            SectorShare {
                share: if share < 0.01 { 0.0 } else { share },
                reach_low: Length::metres(31.0),
                reach_high: Length::metres(45.5),
            }
        })
        .collect();
    let total: f64 = sectors.iter().map(|sector| sector.share).sum();
    for sector in &mut sectors {
        sector.share /= total;
    }
    LieDensity { sectors }
}

fn at(bearing_deg: f64, metres: f64) -> Offset {
    Offset::along(Bearing::degrees(bearing_deg), Length::metres(metres))
}

fn danger(name: &str, outline: Vec<Offset>, radius_m: f64, least_m: f64) -> Mark {
    Mark {
        name: name.to_owned(),
        outline,
        radius: Length::metres(radius_m),
        swings_about: None,
        length: None,
        reach: None,
        least: Some((Length::metres(least_m), after(30.0))),
        assumed: vec![],
    }
}

fn marks() -> Vec<Mark> {
    let anchor = at(80.0, 92.0);
    vec![
        danger("Mussel Rock", vec![at(200.0, 70.0)], 5.0, 38.0),
        danger(
            "Two-metre line",
            vec![at(300.0, 95.0), at(325.0, 78.0), at(352.0, 90.0), at(10.0, 100.0), at(25.0, 122.0)],
            0.0,
            22.3,
        ),
        danger(
            "Oyster laying",
            vec![at(160.0, 78.0), at(172.0, 82.0), at(170.0, 105.0), at(158.0, 101.0), at(160.0, 78.0)],
            0.0,
            14.2,
        ),
        danger("Ferry pier", vec![at(275.0, 310.0)], 10.0, 210.0),
        Mark {
            name: "Kittiwake".to_owned(),
            outline: vec![anchor],
            radius: Length::ZERO,
            swings_about: Some(anchor),
            length: Some(Length::metres(10.0)),
            reach: Some(Length::metres(24.0)),
            least: Some((Length::metres(9.4), after(22.0))),
            assumed: vec!["his rode".to_owned(), "his length".to_owned()],
        },
    ]
}

/// How the ground falls from the anchor towards the boat.
const SLOPE_DEG: f64 = -1.2;

/// A catenary of parameter `a` metres that leaves the sloping ground `x0` metres from the anchor, `lift_deg` above
/// level, and ends `z` metres higher than it left.
fn hanging(a: f64, x0: f64, lift_deg: f64, z: f64) -> Vec<CurvePoint> {
    let begin = lift_deg.to_radians().tan().asinh();
    let far = x0 + a * ((z / a + begin.cosh()).acosh() - begin);
    let ground = |x: f64| x * SLOPE_DEG.to_radians().tan();
    (0..=80)
        .map(|step| {
            let x = far * f64::from(step) / 80.0;
            let height = if x < x0 {
                ground(x)
            } else {
                ground(x0) + a * (((x - x0) / a + begin).cosh() - begin.cosh())
            };
            CurvePoint { x: Length::metres(x), z: Length::metres(height) }
        })
        .collect()
}

fn curves() -> Vec<RodeCurve> {
    let taut = hanging(110.0, 0.0, 3.2, 9.4);
    let slack = hanging(8.0, 27.0, SLOPE_DEG, 8.0);
    // A point a metre.
    let on = |points: &[CurvePoint], at: usize, looks: &str| MarkOnRode {
        along: Length::metres(at as f64),
        place: points[at],
        looks: looks.to_owned(),
    };
    vec![
        RodeCurve {
            caption: "worst gust",
            at: after(19.0),
            marks: vec![on(&taut, 19, "1st red"), on(&taut, 38, "2nd red"), on(&taut, 57, "3rd red")],
            snubber_from: Some(taut[68]),
            points: taut,
            water: Length::metres(8.0),
            uplift: Angle::degrees(3.2),
            load: Force::newtons(5532.0),
        },
        RodeCurve {
            caption: "light air at low water",
            at: after(11.4),
            marks: vec![],
            snubber_from: None,
            points: slack,
            water: Length::metres(6.0),
            uplift: Angle::ZERO,
            load: Force::newtons(240.0),
        },
    ]
}

fn bow_table() -> BowTable {
    let depths = [5.0, 6.0, 7.0, 8.0, 9.0, 10.0];
    let gusts = [20.0, 30.0, 40.0, 50.0];
    let rode_m = |depth: f64, gust: f64| {
        let metres = ((depth + 1.4) * (2.0 + gust / 12.0)).ceil();
        (metres < 66.0).then_some(metres)
    };
    // Red every ten metres.
    let mark = |metres: f64| {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few marks")]
        let nth = (metres / 10.0) as usize;
        MarkAt {
            count: nth,
            looks: (nth > 0).then(|| "red".to_owned()),
            nth_of_its_look: nth,
            beyond: Length::metres(metres % 10.0),
        }
    };
    let cells: Vec<Vec<Option<f64>>> =
        depths.iter().map(|depth| gusts.iter().map(|gust| rode_m(*depth, *gust)).collect()).collect();
    BowTable {
        depths: depths.map(Length::metres).to_vec(),
        gusts: gusts.map(Speed::knots).to_vec(),
        rode: cells.iter().map(|row| row.iter().map(|cell| cell.map(Length::metres)).collect()).collect(),
        marks: cells.iter().map(|row| row.iter().map(|cell| cell.map(mark)).collect()).collect(),
        uplift_allowed: Angle::degrees(2.0),
    }
}

fn provenance() -> Vec<Provenance> {
    let from = |what: &str, value: &str, origin, source: &str| Provenance {
        what: what.to_owned(),
        value: value.to_owned(),
        origin,
        source: source.to_owned(),
    };
    vec![
        from("Depth", "5.4 m below datum", Origin::Given, "chart, 1:15,000"),
        from("Wind", "mean and direction", Origin::Forecast, "forecast file, 6 h old at the beginning"),
        from("Gusts", "1.4 times the mean", Origin::Assumed, "by exposure, WMO/TD-1555"),
        from("Holding", "2.1 to 5.6 kN in ten cases of eight", Origin::Computed, "class, mass and bottom"),
        from("Set", "440 daN at the shank", Origin::Measured, "astern, 40 s"),
    ]
}

fn reminders() -> Vec<Reminder> {
    vec![
        Reminder {
            text: "Show an all-round white light where it can best be seen.".to_owned(),
            rule: Some("COLREGs, rule 30(b)".to_owned()),
            spans: vec![span(2.4, 11.7), span(26.4, 35.7)],
        },
        Reminder {
            text: "Show one ball forward by day.".to_owned(),
            rule: Some("COLREGs, rule 30(a)".to_owned()),
            spans: vec![],
        },
        Reminder {
            text: "Local rules and prohibited areas come before all of these.".to_owned(),
            rule: None,
            spans: vec![],
        },
        Reminder {
            text: "An aid only: it is no substitute for a proper look-out.".to_owned(),
            rule: None,
            spans: vec![],
        },
        Reminder {
            text: "Hands and feet clear of chain and windlass.".to_owned(),
            rule: None,
            spans: vec![],
        },
        Reminder {
            text: "People in the water: know where they are before the engine turns.".to_owned(),
            rule: None,
            spans: vec![],
        },
    ]
}
