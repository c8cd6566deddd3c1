//! From phase to phase: what the next report makes of a vessel that lies, goes, drags or drifts.

use super::{BRINGING_UP_S, Dragging, Phase, Vessel};
use crate::position::Offset;
use crate::watch::event::NeighbourStatus;
use crate::watch::neighbours::circle::Size;
use crate::watch::neighbours::motion::Seen;
use crate::watch::neighbours::stations::Load;
use crate::watch::neighbours::suspicion::{CALLS, LOUDEST, LOUDEST_TWICE_TOLD, Mood};

/// Way that nothing but an engine, sails or a strong stream gives, m/s (3 kn).
const GOES_MS: f64 = 1.54;
/// Way from which a head along it means steering, m/s (0.5 kn).
const STEERS_MS: f64 = 0.26;
/// Way made good below which she has stopped, m/s (0.4 kn).
const STOPPED_MS: f64 = 0.21;
/// Most that anything drifts at, m/s (2.5 kn).
const DRIFTS_MOST_MS: f64 = 1.3;
/// Least way of a drift that is called, m/s (0.2 kn).
const DRIFTS_LEAST_MS: f64 = 0.1;
/// Beyond her circle by this much, a vessel that steers has left it, m.
const LEFT_M: f64 = 30.0;
/// How wide a vessel of unknown length swings, m.
const UNKNOWN_SIZE: Size = Size { usual_m: 80.0, longest_m: 400.0 };
/// Time over which way made good is taken, s.
const WHILE_S: f64 = 240.0;
/// Learning after which her circle judges, s.
const JUDGED_FROM_S: f64 = 2400.0;
/// Least that an anchor goes before it is called, m: three spreads of a small circle's edge.
const LEAST_DRAG_M: f64 = 7.5;
/// Outside by less than this, it takes three reports: a burst of multipath lasts over two.
const TWICE_ENOUGH_M: f64 = 25.0;
/// The same as a share of the radius: a ship's reach changes with load, tide and stream by so much.
const LEAST_DRAG_SHARE: f64 = 0.12;
/// The same where the wind is light, and where it is not known: between slack water and the stream's full
/// strength, or a lull and a breeze, a boat on a bent chain goes out by so much.
const LEAST_DRAG_LIGHT_M: f64 = 10.0;
const LEAST_DRAG_UNKNOWN_M: f64 = 18.0;
/// The share of the radius there.
const LEAST_DRAG_UNKNOWN_SHARE: f64 = 0.2;
/// The most of both, m.
const MOST_LEAST_DRAG_M: f64 = 22.0;
/// Radius below which she lies alongside or between piles, m.
pub(super) const ALONGSIDE_M: f64 = 12.0;
/// How far a vessel alongside must have gone, m: fixes beside walls and cranes stray by 8 to 18 m (99 in 100 of
/// those recorded alongside), and warps are shifted.
const LEAST_ALONGSIDE_M: f64 = 18.0;
/// Beyond the reach by this and a share of the radius, slack or not, she has left her circle, m.
const FAR_OUT_M: f64 = 25.0;
const FAR_OUT_SHARE: f64 = 0.3;
/// From here on a vessel is a ship: see `heavier`.
const SHIP_IS_HEAVIER: f64 = 1.2;
/// From high water to high water, s: half a lunar day.
const TIDE_S: f64 = 44_714.0;
/// The most that a ship has out, in radii that are nothing unusual for her.
const MOST_OUT: f64 = 1.5;
/// Between her head and her way, degrees, beyond which she is carried: leeway under sail stays below.
const ATHWART_DEG: f64 = 60.0;
/// Between her way and the wind's, degrees: within it she is carried.
const DOWN_WIND_DEG: f64 = 45.0;
/// The fastest that a gale carries a vessel with her anchor down, m/s (5 kn).
const CARRIED_MOST_MS: f64 = 2.6;
/// Turn of her head from one berth to the next that no drag and no sheer explains within two reports, degrees.
const TURNED_ROUND_DEG: f64 = 60.0;
/// Standing outside so long without going on, her circle was learned wrong, s.
const STANDS_S: f64 = 3600.0;
/// Standing still so long after a drag, she lies anew, s.
const LIES_ANEW_S: f64 = 1800.0;

/// Way made good from report to report that is steering where her head lies along it and she says that she is under
/// way, m/s (2 kn)...
const MAKES_WAY_MS: f64 = 1.03;
/// ...her head within this of it, degrees...
const ALONG_WAY_DEG: f64 = 30.0;
/// ...and the way from each report to the next within this of the way to the one after, degrees: three minutes apart,
/// what the wind has hold of yaws by more.
const STEADY_DEG: f64 = 20.0;

