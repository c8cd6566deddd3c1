//! The estimator, the drag test and the plain circle, fed sample by sample.
//!
//! What is known of the gear gives the reach; the wind gives the load; Doppler shows what the error of the fix does;
//! the bank of hypotheses ([`super::drag`]) judges the bow's distance. Where nothing tells in which direction the
//! anchor lies (no drop recorded, no wind, no heading) twelve guesses stand round the ring about the boat, each with a
//! bank of its own, weighed by how well it foretells what comes (a sum of Gaussians), until one is left.
//!
//! What is missing widens: no rode, no depth, no wind, no heading each have their own spread in the radius or the
//! noise. What contradicts itself is left out: a wind that stands to the last bit, a way over the ground that says
//! nothing while the place moves, a heading that points away from a strong wind.

mod memory;

pub use self::memory::{MemoryError, Remembered};

use jiff::{SignedDuration, Timestamp};

use super::circle::Circle;
use super::drag::{Bank, Look, Tuning, WAYS};
use super::estimate::{Filter, FixError, Loads, Noise, Step};
use super::found::{Found, Gone};
use super::given::Given;
use super::reach::{COMMON_ROLLER_M, Reach};
use super::sample::{LeftOut, Sample, Unsound};
use crate::boat::HullKind;
use crate::catenary::{Line, Segment};
use crate::environment::windage;
use crate::position::{Offset, Position};
use crate::uncertain::Lognormal;
use crate::units::Length;

/// Length of a boat of which nothing is known, m.
const COMMON_BOAT_M: f64 = 12.0;
/// Antenna aft of the roller where it is not told, over the boat's length, and its spread, m: anywhere from the mast
/// to the pushpit.
const COMMON_ANTENNA: f64 = 0.6;
/// Guesses round the ring: half their spacing at the ring, 0.26 of the reach, is one deviation of each.
const GUESSES: u32 = 12;
/// A guess this much less likely than the best is dropped: one in three thousand, `e^-8`, of looks that knew nothing of
/// each other. Those of five seconds share errors that last for minutes: five of them are worth one.
const DROPPED_LN: f64 = -40.0;
/// What a rode usually gains by twice the load, m: 0.5 to 0.9 m of 10 mm chain in 6 m of water.
const USUAL_DOUBLING_M: f64 = 0.9;
/// The load of the moment is off by a quarter, as a gust comes to the vane and not yet to the rode: so many doublings.
/// At 0.2 of them 40 m of water ring six times as often, at 0.5 a metre a minute is found twice as late.
const GUST_SHARE: f64 = 0.3;
/// Before this many seconds the estimate is not settled, and twice the evidence is asked.
const SETTLING_S: f64 = 900.0;
/// After the rode was changed the same for so long, s: she falls back on it, and brings up on a new length of snubber.
const FALLS_BACK_S: f64 = 300.0;

/// The estimator and the drag test.
#[derive(Clone, Debug, PartialEq)]
pub struct Detector {
    gear: Gear,
    tuning: Tuning,
    origin: Position,
    reach: Reach,
    loads: Loads,
    fix_error: FixError,
    banks: Vec<Bank>,
    circle: Circle,
    /// Filtered depth, m; nothing where it is not known.
    depth_m: Option<f64>,
    /// Since the first sample, s.
    watched_s: f64,
    /// Since the estimate began, s.
    settling_s: f64,
    /// Place of the last sample taken, and what Doppler has added up since.
    last: [f64; 2],
    /// Cosine of the angle between the heading and the way to the anchor, smoothed.
    head_to_anchor: f64,
    heading_wrong: bool,
    /// The way of dragging that was called.
    called: Option<usize>,
    /// Seconds and metres of samples left out since the last that was taken.
    left_out: ([f64; 2], f64),
    /// What the circle is about.
    middle: Middle,
    /// The last sample taken was of the bow.
    was_at_bow: bool,
    /// The load was known at the last sample taken.
    was_loaded: bool,
    /// Rode out, m, and the height for which the reach is tabled, m: what the table is made from.
    line_m: f64,
    reach_height_m: f64,
    /// Reach at the last sample taken, m.
    last_reach_m: f64,
}

/// What the plain circle is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Middle {
    /// The place of the drop, as given.
    Drop,
    /// Where the anchor is thought to lie.
    Thought,
    /// Where she lay herself: nothing told where the anchor was.
    Herself,
}

