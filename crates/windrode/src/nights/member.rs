//! One night: drawn, lived second by second, told in sentences, heard, watched and scored.

use jiff::{SignedDuration, Timestamp};
use rand_pcg::Pcg64;
use windrode_domain::simulate::anchor_in_ground::AnchorStory;
use windrode_domain::simulate::{Family, Night, NightError, Scenario, Truth};
use windrode_domain::watch::effect::{AlarmKind, Effect};
use windrode_domain::watch::event::{Event, Told};
use windrode_domain::watch::observation::Observation;
use windrode_domain::watch::step::Watch;
use windrode_domain::watch::verdict::Verdict;

use super::circle::{Circles, MARGINS_M};
use super::ear::Ear;
use super::limit::SteadyDrag;
use super::neighbour::NeighbourHours;
use super::scenario_file::Case;
use super::sentences;
use crate::alarm_score::{self, Score};
use crate::replay::{self, WORDS};

/// The first quarter of an hour is not scored, for the watch nor for the circle.
pub(super) const UNSCORED: SignedDuration = SignedDuration::from_mins(15);
/// A drag that comes to less than this in all is no drag, m.
pub(super) const DRAG_AT_LEAST_M: f64 = 12.0;
/// An anchor that goes as the ground lets it digs in by decimetres first; it drags when it has gone so far, m.
const DIGS_IN_M: f64 = 0.5;

/// Which night of a run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct NightOf {
    /// What chance begins with.
    pub(crate) seed: u64,
    /// Its number in the run.
    pub(crate) number: u32,
}

/// A night as it was scored.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Lived {
    /// Its number in the run.
    pub(crate) number: u32,
    /// Its kind.
    pub(crate) family: Family,
    /// Hours that were scored, up to the drag if there was one.
    pub(crate) quiet_h: f64,
    /// What became of the anchor.
    pub(crate) anchor: Anchor,
    /// The drag that was drawn, if it goes at one speed.
    pub(crate) steady: Option<SteadyDrag>,
    /// The watch's word.
    pub(crate) watch: Score,
    /// The watch's own plain circle.
    pub(crate) backstop: Score,
    /// The plain circles, in the order of the margins.
    pub(crate) circles: [Score; MARGINS_M.len()],
    /// Seconds of the quiet hours for which each word stood, in the order of [`WORDS`].
    pub(crate) words_s: [f64; WORDS.len()],
    /// Lines that the reader refused.
    pub(crate) refused: u64,
    /// Of a neighbour: her hours and words.
    pub(crate) neighbour: Option<NeighbourHours>,
}

/// What became of the anchor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Anchor {
    /// It lay.
    Lay,
    /// It dragged.
    Dragged,
    /// It went some way and held again, or went before anything was scored: neither.
    Gave,
}

/// Generator of one night: its own stream, and a state that neighbouring nights do not share a digit of.
pub(crate) fn generator(of: NightOf) -> Pcg64 {
    let NightOf { seed, number } = of;
    let mixed = |salt: u64| {
        // SplitMix64 (Steele, Lea and Flood, "Fast splittable pseudorandom number generators", 2014).
        let mut z = seed
            .wrapping_add(u64::from(number).wrapping_mul(0xD1B5_4A32_D192_ED03))
            .wrapping_add(salt.wrapping_mul(0x9E37_79B9_7F4A_7C15));
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    };
    let state = (u128::from(mixed(1)) << 64) | u128::from(mixed(2));
    Pcg64::new(state, u128::from(number))
}