impl Vessel {
    /// The first report.
    pub(super) fn begin(&mut self, seen: &Seen) {
        // A boat that sheers at her anchor makes a knot; with one report nobody knows.
        let goes = seen.speed_ms.is_some_and(|speed_ms| GOES_MS <= speed_ms);
        if goes {
            self.enter(Phase::UnderWay, seen.at_s);
        } else {
            self.lie(seen);
        }
    }

    /// The next report.
    pub(super) fn advance(&mut self, seen: &Seen) {
        match self.phase {
            Phase::Still => self.while_still(seen),
            Phase::UnderWay => self.while_under_way(seen),
            Phase::Dragging(dragging) => self.while_dragging(seen, dragging),
            Phase::Adrift { .. } => self.while_adrift(seen),
        }
    }

    fn enter(&mut self, phase: Phase, since_s: f64) {
        self.phase = phase;
        self.phase_since_s = since_s;
        self.forget_circle();
    }

    /// She has stopped here.
    fn lie(&mut self, seen: &Seen) {
        self.enter(Phase::Still, seen.at_s);
        self.stopped_s = seen.at_s;
        self.stopped_at = seen.antenna;
        self.stopped_head = seen.heading;
    }

    fn while_under_way(&mut self, seen: &Seen) {
        let slow = seen.speed_ms.is_none_or(|speed_ms| speed_ms < 1.7 * STOPPED_MS);
        let made = self.motion.since(WHILE_S / 2.0);
        if slow && made.is_some_and(|made| made.speed_ms() < STOPPED_MS || made.metres() < 25.0) {
            self.lie(seen);
        } else if made.is_some_and(|made| DRIFTS_MOST_MS < made.speed_ms()) {
            // What she drifts is reckoned from where she lost her way.
            (self.stopped_s, self.stopped_at) = (seen.at_s, seen.antenna);
            self.stopped_head = seen.heading;
        } else if self.across_her_way(seen) && self.drifts(seen) {
            self.enter(Phase::Adrift { since_s: self.stopped_s, from: self.stopped_at }, seen.at_s);
        }
    }

    fn while_still(&mut self, seen: &Seen) {
        self.shifted_m = None;
        let outside = self.circles.beyond(seen.place, self.ride()).map(|(_, beyond)| beyond);
        let outside_m = outside.map_or_else(
            || self.stopped_at.distance_to(seen.antenna).as_metres() - 2.0 * LEFT_M,
            |beyond| beyond.metres,
        );
        if self.goes(seen, outside_m) {
            return self.enter(Phase::UnderWay, seen.at_s);
        }
        if self.learned() {
            self.suspect(seen);
        } else if self.drifts(seen) {
            self.enter(Phase::Adrift { since_s: self.stopped_s, from: self.stopped_at }, seen.at_s);
        } else {
            self.learn(seen);
        }
    }

    fn learned(&self) -> bool {
        self.circles.begun() && JUDGED_FROM_S <= self.stations.span_s()
    }

    /// She has left under her own way: fast, or with her head along it twice, and is outside.
    fn goes(&self, seen: &Seen, outside_m: f64) -> bool {
        let Some(before) = self.motion.before_last() else {
            return false;
        };
        let fast = seen.speed_ms.is_some_and(|speed_ms| GOES_MS <= speed_ms) && !self.carried_off(seen);
        let made_m = before.antenna.distance_to(seen.antenna).as_metres();
        let steers_twice = seen.steers(STEERS_MS) && before.steers(STEERS_MS);
        let ahead = self.makes_way_ahead();
        (fast && LEFT_M < made_m.max(outside_m)) || ((steers_twice || ahead) && LEFT_M < outside_m)
    }

    /// Heard every few minutes, she makes way where she heads from report to report, steadily, and says that she is
    /// under way: her own word for speed and course may be missing.
    fn makes_way_ahead(&self) -> bool {
        let says = matches!(self.status, NeighbourStatus::UnderWayEngine | NeighbourStatus::UnderWaySailing);
        let mut latest = self.motion.latest();
        let (Some(last), Some(middle), Some(first)) = (latest.next(), latest.next(), latest.next()) else {
            return false;
        };
        let leg = |from: &Seen, to: &Seen| {
            let by = to.antenna - from.antenna;
            let fast = MAKES_WAY_MS * (to.at_s - from.at_s) <= by.length().as_metres();
            let ahead = to
                .heading
                .is_some_and(|heading| heading.to(by.bearing()).as_degrees().abs() <= ALONG_WAY_DEG);
            (fast && ahead).then(|| by.bearing())
        };
        let legs = leg(first, middle).zip(leg(middle, last));
        says && legs.is_some_and(|(then, now)| then.to(now).as_degrees().abs() <= STEADY_DEG)
    }

