//! From a plan to what a watch is given: the boat, where the anchor lies, the rode that is out, and what is foretold.
//!
//! Whatever the plan could not know stays unknown here. The place of the stay is where the anchor is *to* lie; that it
//! lies there is the crew's word, so that its spread is wide unless they told the drop itself.

use jiff::Timestamp;
use windrode_domain::boat::HullKind;
use windrode_domain::depth::TideHeight;
use windrode_domain::plan::inputs::Inputs;
use windrode_domain::plan::riding::rode_out;
use windrode_domain::plan::sheet::{Instant, Sheet};
use windrode_domain::position::Position;
use windrode_domain::set::equivalent_wind;
use windrode_domain::units::{Area, Length};
use windrode_domain::watch::given::{Drop, Expected, ExpectedAt, Given, RodeOut, WatchLimits, WatchedBoat};

use super::water::height_at;

/// Spread of a drop that the crew marked: a receiver's error, and the way between antenna and roller in the minute of
/// letting go. Assumed.
const TOLD_DROP_SPREAD: Length = Length::metres(5.0);
/// Spread of the place that the stay names: read off a chart, or chosen before anchoring. Assumed.
const PLANNED_DROP_SPREAD: Length = Length::metres(15.0);
/// Share by which a length told by marks on the rode is off, one standard deviation. Common practice, no source: marks
/// stand every five or ten metres, and the water's height comes off a length told at the roller.
const RODE_SPREAD: f64 = 0.05;
/// Seconds of silence that are usual, where the instrument's own rhythm does not say more.
const SILENCE_S: f64 = 60.0;
/// A turn of the wind that a crew wants to hear of: four points of the compass, beyond which the shore that gave
/// shelter may lie to leeward. Common practice, no source.
const WIND_SHIFT_DEG: f64 = 45.0;

/// What the crew tell beside the stay.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct ToldBeside {
    /// Where the anchor was let go.
    pub(crate) drop: Option<Position>,
    /// The rode that is out.
    pub(crate) rode: Option<Length>,
    /// Battery below which it rings, V.
    pub(crate) battery_v: Option<f64>,
}

/// What a watch of this stay, taken at this instant, is given.
pub(crate) fn given(inputs: &Inputs, sheet: &Sheet, told: ToldBeside, from: Timestamp) -> Given {
    let boat = &inputs.boat;
    Given {
        from,
        boat: WatchedBoat {
            length: Some(boat.hull.length_overall),
            antenna: boat.antenna,
            drag_area_m2: Some(boat.windage.head_on_m2),
            roller_height: Some(boat.roller_height),
            draught: Some(boat.hull.draught),
            multihull: Some(boat.hull.kind == HullKind::Multihull),
        },
        drop: Some(drop(inputs, told)),
        rode: rode(inputs, sheet, told),
        depth: depth(inputs, from),
        expected: Some(expected(inputs, sheet)),
        limits: WatchLimits {
            under_keel: inputs.limits.under_keel_refuse,
            battery_v: told.battery_v,
            silence_s: SILENCE_S,
            neighbour: inputs.limits.room_refuse,
            wind_shift_deg: WIND_SHIFT_DEG,
        },
    }
}

fn drop(inputs: &Inputs, told: ToldBeside) -> Drop {
    match told.drop {
        Some(at) => Drop { at, spread: TOLD_DROP_SPREAD },
        None => Drop { at: inputs.anchor_at, spread: PLANNED_DROP_SPREAD },
    }
}

/// The rode that the crew say is out, or that the sheet had them veer; nothing where it cannot be.
fn rode(inputs: &Inputs, sheet: &Sheet, told: ToldBeside) -> Option<RodeOut> {
    let length = told.rode.or(inputs.veered).or(sheet.veer.as_ref().map(|veer| veer.length))?;
    let line = rode_out(&inputs.gear, length).ok()?;
    Some(RodeOut { line, spread: RODE_SPREAD })
}

/// Water at the anchor when the watch is taken, if depth and tide of that time are known.
fn depth(inputs: &Inputs, from: Timestamp) -> Option<Length> {
    let tide: TideHeight = height_at(&inputs.tide, from)?;
    Some(inputs.depth?.charted.at(tide).0 + inputs.residual.mean)
}

fn expected(inputs: &Inputs, sheet: &Sheet) -> Expected {
    let proved_load = inputs.proof.as_ref().map(|proof| proof.load.quantile(0.1));
    let area = Area::square_metres(inputs.boat.windage.head_on_m2.quantile(0.9));
    Expected {
        steps: sheet.instants.iter().map(expected_at).collect(),
        proved_wind: sheet.proved_gust.or_else(|| equivalent_wind(proved_load?, area)),
        proved_load,
        verdict: Some(sheet.verdict),
        limits: inputs.limits,
    }
}

fn expected_at(instant: &Instant) -> ExpectedAt {
    let wind = instant.riding.map(|riding| riding.wind);
    ExpectedAt {
        at: instant.at,
        tide: instant.tide,
        water: instant.water,
        mean: wind.map(|wind| wind.mean),
        gust: wind.map(|wind| wind.gust),
        from: wind.and_then(|wind| wind.from),
    }
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use windrode_domain::plan;

    use super::*;
    use crate::{assemble, files};

    fn example() -> (Inputs, Sheet) {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/stays/corrant-bay.toml");
        let inputs =
            assemble::inputs(&files::load_stay(&path, None).expect("the example reads")).expect("assembled");
        let sheet = plan::plan(&inputs);
        (inputs, sheet)
    }

    #[test]
    fn a_watch_expects_what_the_sheet_foretells() {
        let (inputs, sheet) = example();
        let from = inputs.span.from();
        let given = given(&inputs, &sheet, ToldBeside::default(), from);
        let expected = given.expected.expect("foretold");
        assert_eq!(expected.steps.len(), sheet.instants.len());
        assert_eq!(expected.verdict, Some(sheet.verdict));
        // The depth of the watch is the sheet's water of that instant, with what pressure adds.
        let water = sheet.instants.first().and_then(|instant| instant.water).expect("known");
        let more = given.depth.expect("known") - water;
        assert!(more.abs() < Length::metres(0.1), "{more}");
        let veered = sheet.veer.expect("a length").length;
        assert!(veered <= given.rode.expect("a rode").line.length());
    }

    #[test]
    fn what_the_crew_tell_beside_the_stay_wins() {
        let (inputs, sheet) = example();
        let there = inputs.anchor_at.at(Length::metres(30.0), windrode_domain::units::Bearing::degrees(90.0));
        let told = ToldBeside { drop: Some(there), rode: Some(Length::metres(25.0)), battery_v: Some(11.9) };
        let given = given(&inputs, &sheet, told, inputs.span.from());
        assert_eq!(given.drop.expect("a drop").at, there);
        let snubber = inputs.gear.snubber.as_ref().map_or(Length::ZERO, |it| it.leg.length);
        let out = given.rode.expect("a rode").line.length();
        assert!((out - Length::metres(25.0)).abs() <= snubber + Length::metres(1e-6), "{out}");
        assert_eq!(given.limits.battery_v, Some(11.9));
    }
}