/// Lives one night.
///
/// # Errors
/// [`NightError`]: the night that was drawn cannot be played.
pub(super) fn live(case: &Case, of: NightOf) -> Result<Lived, NightError> {
    let mut rng = generator(of);
    let (family, scenario) = case.draw(of.number, &mut rng);
    let mut given = scenario.given(replay::LIMITS);
    // Who draws a circle knows the rode: the watch may be told less.
    let circles = Circles::new(&given);
    given.rode = given.rode.filter(|_| case.carried.rode);
    let mut ground = Ground::new(scenario.start, threshold_m(&scenario));
    let steady = SteadyDrag::of(&scenario);
    let mut night = Night::new(scenario, &mut rng)?;
    let mut watching = Watching {
        circles,
        watch: Watch::new(given),
        ear: Ear::new(),
        heard: Vec::new(),
        effects: Vec::new(),
        sentences: String::new(),
        call: None,
        word: Verdict::Blind,
        alarms: Alarms::default(),
        words_s: [0.0; WORDS.len()],
    };
    let mut readings = Vec::new();
    while !night.over() {
        readings.clear();
        let truth = night.second(&mut rng, &mut readings);
        ground.see(&truth);
        watching.second(&readings, &truth, &ground);
        if ground.is_done(&watching.alarms) {
            break;
        }
    }
    let words_s = watching.words_s;
    Ok(Lived { steady, words_s, ..scored(of, family, &ground, &watching.alarms, watching.ear.refused()) })
}

/// How far the anchor of a night has gone when it is said to drag, m.
pub(super) fn threshold_m(scenario: &Scenario) -> f64 {
    match scenario.anchor {
        AnchorStory::ByLaw(_) => DIGS_IN_M,
        AnchorStory::Holds | AnchorStory::Goes(_) => 0.0,
    }
}

/// What truly befell the anchor.
pub(super) struct Ground {
    threshold_m: f64,
    began: Option<Timestamp>,
    farthest_m: f64,
    scored_from: Timestamp,
    end: Timestamp,
}

impl Ground {
    pub(super) fn new(start: Timestamp, threshold_m: f64) -> Self {
        let scored_from = start.checked_add(UNSCORED).unwrap_or(start);
        Self { threshold_m, began: None, farthest_m: 0.0, scored_from, end: start }
    }
    pub(super) fn see(&mut self, truth: &Truth) {
        if self.threshold_m < truth.gone_m {
            self.began = self.began.or(Some(truth.at));
        }
        self.farthest_m = truth.gone_m;
        self.end = truth.at;
    }
    /// It has not begun to go.
    pub(super) const fn lies(&self) -> bool {
        self.began.is_none()
    }
    /// Nothing more can be learned: it drags, and all who watch have called it.
    pub(super) fn is_done(&self, alarms: &Alarms) -> bool {
        DRAG_AT_LEAST_M <= self.farthest_m && alarms.all_found(self.began)
    }
    fn anchor(&self) -> Anchor {
        match self.began {
            None => Anchor::Lay,
            Some(began) if self.farthest_m < DRAG_AT_LEAST_M || began < self.scored_from => Anchor::Gave,
            Some(_) => Anchor::Dragged,
        }
    }
}

/// When each rang, and how far the anchor had gone.
#[derive(Clone, Debug, Default)]
pub(super) struct Alarms {
    pub(super) watch: Vec<(Timestamp, f64)>,
    pub(super) backstop: Vec<(Timestamp, f64)>,
    pub(super) circles: [Vec<(Timestamp, f64)>; MARGINS_M.len()],
    /// Nobody but the watch over neighbours looks at her.
    pub(super) of_neighbour: bool,
}

impl Alarms {
    fn each(&self) -> impl Iterator<Item = &Vec<(Timestamp, f64)>> {
        [&self.watch, &self.backstop].into_iter().chain(&self.circles)
    }
    fn all_found(&self, began: Option<Timestamp>) -> bool {
        let Some(began) = began else { return false };
        let found = |alarms: &Vec<(Timestamp, f64)>| alarms.last().is_some_and(|&(at, _)| began <= at);
        if self.of_neighbour { found(&self.watch) } else { self.each().all(found) }
    }
}

/// The watch and the circles of a night.
struct Watching {
    watch: Watch,
    circles: Circles,
    ear: Ear,
    heard: Vec<Observation>,
    effects: Vec<Effect>,
    sentences: String,
    call: Option<Timestamp>,
    word: Verdict,
    alarms: Alarms,
    words_s: [f64; WORDS.len()],
}