    /// Fast, but not ahead: athwart of her head or astern; or, where her head is unknown, no faster down the wind than
    /// a gale carries her.
    fn carried_off(&self, seen: &Seen) -> bool {
        if let Some(deg) = seen.across_deg() {
            return ATHWART_DEG < deg;
        }
        let down = seen.course.zip(self.lee_by_wind());
        let down = down.is_some_and(|(course, lee)| course.to(lee).as_degrees().abs() < DOWN_WIND_DEG);
        down && seen.speed_ms.is_some_and(|speed_ms| speed_ms < CARRIED_MOST_MS)
    }

    /// She moves farther, on one head, than a swing on any rode would take her.
    fn drifts(&self, seen: &Seen) -> bool {
        let Some(made) = self.motion.after(self.stopped_s) else {
            return false;
        };
        let Some(lately) = self.motion.since(WHILE_S) else {
            return false;
        };
        let speed_ms = lately.speed_ms();
        let steers = seen.across_deg().is_some_and(|deg| deg < 30.0) && DRIFTS_LEAST_MS * 5.0 < speed_ms;
        let drift_like = (DRIFTS_LEAST_MS..DRIFTS_MOST_MS).contains(&speed_ms)
            && (DRIFTS_LEAST_MS..DRIFTS_MOST_MS).contains(&made.speed_ms())
            && !steers;
        let says = self.status == NeighbourStatus::NotUnderCommand;
        // Her last reports alone do not reach back to where she stopped.
        let since_stop =
            self.stopped_head.zip(seen.heading).map(|(then, now)| then.to(now).as_degrees().abs());
        let turned_deg = made.turned_deg.zip(since_stop).map_or(180.0, |(a, b)| a.max(b));
        let swing_m = 2.0 * self.size().longest_m * (turned_deg / 2.0).to_radians().sin();
        let needed_m = if says { 0.5 * swing_m + 80.0 } else { swing_m + 150.0 };
        drift_like
            && !self.makes_way_ahead()
            && 3 <= made.reports
            && needed_m < self.stopped_at.distance_to(seen.antenna).as_metres()
    }

    /// How wide a vessel of her length swings: a yacht on a scope of five in ten metres and her antenna aft, a
    /// ship on five or six shackles. Unknown, she may be either.
    fn size(&self) -> Size {
        self.hull.map_or(UNKNOWN_SIZE, |hull| {
            let length_m = hull.ahead_m + hull.astern_m;
            let usual_m = (3.5 * length_m + 15.0).min(0.5 * length_m + 120.0);
            Size { usual_m, longest_m: (8.0 * length_m + 40.0).min(1.5 * length_m + 250.0) }
        })
    }

    fn learn(&mut self, seen: &Seen) {
        if seen.at_s - self.stopped_s < BRINGING_UP_S {
            return;
        }
        let before = self.stations.all().len();
        self.stations.add(self.station(seen));
        if before < self.stations.all().len() || before == super::super::stations::MOST_STATIONS {
            self.circles.fit(&self.stations, self.size());
        }
    }

    fn suspect(&mut self, seen: &Seen) {
        let ride = self.ride();
        let twice_told = self.tells_it_twice(seen);
        let loudest = if twice_told { LOUDEST_TWICE_TOLD } else { LOUDEST };
        let beyond = match self.suspicion.weigh(*seen, &mut self.circles, ride, loudest) {
            None => return,
            Some(Mood::Suspected(beyond)) => beyond,
            Some(Mood::Calm(held)) => {
                for held in held {
                    self.learn(&held.seen);
                }
                return;
            }
        };
        let enough_m = self.enough_m(beyond.spread_m);
        let goes_on = 2.0 * self.least_drag_m() < beyond.metres || !self.suspicion.lies_still(0.0);
        let needed = if twice_told {
            1
        } else if beyond.metres < TWICE_ENOUGH_M {
            3
        } else {
            2
        };
        let beyond_all =
            self.swings_over_m() + 2.0 * FAR_OUT_M < beyond.metres && 4 <= self.suspicion.reports();
        let by_evidence = CALLS <= self.suspicion.sum && enough_m < beyond.metres;
        let outside = (by_evidence || beyond_all) && !self.suspicion.falls();
        if outside && needed <= self.suspicion.reports() && goes_on && self.heard_lately().is_ok() {
            self.judge_outside(seen);
        } else if self.stands_outside(seen) {
            self.relearn(beyond.metres < enough_m);
        }
    }

