//! One stay: drawn, planned from what is known of it, lived as it is.

use windrode_domain::plan::board::Board;
use windrode_domain::plan::choose::lay;
use windrode_domain::plan::conditions::{Water, Weather, Which};
use windrode_domain::plan::laid::Laid;
use windrode_domain::plan::riding::Ride;
use windrode_domain::simulate::stay::{Drawn, Stretch};
use windrode_domain::uncertain::Z90;
use windrode_domain::units::Force;

use crate::nights::{NightOf, generator};

/// The truth departs from what is known by the whole of the usual errors.
const DEPARTS: f64 = 1.0;

/// A figure that the sheet gives a band for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Figure {
    /// Mean load of ten minutes at the bow.
    MeanLoad,
    /// Greatest three seconds of them.
    GustLoad,
    /// Greatest instant of them.
    PeakLoad,
    /// Greatest instant of the whole stay, for which gear is judged.
    StayPeak,
    /// Furthest from the anchor that the bow comes.
    Furthest,
    /// Nearest to it.
    Nearest,
    /// Depth of water at the anchor.
    Water,
}

impl Figure {
    /// All of them.
    pub(crate) const ALL: [Self; 7] = [
        Self::MeanLoad,
        Self::GustLoad,
        Self::PeakLoad,
        Self::StayPeak,
        Self::Furthest,
        Self::Nearest,
        Self::Water,
    ];
    /// A word for programs.
    pub(crate) const fn code(self) -> &'static str {
        match self {
            Self::MeanLoad => "mean_load",
            Self::GustLoad => "gust_load",
            Self::PeakLoad => "peak_load",
            Self::StayPeak => "stay_peak",
            Self::Furthest => "furthest",
            Self::Nearest => "nearest",
            Self::Water => "water",
        }
    }
    /// What the sheet claims of low end, median and high end: the share that lies below. `None` where it says none.
    pub(crate) const fn claims(self) -> [Option<f64>; 3] {
        match self {
            Self::MeanLoad | Self::GustLoad | Self::Water => [Some(0.1), Some(0.5), Some(0.9)],
            Self::PeakLoad => [None, Some(0.5), Some(0.9)],
            Self::StayPeak | Self::Furthest => [None, None, Some(0.9)],
            Self::Nearest => [Some(0.1), None, None],
        }
    }
}

/// How many of a stay's ten minutes lay below each end of a band.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Against {
    /// Below the low end.
    pub(crate) below_low: f64,
    /// Below the median.
    pub(crate) below_median: f64,
    /// Below the high end.
    pub(crate) below_high: f64,
    /// Of so many.
    pub(crate) of: f64,
}

impl Against {
    fn add(&mut self, was: f64, [low, median, high]: [f64; 3]) {
        let one = |below: bool| f64::from(u8::from(below));
        self.below_low += one(was < low);
        self.below_median += one(was < median);
        self.below_high += one(was < high);
        self.of += 1.0;
    }
}

/// A stay, planned and lived.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Tried {
    /// Stated chance of dragging: expected, and its band; `None` where the plan could not say.
    pub(crate) chance: Option<[f64; 3]>,
    /// Whether she dragged.
    pub(crate) dragged: bool,
    /// Strongest mean wind foretold, m/s.
    pub(crate) strongest_ms: f64,
    /// Whether the peaks were ridden, and trusted.
    pub(crate) ridden: bool,
    against: [Against; Figure::ALL.len()],
}

impl Tried {
    /// What was, against the bands of a figure.
    pub(crate) fn against(&self, figure: Figure) -> Against {
        self.against[figure as usize]
    }
}

/// Draws, plans and lives a stay.
pub(super) fn tried(seed: u64, number: u32) -> Result<Tried, String> {
    let mut rng = generator(NightOf { seed, number });
    let drawn = Drawn::stay(DEPARTS, &mut rng);
    let board = Board::of(&drawn.nominal);
    let laid = lay(&board).laid.ok_or("the rode cannot be laid")?;
    let lived = drawn.live(&mut rng).map_err(|error| error.to_string())?;
    let mut stay = Tried {
        chance: laid.chance.as_ref().map(|chance| [chance.band.p10, chance.expected, chance.band.p90]),
        dragged: lived.dragged_in.is_some(),
        strongest_ms: board.known().map(|(_, _, it)| it.wind.mean.as_metres_per_second()).fold(0.0, f64::max),
        ridden: laid.ridden.is_ok_and(|ridden| ridden.is_trusted()),
        against: [Against::default(); Figure::ALL.len()],
    };
    let sigma = drawn.nominal.boat.windage.head_on_m2.sigma_ln();
    for (index, water, weather) in board.known() {
        let (Some(Some(ride)), Some(was)) = (laid.rides.get(index), lived.stretches.get(index)) else {
            continue;
        };
        stretch(&mut stay, was, (water, weather, ride), sigma);
    }
    if let Some(told) = gear(&laid) {
        let was = lived.stretches.iter().map(|it| it.peak.as_newtons()).fold(0.0, f64::max);
        stay.against[Figure::StayPeak as usize].add(was, [0.0, 0.0, told.as_newtons()]);
    }
    Ok(stay)
}

fn stretch(stay: &mut Tried, was: &Stretch, (water, weather, ride): (Water, &Weather, &Ride), sigma: f64) {
    let at = |which, score| weather.load_at(which, sigma, score).as_newtons();
    let mut add = |figure: Figure, was: f64, band: [f64; 3]| stay.against[figure as usize].add(was, band);
    let steady = weather.load.steady.total().as_newtons();
    let gust = weather.load.gust.total().as_newtons();
    add(Figure::MeanLoad, was.mean.as_newtons(), [at(Which::Steady, -Z90), steady, at(Which::Steady, Z90)]);
    add(Figure::GustLoad, was.gust.as_newtons(), [at(Which::Gust, -Z90), gust, at(Which::Gust, Z90)]);
    let peaks = [0.0, ride.peak.as_newtons(), ride.peak_p90.as_newtons()];
    add(Figure::PeakLoad, was.peak.as_newtons(), peaks);
    let (low, high) = (ride.reach_low.as_metres(), ride.reach_high.as_metres());
    add(Figure::Furthest, was.furthest.as_metres(), [low, low, high]);
    add(Figure::Nearest, was.nearest.as_metres(), [low, high, high]);
    let depths =
        [water.low().0, water.depth.0, water.high().0].map(windrode_domain::units::Length::as_metres);
    add(Figure::Water, was.water.as_metres(), depths);
}

/// The peak for which the stay's gear is judged.
fn gear(laid: &Laid) -> Option<Force> {
    let most = laid.rides.iter().flatten().map(|ride| ride.peak_p90).reduce(Force::max)?;
    Some(most * laid.ridden.map_or(1.0, |ridden| ridden.hour_over_stretch))
}