/// What does not change unless told.
#[derive(Clone, Debug, PartialEq)]
struct Gear {
    line: Option<Line>,
    line_spread: f64,
    roller_m: f64,
    antenna_aft_m: f64,
    /// One standard deviation of the radius error at the start, m.
    radius_spread_m: f64,
}

impl Gear {
    fn of(given: &Given) -> Self {
        let boat_m = given.boat.length.map_or(COMMON_BOAT_M, Length::as_metres);
        let antenna_m = given.boat.antenna.map(|a| a.aft_of_roller.as_metres());
        let mut gear = Self {
            line: given.rode.as_ref().map(|rode| rode.line.clone()),
            line_spread: given.rode.as_ref().map_or(0.0, |rode| rode.spread),
            roller_m: given.boat.roller_height.map_or(COMMON_ROLLER_M, Length::as_metres),
            antenna_aft_m: antenna_m.unwrap_or(COMMON_ANTENNA * boat_m),
            radius_spread_m: 0.0,
        };
        let antenna_spread_m: f64 = if antenna_m.is_some() { 0.3 } else { 0.2 * boat_m };
        gear.radius_spread_m = gear.length_spread_m(given.depth.is_some()).hypot(antenna_spread_m);
        gear
    }

    /// How far the reach may be off for its length, load and height.
    fn length_spread_m(&self, depth: bool) -> f64 {
        // A windage off by a third is worth half a metre; the snubber, the ground's slope and the set as much again.
        let load_m = 0.8;
        let height_m = if depth { 0.0 } else { 1.5 };
        let length_m = match &self.line {
            Some(line) => self.line_spread * line.length().as_metres(),
            // Of three boats at anchor two have between 3.5 and 7 times the height out: common practice, no source.
            None => 12.0,
        };
        length_m.hypot(load_m).hypot(height_m)
    }

    /// The reach at a depth.
    fn reach(&self, depth_m: Option<f64>) -> Reach {
        let height = depth_m.map(|depth_m| Length::metres(depth_m + self.roller_m));
        let Some(line) = &self.line else { return Reach::common(height) };
        // A fifth of the rode: common practice, where the depth is not known.
        self.reach_at(height.unwrap_or_else(|| line.length() * 0.2))
    }

    fn reach_at(&self, height: Length) -> Reach {
        let line = self.line.as_ref().and_then(|line| Reach::of(line, height).ok());
        line.unwrap_or_else(|| Reach::common(Some(height)))
    }
}

impl Detector {
    /// A watch that begins with a first sample; places are metres about `origin`.
    pub fn new(given: &Given, origin: Position, first: &Sample) -> Self {
        Self::tuned(given, origin, first, &Tuning::default())
    }

    /// The same, with the test's parameters set otherwise.
    pub fn tuned(given: &Given, origin: Position, first: &Sample, tuning: &Tuning) -> Self {
        let mut detector = Self::bare(given, origin, tuning);
        detector.last = metres(first.place);
        detector.mind_depth(0.0, first);
        detector.loads.hear(0.0, first.wind);
        let drop = given.drop.map(|drop| (metres(origin.offset_of(drop.at)), drop.spread.as_metres()));
        detector.begin(first, drop);
        detector.draw_circle(drop.map(|(at, _)| at));
        detector
    }

    /// Draws the circle about the drop, else about where the anchor is thought to lie, else about where she lies.
    fn draw_circle(&mut self, drop: Option<[f64; 2]>) {
        let (centre, middle) = match (drop, self.banks.as_slice()) {
            (Some(at), _) => (at, Middle::Drop),
            (None, [bank]) => (bank.still.anchor(), Middle::Thought),
            (None, _) => (self.last, Middle::Herself),
        };
        self.circle = Circle::about(centre);
        self.middle = middle;
    }

    /// With its gear, before anything was seen.
    fn bare(given: &Given, origin: Position, tuning: &Tuning) -> Self {
        let gear = Gear::of(given);
        let depth_m = given.depth.map(Length::as_metres);
        let reach = gear.reach(depth_m);
        Self {
            line_m: reach.length_m(),
            reach_height_m: reach.height_m(),
            last_reach_m: 0.0,
            reach,
            loads: Loads::new(drag_area_m2(given)),
            fix_error: FixError::default(),
            banks: Vec::new(),
            circle: Circle::about([0.0; 2]),
            depth_m,
            watched_s: 0.0,
            settling_s: 0.0,
            last: [0.0; 2],
            head_to_anchor: 0.0,
            heading_wrong: false,
            called: None,
            left_out: ([0.0; 2], 0.0),
            middle: Middle::Thought,
            was_at_bow: false,
            was_loaded: false,
            gear,
            tuning: *tuning,
            origin,
        }
    }