    /// Place and speed say the same: far outside, and gone there at the speed that she tells. Two signs, from her
    /// receiver's code and from its carrier; not while she swings, nor where nothing says which way she lies.
    fn tells_it_twice(&self, seen: &Seen) -> bool {
        let (Some(before), Some(speed_ms)) = (self.motion.before_last(), seen.speed_ms) else {
            return false;
        };
        let Some((_, beyond)) = self.circles.beyond(seen.place, self.ride()) else {
            return false;
        };
        let made = seen.antenna - before.antenna;
        let made_ms = made.length().as_metres() / (seen.at_s - before.at_s).max(1.0);
        let outward = made.east_m * beyond.outward.east_m + made.north_m * beyond.outward.north_m;
        let alike = made_ms < 1.6 * speed_ms && speed_ms < 1.6 * made_ms;
        let leads_out = 0.8 * made.length().as_metres() < outward;
        let known = self.drawn.load == Load::Straight && self.lee(seen).is_some();
        known && FAR_OUT_M < beyond.metres && DRIFTS_LEAST_MS < speed_ms && alike && leads_out
    }

    /// How far outside she must be to be called, m: where her rode may lie in bends, more than they can give. A ship
    /// of which not even the wind is known may lie in a heap of chain, and go out to all her reach; until she has lain
    /// there for a tide, to both its streams, and shown what her reach is.
    fn enough_m(&self, spread_m: f64) -> f64 {
        let radius_m = self.circles.best().map_or(0.0, |best| best.radius_m);
        let bent_m = FAR_OUT_M + FAR_OUT_SHARE * radius_m;
        let straight_m = self.least_drag_m().max(2.0 * spread_m);
        let wind_known = self.felt.wind.is_some();
        if !wind_known && SHIP_IS_HEAVIER < self.heavier() && self.stations.span_s() < TIDE_S {
            bent_m.max(MOST_OUT * self.size().usual_m - radius_m)
        } else if self.drawn.load == Load::Slack || (wind_known && !self.lies_straight()) {
            bent_m
        } else {
            straight_m
        }
    }

    /// How far across she may swing on all that she may have out, m.
    fn swings_over_m(&self) -> f64 {
        let size = self.size();
        if self.hull.is_some() { 2.0 * size.usual_m } else { size.longest_m }
    }

    /// How far an anchor must have gone to be called, m.
    fn least_drag_m(&self) -> f64 {
        let radius_m = self.circles.best().map_or(0.0, |best| best.radius_m);
        let radius_m = radius_m.min(self.size().usual_m);
        if radius_m < ALONGSIDE_M {
            return LEAST_ALONGSIDE_M;
        }
        let (least_m, share) = match (self.drawn.load, self.felt.wind) {
            (Load::Straight, _) => (LEAST_DRAG_M, LEAST_DRAG_SHARE),
            (_, Some(_)) => (LEAST_DRAG_LIGHT_M, LEAST_DRAG_UNKNOWN_SHARE),
            (_, None) => (LEAST_DRAG_UNKNOWN_M, LEAST_DRAG_UNKNOWN_SHARE),
        };
        least_m.max((share * radius_m).min(MOST_LEAST_DRAG_M))
    }

    /// Outside for an hour without being called, and not going on: she lies to a longer rode, or her circle was
    /// learned wrong.
    fn stands_outside(&self, seen: &Seen) -> bool {
        let radius_m = self.circles.best().map_or(0.0, |best| best.radius_m);
        let long = self.suspicion.first().is_some_and(|first| STANDS_S < seen.at_s - first.seen.at_s);
        long && self.suspicion.lies_still(radius_m)
    }

    fn relearn(&mut self, little: bool) {
        let held = self.suspicion.release();
        self.circles.acquit();
        if little {
            for held in held {
                self.learn(&held.seen);
            }
            return;
        }
        self.forget_circle();
        if let Some(first) = held.first() {
            self.stopped_s = first.seen.at_s - BRINGING_UP_S;
            self.stopped_at = first.seen.antenna;
            self.phase_since_s = first.seen.at_s;
        }
        for held in held {
            self.stations.add(self.station(&held.seen));
        }
        if !self.stations.all().is_empty() {
            self.circles.fit(&self.stations, self.size());
        }
    }

