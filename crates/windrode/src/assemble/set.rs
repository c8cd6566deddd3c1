//! What the set proves, and what a dive saw.
//!
//! A proof must not flatter. Wind counts only if the forecast has it from ahead, stream never; with no figure for the
//! rode that was out, all of it is taken to have been out, which puts the most chain on the ground.

use windrode_domain::catenary::{Bed, CatenaryError, Kellet, Lie, Line, Segment};
use windrode_domain::environment::loads::air_drag;
use windrode_domain::environment::wind::{OPEN_SEA_ROUGHNESS, log_law};
use windrode_domain::holding::HoldingBand;
use windrode_domain::plan::inputs::{Foretold, Inputs};
use windrode_domain::propeller::{AsternPull, MeasuredPull, READING_SIGMA_LN, astern_pull};
use windrode_domain::seabed::Bottom;
use windrode_domain::set::{Dive, Outcome, PROVED_EITHER_WAY, SetTest, chain_friction, proof};
use windrode_domain::sourced::Confidence;
use windrode_domain::tackle::Gear;
use windrode_domain::uncertain::{Lognormal, Origin};
use windrode_domain::units::{Angle, Area, Bearing, Force, Length, Speed};

use super::{problem, water};
use crate::files::StayAboard;
use crate::files::choices::BURIALS;
use crate::files::source::Problem;
use crate::files::stay::{Astern, DiveGiven, SetGiven, StayFile};
use crate::files::toml_reading::nearest;
use crate::quantity;

/// Creeping further than this while it was held is coming home: a transit is not seen to move by less. Common
/// practice, no source.
const MOST_CREEP: Length = Length::metres(0.5);
/// Spread of the crew's reading of the wind, σ of the logarithm of its load: a tenth of the speed; assumed.
const WIND_READING_SIGMA_LN: f64 = 0.2;
/// A stream that runs against her pull at more than this takes from it what cannot be told.
const STREAM_AGAINST: Speed = Speed::knots(1.0);

/// Fills in the proof of the set, or why it has proved nothing.
pub(super) fn prove(aboard: &StayAboard, inputs: &mut Inputs, problems: &mut Vec<Problem>) {
    let Some(told) = aboard.stay.set else { return };
    let pull = pull(aboard, told.astern).map_err(|problem| problems.push(problem)).ok();
    if told.bearing.is_none() {
        let text = "is missing (give the true bearing from the anchor to the boat while it pulled)";
        problems.push(problem(&aboard.stay, "set.bearing", text));
    }
    let (Some(pull), Some(toward)) = (pull, told.bearing) else { return };
    match test(inputs, &told, pull, toward).and_then(|test| proof(&test).map_err(|why| why.to_string())) {
        Ok(proof) => inputs.proof = Some(proof),
        Err(why) => inputs.no_proof = Some(why),
    }
}

fn pull(aboard: &StayAboard, astern: Astern) -> Result<AsternPull, Problem> {
    let stay = &aboard.stay;
    match astern {
        Astern::Thrust(thrust) => {
            let newtons = Lognormal::new(thrust.as_newtons(), READING_SIGMA_LN);
            let newtons =
                newtons.ok_or_else(|| problem(stay, "set.thrust", "is no pull (leave [set] out)"))?;
            Ok(AsternPull { newtons, origin: Origin::Given, confidence: Confidence::Medium, stalled: false })
        }
        Astern::Rpm(rpm) => {
            let vessel = &aboard.vessel;
            let made = match (vessel.measured_astern, &vessel.engine) {
                (Some(measured), _) => MeasuredPull { pull: measured.pull, at_rpm: measured.rpm }.at(rpm),
                (None, Some(engine)) => astern_pull(engine, rpm),
                (None, None) => return Err(no_engine(stay, &vessel.name)),
            };
            made.map_err(|error| problem(stay, "set.astern_rpm", format!("{error} (or give thrust)")))
        }
    }
}

fn no_engine(stay: &StayFile, name: &str) -> Problem {
    let text =
        format!("says nothing: the file of {name} tells no engine (give her [engine], or thrust here)");
    problem(stay, "set.astern_rpm", text)
}

/// The set as it was made, or why it cannot be reckoned.
fn test(inputs: &Inputs, told: &SetGiven, pull: AsternPull, toward: Bearing) -> Result<SetTest, String> {
    let held_for = told.held.ok_or("how long the load was held is not said")?;
    let at = told.at.ok_or("when it was set is not said, so that the water of that time is not known")?;
    refuse_stream_against(inputs, at, toward)?;
    let tide = water::height_at(&inputs.tide, at);
    let (depth, tide) = inputs.depth.zip(tide).ok_or("the depth of water at the set is not known")?;
    let wind_n = wind_load(inputs, told, at, toward);
    let height = depth.charted.at(tide).0 + inputs.boat.roller_height;
    let veered = told.veered.or(inputs.veered).unwrap_or(inputs.gear.rode.length());
    let load = Force::newtons(pull.newtons.median() + wind_n.map_or(0.0, Lognormal::median));
    let cannot = |error: CatenaryError| format!("the rode cannot have lain so at the set: {error}");
    let line = line(&inputs.gear, veered).map_err(cannot)?;
    let lie = line.under_load(height, load, &Bed::LEVEL).map_err(cannot)?;
    Ok(SetTest {
        pull,
        wind_n,
        stream_n: None,
        chain_lying: lying(&line, &lie),
        friction: friction(inputs)?,
        toward,
        uplift: lie.uplift(),
        held_for,
        outcome: if told.creep.is_some_and(|creep| MOST_CREEP < creep) {
            Outcome::Crept
        } else {
            Outcome::Held
        },
    })
}

