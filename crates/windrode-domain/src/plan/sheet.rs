//! The sheet: all that the plan says of one stay.
//!
//! Nothing here is rounded or put into words: people's text, the page and the JSON are views of it.

use jiff::Timestamp;

use super::limits::Limits;
use super::ridden::{NotRidden, Ridden};
use crate::environment::forecast::TriedWind;
use crate::environment::heading::Lies;
use crate::parts::PartKind;
use crate::position::{Offset, Position};
use crate::span::Span;
use crate::uncertain::{Band, Origin};
use crate::units::{Angle, Bearing, Force, Length, Speed};

/// How she lies, in one of four words.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Verdict {
    /// Within every limit.
    LiesWell,
    /// Within the limits of refusal, not of ease.
    LiesWithCare,
    /// Something needed is unknown; ignorance is never safe.
    CannotSay,
    /// Past a limit.
    DoNotLieHere,
}

/// What stands at the head of the sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Head {
    /// The stay's name.
    pub stay: String,
    /// The boat's name.
    pub boat: String,
    /// Where the anchor is to lie.
    pub anchor_at: Position,
    /// From when to when.
    pub span: Span,
    /// "20 kg scoop".
    pub anchor: String,
    /// Length over all.
    pub length_overall: Length,
    /// Draught.
    pub draught: Length,
    /// Bow roller above the water.
    pub roller_height: Length,
    /// Where the tide comes from, with its datum and licence or attribution.
    pub tide_source: String,
    /// What the heights of the tide are reckoned from.
    pub datum: String,
    /// Where the wind comes from.
    pub wind_source: String,
    /// When the forecast was made, if it says so.
    pub wind_issued: Option<Timestamp>,
    /// The wind is not the forecast's but one that is tried; the source says so too.
    pub wind_tried: Option<TriedWind>,
}

/// The rode to veer.
#[derive(Clone, Debug, PartialEq)]
pub struct Veer {
    /// How much, from the anchor to the bow roller.
    pub length: Length,
    /// How much there is aboard.
    pub aboard: Length,
    /// Whether the crew said so or it was solved for.
    pub origin: Origin,
    /// Height from the ground to the roller at the highest water of the stay, residual included.
    pub greatest_height: Length,
    /// The marks of the rode, if it has any.
    pub mark: Option<MarkAt>,
    /// Length of the snubber or of one bridle leg.
    pub snubber: Option<Length>,
    /// Chain to leave hanging slack below the snubber's hook, so that its full stretch stays clear of the chain.
    pub slack_bight: Option<Length>,
}

/// A length of rode told in the crew's marks.
#[derive(Clone, Debug, PartialEq)]
pub struct MarkAt {
    /// Which mark from the anchor, counted over all, from 1; 0 when none is out yet.
    pub count: usize,
    /// How it looks.
    pub looks: Option<String>,
    /// Which of the marks that look the same, from 1.
    pub nth_of_its_look: usize,
    /// Metres beyond that mark.
    pub beyond: Length,
}

/// Loads at the bow at one instant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BowLoad {
    /// Mean wind and stream.
    pub steady: Force,
    /// Three-second gust, sheering, and stream.
    pub gust: Force,
    /// The greatest instant of ten minutes, on the rode's own spring.
    pub peak: Force,
}

/// Wind at one instant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WindNow {
    /// Ten-minute mean at 10 m.
    pub mean: Speed,
    /// Three-second gust at 10 m.
    pub gust: Speed,
    /// Where it blows from; `None` in a calm.
    pub from: Option<Bearing>,
    /// Forecast, or reckoned from the mean by exposure.
    pub gust_origin: Origin,
}

/// Stream at one instant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StreamNow {
    /// Speed.
    pub speed: Speed,
    /// Where it sets to; `None` at slack.
    pub towards: Option<Bearing>,
}

/// Sea at one instant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SeaNow {
    /// Significant height.
    pub height: Length,
    /// Peak period, seconds.
    pub period_s: f64,
}

/// What is known of load and lie at an instant when wind, stream and sea are known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Riding {
    /// The wind.
    pub wind: WindNow,
    /// The stream.
    pub stream: StreamNow,
    /// The sea.
    pub sea: SeaNow,
    /// Load at the bow, at the median of what is uncertain.
    pub load: BowLoad,
    /// The same at the 90th percentile.
    pub load_p90: BowLoad,
    /// Where the bow points; `None` when nothing settles it.
    pub heading: Option<Bearing>,
    /// Half-width of the headings to be reckoned with.
    pub heading_spread: Angle,
    /// What turns her.
    pub lies: Lies,
    /// Horizontal distance from anchor to bow roller under the gust.
    pub reach: Length,
    /// Pull at the shank above the ground under the gust.
    pub uplift: Angle,
    /// Rode on the ground under the gust.
    pub grounded: Length,
    /// Tension at the bow roller or snubber under the peak.
    pub tension: Force,
    /// Chance that the anchor drags in this instant, she not having dragged before.
    pub hazard: f64,
}