    fn table_reach(&mut self, reach: Reach) {
        self.line_m = reach.length_m();
        self.reach_height_m = reach.height_m();
        self.reach = reach;
    }

    /// Begins the estimate at a sample, from the drop where there is one.
    fn begin(&mut self, sample: &Sample, drop: Option<([f64; 2], f64)>) {
        let noise = self.noise(sample);
        let bow = metres(sample.place);
        let radius_m = self.gear.radius_spread_m;
        self.settling_s = 0.0;
        self.called = None;
        if let Some((at, spread_m)) = drop {
            let spread_m = spread_m.max(1.0);
            let m2 = [spread_m * spread_m, 0.0, spread_m * spread_m];
            let along = unit([bow[0] - at[0], bow[1] - at[1]]).unwrap_or([0.0, 1.0]);
            let still = Filter::begun(at, m2, radius_m, [0.0; 2], &noise);
            self.banks = vec![Bank::new(still, along, &self.tuning)];
            return;
        }
        let reach_m = self.reach_m(sample);
        let toward = self.loads.downwind().or_else(|| self.ahead(sample).map(|e| [-e[0], -e[1]]));
        self.banks = match toward {
            Some(e) => vec![self.guess(bow, e, reach_m, 0.45 * reach_m, &noise)],
            None => (0..GUESSES)
                .map(|i| (f64::from(i) / f64::from(GUESSES) * core::f64::consts::TAU).sin_cos())
                .map(|(sin, cos)| self.guess(bow, [sin, cos], reach_m, 0.26 * reach_m, &noise))
                .collect(),
        };
    }

    /// An anchor up the rode from the bow, `e` pointing from it to her: what its distance is off, the radius is off.
    fn guess(&self, bow: [f64; 2], e: [f64; 2], reach_m: f64, across_m: f64, noise: &Noise) -> Bank {
        // She need not lie at her full reach when the watch begins.
        let slack_m: f64 = 3.0;
        let radius_m2 = self.gear.radius_spread_m.powi(2);
        let (along_m2, across_m2) = (radius_m2 + slack_m * slack_m, across_m * across_m);
        let m2 = [
            along_m2 * e[0] * e[0] + across_m2 * e[1] * e[1],
            (along_m2 - across_m2) * e[0] * e[1],
            along_m2 * e[1] * e[1] + across_m2 * e[0] * e[0],
        ];
        let anchor = [bow[0] - reach_m * e[0], bow[1] - reach_m * e[1]];
        let shared = e.map(|e| -radius_m2 * e);
        let still = Filter::begun(anchor, m2, self.gear.radius_spread_m, shared, noise);
        Bank::new(still, e, &self.tuning)
    }

    /// Takes a sample and says what is found.
    pub fn step(&mut self, sample: &Sample) -> Found {
        let seconds = if 0.0 < sample.seconds { sample.seconds.min(3600.0) } else { 1.0 };
        self.watched_s += seconds;
        self.settling_s += seconds;
        self.loads.hear(seconds, sample.wind);
        self.mind_depth(seconds, sample);
        let bow = self.place(sample);
        let antenna_m = if self.at_bow(sample) { 0.0 } else { self.gear.antenna_aft_m };
        let beyond_m = antenna_m + self.circle_spread_m();
        self.circle.step(seconds, bow, self.reach.straight_m(), beyond_m);
        if let Some(look) = self.look(seconds, bow, sample) {
            for bank in &mut self.banks {
                bank.step(&look, self.called, &self.tuning);
            }
            self.weigh_guesses();
            self.mind_heading(seconds, sample);
        }
        self.found(sample)
    }

    /// How far the circle may be out of place or too small, m: where the drop is not known the anchor is up the wind
    /// to a quarter of the reach, and where the rode is not known so is its radius.
    fn circle_spread_m(&self) -> f64 {
        let centre_share = match self.middle {
            Middle::Drop => 0.0,
            Middle::Thought => 0.25,
            // She lies at the end of her rode, in whatever direction.
            Middle::Herself => 1.0,
        };
        let centre_m = centre_share * self.reach.straight_m();
        let radius_m = if self.gear.line.is_some() { 0.0 } else { self.gear.radius_spread_m };
        centre_m + radius_m
    }

