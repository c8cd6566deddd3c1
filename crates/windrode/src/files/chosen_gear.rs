//! What of her gear a stay uses: the anchor, rode and snubber that its file names, with all that joins them.

use windrode_domain::tackle::{Gear, StrongPoint};

use super::source::{Located, Problem};
use super::stay::{SnubberChoice, StayFile};
use super::vessel::VesselFile;

/// The gear of a stay.
///
/// # Errors
/// Every name that she does not carry, and every choice that is not made where she carries several.
pub(crate) fn chosen_gear(stay: &StayFile, vessel: &VesselFile) -> Result<Gear, Vec<Problem>> {
    let mut problems = Vec::new();
    let anchor = chosen(stay, "anchor", stay.anchor.as_ref(), &vessel.anchors, |anchor| &anchor.name);
    let rode = chosen(stay, "rode", stay.rode.as_ref(), &vessel.rodes, |rode| &rode.name);
    let snubber = chosen_snubber(stay, vessel);
    let (anchor, rode, snubber) = match (anchor, rode, snubber) {
        (Ok(anchor), Ok(rode), Ok(snubber)) => (anchor, rode, snubber),
        (anchor, rode, snubber) => {
            problems.extend([anchor.err(), rode.err(), snubber.err()].into_iter().flatten());
            return Err(problems);
        }
    };
    problems.extend(kellets_beyond(stay, rode.length().as_metres()));
    if !problems.is_empty() {
        return Err(problems);
    }
    let belongs = |named: &Option<Located<String>>| named.as_ref().is_none_or(|name| name.value == rode.name);
    let connectors = vessel.connectors.iter().filter(|aboard| belongs(&aboard.rode));
    Ok(Gear {
        anchor: anchor.clone(),
        rode: rode.clone(),
        connectors: connectors.map(|aboard| aboard.connector.clone()).collect(),
        snubber: snubber.map(|aboard| aboard.snubber.clone()),
        cleat: vessel.cleat.clone(),
        windlass: vessel.windlass.as_ref().map(|windlass| StrongPoint { ..windlass.strong_point.clone() }),
        kellets: stay.kellets.clone(),
    })
}

fn chosen<'v, T>(
    stay: &StayFile,
    what: &str,
    named: Option<&Located<String>>,
    aboard: &'v [T],
    name: impl Fn(&T) -> &String,
) -> Result<&'v T, Problem> {
    let names = || aboard.iter().map(|item| format!("\"{}\"", name(item))).collect::<Vec<_>>().join(", ");
    match (named, aboard) {
        (Some(named), _) => aboard.iter().find(|item| *name(item) == named.value).ok_or_else(|| {
            named.problem(format!("\"{}\" is no {what} of hers (she has {})", named.value, names()))
        }),
        (None, [only]) => Ok(only),
        (None, _) => Err(stay.vessel.problem(format!(
            "has several of [[{what}]], and the stay does not say which (give {what} in [stay]: {})",
            names()
        ))),
    }
}

fn chosen_snubber<'v>(
    stay: &StayFile,
    vessel: &'v VesselFile,
) -> Result<Option<&'v super::vessel::SnubberAboard>, Problem> {
    match &stay.snubber {
        SnubberChoice::NoneUsed => Ok(None),
        SnubberChoice::Unsaid if vessel.snubbers.is_empty() => Ok(None),
        SnubberChoice::Unsaid => {
            chosen(stay, "snubber", None, &vessel.snubbers, |snubber| &snubber.name).map(Some)
        }
        SnubberChoice::Named(named) => {
            chosen(stay, "snubber", Some(named), &vessel.snubbers, |snubber| &snubber.name).map(Some)
        }
    }
}

fn kellets_beyond(stay: &StayFile, rode_m: f64) -> impl Iterator<Item = Problem> {
    stay.kellets.iter().filter(move |kellet| rode_m < kellet.from_anchor.as_metres()).map(move |kellet| {
        stay.vessel.problem(format!(
            "has {rode_m:.1} m of that rode, and a kellet is to hang {} from the anchor (check from_anchor)",
            kellet.from_anchor
        ))
    })
}
