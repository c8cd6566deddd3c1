//! A stay lived through: what rode, bow and water did in every ten minutes, and what became of the anchor.

use rand::Rng;

use super::Drawn;
use super::nominal::STRETCH_S;
use super::truth::BEFORE_S;
use crate::simulate::anchor_in_ground::AnchorStory;
use crate::simulate::{Night, NightError, Scenario, Truth};
use crate::units::{Force, Length};

/// Gone so far at more than the ground can ever hold, the anchor has dragged, m; digging in deeper under less counts
/// for nothing.
pub const DRAGGED_M: f64 = crate::simulate::anchor_in_ground::BREAKING_OUT_M;
/// Length of the gust that the ground is judged by, s.
const GUST_S: usize = 3;

/// Ten minutes of a stay, with an anchor that holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// Mean horizontal load at the bow.
    pub mean: Force,
    /// Greatest mean of three seconds.
    pub gust: Force,
    /// Greatest of an instant.
    pub peak: Force,
    /// Greatest level distance from the anchor to the bow.
    pub furthest: Length,
    /// Least of it.
    pub nearest: Length,
    /// Depth of water at the anchor at the beginning of the stretch.
    pub water: Length,
}

/// A stay as it was.
#[derive(Clone, Debug, PartialEq)]
pub struct LivedStay {
    /// Every ten minutes, in order.
    pub stretches: Vec<Stretch>,
    /// The stretch in which the anchor broke out, from 0, if it did.
    pub dragged_in: Option<usize>,
}

/// Lives a stay twice, with the same chance: held fast, and in its ground.
pub(super) fn live<R: Rng + Clone>(drawn: &Drawn, rng: &mut R) -> Result<LivedStay, NightError> {
    let mut again = rng.clone();
    let held = Scenario { anchor: AnchorStory::Holds, ..drawn.truth.clone() };
    let stretches = stretches(Night::new(held, rng)?, rng);
    let dragged_in = dragged_in(Night::new(drawn.truth.clone(), &mut again)?, &mut again);
    Ok(LivedStay { stretches, dragged_in })
}

fn stretches<R: Rng + ?Sized>(mut night: Night, rng: &mut R) -> Vec<Stretch> {
    let mut all = Vec::new();
    let mut now = Gathered::default();
    while !night.over() {
        let truth = night.lived(rng);
        if truth.second <= BEFORE_S {
            continue;
        }
        now.take(&truth);
        if now.seconds == STRETCH_S {
            all.push(now.told());
            now = Gathered::default();
        }
    }
    all
}

/// The stretch in which the anchor breaks out; before the stay counts as its first.
fn dragged_in<R: Rng + ?Sized>(mut night: Night, rng: &mut R) -> Option<usize> {
    while !night.over() {
        let truth = night.lived(rng);
        if night.broken_out() {
            return usize::try_from(truth.second.saturating_sub(BEFORE_S + 1) / STRETCH_S).ok();
        }
    }
    None
}

/// Ten minutes being gathered.
#[derive(Clone, Copy)]
struct Gathered {
    seconds: u32,
    sum_n: f64,
    last_n: [f64; GUST_S],
    gust_n: f64,
    peak_n: f64,
    furthest_m: f64,
    nearest_m: f64,
    water_m: f64,
}

impl Default for Gathered {
    fn default() -> Self {
        Self {
            seconds: 0,
            sum_n: 0.0,
            last_n: [0.0; GUST_S],
            gust_n: 0.0,
            peak_n: 0.0,
            furthest_m: 0.0,
            nearest_m: f64::INFINITY,
            water_m: 0.0,
        }
    }
}

impl Gathered {
    fn take(&mut self, truth: &Truth) {
        let load_n = truth.load.as_newtons();
        let off_m = truth.bow.distance_to(truth.anchor).as_metres();
        if self.seconds == 0 {
            self.water_m = truth.depth.as_metres();
        }
        self.seconds += 1;
        self.sum_n += load_n;
        self.last_n.rotate_right(1);
        self.last_n[0] = load_n;
        let gust_n = self.last_n.iter().sum::<f64>() / GUST_S as f64;
        self.gust_n = self.gust_n.max(gust_n);
        self.peak_n = self.peak_n.max(truth.peak_load.as_newtons());
        self.furthest_m = self.furthest_m.max(off_m);
        self.nearest_m = self.nearest_m.min(off_m);
    }
    fn told(&self) -> Stretch {
        Stretch {
            mean: Force::newtons(self.sum_n / f64::from(self.seconds)),
            gust: Force::newtons(self.gust_n),
            peak: Force::newtons(self.peak_n),
            furthest: Length::metres(self.furthest_m),
            nearest: Length::metres(self.nearest_m),
            water: Length::metres(self.water_m),
        }
    }
}