    /// The depth, smoothed over five minutes: waves and the tide's noise are not heights of the roller.
    fn mind_depth(&mut self, seconds: f64, sample: &Sample) {
        let Some(depth_m) = sample.depth.map(Length::as_metres).filter(|d| 0.0 < *d && d.is_finite()) else {
            return;
        };
        let before_m = self.depth_m.unwrap_or(depth_m);
        let smooth_m = before_m + (depth_m - before_m) * (seconds / 300.0).min(1.0);
        let anew = self.depth_m.is_none();
        self.depth_m = Some(smooth_m);
        if anew || 0.1 < (smooth_m + self.gear.roller_m - self.reach.height_m()).abs() {
            let reach = self.gear.reach(self.depth_m);
            self.table_reach(reach);
        }
    }

    /// A boat that is held by the bow points at her anchor whenever the rode is taut, whatever she lies to. A heading
    /// that points away from it for minutes is turned round: the antenna was then carried the wrong way, too.
    fn mind_heading(&mut self, seconds: f64, sample: &Sample) {
        let [bank] = self.banks.as_slice() else { return };
        let Some(ahead) = heading_of(sample) else { return };
        if bank.since_inside_s < 30.0 || self.loads.speed2 < 16.0 || !self.loads.known() {
            return;
        }
        let off = -(ahead[0] * bank.along[0] + ahead[1] * bank.along[1]);
        self.head_to_anchor += (off - self.head_to_anchor) * (seconds / 180.0).min(0.5);
        let wrong = self.head_to_anchor < if self.heading_wrong { 0.5 } else { -0.6 };
        if wrong != self.heading_wrong {
            self.heading_wrong = wrong;
            self.last = self.place(sample);
            let drop = (self.middle == Middle::Drop).then_some((self.circle.centre, 6.0));
            self.begin(sample, drop);
        }
    }

    const fn at_bow(&self, sample: &Sample) -> bool {
        sample.at_bow && !self.heading_wrong
    }

    /// Bow or antenna. With a heading that is turned round the lever arm is taken out again.
    fn place(&self, sample: &Sample) -> [f64; 2] {
        let place = metres(sample.place);
        match heading_of(sample) {
            Some(ahead) if self.heading_wrong && sample.at_bow => {
                [0, 1].map(|axis| place[axis] - self.gear.antenna_aft_m * ahead[axis])
            }
            _ => place,
        }
    }

    /// Whither she heads, where that can be believed.
    fn ahead(&self, sample: &Sample) -> Option<[f64; 2]> {
        heading_of(sample).map(|e| if self.heading_wrong { [-e[0], -e[1]] } else { e })
    }

    fn noise(&self, sample: &Sample) -> Noise {
        let usual = Noise::by(sample.went.is_some(), self.at_bow(sample), self.loads.known());
        let t = &self.tuning;
        let mut noise = usual;
        if self.gear.line.is_none() {
            // The common rode bends otherwise than hers under every change of load: most of a metre for a doubling.
            noise.radius_walk_m2_s = noise.radius_walk_m2_s.max(self.tuning.unknown_walk_m.powi(2) / 3600.0);
        }
        if !self.at_bow(sample) {
            (noise.swing_m, noise.place_m) = (t.blind_swing_m, t.blind_place_m);
        }
        if sample.went.is_some() {
            (noise.bias_m, noise.bias_s) = (t.bias_m, t.bias_s);
        }
        if self.at_bow(sample) {
            (noise.swing_m, noise.swing_s, noise.place_m) = (t.swing_m, t.swing_s, t.place_m);
        }
        noise
    }

    /// On a rode that hangs deep a gust is worth metres: what the load is not known by, the swing takes on.
    fn with_gusts(&self, noise: Noise, load_n: f64) -> Noise {
        let more_m = (self.reach.doubling_m(load_n) - USUAL_DOUBLING_M).max(0.0);
        Noise { swing_m: noise.swing_m.hypot(GUST_SHARE * more_m), ..noise }
    }

