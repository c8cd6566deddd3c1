//! The sheet as JSON, version 1: a public contract, described in `docs/json.md`.
//!
//! SI units stand in the field names, times are RFC 3339 UTC. What cannot be said is `null`, never zero. Numbers are
//! not rounded; text is in the crew's words and units.

use jiff::Timestamp;
use serde::Serialize;

use windrode_domain::environment::heading::Lies;
use windrode_domain::parts::PartKind;
use windrode_domain::plan::limits::Limits;
use windrode_domain::plan::ridden::{NotRidden, Ridden};
use windrode_domain::plan::sheet::{
    BowLoad, BowTable, Finding, Instant, LeastRoom, Mark, PartLine, Provenance, Reason, Remedy, Reminder,
    Riding, RuleBeside, Sheet, StayChance, TideTurn, Unknown, Veer, Verdict,
};
use windrode_domain::span::Span;
use windrode_domain::units::{Bearing, Force, Length, Speed};

use crate::changes::Change;
use crate::crew_units::CrewUnits;
use crate::files::choices::{self, word_of};
use crate::words::{self, Voice};

/// The whole sheet.
#[derive(Serialize)]
pub(crate) struct SheetView {
    version: u32,
    stay: String,
    boat: String,
    anchor: String,
    anchor_at: PositionView,
    from: String,
    to: String,
    verdict: &'static str,
    sentence: String,
    rode_m: Option<f64>,
    marks: Option<String>,
    veer: Option<VeerView>,
    chance_of_dragging: Option<ChanceView>,
    weakest: Option<PartView>,
    parts: Vec<PartView>,
    reasons: Vec<ReasonView>,
    limits: LimitsView,
    datum: String,
    tide_source: String,
    wind_source: String,
    wind_issued: Option<String>,
    wind_tried: Option<TriedWindView>,
    proved_gust_ms: Option<f64>,
    band_begins_gust_ms: Option<f64>,
    table_load_n: Option<f64>,
    peak: PeakView,
    instants: Vec<InstantView>,
    turns: Vec<TurnView>,
    sun: Vec<SunView>,
    dark: Vec<SpanView>,
    room: Vec<RoomView>,
    bow_table: BowTableView,
    units: UnitsView,
    rules: Vec<RuleView>,
    provenance: Vec<ProvenanceView>,
    reminders: Vec<ReminderView>,
}

#[derive(Serialize)]
struct PositionView {
    latitude_deg: f64,
    longitude_deg: f64,
}

/// The wind is tried, not forecast.
#[derive(Serialize)]
struct TriedWindView {
    turned_deg: f64,
    times: f64,
}

/// What the text is told in; figures are SI.
#[derive(Serialize)]
struct UnitsView {
    length: &'static str,
    speed: &'static str,
    force: &'static str,
}

impl UnitsView {
    fn of(units: CrewUnits) -> Self {
        Self {
            length: word_of(&choices::LENGTH_UNITS, units.length),
            speed: word_of(&choices::SPEED_UNITS, units.speed),
            force: word_of(&choices::FORCE_UNITS, units.force),
        }
    }
}

#[derive(Serialize)]
struct VeerView {
    length_m: f64,
    aboard_m: f64,
    origin: &'static str,
    greatest_height_m: f64,
    scope: f64,
    snubber_m: Option<f64>,
    slack_bight_m: Option<f64>,
}

#[derive(Serialize)]
struct ChanceView {
    median: f64,
    p10: f64,
    p90: f64,
    failing_to_set: Option<f64>,
    worst: String,
}

#[derive(Serialize)]
struct PartView {
    name: String,
    kind: &'static str,
    load_n: f64,
    may_carry_n: f64,
    gives_at_n: f64,
    margin: f64,
    time: String,
    origin: &'static str,
}

#[derive(Serialize)]
struct ReasonView {
    code: &'static str,
    calls_for: &'static str,
    text: String,
    time: Option<String>,
    value: Option<f64>,
    limit: Option<f64>,
    unit: Option<&'static str>,
    remedy: Option<String>,
    remedies: Vec<RemedyView>,
}

/// What would mend it, and how the stay would then be written; nothing where it is no matter of writing.
#[derive(Serialize)]
struct RemedyView {
    text: String,
    changes: Vec<Change>,
}

#[derive(Serialize)]
struct LimitsView {
    chance_refuse: f64,
    chance_care: f64,
    under_keel_refuse_m: f64,
    under_keel_care_m: f64,
    room_refuse_m: f64,
    room_care_m: f64,
    part_care_share: f64,
    percentile: u32,
}

