//! What a watch was given, as text that a later program reads: units in the names, what is unknown left out.

use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use windrode_domain::boat::Antenna;
use windrode_domain::catenary::{Kellet, Line, Segment};
use windrode_domain::plan::limits::Limits;
use windrode_domain::plan::sheet::Verdict;
use windrode_domain::position::Position;
use windrode_domain::uncertain::Lognormal;
use windrode_domain::units::{Bearing, Force, Length, Speed, WeightPerLength};
use windrode_domain::watch::given::{Drop, Expected, ExpectedAt, Given, RodeOut, WatchLimits, WatchedBoat};

/// A text that is no such thing.
#[derive(Debug, thiserror::Error)]
pub(crate) enum Unreadable {
    /// It is no JSON of this shape.
    #[error(transparent)]
    Shape(#[from] serde_json::Error),
    /// A value of it cannot be.
    #[error("{0} cannot be")]
    Value(&'static str),
}

/// As text.
pub(super) fn written(given: &Given) -> String {
    // Numbers and names only: nothing in it can fail to be written.
    serde_json::to_string(&GivenText::from(given)).unwrap_or_default()
}

/// From text.
///
/// # Errors
/// [`Unreadable`].
pub(super) fn read(text: &str) -> Result<Given, Unreadable> {
    serde_json::from_str::<GivenText>(text)?.given()
}

#[derive(Serialize, Deserialize)]
struct GivenText {
    from_us: i64,
    boat: BoatText,
    drop: Option<DropText>,
    rode: Option<RodeText>,
    depth_m: Option<f64>,
    expected: Option<ExpectedText>,
    limits: LimitsText,
}

#[derive(Serialize, Deserialize)]
struct BoatText {
    length_m: Option<f64>,
    /// Aft of the roller, to starboard.
    antenna_m: Option<[f64; 2]>,
    /// Median, σ of the logarithm.
    drag_area_m2: Option<[f64; 2]>,
    roller_height_m: Option<f64>,
    draught_m: Option<f64>,
    multihull: Option<bool>,
}

/// A position with its spread.
#[derive(Clone, Copy, Serialize, Deserialize)]
pub(super) struct DropText {
    latitude_deg: f64,
    longitude_deg: f64,
    spread_m: f64,
}

#[derive(Serialize, Deserialize)]
struct RodeText {
    /// Length m, weight N/m, stiffness N; anchor first.
    segments: Vec<[f64; 3]>,
    /// From the anchor m, weight N.
    kellets: Vec<[f64; 2]>,
    spread: f64,
}

#[derive(Serialize, Deserialize)]
struct ExpectedText {
    /// At µs, tide m, water m, mean m/s, gust m/s, from °.
    steps: Vec<(i64, [Option<f64>; 5])>,
    proved_wind_ms: Option<f64>,
    proved_load_n: Option<f64>,
    verdict: Option<String>,
    limits: PlanLimitsText,
}

#[derive(Serialize, Deserialize)]
struct PlanLimitsText {
    chance_refuse: f64,
    chance_care: f64,
    under_keel_refuse_m: f64,
    under_keel_care_m: f64,
    room_refuse_m: f64,
    room_care_m: Option<f64>,
    part_care_share: f64,
}

#[derive(Serialize, Deserialize)]
struct LimitsText {
    under_keel_m: f64,
    battery_v: Option<f64>,
    silence_s: f64,
    neighbour_m: f64,
    wind_shift_deg: f64,
}

fn metres(length: Length) -> f64 {
    length.as_metres()
}

impl From<&Given> for GivenText {
    fn from(given: &Given) -> Self {
        Self {
            from_us: given.from.as_microsecond(),
            boat: BoatText::from(&given.boat),
            drop: given.drop.map(DropText::from),
            rode: given.rode.as_ref().map(RodeText::from),
            depth_m: given.depth.map(metres),
            expected: given.expected.as_ref().map(ExpectedText::from),
            limits: LimitsText {
                under_keel_m: metres(given.limits.under_keel),
                battery_v: given.limits.battery_v,
                silence_s: given.limits.silence_s,
                neighbour_m: metres(given.limits.neighbour),
                wind_shift_deg: given.limits.wind_shift_deg,
            },
        }
    }
}

impl GivenText {
    fn given(self) -> Result<Given, Unreadable> {
        Ok(Given {
            from: instant(self.from_us)?,
            boat: self.boat.boat()?,
            drop: self.drop.map(DropText::drop).transpose()?,
            rode: self.rode.map(RodeText::rode).transpose()?,
            depth: self.depth_m.map(Length::metres),
            expected: self.expected.map(ExpectedText::expected).transpose()?,
            limits: WatchLimits {
                under_keel: Length::metres(self.limits.under_keel_m),
                battery_v: self.limits.battery_v,
                silence_s: self.limits.silence_s,
                neighbour: Length::metres(self.limits.neighbour_m),
                wind_shift_deg: self.limits.wind_shift_deg,
            },
        })
    }
}

fn instant(micros: i64) -> Result<Timestamp, Unreadable> {
    Timestamp::from_microsecond(micros).map_err(|_| Unreadable::Value("a time"))
}

impl From<&WatchedBoat> for BoatText {
    fn from(boat: &WatchedBoat) -> Self {
        Self {
            length_m: boat.length.map(metres),
            antenna_m: boat.antenna.map(|it| [metres(it.aft_of_roller), metres(it.to_starboard)]),
            drag_area_m2: boat.drag_area_m2.map(|it| [it.median(), it.sigma_ln()]),
            roller_height_m: boat.roller_height.map(metres),
            draught_m: boat.draught.map(metres),
            multihull: boat.multihull,
        }
    }
}

impl BoatText {
    fn boat(self) -> Result<WatchedBoat, Unreadable> {
        let area =
            |[median, sigma]: [f64; 2]| Lognormal::new(median, sigma).ok_or(Unreadable::Value("a drag area"));
        Ok(WatchedBoat {
            length: self.length_m.map(Length::metres),
            antenna: self.antenna_m.map(|[aft, starboard]| Antenna {
                aft_of_roller: Length::metres(aft),
                to_starboard: Length::metres(starboard),
            }),
            drag_area_m2: self.drag_area_m2.map(area).transpose()?,
            roller_height: self.roller_height_m.map(Length::metres),
            draught: self.draught_m.map(Length::metres),
            multihull: self.multihull,
        })
    }
}

impl From<Drop> for DropText {
    fn from(drop: Drop) -> Self {
        Self {
            latitude_deg: drop.at.latitude_deg(),
            longitude_deg: drop.at.longitude_deg(),
            spread_m: metres(drop.spread),
        }
    }
}

impl DropText {
    pub(super) fn drop(self) -> Result<Drop, Unreadable> {
        let at = Position::new(self.latitude_deg, self.longitude_deg);
        Ok(Drop {
            at: at.map_err(|_| Unreadable::Value("a position"))?,
            spread: Length::metres(self.spread_m),
        })
    }
}

impl From<&RodeOut> for RodeText {
    fn from(rode: &RodeOut) -> Self {
        let segments = rode.line.segments().iter();
        Self {
            segments: segments
                .map(|it| [metres(it.length), it.weight.as_newtons_per_metre(), it.stiffness.as_newtons()])
                .collect(),
            kellets: rode
                .line
                .kellets()
                .iter()
                .map(|it| [metres(it.from_anchor), it.weight.as_newtons()])
                .collect(),
            spread: rode.spread,
        }
    }
}

impl RodeText {
    fn rode(self) -> Result<RodeOut, Unreadable> {
        let segments = self.segments.into_iter().map(|[length, weight, stiffness]| Segment {
            length: Length::metres(length),
            weight: WeightPerLength::newtons_per_metre(weight),
            stiffness: Force::newtons(stiffness),
        });
        let kellets = self.kellets.into_iter().map(|[from, weight]| Kellet {
            from_anchor: Length::metres(from),
            weight: Force::newtons(weight),
        });
        let line = Line::new(segments.collect(), kellets.collect());
        Ok(RodeOut { line: line.map_err(|_| Unreadable::Value("a rode"))?, spread: self.spread })
    }
}

impl From<&Expected> for ExpectedText {
    fn from(expected: &Expected) -> Self {
        let limits = expected.limits;
        let speed = |it: Speed| it.as_metres_per_second();
        let step = |it: &ExpectedAt| {
            let from = it.from.map(Bearing::as_degrees);
            let values =
                [it.tide.map(metres), it.water.map(metres), it.mean.map(speed), it.gust.map(speed), from];
            (it.at.as_microsecond(), values)
        };
        Self {
            steps: expected.steps.iter().map(step).collect(),
            proved_wind_ms: expected.proved_wind.map(speed),
            proved_load_n: expected.proved_load.map(Force::as_newtons),
            verdict: expected.verdict.map(|it| verdict_code(it).to_owned()),
            limits: PlanLimitsText {
                chance_refuse: limits.chance_refuse,
                chance_care: limits.chance_care,
                under_keel_refuse_m: metres(limits.under_keel_refuse),
                under_keel_care_m: metres(limits.under_keel_care),
                room_refuse_m: metres(limits.room_refuse),
                room_care_m: limits.room_care.map(metres),
                part_care_share: limits.part_care_share,
            },
        }
    }
}

impl ExpectedText {
    fn expected(self) -> Result<Expected, Unreadable> {
        let step = |(at, [tide, water, mean, gust, from]): (i64, [Option<f64>; 5])| {
            Ok(ExpectedAt {
                at: instant(at)?,
                tide: tide.map(Length::metres),
                water: water.map(Length::metres),
                mean: mean.map(Speed::metres_per_second),
                gust: gust.map(Speed::metres_per_second),
                from: from.map(Bearing::degrees),
            })
        };
        Ok(Expected {
            steps: self.steps.into_iter().map(step).collect::<Result<_, Unreadable>>()?,
            proved_wind: self.proved_wind_ms.map(Speed::metres_per_second),
            proved_load: self.proved_load_n.map(Force::newtons),
            verdict: self.verdict.as_deref().map(verdict).transpose()?,
            limits: Limits {
                chance_refuse: self.limits.chance_refuse,
                chance_care: self.limits.chance_care,
                under_keel_refuse: Length::metres(self.limits.under_keel_refuse_m),
                under_keel_care: Length::metres(self.limits.under_keel_care_m),
                room_refuse: Length::metres(self.limits.room_refuse_m),
                room_care: self.limits.room_care_m.map(Length::metres),
                part_care_share: self.limits.part_care_share,
            },
        })
    }
}

const fn verdict_code(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::LiesWell => "lies_well",
        Verdict::LiesWithCare => "lies_with_care",
        Verdict::CannotSay => "cannot_say",
        Verdict::DoNotLieHere => "do_not_lie_here",
    }
}

fn verdict(code: &str) -> Result<Verdict, Unreadable> {
    let all = [Verdict::LiesWell, Verdict::LiesWithCare, Verdict::CannotSay, Verdict::DoNotLieHere];
    all.into_iter().find(|it| verdict_code(*it) == code).ok_or(Unreadable::Value("a verdict"))
}
