//! The circle a vessel swings on, from where she was seen to lie: nine guesses of its radius, each with its best
//! anchor.
//!
//! Her rode and her anchor are unknown. A circle fitted to a short arc is worthless, but with a known radius the
//! same arc places the centre well (on short arcs: N. Chernov and C. Lesort, "Least squares fitting of circles",
//! 2003, arXiv cs/0301001); so the radius is taken from a ladder of nine, each free to move a little, and every one
//! keeps the anchor that explains best where she lay. What none of them explains is no swing.
//!
//! For a place `b` (her bow), the anchor `A` and the radius `R`:
//!
//! ```text
//! ν = |b − A| − R                       beyond her reach, m
//! ν > 0:  ν / σ, Huber at 2.5           σ = √(2.5² + (0.02 R)²), an edge
//! ν < 0:  rode drawn straight           ν / (1.5 σ), Huber at 1.5
//!         wind unknown                  ν / (σ + 0.12 R), Huber at 1.5
//!         slack                         no information but to be inside: ν / R
//! t = lateral part of b − A to the lee  t / (s R), s the spread of the lee, Huber at 2
//! cost = Σ w (½ of the squares above) + ½ ((R − R_k) / 0.22 R_k)² + min(hours / 6, 6) ln R
//! ```
//!
//! The last term is how improbable it is that a vessel swinging at radius `R` was seen in one spot for so long,
//! and stands only while the wind is unknown: she has a new direction to lie in about every six hours (a turn of
//! the tide), and six of them are believed. It is what makes a day alongside a radius of a few metres. Each best
//! fit is by steps of Gauss and Newton from the last one, and gives the covariance of (A, R), so that the edge in
//! a direction she has never lain in is known as badly as it is.
//!
//! The lee counts as two independent sights at most, however many there are: a stream or a shadow in the wind sets
//! her off it for hours. A place on the weather side of the anchor counts as twice as wrong as one athwart of it.
//!
//! Left out: the rode's own statics. What a change of load does to the reach is in σ and in [`DRAWN_SHARE`].

use super::stations::{Load, Station, Stations, single};
use crate::position::Offset;

/// The ladder of radii, m: from a berth alongside (the scatter of the fixes) to a deep-sea ship on ten shackles
/// with her antenna aft. Steps of 1.75, so that ±22 % about each covers all.
const LADDER_M: [f64; 9] = [4.0, 8.0, 14.0, 25.0, 43.0, 75.0, 130.0, 230.0, 400.0];
/// Relative spread of a radius about its rung.
const RUNG_SPREAD: f64 = 0.22;
/// Spread of the edge, m: correlated error of a receiver 1.0 to 1.5 m, resolution of a report 0.19 m (1e-4 min),
/// half a sheer seen without its lever, surge.
const EDGE_M: f64 = 2.5;
/// Spread of the edge as a share of the radius.
const EDGE_SHARE: f64 = 0.02;
/// What an unknown load adds to it: a ship's reach is seen to change by a tenth and more from hour to hour
/// (recorded off Aveiro: 68 to 94 m within a day on one anchor).
const UNKNOWN_LOAD_SHARE: f64 = 0.05;
/// What a slack rode adds: she surges and overshoots when it comes up, and lies to a bend in her chain between.
const SLACK_SHARE: f64 = 0.12;
/// Most that any of these shares come to, m: how far a chain's reach gives is a matter of its depth, not of its
/// length.
const MOST_GIVE_M: f64 = 12.0;
/// Share of the radius by which twice the load draws her out: 0.6 to 0.9 m on 40 m of 10 mm chain in 6 m of water, by
/// [`crate::catenary`], and as much again for the bend that it takes out of the chain on the ground.
const DRAWN_SHARE: f64 = 0.03;
/// How far inside a boat in a fresh wind may be found, one standard deviation, m and share of the radius: lulls,
/// and sheers from one end of her sweep to the other.
const INSIDE_M: f64 = 8.0;
const INSIDE_SHARE: f64 = 0.1;
/// Sights of her head or of the wind that are believed to be independent of each other: stream, sheer and a shadow
/// in the wind set her off the same way for hours. A choice.
const LEES_BELIEVED: f64 = 2.0;
/// Time in which a vessel at anchor finds a new direction to lie in, h, and the most such directions that are
/// believed: enough to tell 5 m from 22 (e^(6 ln 4.4) is beyond [`POSSIBLE`]), not enough to tell a boat that
/// sheers on 40 m in a steady wind from one that swings on 14. Choices.
const TURNS_H: f64 = 6.0;
const MOST_TURNS: f64 = 6.0;
/// Difference of cost up to which a circle is thought possible: a hundredth as likely as the best.
const POSSIBLE: f64 = 4.6;
/// How much rarer a circle is the wider it is, beyond the usual radius: one standard deviation in its logarithm. A
/// choice.
const USUAL_SPREAD: f64 = 0.6;
/// Taken off the evidence of every report: a little outside is neither here nor there.
const ALLOWANCE: f64 = 1.2;
/// Time over which her distance from her anchor is looked at, s: two turns of a wandering receiver's error and more;
/// and the fewest places that tell.
const SCATTER_OVER_S: f64 = 7200.0;
const SCATTER_FROM: usize = 6;
/// Spreads outside below which she is back on a circle, and the share of the evidence against it that is then
/// kept: enough for a drag that a burst of multipath hides once.
const RETURNED: f64 = 0.7;
const KEPT_ON_RETURN: f64 = 0.3;