#[derive(Serialize)]
struct LoadView {
    steady: f64,
    gust: f64,
    peak: f64,
}

/// What is `null` could not be said at that instant.
#[derive(Serialize)]
pub(crate) struct InstantView {
    time: String,
    tide_m: Option<f64>,
    water_m: Option<f64>,
    under_keel_m: Option<f64>,
    wind_mean_ms: Option<f64>,
    wind_gust_ms: Option<f64>,
    wind_from_deg: Option<f64>,
    stream_ms: Option<f64>,
    stream_towards_deg: Option<f64>,
    sea_height_m: Option<f64>,
    sea_period_s: Option<f64>,
    load_n: Option<LoadView>,
    load_p90_n: Option<LoadView>,
    heading_deg: Option<f64>,
    heading_spread_deg: Option<f64>,
    lies: Option<&'static str>,
    reach_m: Option<f64>,
    uplift_deg: Option<f64>,
    grounded_m: Option<f64>,
    tension_n: Option<f64>,
    hazard: Option<f64>,
    least_room_m: Option<f64>,
    least_room_to: Option<String>,
    dark: bool,
}

#[derive(Serialize)]
struct TurnView {
    time: String,
    kind: &'static str,
    height_m: f64,
}

#[derive(Serialize)]
struct SunView {
    time: String,
    kind: &'static str,
}

#[derive(Serialize)]
struct SpanView {
    from: String,
    to: String,
}

#[derive(Serialize)]
struct RoomView {
    to: String,
    least_m: Option<f64>,
    time: Option<String>,
    assumed: Vec<String>,
}

#[derive(Serialize)]
struct BowTableView {
    depths_m: Vec<f64>,
    gusts_ms: Vec<f64>,
    rode_m: Vec<Vec<Option<f64>>>,
    uplift_allowed_deg: f64,
}

#[derive(Serialize)]
struct RuleView {
    rule: String,
    by_rule_m: f64,
    parts: String,
}

#[derive(Serialize)]
struct ProvenanceView {
    what: String,
    value: String,
    origin: &'static str,
    source: String,
}

/// What stands behind the peaks.
#[derive(Serialize)]
struct PeakView {
    origin: &'static str,
    why: Option<&'static str>,
    time: Option<String>,
    by_balance_n: Option<f64>,
    by_ride_n: Option<f64>,
    of_an_hour_n: Option<f64>,
    of_an_hour_p90_n: Option<f64>,
    over_balance: f64,
    snatched: Option<f64>,
}

impl PeakView {
    fn of(ridden: Result<Ridden, NotRidden>) -> Self {
        match ridden {
            Ok(it) => Self {
                origin: "ride",
                why: None,
                time: Some(time(it.at)),
                by_balance_n: Some(it.by_balance.as_newtons()),
                by_ride_n: Some(it.by_ride.as_newtons()),
                of_an_hour_n: Some(it.of_an_hour.as_newtons()),
                of_an_hour_p90_n: Some(it.of_an_hour_p90.as_newtons()),
                over_balance: it.over_balance,
                snatched: Some(it.snatched),
            },
            Err(why) => Self {
                origin: "balance",
                why: Some(match why {
                    NotRidden::Unknown => "unknown",
                    NotRidden::NotWindRode => "not_wind_rode",
                    NotRidden::Refused => "refused",
                }),
                time: None,
                by_balance_n: None,
                by_ride_n: None,
                of_an_hour_n: None,
                of_an_hour_p90_n: None,
                over_balance: 1.0,
                snatched: None,
            },
        }
    }
}

#[derive(Serialize)]
struct ReminderView {
    text: String,
    rule: Option<String>,
    spans: Vec<SpanView>,
}

/// RFC 3339 in UTC, whole seconds.
pub(crate) fn time(at: Timestamp) -> String {
    at.strftime("%Y-%m-%dT%H:%M:%SZ").to_string()
}

/// The word of a verdict in the contract.
pub(crate) fn verdict_word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::LiesWell => "lies_well",
        Verdict::LiesWithCare => "lies_with_care",
        Verdict::CannotSay => "cannot_say",
        Verdict::DoNotLieHere => "do_not_lie_here",
    }
}

