//! One night of a vessel near by: she is lived as any boat, tells of herself as her transponder would, and is judged
//! from that alone, with the wind that our own boat feels.
//!
//! What can be judged at all depends on how hard she lies to her chain. Where the load at her bow, averaged over ten
//! minutes, is less than 0.7 of what it takes to draw the chain that lies straight, she may lie anywhere inside her
//! reach, and no word is the honest word. Hours, words and false calls are therefore counted apart for *loaded* and
//! other hours.
//!
//! ```text
//! g = L − √(h² + 2 h H/w)          chain that lies under a load H (m)
//! loaded:  H ≥ 0.7 μ w g           H mean load of 10 min (N), w weight of chain (N/m), μ friction
//! ```

use jiff::Timestamp;
use windrode_domain::simulate::ais_neighbour::{NeighbourNight, Transponder};
use windrode_domain::simulate::{NightError, Scenario, Truth};
use windrode_domain::watch::event::NeighbourReport;
use windrode_domain::watch::neighbours::{Fleet, FleetSetup, NeighbourState, Surroundings};
use windrode_domain::watch::observation::Source;
use windrode_wire::ais;
use windrode_wire::ais::particulars::Particulars;
use windrode_wire::nmea0183::lines::Lines;
use windrode_wire::nmea0183::{self, Report};

use super::member::{Alarms, Ground, Lived, NightOf, generator, scored, threshold_m};
use super::scenario_file::Case;
use super::transponder_words;

/// Her identity: an invented one, of a country that is none.
const MMSI: u32 = 999_123_456;
/// Her particulars are sent so often, s (ITU-R M.1371-5).
const PARTICULARS_S: u32 = 360;
/// Time passes for the fleet in steps of this, s.
const TICK_S: u32 = 60;
/// Share of the friction of the chain that lies, from which she is judged.
const LOADED_SHARE: f64 = 0.7;
/// Load is averaged over this, s.
const MEAN_S: f64 = 600.0;
/// Seconds after which she is expected to be judged: what comes before is learning.
const LEARNING_S: u32 = 5400;

/// Hours and words of a neighbour, apart by how hard she lay to her chain; before any drag.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Hours {
    /// Hours after the first one and a half.
    pub(crate) all_h: f64,
    /// Of these, with another word than *cannot tell*.
    pub(crate) told_h: f64,
    /// Calls of dragging or drifting.
    pub(crate) false_calls: u32,
}

/// The same for both.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct NeighbourHours {
    /// Loaded.
    pub(crate) loaded: Hours,
    /// Not loaded.
    pub(crate) other: Hours,
}

/// Lives one.
///
/// # Errors
/// [`NightError`]: the night that was drawn cannot be played.
pub(super) fn live(case: &Case, transponder: Transponder, of: NightOf) -> Result<Lived, NightError> {
    let mut rng = generator(of);
    let (family, scenario) = case.draw(of.number, &mut rng);
    let mut ground = Ground::new(scenario.start, threshold_m(&scenario));
    let mut load = Load::of(&scenario);
    let dimensions = transponder_words::dimensions(&scenario.boat);
    let wind_known = case.carried.wind;
    let mut night = NeighbourNight::new(scenario, transponder, MMSI, &mut rng)?;
    let mut ear = Ear { lines: Lines::new(), listener: ais::Listener::new(), refused: 0 };
    let mut judged = Judged::new();
    let mut heard = Vec::new();
    while !night.over() {
        let (truth, report) = night.second(&mut rng);
        ground.see(&truth);
        heard.clear();
        let due = truth.second % PARTICULARS_S == 1;
        let what = Particulars { dimensions: Some(dimensions), ..Particulars::default() };
        let mut sentences = String::new();
        if due {
            transponder_words::particulars(transponder, MMSI, &what, &mut sentences);
        }
        if let Some(report) = &report {
            transponder_words::position(transponder, report, &mut sentences);
        }
        ear.hear(sentences.as_bytes(), truth.at, &mut heard);
        let around = Surroundings { own: None, wind: wind_known.then_some(truth.wind) };
        judged.second(&truth, &heard, &around, load.is_loaded(&truth), &ground);
        if ground.is_done(&judged.alarms) {
            break;
        }
    }
    Ok(Lived { neighbour: Some(judged.hours), ..scored(of, family, &ground, &judged.alarms, ear.refused) })
}