    fn reach_m(&self, sample: &Sample) -> f64 {
        let antenna_m = if self.at_bow(sample) { 0.0 } else { self.gear.antenna_aft_m };
        self.reach.at_m(self.loads.load_n()) + antenna_m
    }

    /// A heading or a wind that comes or goes changes what the numbers are of, and not where she lies.
    fn mind_change(&mut self, bow: [f64; 2], sample: &Sample) {
        let (at_bow, loaded) = (self.at_bow(sample), self.loads.known());
        let (changed, loads_changed) = (at_bow != self.was_at_bow, loaded != self.was_loaded);
        (self.was_at_bow, self.was_loaded) = (at_bow, loaded);
        let before_m = self.last_reach_m;
        if changed {
            self.last = bow;
        }
        if before_m <= 0.0 || !(changed || loads_changed) {
            return;
        }
        let reach_m = self.reach_m(sample);
        if loads_changed && !changed {
            let spread_m = (reach_m - before_m).abs();
            self.banks.iter_mut().for_each(|bank| bank.doubt_radius_by(spread_m));
        }
        self.last_reach_m = reach_m;
    }

    /// Brings a sample to what the test works with; nothing for a leap of the fix that no boat makes.
    fn look(&mut self, seconds: f64, bow: [f64; 2], sample: &Sample) -> Option<Look> {
        let noise = self.noise(sample);
        self.mind_change(bow, sample);
        let went = self.believed_way(seconds, bow, sample);
        let step = if let Some(went) = went {
            self.fix_step(seconds, bow, went, &noise)?
        } else {
            self.left_out = ([0.0; 2], 0.0);
            let moved_m = [0, 1].map(|axis| bow[axis] - self.last[axis]);
            self.fix_error.unseen(seconds, moved_m, self.bias_m(), &noise)
        };
        let moved = went.unwrap_or([0, 1].map(|axis| bow[axis] - self.last[axis]));
        self.last = bow;
        let load_n = self.loads.load_n();
        let reach_m = self.reach_m(sample);
        let reached_m = if self.last_reach_m > 0.0 { reach_m - self.last_reach_m } else { 0.0 };
        self.last_reach_m = reach_m;
        let beyond_m = self.reach.at_m(4.0 * load_n + 600.0) - self.reach.at_m(load_n);
        let noise = self.with_gusts(noise, load_n);
        let fix_m2 = sample.fix_spread.map_or(0.0, |s| (0.1 * s.as_metres()).powi(2));
        Some(Look {
            seconds,
            bow,
            way_ms: went.map(|w| w.map(|m| m / seconds)),
            reach_m,
            band_m: beyond_m.max(0.0),
            taut: self.reach.tautness(load_n),
            bend_m: self.reach.bend_m(0.5 * load_n),
            downwind: self.loads.downwind(),
            ahead: self.ahead(sample),
            went: moved,
            reached_m,
            came_in_m: self.tuning.came_in_m * if went.is_some() { 1.0 } else { 2.0 },
            place_m2: (noise.place_m.powi(2) + fix_m2) * (5.0 / seconds).max(1.0),
            noise,
            step,
            since_burst_s: self.fix_error.since_burst_s,
            radius_most_m: 3.0 * self.gear.radius_spread_m,
        })
    }

    /// What Doppler says, unless it says nothing at all while the place moves on: a receiver that holds still.
    fn believed_way(&mut self, seconds: f64, bow: [f64; 2], sample: &Sample) -> Option<[f64; 2]> {
        let went = metres(sample.went?);
        let memory = &mut self.fix_error;
        if went[0].abs() + went[1].abs() > 0.0 {
            memory.nothing_s = 0.0;
            memory.nothing_at = bow;
            return Some(went);
        }
        memory.nothing_s += seconds;
        // A minute of exactly nothing is no Doppler of a boat on the water.
        (memory.nothing_s < 60.0).then_some(went)
    }

    fn fix_step(&mut self, seconds: f64, bow: [f64; 2], went: [f64; 2], noise: &Noise) -> Option<Step> {
        let (pending_m, pending_s) = self.left_out;
        let gone_m = [0, 1].map(|axis| pending_m[axis] + went[axis]);
        let not_gone_m = [0, 1].map(|axis| bow[axis] - self.last[axis] - gone_m[axis]);
        // No error of a fix grows by 8 m between two samples and lasts: a leap, left out thrice and then believed.
        if 8.0 < not_gone_m[0].hypot(not_gone_m[1]) && self.fix_error.left_out < 3.0 {
            self.fix_error.left_out += 1.0;
            self.left_out = (gone_m, pending_s + seconds);
            return None;
        }
        self.fix_error.left_out = 0.0;
        self.left_out = ([0.0; 2], 0.0);
        Some(self.fix_error.seen(seconds + pending_s, not_gone_m, self.bias_m(), noise))
    }