impl SheetView {
    /// The sheet as the contract shows it; `written` tells how the stay is written with a remedy.
    pub(crate) fn of(sheet: &Sheet, voice: &Voice, written: &dyn Fn(&Remedy) -> Vec<Change>) -> Self {
        let head = &sheet.head;
        Self {
            version: 1,
            stay: head.stay.clone(),
            boat: head.boat.clone(),
            anchor: head.anchor.clone(),
            anchor_at: PositionView {
                latitude_deg: head.anchor_at.latitude_deg(),
                longitude_deg: head.anchor_at.longitude_deg(),
            },
            from: time(head.span.from()),
            to: time(head.span.to()),
            verdict: verdict_word(sheet.verdict),
            sentence: words::call(sheet, voice),
            rode_m: sheet.veer.as_ref().map(|veer| veer.length.as_metres()),
            marks: sheet.veer.as_ref().and_then(|veer| Some(words::mark(veer.mark.as_ref()?, voice))),
            veer: sheet.veer.as_ref().map(VeerView::from),
            chance_of_dragging: sheet.chance.map(ChanceView::from),
            weakest: sheet.parts.first().map(PartView::from),
            parts: sheet.parts.iter().map(PartView::from).collect(),
            reasons: sheet.findings.iter().map(|finding| ReasonView::of(finding, voice, written)).collect(),
            limits: LimitsView::of(&sheet.limits, head.length_overall),
            datum: head.datum.clone(),
            tide_source: head.tide_source.clone(),
            wind_source: head.wind_source.clone(),
            wind_issued: head.wind_issued.map(time),
            wind_tried: head
                .wind_tried
                .map(|tried| TriedWindView { turned_deg: tried.turned.as_degrees(), times: tried.times }),
            proved_gust_ms: sheet.proved_gust.map(Speed::as_metres_per_second),
            band_begins_gust_ms: sheet.band_begins_gust.map(Speed::as_metres_per_second),
            table_load_n: sheet.table_load.map(Force::as_newtons),
            peak: PeakView::of(sheet.ridden),
            instants: sheet.instants.iter().map(InstantView::from).collect(),
            turns: sheet.turns.iter().map(TurnView::from).collect(),
            sun: sheet.sun.iter().map(|&(at, kind)| SunView { time: time(at), kind }).collect(),
            dark: sheet.dark.iter().map(SpanView::from).collect(),
            room: sheet.marks.iter().map(RoomView::from).collect(),
            bow_table: BowTableView::from(&sheet.bow_table),
            units: UnitsView::of(voice.units),
            rules: sheet.rules.iter().map(RuleView::from).collect(),
            provenance: sheet.provenance.iter().map(ProvenanceView::from).collect(),
            reminders: sheet.reminders.iter().map(ReminderView::from).collect(),
        }
    }
}

impl From<&Veer> for VeerView {
    fn from(veer: &Veer) -> Self {
        Self {
            length_m: veer.length.as_metres(),
            aboard_m: veer.aboard.as_metres(),
            origin: veer.origin.word(),
            greatest_height_m: veer.greatest_height.as_metres(),
            scope: veer.length / veer.greatest_height,
            snubber_m: veer.snubber.map(Length::as_metres),
            slack_bight_m: veer.slack_bight.map(Length::as_metres),
        }
    }
}

impl From<StayChance> for ChanceView {
    fn from(chance: StayChance) -> Self {
        Self {
            median: chance.band.median,
            p10: chance.band.p10,
            p90: chance.band.p90,
            failing_to_set: chance.failing_to_set,
            worst: time(chance.worst),
        }
    }
}

impl From<&PartLine> for PartView {
    fn from(part: &PartLine) -> Self {
        Self {
            name: part.name.clone(),
            kind: match part.kind {
                PartKind::Ground => "ground",
                PartKind::Connector => "connector",
                PartKind::Stretch => "rode",
                PartKind::Snubber => "snubber",
                PartKind::StrongPoint => "strong_point",
            },
            load_n: part.load.as_newtons(),
            may_carry_n: part.may_carry.as_newtons(),
            gives_at_n: part.gives_at.as_newtons(),
            margin: part.margin(),
            time: time(part.at),
            origin: part.origin.word(),
        }
    }
}

impl ReasonView {
    fn of(finding: &Finding, voice: &Voice, written: &dyn Fn(&Remedy) -> Vec<Change>) -> Self {
        let figure = Figure::of(&finding.reason);
        let remedies: Vec<String> =
            finding.remedies.iter().map(|remedy| words::remedy(remedy, voice)).collect();
        Self {
            code: figure.code,
            calls_for: verdict_word(finding.calls_for),
            text: words::reason(&finding.reason, voice),
            time: finding.at.map(time),
            value: figure.value,
            limit: figure.limit,
            unit: figure.unit,
            remedy: (!remedies.is_empty()).then(|| remedies.join(" ")),
            remedies: remedies
                .into_iter()
                .zip(&finding.remedies)
                .map(|(text, remedy)| RemedyView { text, changes: written(remedy) })
                .collect(),
        }
    }
}