/// Least room at one instant.
#[derive(Clone, Debug, PartialEq)]
pub struct LeastRoom {
    /// To what.
    pub to: String,
    /// How much; negative when they overlap.
    pub room: Length,
}

/// One instant of the stay.
#[derive(Clone, Debug, PartialEq)]
pub struct Instant {
    /// When.
    pub at: Timestamp,
    /// Height of the tide above datum, predicted; `None` when it cannot be said.
    pub tide: Option<Length>,
    /// Depth of water at the anchor, predicted; `None` when it cannot be said.
    pub water: Option<Length>,
    /// Least water under the keel over all she can reach, on the unfavourable side.
    pub under_keel: Option<Length>,
    /// Loads, heading, rode; `None` when the wind or water cannot be said.
    pub riding: Option<Riding>,
    /// Least room to anything named.
    pub least_room: Option<LeastRoom>,
    /// Between sunset and sunrise.
    pub dark: bool,
}

/// Chance of dragging in the stay.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StayChance {
    /// Band over what the tables themselves may be wrong by.
    pub band: Band,
    /// Chance that the anchor does not set at all, apart from the above; `None` once it has been set.
    pub failing_to_set: Option<f64>,
    /// When it is most likely.
    pub worst: Timestamp,
}

/// One part in the line of load, at the worst instant of the stay.
#[derive(Clone, Debug, PartialEq)]
pub struct PartLine {
    /// What the crew call it.
    pub name: String,
    /// Kind.
    pub kind: PartKind,
    /// Peak load on it at the 90th percentile (for the ground: the gust at the shank).
    pub load: Force,
    /// What it may carry: working load; for the ground, the holding that nine in ten exceed.
    pub may_carry: Force,
    /// Where it gives: breaking load less wet, knots and splices; for the ground, the holding that nine in ten
    /// exceed, less uplift.
    pub gives_at: Force,
    /// When the load comes.
    pub at: Timestamp,
    /// Where the figures come from.
    pub origin: Origin,
}

impl PartLine {
    /// How many times the load would have to grow for the part to give.
    pub fn margin(&self) -> f64 {
        self.gives_at / self.load
    }
}

/// One reason, with its number, its time and what would mend it. Most urgent first on the sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// What it is about.
    pub reason: Reason,
    /// The word that it alone would call for; [`Verdict::LiesWell`] for what is only worth knowing.
    pub calls_for: Verdict,
    /// When it comes first.
    pub at: Option<Timestamp>,
    /// What would mend it, best first; solved for, not templates.
    pub remedies: Vec<Remedy>,
}

/// What a finding is about.
#[derive(Clone, Debug, PartialEq)]
pub enum Reason {
    /// The anchor may drag.
    ChanceOfDragging {
        /// Chance in the stay, 90th percentile.
        chance: f64,
        /// The limit it is held against.
        limit: f64,
    },
    /// The anchor may not set.
    FailingToSet {
        /// Chance of it.
        chance: f64,
    },
    /// The keel comes near the ground.
    LittleWater {
        /// Least water under the keel.
        under_keel: Length,
        /// The limit it is held against.
        limit: Length,
    },
    /// She comes near something.
    LittleRoom {
        /// What.
        to: String,
        /// How near.
        room: Length,
        /// The limit it is held against.
        limit: Length,
        /// What was guessed of it.
        assumed: Vec<String>,
    },
    /// A part carries more than it should.
    PartLoaded {
        /// Which.
        part: String,
        /// Peak load on it.
        load: Force,
        /// The limit it is held against.
        limit: Force,
        /// Load at which it gives.
        gives_at: Force,
    },
    /// The ground is forbidden, or charted as foul.
    ForbiddenGround {
        /// In the crew's or the chart's own words.
        what: String,
    },
    /// The rode does not reach the bow.
    RodeShorterThanDepth {
        /// Rode to veer.
        rode: Length,
        /// Ground to roller at the highest water.
        height: Length,
    },
    /// The rode pulls the shank up from the ground.
    Uplift {
        /// Angle above the ground under the worst gust.
        angle: Angle,
    },
    /// No length aboard would do.
    RodeAboardTooShort {
        /// What is aboard.
        aboard: Length,
        /// What would be needed.
        needed: Option<Length>,
    },
    /// The set proves less than the stay brings.
    ProvedLess {
        /// Load proved at the shank.
        proved: Force,
        /// Load of the worst gust at the shank.
        coming: Force,
        /// Wind that the proof is worth, gusting.
        worth: Speed,
    },
    /// A set was made, and proves nothing.
    SetProvesNothing {
        /// Why, in words.
        why: String,
    },
    /// Wind and stream oppose each other and she may lie any way.
    AthwartOrSheering {
        /// For how long in all, hours.
        hours: f64,
    },
    /// The wind shifts through so much.
    WindShift {
        /// Turn, clockwise positive.
        turn: Angle,
    },
    /// The load would come on the windlass.
    WindlassCarries,
    /// There is no snubber on an all-chain rode.
    NoSnubber,
    /// The sea would snatch at her on a rode without give: its peaks cannot be told.
    Snatched {
        /// Share of the tens of minutes whose greatest load is a snatch.
        share: f64,
    },
    /// Something needed is unknown.
    Unknown(Unknown),
    /// Something was taken for want of better.
    Assumed {
        /// What, in the glossary's words.
        what: String,
        /// The figure taken, in words.
        taken: String,
    },
}