    /// She is outside for certain: shifted, adrift or dragging.
    fn judge_outside(&mut self, seen: &Seen) {
        let Some(first) = self.suspicion.first().copied() else {
            return;
        };
        // One report does not say that she stands where it saw her.
        let step_m = self.suspicion.last_step_m().unwrap_or(f64::MAX);
        let turned = first
            .seen
            .heading
            .zip(self.head_before(first.seen.at_s))
            .map(|(now, then)| then.to(now).as_degrees().abs());
        let stands = step_m < 15.0 && LEFT_M < first.beyond_m;
        let alongside = self.circles.best().is_some_and(|best| best.radius_m < ALONGSIDE_M);
        let turned_round = turned.is_some_and(|deg| TURNED_ROUND_DEG < deg);
        if (stands && (turned_round || turned.is_none())) || (alongside && turned_round) {
            self.shifted_m = Some(first.beyond_m);
            let at = first.seen;
            self.lie(&at);
            return;
        }
        if self.across_her_way(seen) {
            let from = first.seen.antenna;
            self.stopped_at = from;
            return self.enter(Phase::Adrift { since_s: first.seen.at_s, from }, seen.at_s);
        }
        let Some((circle, beyond)) = self.circles.beyond(seen.place, self.ride()) else {
            return;
        };
        let gone_m = beyond.metres;
        let dragging = Dragging {
            since_s: first.seen.at_s,
            anchor: circle.centre,
            radius_m: circle.radius_m,
            spread_m: beyond.spread_m,
            now: circle.centre
                + Offset { east_m: beyond.outward.east_m * gone_m, north_m: beyond.outward.north_m * gone_m },
            farthest_m: gone_m,
            farthest_s: seen.at_s,
            inside: 0,
        };
        self.phase = Phase::Dragging(dragging);
        self.phase_since_s = first.seen.at_s;
    }

    fn head_before(&self, at_s: f64) -> Option<crate::units::Bearing> {
        self.motion.latest().find(|seen| seen.at_s < at_s)?.heading
    }

    /// Head across her way for three reports while she goes like something that drifts.
    fn across_her_way(&self, seen: &Seen) -> bool {
        let made = self.motion.since(WHILE_S);
        let goes = made.is_some_and(|made| DRIFTS_LEAST_MS < made.speed_ms() && 20.0 < made.metres());
        let across = |seen: &Seen| seen.across_deg().is_some_and(|deg| (40.0..140.0).contains(&deg));
        let says = self.status == NeighbourStatus::NotUnderCommand;
        let needed = if says { 2 } else { 3 };
        goes && across(seen)
            && self.motion.latest().take(needed).filter(|seen| across(seen)).count() == needed
    }

    fn while_dragging(&mut self, seen: &Seen, mut dragging: Dragging) {
        let from_anchor = seen.place - dragging.anchor;
        let distance_m = from_anchor.length().as_metres();
        let gone_m = distance_m - dragging.radius_m;
        if self.goes(seen, gone_m) {
            return self.enter(Phase::UnderWay, seen.at_s);
        }
        if self.across_her_way(seen) && 60.0 < gone_m {
            self.stopped_at = seen.antenna;
            return self.enter(Phase::Adrift { since_s: dragging.since_s, from: dragging.anchor }, seen.at_s);
        }
        dragging.inside = if gone_m < dragging.spread_m { dragging.inside.saturating_add(1) } else { 0 };
        if 3 <= dragging.inside {
            // Back on her old circle: the anchor lies where it lay.
            self.phase = Phase::Still;
            self.phase_since_s = seen.at_s;
            self.suspicion.clear();
            self.circles.acquit();
            return;
        }
        if 0.0 < gone_m {
            let share = gone_m / distance_m.max(1.0);
            dragging.now = dragging.anchor
                + Offset { east_m: from_anchor.east_m * share, north_m: from_anchor.north_m * share };
        }
        if dragging.farthest_m + 5.0 < gone_m {
            dragging.farthest_m = gone_m;
            dragging.farthest_s = seen.at_s;
        }
        if LIES_ANEW_S < seen.at_s - dragging.farthest_s {
            return self.lie(seen);
        }
        self.phase = Phase::Dragging(dragging);
    }

    fn while_adrift(&mut self, seen: &Seen) {
        let Some(before) = self.motion.before_last() else {
            return;
        };
        let steers_twice = seen.steers(2.0 * STEERS_MS) && before.steers(2.0 * STEERS_MS);
        let goes = steers_twice || self.makes_way_ahead();
        if goes || seen.speed_ms.is_some_and(|speed_ms| DRIFTS_MOST_MS < speed_ms) {
            return self.enter(Phase::UnderWay, seen.at_s);
        }
        let lately = self.motion.since(LIES_ANEW_S);
        if lately.is_some_and(|made| LIES_ANEW_S <= made.seconds && made.metres() < LEFT_M) {
            self.lie(seen);
        }
    }
}