    /// How large the error of the fix is thought to be, m.
    fn bias_m(&self) -> f64 {
        let still = &self.best().still;
        still.mean[3].hypot(still.mean[4])
    }

    /// Drops the guesses that have foretold badly, and keeps the weights small.
    fn weigh_guesses(&mut self) {
        if self.banks.len() < 2 {
            return;
        }
        let best = self.banks.iter().map(|bank| bank.weight_ln).fold(f64::NEG_INFINITY, f64::max);
        self.banks.iter_mut().for_each(|bank| bank.weight_ln -= best);
        self.banks.retain(|bank| DROPPED_LN <= bank.weight_ln);
    }

    /// The likeliest guess.
    fn best(&self) -> &Bank {
        self.banks
            .iter()
            .reduce(|best, bank| if best.weight_ln < bank.weight_ln { bank } else { best })
            .expect("there is always a guess: the best is never dropped")
    }

    /// Evidence of one way of dragging over all guesses, over what rings.
    fn evidence(&self, way: usize) -> f64 {
        let settling = if self.settling_s < SETTLING_S { 2.0 } else { 1.0 };
        // Where the rode is not known, a new side of the circle is new ground.
        let unknown = self.gear.line.is_none() && self.best().at_edge_s < 600.0;
        let asked =
            settling * if unknown { self.tuning.unknown_asks } else { 1.0 } * self.tuning.rings_at[way];
        if let [bank] = self.banks.as_slice() {
            return bank.ways[way].evidence / asked;
        }
        let whole: f64 = self.banks.iter().map(|bank| bank.weight_ln.exp()).sum();
        let moved: f64 = self.banks.iter().map(|b| (b.weight_ln + b.ways[way].evidence).exp()).sum();
        (moved / whole).ln() / asked
    }

    fn found(&mut self, sample: &Sample) -> Found {
        let mut strongest = (0, 0.0);
        for way in 0..WAYS {
            let evidence = self.evidence(way);
            if strongest.1 < evidence {
                strongest = (way, evidence);
            }
            let best = self.best();
            let goes = self.tuning.gone_m < best.ways[way].gone_m() && best.still_goes(way, &self.tuning);
            if self.called.is_none() && 1.0 < evidence && goes {
                self.called = Some(way);
            }
        }
        // Where nothing shows what the error of the fix does, the circle knows as much as the test.
        if self.called.is_none() && sample.went.is_none() && self.circle.left() {
            self.called = Some(strongest.0);
        }
        let bank = self.best();
        let way = self.called.unwrap_or(strongest.0);
        let filter = if self.called.is_some() { &bank.ways[way].filter } else { &bank.still };
        let told = self.called.is_some() || 0.3 < strongest.1;
        let p = &filter.covariance;
        Found {
            anchor: offset(filter.anchor()),
            anchor_covariance_m2: [p[0][0], p[0][1], p[1][1]],
            settled: SETTLING_S <= self.settling_s,
            evidence: strongest.1,
            dragging: self.called.is_some(),
            gone: told.then(|| gone(bank, way, sample.at)),
            beyond_m: bank.beyond_m,
            beyond_spread_m: bank.beyond_m2.sqrt(),
            taut: 1.0 <= self.reach.tautness(self.loads.load_n()),
            outside_circle: self.circle.left(),
            circle_m: self.circle.radius_m,
            from_circle_m: self.circle.from_m,
            left_out: self.left_out_now(sample),
        }
    }

    /// What is heard and not believed.
    fn left_out_now(&self, sample: &Sample) -> LeftOut {
        let turned = (self.heading_wrong && sample.heading.is_some()).then_some(Unsound::TurnedRound);
        let stuck = (sample.wind.is_some() && !self.loads.known()).then_some(Unsound::Stuck);
        LeftOut { heading: sample.left_out.heading.or(turned), wind: sample.left_out.wind.or(stuck) }
    }

