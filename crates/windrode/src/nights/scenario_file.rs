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
use windrode_domain::simulate::ais_neighbour::Transponder;
use windrode_domain::simulate::anchor_in_ground::AnchorStory;
use windrode_domain::simulate::family::{Ranges, Variation};
use windrode_domain::simulate::{Family, Scenario};
use windrode_domain::units::Speed;

use super::recorded_noise;
use crate::files::choices::choice;
use crate::files::source::{Problem, Source};
use crate::files::toml_reading::{Section, Within, nearest, read};
use crate::recording::{self, own_boat, table};

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
    /// She is a vessel near by, seen by her transponder alone; its word, and what it is.
    pub(crate) neighbour: Option<(&'static str, Transponder)>,
    /// She is a ship.
    pub(crate) ship: bool,
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
const VARIATIONS: [(&str, Variation); 10] = [
    ("swell", Variation::Swell),
    ("rope-rode", Variation::RopeRode),
    ("long-boat", Variation::LongBoat),
    ("deep-water", Variation::DeepWater),
    ("catamaran", Variation::Catamaran),
    ("wrong-windage", Variation::WrongWindage),
    ("stuck-wind", Variation::StuckWind),
    ("flipped-heading", Variation::FlippedHeading),
    ("frozen-heading", Variation::FrozenHeading),
    ("static-hold", Variation::StaticHold),
];

/// Transponders by their words.
const TRANSPONDERS: [(&str, Transponder); 2] =
    [("class A", Transponder::ClassA), ("class B", Transponder::ClassB)];

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
    let mut cases = file.may("case").sections(|section| case(section, families.as_deref(), hours));
    if cases.is_empty() && !file.has_any(&["case"]) {
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
    section.may("hours").share(Within::new(0.5, 10.0))
}

/// A case, if it could be read.
fn case(section: &Section<'_>, usual: Option<&[Family]>, hours_of_all: Option<f64>) -> Option<Case> {
    let name = section.want("name", "what the case is called, in quotes").text();
    let own = families(section);
    let hours = hours(section).or(hours_of_all);
    let variation =
        section.may("variation").word(&VARIATIONS.each_ref().map(|(word, _)| choice(word, *word, "")));
    let noise_recorded = recorded_noise(section);
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
    let neighbour =
        section.may("neighbour").word(&TRANSPONDERS.map(|(word, what)| choice(word, (word, what), "")));
    let ship = section.may("ship").flag().unwrap_or(false);
    if ship && neighbour.is_none() {
        section.refuse("has ship without neighbour (give neighbour, for a watch aboard knows no ship)");
    }
    if neighbour.is_some() {
        let own = ["heading", "doppler", "depth", "drop", "rode", "fix_interval"];
        section.refuse_beside("a vessel that is seen by her transponder", &own);
    }
    let Some(families) = own.or_else(|| usual.map(<[Family]>::to_vec)) else {
        if !section.has_any(&["families"]) {
            section.refuse("names no kind of night (give families, here or above the cases)");
        }
        return None;
    };
    let known = |word: &'static str| VARIATIONS.into_iter().find(|(known, _)| *known == word);
    Some(Case {
        variation: noise_recorded.or_else(|| variation.and_then(known)),
        carried,
        fix_interval_s: interval.and_then(|long| u32::try_from(long.as_secs()).ok()).unwrap_or(1).max(1),
        noise: noise.unwrap_or(1.0),
        drag_speed,
        neighbour,
        ship,
        ..Case::plain(name?, families, hours)
    })
}

/// Errors of a receiver from a recording beside the scenario file; only one variation can be.
fn recorded_noise(section: &Section<'_>) -> Option<(&'static str, Variation)> {
    let file = section.may("recorded_noise").located_text();
    let part = section.may("recorded_segment").text();
    if file.is_none() && section.has_any(&["recorded_segment"]) {
        section.refuse("has recorded_segment without recorded_noise (name the file)");
    }
    section.one_of(&["variation", "recorded_noise"]);
    let file = file?;
    let path = section.beside(&file.value);
    let name = path.display().to_string();
    let read = || -> Result<Variation, String> {
        let bytes = recording::bytes_of(&path)?;
        let mut table = table::read(&name, &bytes).map_err(|problems| problems.join("; "))?;
        own_boat::part(&mut table, part.as_deref()).map_err(|problem| format!("{name}: {problem}"))?;
        let errors = recorded_noise::errors(&table).map_err(|problem| format!("{name}: {problem}"))?;
        Ok(Variation::RecordedNoise(errors))
    };
    match read() {
        Ok(variation) => Some(("recorded-noise", variation)),
        Err(problem) => {
            section.report(file.problem(problem));
            None
        }
    }
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
            neighbour: None,
            ship: false,
        }
    }

    /// The night of a number: kinds take turns.
    pub(super) fn draw<R: Rng + ?Sized>(&self, number: u32, rng: &mut R) -> (Family, Scenario) {
        let turn = usize::try_from(number).unwrap_or(0) % self.families.len().max(1);
        let family = self.families.get(turn).copied().unwrap_or(Family::Steady);
        let mut night = match &self.variation {
            Some((_, variation)) => variation.draw(family, rng),
            None if self.ship => family.draw_from(&Ranges::ships(), rng),
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
        if let (AnchorStory::Goes(going), Some(speed)) = (&mut night.anchor, self.drag_speed) {
            going.speed_ms = speed.as_metres_per_second();
        }
        let sensors = &mut night.sensors;
        let receiver = &mut sensors.receiver;
        receiver.slow.0 *= self.noise;
        receiver.quick.0 *= self.noise;
        receiver.white_m *= self.noise;
        if self.neighbour.is_some() {
            // Her own instruments are hers, whatever ours are.
            return;
        }
        receiver.interval_s = self.fix_interval_s;
        receiver.doppler = receiver.doppler.filter(|_| self.carried.doppler);
        sensors.compass = sensors.compass.filter(|_| self.carried.heading);
        sensors.anemometer = sensors.anemometer.filter(|_| self.carried.wind);
        sensors.sounder = sensors.sounder.filter(|_| self.carried.depth);
        night.drop = night.drop.filter(|_| self.carried.drop);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_examples_are_sound() {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/nights");
        let mut seen = 0;
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            let told = std::fs::read_to_string(&path).unwrap().matches("\n[[case]]").count().max(1);
            let file = load(&path).unwrap_or_else(|problems| panic!("{problems:?}"));
            assert_eq!(file.cases.len(), told, "{}", path.display());
            seen += 1;
        }
        assert!(3 < seen);
    }

    #[test]
    fn kinds_may_be_named_together_and_each_counts_once() {
        let source =
            Source::of_text(Path::new("x.toml"), "families = [\"steady\", \"stress-mix\"]".to_owned());
        let read = read(&source, file).unwrap();
        assert_eq!(read.cases[0].families, Family::QUIET);
        assert_eq!(read.cases[0].name, "as drawn");
    }

    #[test]
    fn what_is_not_aboard_is_taken_out_of_the_night() {
        use rand_pcg::Pcg64;
        let text = "families = [\"half-knot\"]\n[[case]]\nname = \"x\"\nwind = false\ndrop = false\n\
                    fix_interval = \"10 s\"\ndrag_speed = \"1 kn\"\nnoise = 2";
        let source = Source::of_text(Path::new("x.toml"), text.to_owned());
        let read = read(&source, file).unwrap();
        let (family, night) = read.cases[0].draw(0, &mut Pcg64::new(1, 0));
        let usual = Family::HalfKnot.draw(&mut Pcg64::new(1, 0));
        assert_eq!(family, Family::HalfKnot);
        assert!(
            night.drop.is_none() && night.sensors.anemometer.is_none() && night.sensors.compass.is_some()
        );
        assert_eq!(night.sensors.receiver.interval_s, 10);
        assert!((night.sensors.receiver.white_m - 2.0 * usual.sensors.receiver.white_m).abs() < 1e-12);
        assert_eq!(night.boat, usual.boat);
        let AnchorStory::Goes(going) = night.anchor else { panic!("it goes") };
        assert!((going.speed_ms - 1852.0 / 3600.0).abs() < 1e-12);
    }
}