/// What is not known, and keeps the sheet from saying more.
#[derive(Clone, Debug, PartialEq)]
pub enum Unknown {
    /// The forecast does not cover the stay.
    Wind {
        /// From when nothing is said.
        after: Timestamp,
    },
    /// The forecast leaves a gap too long to bridge.
    WindGap {
        /// The step before it.
        from: Timestamp,
        /// The step after it.
        to: Timestamp,
    },
    /// The wind before the forecast begins.
    WindBefore {
        /// Until when nothing is said.
        before: Timestamp,
    },
    /// The tide cannot be said.
    Tide {
        /// Why, in words.
        why: String,
    },
    /// The stream cannot be said.
    Stream {
        /// Why, in words.
        why: String,
    },
    /// The sea cannot be said.
    Sea {
        /// Why, in words.
        why: String,
    },
    /// The nature of the bottom is not given.
    Bottom,
    /// The depth is not given.
    Depth,
    /// A neighbour's place is too uncertain for room to be said.
    Neighbour {
        /// Which.
        name: String,
        /// Why, in words.
        why: String,
    },
    /// More than one anchor, or lines ashore, in a way that is not judged.
    Arrangement {
        /// Which arrangement.
        what: String,
        /// Why it is not judged.
        why: String,
    },
    /// A model is asked beyond what it was made for.
    OutOfModel {
        /// Which, and why.
        why: String,
    },
}

/// What would mend a finding, solved for.
#[derive(Clone, Debug, PartialEq)]
pub enum Remedy {
    /// Veer to so much in all.
    VeerTo {
        /// In all.
        length: Length,
        /// More than on the sheet.
        more: Length,
        /// The same in the crew's marks.
        mark: Option<MarkAt>,
    },
    /// Shorten to so much in all.
    ShortenTo {
        /// In all.
        length: Length,
        /// The same in the crew's marks.
        mark: Option<MarkAt>,
    },
    /// Leave before.
    LeaveBefore(Timestamp),
    /// Come no earlier than.
    ComeAfter(Timestamp),
    /// She stands this gust; leave when more is forecast.
    StandsGust(Speed),
    /// Lie so much farther in a direction.
    LieFarther {
        /// Which way.
        towards: Bearing,
        /// How far.
        by: Length,
    },
    /// Lie in so much more charted depth.
    DeeperBy(Length),
    /// Prove so much at the shank before trusting her.
    SetAt(Force),
    /// Rig a snubber of so many metres.
    Snubber(Length),
    /// Take a part of at least so much working load.
    StrongerPart(Force),
    /// Find out.
    FindOut(String),
    /// Nothing on board mends it: another berth.
    AnotherBerth,
}

/// A turn of the tide.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TideTurn {
    /// When.
    pub at: Timestamp,
    /// High water, else low.
    pub high: bool,
    /// Height above datum, predicted.
    pub height: Length,
}

/// Something near which she must not come, for the drawing from above; metres from the anchor.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// Its name.
    pub name: String,
    /// Its outline: one point, a line, or a closed ring (first point repeated).
    pub outline: Vec<Offset>,
    /// Radius about the point or line.
    pub radius: Length,
    /// A neighbour's anchor or mooring, when it is a neighbour.
    pub swings_about: Option<Offset>,
    /// A neighbour's length.
    pub length: Option<Length>,
    /// A neighbour's reach from his anchor to his bow.
    pub reach: Option<Length>,
    /// Least room to it over the stay, and when.
    pub least: Option<(Length, Timestamp)>,
    /// What was guessed of it.
    pub assumed: Vec<String>,
}

/// The rode as it hangs at one instant, for the drawing from the side; metres from the anchor along and up.
#[derive(Clone, Debug, PartialEq)]
pub struct RodeCurve {
    /// What instant it is: "worst gust", "light air at low water".
    pub caption: &'static str,
    /// When.
    pub at: Timestamp,
    /// Points from the anchor to the boat.
    pub points: Vec<CurvePoint>,
    /// Where the crew's marks come, with how they look.
    pub marks: Vec<MarkOnRode>,
    /// Where rode ends and snubber begins.
    pub snubber_from: Option<CurvePoint>,
    /// Depth of water at the anchor.
    pub water: Length,
    /// Pull at the shank above the ground.
    pub uplift: Angle,
    /// Load at the bow.
    pub load: Force,
}