/// One guess.
#[derive(Clone, Copy, Debug)]
pub(super) struct Circle {
    rung_m: f64,
    /// The anchor.
    pub(super) centre: Offset,
    /// The radius, m.
    pub(super) radius_m: f64,
    /// Covariance of (east, north, radius), upper triangle by rows, m².
    covariance: [f32; 6],
    /// Half the sum of squares and what belongs to it.
    pub(super) cost: f64,
    /// How far outside she was seen to stray, root mean square, m.
    shown_m: f64,
    /// The part of the radius that counts for what an unknown load gives, m.
    give_m: f64,
    /// Evidence against it since the last fit, summed over reports and never below nothing.
    against: f64,
}

/// How she rides now.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ride {
    /// How hard she lies.
    pub(super) load: Load,
    /// How many times the load of the last minutes is twice that of the last hour; nothing where it is less.
    pub(super) doublings: f64,
}

/// What a circle says of a place.
#[derive(Clone, Copy, Debug)]
pub(super) struct Beyond {
    /// Metres outside; negative inside.
    pub(super) metres: f64,
    /// One standard deviation.
    pub(super) spread_m: f64,
    /// From the anchor to her, unit vector.
    pub(super) outward: Offset,
}

/// All guesses.
#[derive(Clone, Debug, Default)]
pub(super) struct Circles {
    /// None until fitted; one for each rung where heading or wind says which way her anchor lies, else four.
    guesses: Vec<Circle>,
    /// Radius up to which no circle is unusual for her, m.
    usual_m: f64,
}

/// How wide a vessel may swing, by her length.
#[derive(Clone, Copy, Debug)]
pub(super) struct Size {
    /// Radius up to which nothing is unusual, m.
    pub(super) usual_m: f64,
    /// Radius beyond which none is looked for, m.
    pub(super) longest_m: f64,
}

/// Ways her anchor may lie where nothing tells: the four quarters.
const QUARTERS: [Offset; 4] = [
    Offset { east_m: 0.0, north_m: 1.0 },
    Offset { east_m: 1.0, north_m: 0.0 },
    Offset { east_m: 0.0, north_m: -1.0 },
    Offset { east_m: -1.0, north_m: 0.0 },
];
/// Radius up to which it does not matter which way her anchor lies, m: the scatter of the fixes.
const ANY_WAY_M: f64 = 8.0;

fn ways(rung_m: f64, told: Option<&Offset>) -> &[Offset] {
    match told {
        Some(lee) => core::slice::from_ref(lee),
        None if rung_m <= ANY_WAY_M => &QUARTERS[..1],
        None => &QUARTERS,
    }
}

/// Steps of the first fit, and of every one after that begins where the last one ended.
const FIRST_STEPS: usize = 8;
const NEXT_STEPS: usize = 2;