/// The number of a reason, with its code and unit.
struct Figure {
    code: &'static str,
    value: Option<f64>,
    limit: Option<f64>,
    unit: Option<&'static str>,
}

impl Figure {
    const fn bare(code: &'static str) -> Self {
        Self { code, value: None, limit: None, unit: None }
    }
    const fn with(code: &'static str, value: f64, unit: &'static str) -> Self {
        Self { code, value: Some(value), limit: None, unit: Some(unit) }
    }
    const fn against(code: &'static str, value: f64, limit: f64, unit: &'static str) -> Self {
        Self { code, value: Some(value), limit: Some(limit), unit: Some(unit) }
    }

    fn of(reason: &Reason) -> Self {
        match reason {
            Reason::ChanceOfDragging { chance, limit } => {
                Self::against("chance_of_dragging", *chance, *limit, "1")
            }
            Reason::FailingToSet { chance } => Self::with("failing_to_set", *chance, "1"),
            Reason::LittleWater { under_keel, limit } => {
                Self::against("little_water", under_keel.as_metres(), limit.as_metres(), "m")
            }
            Reason::LittleRoom { room, limit, .. } => {
                Self::against("little_room", room.as_metres(), limit.as_metres(), "m")
            }
            Reason::PartLoaded { load, limit, .. } => {
                Self::against("part_loaded", load.as_newtons(), limit.as_newtons(), "N")
            }
            Reason::ForbiddenGround { .. } => Self::bare("forbidden_ground"),
            Reason::RodeShorterThanDepth { rode, height } => {
                Self::against("rode_shorter_than_depth", rode.as_metres(), height.as_metres(), "m")
            }
            Reason::Uplift { angle } => Self::with("uplift", angle.as_degrees(), "deg"),
            Reason::RodeAboardTooShort { aboard, .. } => {
                Self::with("rode_aboard_too_short", aboard.as_metres(), "m")
            }
            Reason::ProvedLess { proved, coming, .. } => {
                Self::against("proved_less", proved.as_newtons(), coming.as_newtons(), "N")
            }
            Reason::SetProvesNothing { .. } => Self::bare("set_proves_nothing"),
            Reason::AthwartOrSheering { hours } => Self::with("athwart", *hours, "h"),
            Reason::WindShift { turn } => Self::with("wind_shift", turn.as_degrees(), "deg"),
            Reason::WindlassCarries => Self::bare("windlass_carries"),
            Reason::NoSnubber => Self::bare("no_snubber"),
            Reason::Snatched { share } => Self::with("snatched", *share, "1"),
            Reason::Unknown(unknown) => Self::bare(unknown_code(unknown)),
            Reason::Assumed { .. } => Self::bare("assumed"),
        }
    }
}

fn unknown_code(unknown: &Unknown) -> &'static str {
    match unknown {
        Unknown::Wind { .. } => "forecast_ends",
        Unknown::WindGap { .. } => "forecast_gap",
        Unknown::WindBefore { .. } => "forecast_begins_late",
        Unknown::Tide { .. } => "tide_unknown",
        Unknown::Stream { .. } => "stream_unknown",
        Unknown::Sea { .. } => "sea_unknown",
        Unknown::Bottom => "bottom_unknown",
        Unknown::Depth => "depth_unknown",
        Unknown::Neighbour { .. } => "neighbour_unknown",
        Unknown::Arrangement { .. } => "arrangement_not_judged",
        Unknown::OutOfModel { .. } => "out_of_model",
    }
}

impl LimitsView {
    fn of(limits: &Limits, length_overall: Length) -> Self {
        Self {
            chance_refuse: limits.chance_refuse,
            chance_care: limits.chance_care,
            under_keel_refuse_m: limits.under_keel_refuse.as_metres(),
            under_keel_care_m: limits.under_keel_care.as_metres(),
            room_refuse_m: limits.room_refuse.as_metres(),
            room_care_m: limits.room_care_for(length_overall).as_metres(),
            part_care_share: limits.part_care_share,
            percentile: 90,
        }
    }
}

impl From<BowLoad> for LoadView {
    fn from(load: BowLoad) -> Self {
        Self { steady: load.steady.as_newtons(), gust: load.gust.as_newtons(), peak: load.peak.as_newtons() }
    }
}

