//! The sequential drag test: is the bow further out than the rode lets her, and ever more so?
//!
//! One filter takes the anchor to lie still; others take it to drag, each at a speed of its own. Each foretells the
//! next residual ([`super::estimate`]); the ratio of how likely they find what comes is the evidence, summed while it
//! speaks for dragging and begun anew when it does not (Page's cumulative sum, Biometrika 41, 1954; for an unknown
//! speed a few of them side by side, Nikiforov, Signal Processing 81, 2001):
//!
//! ```text
//! S_m ← max(0, S_m + l_m),   l_m = ρ(u_0) − ρ(u_m) + ½ ln(V_0/V_m)     u = ν/√V, ρ Huber's, held within ± C
//! ```
//!
//! **Inside her circle there is no evidence.** A rode that is not drawn straight, a boat that sails up to her anchor or
//! turns with the tide lie anywhere within the reach; only the edge tells. When she falls back and the rode comes taut
//! she overshoots: a band `X(4H + 600 N) − X(H)` beyond the reach is granted while chain may still lie in a bend and
//! for some minutes after she was inside. It is for streams and waves that the load does not know of, too.
//!
//! **A chain in a bend is no edge.** What the greatest load yet may draw out, and what her turning to another side
//! sweeps up, is kept from the evidence ([`lie`]). **A surge is at its furthest when it stands still:** the fast ways
//! ring only while Doppler says that she still goes out, which a boat that follows her anchor does.

pub mod lie;

use self::lie::{Lie, dot};
use super::estimate::{Filter, Noise, Radial, Step};

/// Speeds for which a drag is looked for, m/s: three times apart from 0.1 m a minute to a knot and a half. One whose
/// speed lies between two is found by either with little loss, since each learns its own.
pub const SPEEDS_MS: [f64; 6] = [0.0017, 0.005, 0.016, 0.05, 0.14, 0.35];
/// How many ways of dragging.
pub const WAYS: usize = SPEEDS_MS.len();

/// What may be set by who studies the test; everybody else takes [`Tuning::default`].
///
/// Chosen on simulated nights of `simulate::Family` and a forerunner of it (seeds 1 to 4), reported on others (1077):
/// what a field's own doc does not derive was chosen there; `rings_at`, `swing_m`, `slack_band` and `still_goes`, with
/// the constants of [`lie`], on the families' seeds 1 to 4, and looked at on 5 and 6.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tuning {
    /// Evidence that rings, by way: about `ln` of the samples between false alarms, 2 million (14.5), less what a test
    /// of blocks that hang together needs; more for the slow ways, which are tried for longest. Below these the false
    /// alarms of simulated nights rise steeply (times five at 0.85 of them), above them they fall slowly (0.8 at 1.15).
    pub rings_at: [f64; WAYS],
    /// Metres that the anchor must have gone: two errors of a fix.
    pub gone_m: f64,
    /// Most evidence that a second can bring, by way: a slow drag cannot show in a second, and what does is no drag.
    pub most_per_s: [f64; WAYS],
    /// Share of a way's speed that its first deviation is: half the step to the next way.
    pub speed_spread: f64,
    /// Walk of a way's speed over a minute, as a share of it.
    pub speed_walk: f64,
    /// The swing residual with a heading, m: 0.6 rings falsely three times as often in shifts, 0.7 finds half a knot a
    /// sample later.
    pub swing_m: f64,
    /// How long it lasts, s: surge of ten tonnes on a rode of 300 N/m, damped.
    pub swing_s: f64,
    /// Fix error with Doppler, m: the middle of 0.5 to 1.5 m of open-sky receivers and a little more.
    pub bias_m: f64,
    /// How long it lasts, s: 200 to 1500 s.
    pub bias_s: f64,
    /// Error of a sample without memory, m.
    pub place_m: f64,
    /// How long the granted band lasts after she was inside, s: two surges.
    pub band_s: f64,
    /// How long evidence is taken at less than its worth after she was inside, s.
    pub doubt_s: f64,
    /// Evidence fades over so long while she is inside, s.
    pub fades_s: f64,
    /// A way whose own speed has fallen to this share of it is no drag any more.
    pub stopped: f64,
    /// A way inward of so many metres within minutes is hers, m: two errors of a fix. Without Doppler twice that.
    pub came_in_m: f64,
    /// Most evidence in one sample: with Doppler a single one may ring, a leap having been left out before.
    pub at_once: f64,
    /// How many times the load must be what draws the rode straight: windage off by a third, friction by a fifth.
    pub taut_margin: f64,
    /// What a bow at the edge takes of the uncertainty, as one part in so many, while the rode may lie in a bend.
    pub edge_keeps: f64,
    /// She comes out with slack in the rode when she is so far inside, m: more than the swing.
    pub slack_m: f64,
    /// Without Doppler: share of the most that a second can bring, since bursts stay in the fix.
    pub unseen_share: f64,
    /// Most evidence that a second can bring without Doppler, before that share.
    pub unseen_most_per_s: f64,
    /// How many times the evidence is asked on a side of the circle that is new, where the rode is not known.
    pub unknown_asks: f64,
    /// Walk of the radius over a root hour where the rode is not known, m: a doubling of the load is worth as much.
    pub unknown_walk_m: f64,
    /// The swing residual without a heading, m: yaw of 20° about a bow 10 m ahead of the antenna is 0.6 m of it.
    pub blind_swing_m: f64,
    /// Error of a sample without memory, without a heading, m.
    pub blind_place_m: f64,
    /// Evidence lost for each metre that the anchor should have gone by a way's first speed: one that goes on no
    /// further is no drag.
    pub leak_1_m: f64,
    /// Share of the band that is granted for as long as the rode may lie in a bend: what a greater load draws out is
    /// allowed for by [`lie`], so it is left for streams and waves alone.
    pub slack_band: f64,
    /// A fast way rings only while she goes out by Doppler at this share of its speed: a bow that follows its anchor
    /// goes as fast as that; one at the end of a surge stands still.
    pub still_goes: f64,
}