impl Circles {
    /// Forgets all.
    pub(super) fn clear(&mut self) {
        self.guesses.clear();
    }

    /// Fits every guess anew to where she lay.
    pub(super) fn fit(&mut self, stations: &Stations, size: Size) {
        let middle = stations.middle();
        let lee = mean_lee(stations.all());
        let rungs = LADDER_M.iter().take_while(|rung_m| **rung_m <= size.longest_m);
        let wanted = rungs.clone().map(|rung_m| ways(*rung_m, lee.as_ref()).len()).sum();
        let begins = self.guesses.len() != wanted;
        if begins {
            let centres = rungs.flat_map(|&rung_m| {
                let from_middle = move |way: &Offset| Circle::new(rung_m, middle - scaled(*way, rung_m));
                ways(rung_m, lee.as_ref()).iter().map(from_middle)
            });
            let mut guesses = Vec::with_capacity(wanted);
            guesses.extend(centres);
            self.guesses = guesses;
        }
        self.usual_m = size.usual_m;
        let unknown = stations.all().last().is_some_and(|last| last.load == Load::Unknown);
        let dwelt = if unknown { (stations.span_s() / 3600.0 / TURNS_H).min(MOST_TURNS) } else { 0.0 };
        let told = stations.all().iter().filter(|station| station.lee.is_some());
        let lees =
            (LEES_BELIEVED / told.map(|station| f64::from(station.weight)).sum::<f64>().max(0.1)).min(1.0);
        for guess in &mut self.guesses {
            for _ in 0..if begins { FIRST_STEPS } else { NEXT_STEPS } {
                guess.improve(stations.all(), middle, lees);
            }
            guess.shown_m = guess.strays_m(stations.all());
            guess.give_m = guess.radius_m.min(self.usual_m);
            let rare = (guess.radius_m / self.usual_m).ln().max(0.0) / USUAL_SPREAD;
            guess.cost =
                0.5 * rare * rare + guess.cost_of(stations.all(), middle, lees) + dwelt * guess.radius_m.ln();
        }
    }

    #[cfg(test)]
    pub(super) fn bytes(&self) -> usize {
        self.guesses.capacity() * size_of::<Circle>()
    }

    /// Scatter of her distance from her anchor in the last hours, as one standard deviation; half of the places may
    /// be strays (1.48 times the median from the median: of a normal scatter the same). None where too few tell.
    pub(super) fn scatter_m(&self, stations: &Stations) -> Option<f64> {
        let best = self.best()?;
        let last_s = stations.all().last()?.at_s;
        let late = stations.all().iter().filter(|station| last_s - station.at_s < SCATTER_OVER_S);
        let mut metres: Vec<f64> =
            late.map(|station| (station.place() - best.centre).length().as_metres()).collect();
        let middle_m = median(&mut metres).filter(|_| SCATTER_FROM <= metres.len())?;
        for one in &mut metres {
            *one = (*one - middle_m).abs();
        }
        median(&mut metres).map(|median_m| 1.48 * median_m)
    }

    /// Whether there is any.
    pub(super) fn begun(&self) -> bool {
        !self.guesses.is_empty()
    }

    /// The likeliest, once there is any.
    pub(super) fn best(&self) -> Option<&Circle> {
        self.guesses.iter().min_by(|a, b| a.cost.total_cmp(&b.cost))
    }

    /// Weighs a place against every guess. Returns the evidence against the one that stands best, and what the
    /// likeliest says of the place.
    pub(super) fn weigh(&mut self, place: Offset, ride: Ride, loudest: f64) -> Option<Weighed> {
        let best = self.best()?;
        let (least, beyond) = (best.cost, best.beyond(place, ride));
        for guess in &mut self.guesses {
            let says = guess.beyond(place, ride);
            // A dragging anchor does not come back: a place on the circle undoes most of what spoke against it.
            let kept = if says.metres < RETURNED * says.spread_m { KEPT_ON_RETURN } else { 1.0 };
            let inside = guess.inside_cost(says.metres, ride.load);
            guess.against = (kept * guess.against + (says.cost() + inside - ALLOWANCE).min(loudest)).max(0.0);
        }
        let against_best = self.best()?.against;
        let sums = self.guesses.iter().map(|guess| (guess.cost - least + guess.against, guess.against));
        let (sum, against) = sums.min_by(|a, b| a.0.total_cmp(&b.0))?;
        Some(Weighed { sum, against, against_best, beyond })
    }