impl Watching {
    fn second(&mut self, readings: &[Observation], truth: &Truth, ground: &Ground) {
        self.sentences.clear();
        sentences::write(readings, &mut self.sentences);
        self.heard.clear();
        self.ear.hear(self.sentences.as_bytes(), truth.at, &mut self.heard);
        if self.call.is_some_and(|call| call <= truth.at) {
            self.watch.step(&Event::Tick, truth.at, &mut self.effects);
        }
        let scored = ground.scored_from <= truth.at;
        let Self { watch, circles, heard, effects, alarms, .. } = self;
        for seen in heard.iter() {
            watch.step(&Event::Observed(*seen), truth.at, effects);
            circles.hear(seen, |index| {
                if let Some(rang) = alarms.circles.get_mut(index).filter(|_| scored) {
                    rang.push((truth.at, truth.gone_m));
                }
            });
        }
        self.effects_of(truth, ground, scored);
        if scored && ground.began.is_none() {
            let index = WORDS.iter().position(|&word| word == self.word);
            if let Some(sum) = index.and_then(|index| self.words_s.get_mut(index)) {
                *sum += 1.0;
            }
        }
    }

    fn effects_of(&mut self, truth: &Truth, ground: &Ground, scored: bool) {
        let (mut rang_falsely, mut left_falsely) = (false, false);
        for effect in self.effects.drain(..) {
            match effect {
                Effect::Ring(AlarmKind::Dragging) => {
                    rang_falsely = ground.began.is_none();
                    if scored {
                        self.alarms.watch.push((truth.at, truth.gone_m));
                    }
                }
                Effect::Ring(AlarmKind::OutsideCircle) => {
                    left_falsely = ground.began.is_none();
                    if scored {
                        self.alarms.backstop.push((truth.at, truth.gone_m));
                    }
                }
                Effect::Publish => self.word = self.watch.view().verdict,
                Effect::CallAt(call) => self.call = Some(call),
                _ => {}
            }
        }
        // The crew look, see that she holds, and say so: an alarm that nobody hears rings but once.
        if left_falsely {
            let heard = Event::Told(Told::Acknowledge(AlarmKind::OutsideCircle));
            self.watch.step(&heard, truth.at, &mut self.effects);
        }
        if rang_falsely {
            let clear = Event::Told(Told::Clear(AlarmKind::Dragging));
            self.watch.step(&clear, truth.at, &mut self.effects);
        }
    }
}

/// What the alarms of a night were worth.
pub(super) fn scored(of: NightOf, family: Family, ground: &Ground, alarms: &Alarms, refused: u64) -> Lived {
    let anchor = ground.anchor();
    let worth = |alarms: &Vec<(Timestamp, f64)>| {
        // Of an anchor that gave and held again, only what rang before is judged.
        let judged = alarms
            .iter()
            .filter(|&&(at, _)| anchor != Anchor::Gave || ground.began.is_none_or(|began| at < began));
        let times: Vec<Timestamp> = judged.map(|&(at, _)| at).collect();
        let began = ground.began.filter(|_| anchor == Anchor::Dragged);
        let gone_m =
            |at: Timestamp| alarms.iter().find(|&&(rang, _)| rang == at).map_or(0.0, |&(_, gone_m)| gone_m);
        alarm_score::score(&times, began, gone_m)
    };
    let quiet_until = ground.began.unwrap_or(ground.end);
    Lived {
        number: of.number,
        family,
        quiet_h: quiet_until.duration_since(ground.scored_from).as_secs_f64().max(0.0) / 3600.0,
        anchor,
        steady: None,
        watch: worth(&alarms.watch),
        backstop: worth(&alarms.backstop),
        circles: core::array::from_fn(|index| alarms.circles.get(index).map(worth).unwrap_or_default()),
        words_s: [0.0; WORDS.len()],
        refused,
        neighbour: None,
    }
}

#[cfg(test)]
mod tests {
    use rand::Rng;

    use super::*;

    #[test]
    fn nights_share_no_chance() {
        let first = |seed: u64, number: u32| generator(NightOf { seed, number }).next_u64();
        let mut drawn: Vec<u64> = (0..50).flat_map(|n| (0..20).map(move |seed| first(seed, n))).collect();
        drawn.sort_unstable();
        drawn.dedup();
        assert_eq!(drawn.len(), 1000);
    }
}