impl Default for Tuning {
    fn default() -> Self {
        Self {
            rings_at: [14.0, 14.0, 14.0, 11.0, 10.0, 10.0],
            gone_m: 3.0,
            most_per_s: [0.6, 0.6, 0.6, 1.2, 4.0, 4.0],
            speed_spread: 0.7,
            speed_walk: 0.25,
            swing_m: 0.65,
            swing_s: 25.0,
            bias_m: 1.2,
            bias_s: 450.0,
            place_m: 0.25,
            band_s: 50.0,
            doubt_s: 60.0,
            fades_s: 1200.0,
            stopped: 0.25,
            came_in_m: 2.5,
            at_once: 13.0,
            taut_margin: 1.5,
            leak_1_m: 0.15,
            slack_band: 0.5,
            still_goes: 0.5,
            edge_keeps: 1.2,
            slack_m: 1.0,
            unseen_share: 0.3,
            unseen_most_per_s: 1.0,
            unknown_asks: 3.0,
            unknown_walk_m: 0.9,
            blind_swing_m: 1.2,
            blind_place_m: 0.5,
        }
    }
}

/// All that a sample says, brought to what the test works with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Look {
    /// Seconds since the sample before.
    pub seconds: f64,
    /// Bow, or antenna with the reach lengthened to it, m.
    pub bow: [f64; 2],
    /// How fast it goes, by Doppler, m/s.
    pub way_ms: Option<[f64; 2]>,
    /// Reach under the load, m.
    pub reach_m: f64,
    /// What is granted beyond it in doubt, m.
    pub band_m: f64,
    /// Load over what draws the rode straight on the ground.
    pub taut: f64,
    /// How far inside she may lie in a bend under half that load, m.
    pub bend_m: f64,
    /// The way the wind goes, a unit vector, if known.
    pub downwind: Option<[f64; 2]>,
    /// Whither she heads, a unit vector, if known.
    pub ahead: Option<[f64; 2]>,
    /// How far the bow went since the sample before, by Doppler or else by the fixes, m.
    pub went: [f64; 2],
    /// How much further the rode reaches than at the sample before, m.
    pub reached_m: f64,
    /// What wanders, and how much.
    pub noise: Noise,
    /// Variance of the place, memoryless, m².
    pub place_m2: f64,
    /// What the fix error did.
    pub step: Step,
    /// A way inward of so many metres within minutes is hers, not the fix's, m.
    pub came_in_m: f64,
    /// Seconds since a burst.
    pub since_burst_s: f64,
    /// Most that the radius can be off, m.
    pub radius_most_m: f64,
}