fn refuse_stream_against(inputs: &Inputs, at: jiff::Timestamp, toward: Bearing) -> Result<(), String> {
    let Foretold::Known(stream) = &inputs.stream else { return Ok(()) };
    let Ok(running) = stream.at(at) else { return Ok(()) };
    let against = running.sets_towards.is_some_and(|set| Angle::degrees(90.0) < toward.to(set).abs());
    if against && STREAM_AGAINST < running.speed {
        return Err(format!("a stream of {:.1} kn ran against her pull", running.speed.as_knots()));
    }
    Ok(())
}

/// Load of that minute's wind, if it is known to have blown from ahead.
fn wind_load(inputs: &Inputs, told: &SetGiven, at: jiff::Timestamp, toward: Bearing) -> Option<Lognormal> {
    let from = inputs.forecast.as_ref()?.at(at, inputs.exposure).ok()?.from?;
    if PROVED_EITHER_WAY < toward.to(from.reversed()).abs() {
        return None;
    }
    let windage = inputs.boat.windage;
    let wind = told.wind? * log_law(windage.centroid, OPEN_SEA_ROUGHNESS)?;
    let load = air_drag(Area::square_metres(windage.head_on_m2.median()), wind);
    Lognormal::new(load.as_newtons(), windage.head_on_m2.sigma_ln().hypot(WIND_READING_SIGMA_LN))
}

fn friction(inputs: &Inputs) -> Result<Lognormal, String> {
    let anchor = &inputs.gear.anchor;
    let seen = inputs.dive.as_ref().and_then(|dive| dive.ground.as_ref());
    let band = HoldingBand::on_bottom(anchor.class, anchor.mass, seen.unwrap_or(&inputs.bottom));
    let (low, high) = chain_friction(band.map_err(|error| error.to_string())?.bed).value;
    Lognormal::from_p10_p90(low, high).ok_or_else(|| "the friction of chain there is not known".to_owned())
}

/// The rode that is out, without the snubber: that is rigged after the set.
fn line(gear: &Gear, veered: Length) -> Result<Line, CatenaryError> {
    let segments = gear.rode.stretches.iter().map(|stretch| Segment {
        length: stretch.length,
        weight: stretch.weight,
        stiffness: stretch.stiffness,
    });
    let kellets = gear
        .kellets
        .iter()
        .map(|kellet| Kellet { from_anchor: kellet.from_anchor, weight: kellet.weight_in_water() });
    Ok(Line::new(segments.collect(), kellets.collect())?.first(veered)?)
}

/// Weight in water of what lies on the ground.
fn lying(line: &Line, lie: &Lie) -> Force {
    let resting_m = lie.grounded().as_metres();
    let mut from_m = 0.0;
    let chain_n = line.segments().iter().map(|segment| {
        let on_ground_m = (resting_m - from_m).clamp(0.0, segment.length.as_metres());
        from_m += segment.length.as_metres();
        (segment.weight * Length::metres(on_ground_m)).as_newtons().max(0.0)
    });
    let chain_n: f64 = chain_n.sum();
    let kellets = line.kellets().iter().filter(|kellet| kellet.from_anchor <= lie.grounded());
    Force::newtons(chain_n + kellets.map(|kellet| kellet.weight.as_newtons()).sum::<f64>())
}

/// What else a dive may tell, for the nearest word.
const OTHERS: [&str; 2] = ["on its side", "scar 5 m"];

/// What a dive saw: parts between commas, as "shank buried, scar 4 m, sand and weed".
pub(super) fn dive(told: &DiveGiven, charted: &Bottom, problems: &mut Vec<Problem>) -> Option<Dive> {
    let (mut burial, mut on_its_side, mut drag_scar, mut ground) = (None, false, None, None);
    for part in told.seen.value.split(',').map(|part| part.trim().to_lowercase()) {
        if let Some(found) = BURIALS.iter().find(|choice| choice.word == part) {
            burial = Some(found.is);
        } else if part == "on its side" {
            on_its_side = true;
        } else if let Some(length) = scar(&part) {
            drag_scar = Some(length);
        } else if let Some(seen) = ground_seen(&part, charted) {
            ground = Some(seen);
        } else {
            let known: Vec<&str> = BURIALS.iter().map(|choice| choice.word).chain(OTHERS).collect();
            let near = nearest(&part, &known);
            problems.push(told.seen.problem(format!("\"{part}\" is nothing that a dive tells ({near})")));
            return None;
        }
    }
    if burial.is_none() {
        let text = "does not say how deep it lies (say \"not buried\", \"tip\", \"flukes\", \"shank\" or \"out of sight\")";
        problems.push(told.seen.problem(text));
    }
    Some(Dive { burial: burial?, on_its_side, drag_scar, ground })
}

fn scar(part: &str) -> Option<Length> {
    let metres = quantity::LENGTH.read(part.strip_prefix("scar ")?).ok()?;
    (0.0 <= metres).then(|| Length::metres(metres))
}

/// Ground as seen; weed alone grows on what the chart has.
fn ground_seen(words: &str, charted: &Bottom) -> Option<Bottom> {
    let seen = Bottom::parse(words, Origin::Measured).ok()?;
    if !seen.natures.is_empty() {
        return Some(seen);
    }
    seen.weed.then(|| Bottom { weed: true, ..charted.clone() })
}