impl From<&Instant> for InstantView {
    fn from(instant: &Instant) -> Self {
        let riding = instant.riding.as_ref();
        let of = |get: fn(&Riding) -> f64| riding.map(get);
        let bearing = |get: fn(&Riding) -> Option<Bearing>| riding.and_then(get).map(Bearing::as_degrees);
        Self {
            time: time(instant.at),
            tide_m: instant.tide.map(Length::as_metres),
            water_m: instant.water.map(Length::as_metres),
            under_keel_m: instant.under_keel.map(Length::as_metres),
            wind_mean_ms: of(|riding| riding.wind.mean.as_metres_per_second()),
            wind_gust_ms: of(|riding| riding.wind.gust.as_metres_per_second()),
            wind_from_deg: bearing(|riding| riding.wind.from),
            stream_ms: of(|riding| riding.stream.speed.as_metres_per_second()),
            stream_towards_deg: bearing(|riding| riding.stream.towards),
            sea_height_m: of(|riding| riding.sea.height.as_metres()),
            sea_period_s: of(|riding| riding.sea.period_s),
            load_n: riding.map(|riding| riding.load.into()),
            load_p90_n: riding.map(|riding| riding.load_p90.into()),
            heading_deg: bearing(|riding| riding.heading),
            heading_spread_deg: of(|riding| riding.heading_spread.as_degrees()),
            lies: riding.map(|riding| lies_word(riding.lies)),
            reach_m: of(|riding| riding.reach.as_metres()),
            uplift_deg: of(|riding| riding.uplift.as_degrees()),
            grounded_m: of(|riding| riding.grounded.as_metres()),
            tension_n: of(|riding| riding.tension.as_newtons()),
            hazard: of(|riding| riding.hazard),
            least_room_m: instant.least_room.as_ref().map(|LeastRoom { room, .. }| room.as_metres()),
            least_room_to: instant.least_room.as_ref().map(|LeastRoom { to, .. }| to.clone()),
            dark: instant.dark,
        }
    }
}

/// What turns her, in the contract's words.
fn lies_word(lies: Lies) -> &'static str {
    match lies {
        Lies::WindRode => "wind_rode",
        Lies::TideRode => "tide_rode",
        Lies::Athwart => "athwart",
        Lies::LightAir => "light_air",
    }
}

impl From<&TideTurn> for TurnView {
    fn from(turn: &TideTurn) -> Self {
        Self {
            time: time(turn.at),
            kind: if turn.high { "high" } else { "low" },
            height_m: turn.height.as_metres(),
        }
    }
}

impl From<&Span> for SpanView {
    fn from(span: &Span) -> Self {
        Self { from: time(span.from()), to: time(span.to()) }
    }
}

impl From<&Mark> for RoomView {
    fn from(mark: &Mark) -> Self {
        Self {
            to: mark.name.clone(),
            least_m: mark.least.map(|(room, _)| room.as_metres()),
            time: mark.least.map(|(_, at)| time(at)),
            assumed: mark.assumed.clone(),
        }
    }
}

impl From<&BowTable> for BowTableView {
    fn from(table: &BowTable) -> Self {
        let row =
            |cells: &Vec<Option<Length>>| cells.iter().map(|cell| cell.map(Length::as_metres)).collect();
        Self {
            depths_m: table.depths.iter().map(|depth| depth.as_metres()).collect(),
            gusts_ms: table.gusts.iter().map(|gust| gust.as_metres_per_second()).collect(),
            rode_m: table.rode.iter().map(row).collect(),
            uplift_allowed_deg: table.uplift_allowed.as_degrees(),
        }
    }
}

impl From<&RuleBeside> for RuleView {
    fn from(rule: &RuleBeside) -> Self {
        Self { rule: rule.rule.clone(), by_rule_m: rule.by_rule.as_metres(), parts: rule.parts.clone() }
    }
}

impl From<&Provenance> for ProvenanceView {
    fn from(provenance: &Provenance) -> Self {
        Self {
            what: provenance.what.clone(),
            value: provenance.value.clone(),
            origin: provenance.origin.word(),
            source: provenance.source.clone(),
        }
    }
}

impl From<&Reminder> for ReminderView {
    fn from(reminder: &Reminder) -> Self {
        Self {
            text: reminder.text.clone(),
            rule: reminder.rule.clone(),
            spans: reminder.spans.iter().map(SpanView::from).collect(),
        }
    }
}