    /// Forgets what was weighed.
    pub(super) fn acquit(&mut self) {
        for guess in &mut self.guesses {
            guess.against = 0.0;
        }
    }

    /// What the likeliest says of a place.
    pub(super) fn beyond(&self, place: Offset, ride: Ride) -> Option<(&Circle, Beyond)> {
        self.best().map(|best| (best, best.beyond(place, ride)))
    }

    /// The least and the greatest radius that are possible, m.
    pub(super) fn radii_m(&self) -> Option<(f64, f64)> {
        let least = self.best()?.cost;
        let possible = self.guesses.iter().filter(|guess| guess.cost - least < POSSIBLE);
        let begin = (f64::MAX, 0.0_f64);
        Some(possible.fold(begin, |(low, high), guess| (low.min(guess.radius_m), high.max(guess.radius_m))))
    }
}

/// A place weighed against all guesses.
#[derive(Clone, Copy, Debug)]
pub(super) struct Weighed {
    /// Evidence against the guess that stands best, and how much less likely it was before.
    pub(super) sum: f64,
    /// The former alone.
    pub(super) against: f64,
    /// Evidence against the circle that was likeliest before.
    pub(super) against_best: f64,
    /// What the circle that was likeliest before says of the place.
    pub(super) beyond: Beyond,
}

impl Beyond {
    /// Half the square of the spreads outside, Huber at 2.5.
    fn cost(&self) -> f64 {
        huber_cost((self.metres / self.spread_m).max(0.0), 2.5)
    }
}

impl Circle {
    fn new(rung_m: f64, centre: Offset) -> Self {
        let across = rung_m * rung_m;
        let covariance = [across, 0.0, 0.0, across, 0.0, (RUNG_SPREAD * rung_m).powi(2)].map(single);
        Self {
            rung_m,
            centre,
            radius_m: rung_m,
            covariance,
            cost: 0.0,
            shown_m: 0.0,
            give_m: rung_m,
            against: 0.0,
        }
    }

    /// What this circle says of a place.
    pub(super) fn beyond(&self, place: Offset, ride: Ride) -> Beyond {
        let (distance_m, outward) = way(place - self.centre);
        let [ee, en, er, nn, nr, rr] = self.covariance.map(f64::from);
        let (e, n) = (outward.east_m, outward.north_m);
        let along = e * e * ee + 2.0 * e * n * en + n * n * nn + 2.0 * (e * er + n * nr) + rr;
        let spread_m = (along.max(0.0) + self.edge_m(ride.load).powi(2)).sqrt();
        let drawn_m = DRAWN_SHARE * self.give_m * ride.doublings;
        Beyond { metres: distance_m - self.radius_m - drawn_m, spread_m, outward }
    }

    /// One standard deviation of the anchor along the worse axis, m.
    pub(super) fn spread_m(&self) -> f64 {
        let [ee, en, _, nn, _, _] = self.covariance.map(f64::from);
        let half = (ee - nn) / 2.0;
        (f64::midpoint(ee, nn) + half.hypot(en)).max(0.0).sqrt()
    }

    /// What lying inside says against a circle: only to a rode drawn straight is she at its edge.
    fn inside_cost(&self, beyond_m: f64, load: Load) -> f64 {
        let drawn = load == Load::Straight && beyond_m < 0.0;
        if drawn { huber_cost(beyond_m / (INSIDE_M + INSIDE_SHARE * self.radius_m), 2.5) } else { 0.0 }
    }

    /// Spread of the edge: the least that is assumed, or what she has shown.
    fn edge_m(&self, load: Load) -> f64 {
        let share = match load {
            Load::Straight => 0.0,
            Load::Unknown => UNKNOWN_LOAD_SHARE,
            Load::Slack => SLACK_SHARE,
        };
        edge_m(self.radius_m).max(self.shown_m).hypot((share * self.give_m).min(0.6 * MOST_GIVE_M))
    }