/// One way of dragging.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Way {
    /// Its filter.
    pub filter: Filter,
    /// Evidence for it over lying still, natural logarithm.
    pub evidence: f64,
    /// Seconds since it began.
    pub running_s: f64,
    /// Where the anchor lay when it began.
    pub from: [f64; 2],
}

impl Way {
    fn anew(still: &Filter, speed_ms: f64, tuning: &Tuning) -> Self {
        Self {
            filter: still.dragging(speed_ms, tuning.speed_spread * speed_ms),
            evidence: 0.0,
            running_s: 0.0,
            from: still.anchor(),
        }
    }

    /// How far the anchor has gone, m.
    pub fn gone_m(&self) -> f64 {
        let to = self.filter.anchor();
        (to[0] - self.from[0]).hypot(to[1] - self.from[1])
    }
}

/// Lying still beside every way of dragging, from one guess of where the anchor lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bank {
    /// The anchor lies still.
    pub still: Filter,
    /// The anchor drags, at [`SPEEDS_MS`].
    pub ways: [Way; WAYS],
    /// Seconds since she was last well inside her circle or coming out to it.
    pub since_inside_s: f64,
    /// Seconds of lying at the edge with the rode taut.
    pub at_edge_s: f64,
    /// The most that the rode was drawn straight since it had slack, and where she lay from the anchor then.
    pub drawn: f64,
    /// From the anchor to the bow then, a unit vector.
    pub drawn_along: [f64; 2],
    /// How far she went outward of late, beyond what the reach did, m: forgotten in `CAME_IN_S`.
    pub outward_m: f64,
    /// How the rode lies.
    pub lie: Lie,
    /// Logarithm of how well this guess has foretold what came.
    pub weight_ln: f64,
    /// From anchor to bow, a unit vector, at the last sample.
    pub along: [f64; 2],
    /// Metres beyond the reach at the last sample, and their variance.
    pub beyond_m: f64,
    /// Variance of that, m².
    pub beyond_m2: f64,
}

/// Huber's corner: as far as a normal error goes once in 80.
const CORNER: f64 = 2.5;

impl Bank {
    /// From a filter that takes the anchor to lie still.
    pub fn new(still: Filter, along: [f64; 2], tuning: &Tuning) -> Self {
        Self {
            still,
            ways: SPEEDS_MS.map(|speed_ms| Way::anew(&still, speed_ms, tuning)),
            since_inside_s: 0.0,
            at_edge_s: 0.0,
            drawn: 0.0,
            drawn_along: along,
            outward_m: 0.0,
            lie: Lie::begun(along),
            weight_ln: 0.0,
            along,
            beyond_m: 0.0,
            beyond_m2: 1.0,
        }
    }

    /// Takes a sample. `called` is the way that has been called: it is not begun anew any more.
    pub fn step(&mut self, look: &Look, called: Option<usize>, tuning: &Tuning) {
        self.still.wait(look.seconds, self.along, &look.noise, &look.step);
        for (way, speed_ms) in self.ways.iter_mut().zip(SPEEDS_MS) {
            let walk = (tuning.speed_walk * speed_ms).powi(2) / 60.0;
            let noise = Noise { speed_walk_m2_s3: walk, ..look.noise };
            way.filter.wait(look.seconds, self.along, &noise, &look.step);
            way.running_s += look.seconds;
        }
        self.doubt_across(look);
        let still = self.still.look(look.bow, look.reach_m, look.place_m2);
        self.along = still.along;
        self.beyond_m = still.residual_m;
        self.beyond_m2 = still.variance_m2;
        let came_in = self.outward_m < -look.came_in_m;
        self.lie.see(look, &still, came_in, look.taut / tuning.taut_margin);
        let look = &Look { taut: self.taut(look, &still, tuning), ..*look };
        let still = self.doubt_radius(look, still);
        self.mind_slack(look, &still, tuning);
        let bent = tuning.slack_band * (1.0 - look.taut);
        let band_m = look.band_m * bent.max((-self.since_inside_s / tuning.band_s).exp());
        let still_m = less(still.residual_m, band_m);
        let inside = self.inside(look, &still);
        if !inside {
            self.lie.meets(look.seconds);
        }
        self.weigh(look, &still, still_m, inside);
        self.judge(look, &still, band_m, inside, called, tuning);
        self.learn_still(look, &still, still_m, inside, tuning);
    }

