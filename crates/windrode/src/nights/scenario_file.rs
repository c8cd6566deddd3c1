//! The scenario file: which nights are lived, and with what on board.
//!
//! ```toml
//! families = ["stress-mix", "half-knot"]
//!
//! [[case]]
//! name = "all aboard"
//!
//! [[case]]
//! name = "no wind, every 10 s"
//! wind = false
//! fix_interval = "10 s"
//! ```
//!
//! The cases of a file live the same draws of boat, weather and drag as far as their options let them, so that what
//! differs between two of them is the option.

use std::path::Path;

use rand::Rng;
use windrode_domain::simulate::anchor_in_ground::AnchorStory;
use windrode_domain::simulate::family::Variation;
use windrode_domain::simulate::{Family, Scenario};
use windrode_domain::units::Speed;

use crate::files::source::{Problem, Source};
use crate::files::toml_reading::{Section, Within, nearest, read};

/// A scenario file.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct ScenarioFile {
    /// Its cases; not empty.
    pub(crate) cases: Vec<Case>,
}

/// One case.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Case {
    /// What it is called.
    pub(crate) name: String,
    /// Kinds of night; not empty.
    pub(crate) families: Vec<Family>,
    /// What was never chosen for, and its word.
    pub(crate) variation: Option<(&'static str, Variation)>,
    /// Quiet nights are cut to so many hours.
    pub(crate) hours: Option<f64>,
    /// What is aboard and told.
    pub(crate) carried: Carried,
    /// Seconds between fixes.
    pub(crate) fix_interval_s: u32,
    /// By how much the receiver's usual errors are larger.
    pub(crate) noise: f64,
    /// Speed of the drags that have one.
    pub(crate) drag_speed: Option<Speed>,
}

/// What is aboard, and what the crew tell the watch.
#[expect(clippy::struct_excessive_bools, reason = "instruments that may each be there or not")]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Carried {
    /// A compass.
    pub(crate) heading: bool,
    /// A wind vane.
    pub(crate) wind: bool,
    /// Way over the ground.
    pub(crate) doppler: bool,
    /// A sounder.
    pub(crate) depth: bool,
    /// The drop was recorded.
    pub(crate) drop: bool,
    /// The rode that is out was told.
    pub(crate) rode: bool,
}

/// Variations by their words.
const VARIATIONS: [(&str, Variation); 9] = [
    ("swell", Variation::Swell),
    ("rope-rode", Variation::RopeRode),
    ("long-boat", Variation::LongBoat),
    ("deep-water", Variation::DeepWater),
    ("catamaran", Variation::Catamaran),
    ("wrong-windage", Variation::WrongWindage),
    ("stuck-wind", Variation::StuckWind),
    ("flipped-heading", Variation::FlippedHeading),
    ("static-hold", Variation::StaticHold),
];

/// Loads a scenario file.
///
/// # Errors
/// Every problem in it at once.
pub(crate) fn load(path: &Path) -> Result<ScenarioFile, Vec<Problem>> {
    let source = Source::load(path).map_err(|problem| vec![problem])?;
    read(&source, file)
}

fn file(file: &Section<'_>) -> Option<ScenarioFile> {
    let families = families(file);
    let hours = hours(file);
    let cases: Vec<(Option<Case>, bool)> =
        file.may("case").sections(|section| Some(case(section, families.as_deref(), hours)));
    let mut cases: Vec<Case> = cases.into_iter().map(|(case, _)| case).collect::<Option<_>>()?;
    if cases.is_empty() {
        let Some(families) = families else {
            file.refuse("names no kind of night (give families, here or in each [[case]])");
            return None;
        };
        cases.push(Case::plain("as drawn".to_owned(), families, hours));
    }
    for (index, one) in cases.iter().enumerate() {
        if cases.iter().take(index).any(|other| other.name == one.name) {
            file.refuse(format!("two of [[case]] are named \"{}\" (give each its own name)", one.name));
        }
    }
    Some(ScenarioFile { cases })
}

/// Kinds of night, told by their names or together.
fn families(section: &Section<'_>) -> Option<Vec<Family>> {
    let told = section.may("families").located_texts();
    let mut families: Vec<Family> = Vec::new();
    let mut sound = !told.is_empty();
    for word in told {
        let meant: Vec<Family> = match word.value.as_str() {
            "stress-mix" => Family::QUIET.to_vec(),
            "drags" => Family::DRAGS.to_vec(),
            other => Family::of(other).into_iter().collect(),
        };
        if meant.is_empty() {
            let mut known: Vec<&str> = vec!["stress-mix", "drags"];
            known.extend(Family::ALL.iter().map(|family| family.word()));
            section.report(word.problem(format!(
                "\"{}\" is no kind of night; {}",
                word.value,
                nearest(&word.value, &known)
            )));
            sound = false;
        }
        families.extend(meant.into_iter().filter(|family| !families.contains(family)).collect::<Vec<_>>());
    }
    sound.then_some(families)
}