    /// One step of Gauss and Newton, iteratively reweighted.
    fn improve(&mut self, stations: &[Station], middle: Offset, lees: f64) {
        let prior = (RUNG_SPREAD * self.rung_m).powi(-2);
        // The anchor is within about a radius of where she lay.
        let near = self.rung_m.powi(-2);
        let mut normal = [near, 0.0, 0.0, near, 0.0, prior];
        let away = middle - self.centre;
        let mut right = [near * away.east_m, near * away.north_m, prior * (self.rung_m - self.radius_m)];
        for station in stations {
            let weight = f64::from(station.weight);
            let from_anchor = station.place() - self.centre;
            let (distance_m, out) = way(from_anchor);
            let beyond_m = distance_m - self.radius_m;
            let (share, spread_m) = radial_weight(beyond_m, self.radius_m, station.load);
            let w = weight * share / (spread_m * spread_m);
            gather(&mut normal, &mut right, [out.east_m, out.north_m, 1.0], w, beyond_m);
            if let Some(lee) = station.lee {
                let (e, n) = (f64::from(lee.east), f64::from(lee.north));
                let across_m = from_anchor.east_m * n - from_anchor.north_m * e;
                let spread_m = (f64::from(lee.spread) * self.radius_m).max(EDGE_M);
                let w = lees * weight * huber_share(across_m / spread_m, 2.0) / (spread_m * spread_m);
                gather(&mut normal, &mut right, [n, -e, 0.0], w, across_m);
            }
        }
        let Some(covariance) = inverse(normal) else {
            return;
        };
        let step = times(&covariance, right);
        // A step longer than half the radius leaves what the straight line of the fit is good for.
        let length = step[0].hypot(step[1]).max(step[2].abs());
        let scale = (0.5 * self.rung_m / length.max(1e-9)).min(1.0);
        self.centre = self.centre + Offset { east_m: scale * step[0], north_m: scale * step[1] };
        self.radius_m = (self.radius_m + scale * step[2]).clamp(0.5 * self.rung_m, 2.0 * self.rung_m);
        self.covariance = covariance.map(single);
    }

    fn cost_of(&self, stations: &[Station], middle: Offset, lees: f64) -> f64 {
        let away = (middle - self.centre).length().as_metres();
        let rung = (self.radius_m - self.rung_m) / (RUNG_SPREAD * self.rung_m);
        let mut sum = 0.5 * (rung * rung + (away / self.rung_m).powi(2));
        for station in stations {
            let from_anchor = station.place() - self.centre;
            let beyond_m = from_anchor.length().as_metres() - self.radius_m;
            let (spread_m, limit) = radial_spread(beyond_m, self.radius_m, station.load);
            let mut cost = huber_cost(beyond_m / spread_m, limit);
            if let Some(lee) = station.lee {
                let (e, n) = (f64::from(lee.east), f64::from(lee.north));
                let across_m = from_anchor.east_m * n - from_anchor.north_m * e;
                let ahead_m = from_anchor.east_m * e + from_anchor.north_m * n;
                let spread_m = (f64::from(lee.spread) * self.radius_m).max(EDGE_M);
                // On the weather side of her anchor she lies twice as wrong as athwart of it.
                let off_m = if ahead_m < 0.0 { 2.0 * from_anchor.length().as_metres() } else { across_m };
                cost += lees * huber_cost(off_m / spread_m, 2.0);
            }
            sum += f64::from(station.weight) * cost;
        }
        sum
    }

    /// Root mean square of how far outside she lay, of a normal scatter of which that is one half; single strays
    /// count as three spreads.
    fn strays_m(&self, stations: &[Station]) -> f64 {
        let most_m = 3.0 * edge_m(self.radius_m);
        let (mut sum, mut weights) = (1e-9, 1e-9);
        for station in stations {
            let beyond_m = (station.place() - self.centre).length().as_metres() - self.radius_m;
            if 0.0 < beyond_m {
                sum += f64::from(station.weight) * beyond_m.min(most_m).powi(2);
                weights += f64::from(station.weight);
            }
        }
        (sum / weights).sqrt()
    }
}