    /// The load is known otherwise than before: what it is worth is in nobody's radius yet.
    pub fn doubt_radius_by(&mut self, spread_m: f64) {
        let most_m = 2.0 * spread_m;
        self.still.doubt_radius_within(spread_m, most_m);
        self.ways.iter_mut().for_each(|way| way.filter.doubt_radius_within(spread_m, most_m));
    }

    /// What looks as if the anchor lay aside need not mean that it does: see [`Noise::across_share`].
    fn doubt_across(&mut self, look: &Look) {
        let least_m = look.noise.across_share * look.reach_m;
        if least_m <= 0.0 {
            return;
        }
        let share = (look.seconds / ACROSS_S).min(1.0);
        self.still.doubt_across(self.along, least_m, share);
        self.ways.iter_mut().for_each(|way| way.filter.doubt_across(self.along, least_m, share));
    }

    /// What a load greater than any on this side may have drawn out of a bend is in nobody's radius yet.
    fn doubt_radius(&mut self, look: &Look, still: Radial) -> Radial {
        let (spread_m, most_m) = self.lie.gives_m(look);
        if spread_m <= 0.0 {
            return still;
        }
        self.still.doubt_radius_within(spread_m, most_m);
        self.ways.iter_mut().for_each(|way| way.filter.doubt_radius_within(spread_m, most_m));
        self.still.look(look.bow, look.reach_m, look.place_m2)
    }

    /// Whether a way that the evidence speaks for is gone on with: see [`Tuning::still_goes`].
    pub fn still_goes(&self, way: usize, tuning: &Tuning) -> bool {
        way < FIRST_FAST || tuning.still_goes * SPEEDS_MS[way] < self.lie.going_ms
    }

    /// How straight the rode lies: 1 where nothing inside its reach is left to chance.
    ///
    /// A load that the wind gives draws the rode straight only where she lies downwind of her anchor, within 60°, twice
    /// what a sheering boat makes, and points to it. Else something else has hold of her, and how hard is not known.
    /// Once drawn straight it stays so while she stays out and in that direction: a bend needs slack to form.
    fn taut(&mut self, look: &Look, still: &Radial, tuning: &Tuning) -> f64 {
        let lies = look.downwind.map_or(1.0, |way| dot(way, still.along));
        let astray = self.lie.astray();
        let now = if 0.5 < lies && !astray {
            look.taut / tuning.taut_margin
        } else {
            (look.taut / tuning.taut_margin).min(0.5)
        };
        let slack = well_inside(still) && !self.lie.has_lain();
        let round = dot(self.drawn_along, still.along) < SAME_WAY;
        if slack || round || astray {
            self.lie.bend_anew(look);
            self.drawn = 0.0;
            self.drawn_along = still.along;
        }
        if round {
            self.at_edge_s = 0.0;
        }
        if self.drawn <= now && !slack {
            self.drawn = now;
            self.drawn_along = still.along;
        }
        self.drawn.max(now).min(1.0)
    }

    /// She is inside when nearer than the reach by more than errors explain, or at all while the rode may lie in a
    /// bend.
    fn inside(&self, look: &Look, still: &Radial) -> bool {
        if well_inside(still) && self.lie.has_lain() {
            return false;
        }
        // Over her anchor the bend is all there is, and would excuse any distance.
        let score = still.residual_m / still.straight_m2.sqrt();
        let deep = if 600.0 < self.at_edge_s { -2.5 } else { -1.5 };
        let came_in = self.outward_m < -look.came_in_m;
        score < deep
            || (score < 0.0 && (came_in || self.lie.turns(still)))
            || (score < 0.0 && (look.taut < 1.0 || self.since_inside_s < 90.0))
    }

