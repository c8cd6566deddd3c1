//! The boat with her windage: what the crew measured, and the estimate by kind and length for the rest.

use windrode_domain::boat::{Boat, Windage};
use windrode_domain::environment::windage;
use windrode_domain::uncertain::{Lognormal, Z90};
use windrode_domain::units::Length;

use super::problem;
use crate::files::source::Problem;
use crate::files::stay::StayFile;
use crate::files::vessel::VesselFile;

/// The boat; the problem is told where her dimensions give no windage.
pub(super) fn boat(vessel: &VesselFile, stay: &StayFile, problems: &mut Vec<Problem>) -> Option<Boat> {
    let made = windage_of(vessel);
    if made.is_none() {
        let text = format!("of {} gives no windage (check [hull] and [windage] of her file)", vessel.name);
        problems.push(problem(stay, "stay.vessel", text));
    }
    made.map(|windage| vessel.boat(windage))
}

pub(super) fn windage_of(vessel: &VesselFile) -> Option<Windage> {
    let told = vessel.windage;
    let assumed = windage::assumed(vessel.hull.kind, vessel.hull.length_overall)?;
    let beam_ratio = told.beam_ratio.unwrap_or(assumed.beam_ratio);
    let centroid: Length = told.centroid.unwrap_or(assumed.centroid);
    let base = match told.drag_area {
        Some(area) => windage::given(area.as_square_metres(), beam_ratio, centroid)?,
        None => Windage { beam_ratio, centroid, ..assumed },
    };
    // Told as a factor either way, one time in ten each: the 90th percentile over the median.
    let spread = told.spread.map(|spread| Lognormal::new(base.head_on_m2.median(), spread.ln() / Z90));
    Some(Windage { head_on_m2: spread.unwrap_or(Some(base.head_on_m2))?, ..base })
}