fn hours(section: &Section<'_>) -> Option<f64> {
    let lasting = section.may("hours").share(Within::new(0.5, 10.0));
    lasting
}

/// A case, if it could be read.
fn case(section: &Section<'_>, usual: Option<&[Family]>, hours_of_all: Option<f64>) -> (Option<Case>, bool) {
    let name = section.want("name", "what the case is called, in quotes").text();
    let own = families(section);
    let hours = hours(section).or(hours_of_all);
    let variation = section.may("variation").word(&VARIATIONS.each_ref().map(|(word, _)| (*word, *word)));
    let there = |key: &'static str| section.may(key).flag().unwrap_or(true);
    let carried = Carried {
        heading: there("heading"),
        wind: there("wind"),
        doppler: there("doppler"),
        depth: there("depth"),
        drop: there("drop"),
        rode: there("rode"),
    };
    let interval = section.may("fix_interval").duration(Within::new(1.0 / 60.0, 60.0));
    let noise = section.may("noise").share(Within::new(0.1, 20.0));
    let drag_speed = section.may("drag_speed").speed(Within::new(0.001, 3.0));
    let Some(families) = own.or_else(|| usual.map(<[Family]>::to_vec)) else {
        if !section.has_any(&["families"]) {
            section.refuse("names no kind of night (give families, here or above the cases)");
        }
        return (None, false);
    };
    let Some(name) = name else { return (None, false) };
    let known = |word: &'static str| VARIATIONS.into_iter().find(|(known, _)| *known == word);
    let case = Case {
        variation: variation.and_then(known),
        carried,
        fix_interval_s: interval.and_then(|long| u32::try_from(long.as_secs()).ok()).unwrap_or(1).max(1),
        noise: noise.unwrap_or(1.0),
        drag_speed,
        ..Case::plain(name, families, hours)
    };
    (Some(case), true)
}

impl Case {
    fn plain(name: String, families: Vec<Family>, hours: Option<f64>) -> Self {
        Self {
            name,
            families,
            variation: None,
            hours,
            carried: Carried {
                heading: true,
                wind: true,
                doppler: true,
                depth: true,
                drop: true,
                rode: true,
            },
            fix_interval_s: 1,
            noise: 1.0,
            drag_speed: None,
        }
    }

    /// The night of a number: kinds take turns.
    pub(super) fn draw<R: Rng + ?Sized>(&self, number: u32, rng: &mut R) -> (Family, Scenario) {
        let turn = usize::try_from(number).unwrap_or(0) % self.families.len().max(1);
        let family = self.families.get(turn).copied().unwrap_or(Family::Steady);
        let mut night = match &self.variation {
            Some((_, variation)) => variation.draw(family, rng),
            None => family.draw(rng),
        };
        self.fit(family, &mut night);
        (family, night)
    }

    /// What the options of the case make of a night that was drawn.
    fn fit(&self, family: Family, night: &mut Scenario) {
        if let Some(hours) = self.hours.filter(|_| !family.drags()) {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "at most ten hours, and never negative"
            )]
            let seconds = (hours * 3600.0) as u32;
            night.duration_s = night.duration_s.min(seconds);
        }
        let sensors = &mut night.sensors;
        let receiver = &mut sensors.receiver;
        receiver.interval_s = self.fix_interval_s;
        receiver.slow.0 *= self.noise;
        receiver.quick.0 *= self.noise;
        receiver.white_m *= self.noise;
        receiver.doppler = receiver.doppler.filter(|_| self.carried.doppler);
        sensors.compass = sensors.compass.filter(|_| self.carried.heading);
        sensors.anemometer = sensors.anemometer.filter(|_| self.carried.wind);
        sensors.sounder = sensors.sounder.filter(|_| self.carried.depth);
        night.drop = night.drop.filter(|_| self.carried.drop);
        if let (AnchorStory::Goes(going), Some(speed)) = (&mut night.anchor, self.drag_speed) {
            going.speed_ms = speed.as_metres_per_second();
        }
    }
}