    fn mind_slack(&mut self, look: &Look, still: &Radial, tuning: &Tuning) {
        let outward_ms = look.way_ms.map_or(0.0, |way| way[0] * still.along[0] + way[1] * still.along[1]);
        let was_in = still.residual_m < -tuning.slack_m || self.outward_m < -SURGED_IN_M;
        let coming_out = was_in && 0.08 < outward_ms;
        let turns = self.lie.turns(still);
        let fade = (-look.seconds / CAME_IN_S).exp();
        let outward_m = look.went[0] * still.along[0] + look.went[1] * still.along[1];
        self.outward_m = self.outward_m * fade + outward_m - look.reached_m;
        let deep_inside = well_inside(still) && !self.lie.has_lain();
        self.since_inside_s =
            if coming_out || deep_inside || turns { 0.0 } else { self.since_inside_s + look.seconds };
        if deep_inside {
            self.at_edge_s = 0.0;
        } else if 1.0 <= look.taut {
            self.at_edge_s += look.seconds;
        }
    }

    fn weigh(&mut self, look: &Look, still: &Radial, still_m: f64, inside: bool) {
        let score = still_m / still.variance_m2.sqrt();
        let cost = if inside { 0.0 } else { huber(score) + 0.5 * still.variance_m2.ln() };
        self.weight_ln -= cost.min(0.6 * look.seconds);
    }

    fn judge(
        &mut self,
        look: &Look,
        still: &Radial,
        band_m: f64,
        inside: bool,
        called: Option<usize>,
        tuning: &Tuning,
    ) {
        let u0 = less(still.residual_m, band_m) / still.variance_m2.sqrt();
        let doubt = 0.6 * (-self.since_inside_s / tuning.doubt_s).exp();
        for (m, way) in self.ways.iter_mut().enumerate() {
            let radial = way.filter.look(look.bow, look.reach_m, look.place_m2);
            if inside {
                way.evidence *= (-look.seconds / tuning.fades_s).exp();
            } else {
                let residual_m = less(radial.residual_m, band_m);
                let um = residual_m / radial.variance_m2.sqrt();
                let ratio = huber(u0) - huber(um) + 0.5 * (still.variance_m2 / radial.variance_m2).ln();
                let mut most = tuning.most_per_s[m] * look.seconds;
                if look.way_ms.is_some() && 60.0 < look.since_burst_s {
                    most += 0.3 * look.seconds * (still.residual_m - 4.0).max(0.0);
                }
                if look.way_ms.is_none() {
                    most = tuning.unseen_share * most.min(tuning.unseen_most_per_s * look.seconds);
                }
                let most = most.min(tuning.at_once);
                let mut gained = ratio.clamp(-2.0 * most, most);
                if 0.0 < gained {
                    gained *= 1.0 - doubt * (1.0 - way.gone_m() / 8.0).max(0.0);
                }
                way.evidence += gained;
                learn(&mut way.filter, &radial, residual_m, look, tuning);
            }
            way.evidence -= tuning.leak_1_m * SPEEDS_MS[m] * look.seconds;
            let stopped = way.filter.speed_ms() < tuning.stopped * SPEEDS_MS[m];
            if (way.evidence <= 0.0 || stopped) && called != Some(m) {
                *way = Way::anew(&self.still, SPEEDS_MS[m], tuning);
            }
        }
    }

    fn learn_still(&mut self, look: &Look, still: &Radial, still_m: f64, inside: bool, tuning: &Tuning) {
        if !inside {
            learn(&mut self.still, still, still_m, look, tuning);
        } else if 600.0 < self.at_edge_s && 1.0 <= look.taut {
            self.still.learn_anchor(still, still_m, 25.0);
        }
        let settled = 600.0 < self.at_edge_s && 1.0 <= look.taut && 90.0 < self.since_inside_s;
        let Some(downwind) = look.downwind.filter(|_| settled) else { return };
        if (0.2 * look.reach_m).powi(2) < self.still.across_m2(still.along) {
            // She lies within 0.3 X of straight downwind of her anchor, and does so anew every 150 s.
            let spread_m2 = (0.3 * look.reach_m).powi(2) * (300.0 / look.seconds).max(1.0);
            self.still.learn_across(look.bow, downwind, spread_m2);
        }
    }