    /// So much rode is out now: veered or hauled. The part at the boat changes.
    pub fn rode_out(&mut self, length: Length) {
        if let Some(line) = self.gear.line.as_ref().and_then(|line| veered(line, length)) {
            self.gear.line = Some(line);
            let reach = self.gear.reach(self.depth_m);
            self.table_reach(reach);
        }
        // What she reached a moment ago was another rode's: how she falls back on this one is no way of the anchor.
        self.last_reach_m = 0.0;
        self.settling_s = self.settling_s.min(SETTLING_S - FALLS_BACK_S);
        for bank in &mut self.banks {
            bank.still.doubt_radius(1.0);
            *bank = Bank { weight_ln: bank.weight_ln, ..Bank::new(bank.still, bank.along, &self.tuning) };
        }
    }

    /// The anchor lies here, good to a spread: the estimate and the circle begin anew.
    pub fn dropped(&mut self, at: Position, spread: Length, now: &Sample) {
        let at = metres(self.origin.offset_of(at));
        self.begin(now, Some((at, spread.as_metres())));
        self.draw_circle(Some(at));
    }

    /// The engine was started or stopped: she may have been driven up to her anchor, and falls back.
    pub fn engine(&mut self, _running: bool) {
        for bank in &mut self.banks {
            bank.since_inside_s = 0.0;
        }
    }

    /// The crew say that this is over: watch goes on round where the anchor is thought to lie now.
    pub fn settle_here(&mut self) {
        let called = self.called.take();
        for bank in &mut self.banks {
            let mut still = called.map_or(bank.still, |way| bank.ways[way].filter);
            still.settle(1.0);
            *bank = Bank { weight_ln: bank.weight_ln, ..Bank::new(still, bank.along, &self.tuning) };
        }
        // Watched since the drop was told, the anchor is known as well as the drop was.
        let anchor = self.best().still.anchor();
        self.draw_circle((self.middle == Middle::Drop).then_some(anchor));
        self.settling_s = 0.0;
    }
}

fn gone(bank: &Bank, way: usize, now: Timestamp) -> Gone {
    let way = &bank.ways[way];
    let to = way.filter.anchor();
    let by = [to[0] - way.from[0], to[1] - way.from[1]];
    let e = unit(by).unwrap_or(bank.along);
    let p = &way.filter.covariance;
    let spread_m2 = e[0] * e[0] * p[0][0] + 2.0 * e[0] * e[1] * p[0][1] + e[1] * e[1] * p[1][1];
    #[expect(clippy::cast_possible_truncation, reason = "seconds of a watch")]
    let since = now.checked_sub(SignedDuration::from_millis((way.running_s * 1000.0) as i64));
    Gone {
        by: offset(by),
        spread_m: spread_m2.max(0.0).sqrt(),
        speed_ms: way.filter.speed_ms(),
        since: since.unwrap_or(now),
    }
}

/// The same rode, longer or shorter at the boat.
fn veered(line: &Line, length: Length) -> Option<Line> {
    if length <= line.length() {
        return line.first(length).ok();
    }
    let mut segments: Vec<Segment> = line.segments().to_vec();
    let last = segments.last_mut()?;
    last.length += length - line.length();
    Line::new(segments, line.kellets().to_vec()).ok()
}

fn drag_area_m2(given: &Given) -> f64 {
    let kind = match given.boat.multihull {
        Some(true) => HullKind::Multihull,
        _ => HullKind::MonohullSail,
    };
    let length = given.boat.length.unwrap_or(Length::metres(COMMON_BOAT_M));
    given
        .boat
        .drag_area_m2
        .or_else(|| windage::assumed(kind, length).map(|windage| windage.head_on_m2))
        .map_or(10.0, Lognormal::median)
}

fn heading_of(sample: &Sample) -> Option<[f64; 2]> {
    sample.heading.map(|bow| {
        let (sin, cos) = bow.as_radians().sin_cos();
        [sin, cos]
    })
}

const fn metres(offset: Offset) -> [f64; 2] {
    [offset.east_m, offset.north_m]
}

const fn offset(metres: [f64; 2]) -> Offset {
    Offset { east_m: metres[0], north_m: metres[1] }
}

fn unit(v: [f64; 2]) -> Option<[f64; 2]> {
    let length = v[0].hypot(v[1]);
    (0.1 < length).then(|| [v[0] / length, v[1] / length])
}

#[cfg(test)]
mod tests;