/// One of the crew's marks on the rode as it hangs.
#[derive(Clone, Debug, PartialEq)]
pub struct MarkOnRode {
    /// Rode from the anchor to it.
    pub along: Length,
    /// Where it comes.
    pub place: CurvePoint,
    /// How it looks.
    pub looks: String,
}

/// A point on the rode.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurvePoint {
    /// Horizontal distance from the anchor.
    pub x: Length,
    /// Height above the anchor.
    pub z: Length,
}

/// Marks by depth and wind, for the bow.
#[derive(Clone, Debug, PartialEq)]
pub struct BowTable {
    /// Depth of water now, rows.
    pub depths: Vec<Length>,
    /// Gusts of wind, columns.
    pub gusts: Vec<Speed>,
    /// Rode for each, by row; `None` where no length aboard does.
    pub rode: Vec<Vec<Option<Length>>>,
    /// The same in the crew's marks, by row; `None` where there is no length or the rode has no marks.
    pub marks: Vec<Vec<Option<MarkAt>>>,
    /// Uplift at the shank that the table allows.
    pub uplift_allowed: Angle,
}

/// A rule of the trade beside the physics.
#[derive(Clone, Debug, PartialEq)]
pub struct RuleBeside {
    /// The rule, in words.
    pub rule: String,
    /// Rode by the rule.
    pub by_rule: Length,
    /// Where and why the physics parts from it.
    pub parts: String,
}

/// Where a figure on the sheet comes from.
#[derive(Clone, Debug, PartialEq)]
pub struct Provenance {
    /// What figure.
    pub what: String,
    /// Its value in words.
    pub value: String,
    /// Measured, given, forecast, computed, assumed.
    pub origin: Origin,
    /// Source and confidence.
    pub source: String,
}

/// Something of the collision regulations, or a caution.
#[derive(Clone, Debug, PartialEq)]
pub struct Reminder {
    /// What to do.
    pub text: String,
    /// The rule, if it is one.
    pub rule: Option<String>,
    /// When; empty for always.
    pub spans: Vec<Span>,
}

/// Where she can lie, for the drawing from above: sectors of density about the anchor.
#[derive(Clone, Debug, PartialEq)]
pub struct LieDensity {
    /// Number of equal sectors, clockwise from north.
    pub sectors: Vec<SectorShare>,
}

/// One sector of where she can lie.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SectorShare {
    /// Share of the stay that her bow bears so from the anchor.
    pub share: f64,
    /// Least reach of the bow while it does.
    pub reach_low: Length,
    /// Greatest reach of the bow while it does.
    pub reach_high: Length,
}

/// The sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// Head.
    pub head: Head,
    /// The word.
    pub verdict: Verdict,
    /// The reasons, most urgent first.
    pub findings: Vec<Finding>,
    /// Rode to veer.
    pub veer: Option<Veer>,
    /// Chance of dragging; `None` when it cannot be said.
    pub chance: Option<StayChance>,
    /// What the ride through the worst instant makes of the peaks; why the balance alone stands, if it does.
    pub ridden: Result<Ridden, NotRidden>,
    /// Parts in order of margin, weakest first.
    pub parts: Vec<PartLine>,
    /// The limits in force.
    pub limits: Limits,
    /// The instants.
    pub instants: Vec<Instant>,
    /// Highs and lows in the stay.
    pub turns: Vec<TideTurn>,
    /// Sunset to sunrise.
    pub dark: Vec<Span>,
    /// Sunrise, sunset, twilight in the stay, with their names.
    pub sun: Vec<(Timestamp, &'static str)>,
    /// Gust that the set has proved, if it has been set.
    pub proved_gust: Option<Speed>,
    /// Gust at which the holding band begins: its 10th percentile.
    pub band_begins_gust: Option<Speed>,
    /// Second opinion on the load from the published design table, at the worst gust.
    pub table_load: Option<Force>,
    /// Where she can lie.
    pub density: LieDensity,
    /// Dangers and neighbours.
    pub marks: Vec<Mark>,
    /// The rode from the side at the instants worth seeing.
    pub curves: Vec<RodeCurve>,
    /// Slope of the ground from the anchor towards the bow at the worst instant.
    pub ground_slope: Angle,
    /// Table for the bow.
    pub bow_table: BowTable,
    /// Rules of the trade beside the physics.
    pub rules: Vec<RuleBeside>,
    /// Where the figures come from.
    pub provenance: Vec<Provenance>,
    /// Collision regulations and cautions.
    pub reminders: Vec<Reminder>,
}