    /// Every number that it carries, for the memory.
    pub(super) fn each(&mut self, visit: &mut dyn FnMut(&mut f64)) {
        self.still.each(visit);
        for way in &mut self.ways {
            way.filter.each(visit);
            visit(&mut way.evidence);
            visit(&mut way.running_s);
            way.from.iter_mut().for_each(&mut *visit);
        }
        visit(&mut self.since_inside_s);
        visit(&mut self.at_edge_s);
        visit(&mut self.drawn);
        self.drawn_along.iter_mut().for_each(&mut *visit);
        visit(&mut self.outward_m);
        self.lie.each(visit);
        visit(&mut self.weight_ln);
        self.along.iter_mut().for_each(&mut *visit);
        visit(&mut self.beyond_m);
        visit(&mut self.beyond_m2);
    }
}

/// Over how long a way inward is remembered, s: longer than she takes to sail up to her anchor, shorter than a tide.
const CAME_IN_S: f64 = 300.0;
/// Cosine of 35°: what she sheers to a side. Further round, the chain has swept the ground and may lie in a bend.
const SAME_WAY: f64 = 0.82;

/// How soon the doubt of where the anchor lies across the rode comes back, s: some sheers.
const ACROSS_S: f64 = 600.0;
/// A bow that surged so far inward of late and comes out again overshoots, m: three swing residuals of half a metre.
const SURGED_IN_M: f64 = 1.5;
/// The first of the ways that a surge may look like: a tenth of a knot.
const FIRST_FAST: usize = 3;
/// An edge that lies inward by more than errors explain is learnt at a quarter of its weight: half of what lies so is
/// chain in a bend.
const INWARD_TRUST: f64 = 4.0;

/// Nearer than the reach by metres, and by more than errors explain.
fn well_inside(still: &Radial) -> bool {
    still.residual_m < -3.0 && still.residual_m < -1.5 * still.straight_m2.sqrt()
}

fn learn(filter: &mut Filter, radial: &Radial, residual_m: f64, look: &Look, tuning: &Tuning) {
    let score = residual_m / radial.variance_m2.sqrt();
    let trust = if score < -CORNER { INWARD_TRUST } else { (score / CORNER).max(1.0) };
    let keeps = if look.taut < 1.0 { tuning.edge_keeps } else { 1.0 };
    filter.learn(radial, residual_m, trust, keeps, look.radius_most_m);
}

/// A residual less the band granted, not below nothing; inside it stays as it is.
fn less(residual_m: f64, band_m: f64) -> f64 {
    if residual_m <= 0.0 { residual_m } else { (residual_m - band_m).max(0.0) }
}

fn huber(u: f64) -> f64 {
    let size = u.abs();
    if size <= CORNER { 0.5 * u * u } else { CORNER * (size - 0.5 * CORNER) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fast_way_is_gone_on_with_only_while_she_goes_out() {
        let tuning = Tuning::default();
        let still = Filter::begun([0.0; 2], [1.0, 0.0, 1.0], 1.0, [0.0; 2], &Noise::by(true, true, true));
        let going = |ms: f64| {
            let mut bank = Bank::new(still, [0.0, 1.0], &tuning);
            bank.lie.going_ms = ms;
            [0, FIRST_FAST, WAYS - 1].map(|way| bank.still_goes(way, &tuning))
        };
        assert_eq!(going(0.0), [true, false, false], "a creep cannot be seen by Doppler");
        assert_eq!(going(0.05), [true, true, false]);
        assert_eq!(going(0.3), [true, true, true]);
        assert_eq!(going(f64::INFINITY), [true, true, true], "without Doppler nothing is held back");
    }
}