/// The load at her bow against what draws her chain straight.
struct Load {
    length_m: f64,
    weight_n_m: f64,
    friction: f64,
    roller_m: f64,
    mean_n: Option<f64>,
}

impl Load {
    fn of(scenario: &Scenario) -> Self {
        let chain = scenario.rode_said.segments().first();
        Self {
            length_m: scenario.rode_said.length().as_metres(),
            weight_n_m: chain.map_or(0.0, |chain| chain.weight.as_newtons_per_metre()),
            friction: scenario.friction,
            roller_m: scenario.boat.roller_m,
            mean_n: None,
        }
    }
    fn is_loaded(&mut self, truth: &Truth) -> bool {
        let now_n = truth.load.as_newtons();
        let mean_n = self.mean_n.map_or(now_n, |mean_n| mean_n + (now_n - mean_n) / MEAN_S);
        self.mean_n = Some(mean_n);
        let height_m = truth.depth.as_metres() + self.roller_m;
        let lifted_m = (height_m * height_m + 2.0 * height_m * mean_n / self.weight_n_m).sqrt();
        let lying_m = (self.length_m - lifted_m).max(0.0);
        LOADED_SHARE * self.friction * self.weight_n_m * lying_m <= mean_n
    }
}

/// What the fleet said, and when.
struct Judged {
    fleet: Fleet,
    state: NeighbourState,
    alarms: Alarms,
    hours: NeighbourHours,
}

impl Judged {
    fn new() -> Self {
        Self {
            fleet: Fleet::new(FleetSetup::default()),
            state: NeighbourState::CannotTell,
            alarms: Alarms { of_neighbour: true, ..Alarms::default() },
            hours: NeighbourHours::default(),
        }
    }

    fn second(
        &mut self,
        truth: &Truth,
        heard: &[NeighbourReport],
        around: &Surroundings,
        loaded: bool,
        ground: &Ground,
    ) {
        for report in heard {
            self.fleet.hear(report, around, truth.at);
        }
        let tick = truth.second.is_multiple_of(TICK_S);
        if tick {
            self.fleet.tick(around, truth.at);
        }
        let hours = if loaded { &mut self.hours.loaded } else { &mut self.hours.other };
        if tick || !heard.is_empty() {
            let state = self.fleet.vessel(MMSI).map_or(NeighbourState::CannotTell, |view| view.state);
            let calls = |state| matches!(state, NeighbourState::Dragging | NeighbourState::Adrift);
            if calls(state) && !calls(self.state) {
                self.alarms.watch.push((truth.at, truth.gone_m));
                hours.false_calls += u32::from(ground.lies());
            }
            self.state = state;
        }
        if LEARNING_S <= truth.second && ground.lies() {
            hours.all_h += 1.0 / 3600.0;
            hours.told_h += if self.state == NeighbourState::CannotTell { 0.0 } else { 1.0 / 3600.0 };
        }
    }
}

/// From sentences to reports.
struct Ear {
    lines: Lines,
    listener: ais::Listener,
    refused: u64,
}

impl Ear {
    fn hear(&mut self, bytes: &[u8], at: Timestamp, out: &mut Vec<NeighbourReport>) {
        let (listener, refused) = (&mut self.listener, &mut self.refused);
        self.lines.push(bytes, |line| {
            let heard = line.and_then(nmea0183::read);
            let Ok(nmea0183::Heard { report: Report::Ais(fragment), .. }) = heard else {
                *refused += 1;
                return;
            };
            match listener.hear(Source(1), fragment, at) {
                Ok(Some(message)) => out.extend(ais::neighbour::reports(&message, at)),
                Ok(None) => {}
                Err(_) => *refused += 1,
            }
        });
    }
}