fn edge_m(radius_m: f64) -> f64 {
    EDGE_M.hypot((EDGE_SHARE * radius_m).min(0.3 * MOST_GIVE_M))
}

/// One standard deviation of a place against the circle's edge, and where the square gives way to the straight line.
fn radial_spread(beyond_m: f64, radius_m: f64, load: Load) -> (f64, f64) {
    let edge_m = edge_m(radius_m);
    if 0.0 < beyond_m {
        return (edge_m, 2.5);
    }
    match load {
        Load::Straight => (1.5 * edge_m, 1.5),
        Load::Unknown => (edge_m + (0.12 * radius_m).min(MOST_GIVE_M), 1.5),
        Load::Slack => (edge_m + radius_m, 1.5),
    }
}

fn radial_weight(beyond_m: f64, radius_m: f64, load: Load) -> (f64, f64) {
    let (spread_m, limit) = radial_spread(beyond_m, radius_m, load);
    (huber_share(beyond_m / spread_m, limit), spread_m)
}

/// Half the square up to a limit, a straight line beyond.
fn huber_cost(z: f64, limit: f64) -> f64 {
    let size = z.abs();
    if size <= limit { 0.5 * size * size } else { limit * (size - 0.5 * limit) }
}

fn huber_share(z: f64, limit: f64) -> f64 {
    limit / z.abs().max(limit)
}

pub(super) fn scaled(offset: Offset, by: f64) -> Offset {
    Offset { east_m: offset.east_m * by, north_m: offset.north_m * by }
}

/// The middle one, of the upper half where they are even.
fn median(values: &mut [f64]) -> Option<f64> {
    values.sort_unstable_by(f64::total_cmp);
    values.get(values.len() / 2).copied()
}

/// Length and direction; north for nothing.
fn way(offset: Offset) -> (f64, Offset) {
    let length_m = offset.length().as_metres();
    if length_m < 0.01 {
        return (length_m, Offset { east_m: 0.0, north_m: 1.0 });
    }
    (length_m, scaled(offset, 1.0 / length_m))
}

fn mean_lee(stations: &[Station]) -> Option<Offset> {
    let sum = stations.iter().filter_map(|station| station.lee).fold(Offset::ORIGIN, |sum, lee| {
        sum + Offset { east_m: f64::from(lee.east), north_m: f64::from(lee.north) }
    });
    let length_m = sum.length().as_metres();
    (0.0 < length_m).then(|| scaled(sum, 1.0 / length_m))
}

/// Adds one weighted equation `j · x = r` to the normal equations (upper triangle by rows).
fn gather(normal: &mut [f64; 6], right: &mut [f64; 3], j: [f64; 3], w: f64, r: f64) {
    normal[0] += w * j[0] * j[0];
    normal[1] += w * j[0] * j[1];
    normal[2] += w * j[0] * j[2];
    normal[3] += w * j[1] * j[1];
    normal[4] += w * j[1] * j[2];
    normal[5] += w * j[2] * j[2];
    for (sum, part) in right.iter_mut().zip(j) {
        *sum += w * part * r;
    }
}

/// Inverse of a symmetric 3×3, upper triangle by rows, by its cofactors.
fn inverse(m: [f64; 6]) -> Option<[f64; 6]> {
    let [a, b, c, d, e, f] = m;
    let (x, y, z) = (d * f - e * e, c * e - b * f, b * e - c * d);
    let determinant = a * x + b * y + c * z;
    if !(0.0 < determinant) {
        return None;
    }
    let s = 1.0 / determinant;
    Some([s * x, s * y, s * z, s * (a * f - c * c), s * (b * c - a * e), s * (a * d - b * b)])
}

fn times(m: &[f64; 6], v: [f64; 3]) -> [f64; 3] {
    let [a, b, c, d, e, f] = *m;
    [a * v[0] + b * v[1] + c * v[2], b * v[0] + d * v[1] + e * v[2], c * v[0] + e * v[1] + f * v[2]]
}
