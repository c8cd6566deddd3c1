//! `[hull]`: her kind, her dimensions, the height of her bow roller.

use windrode_domain::boat::Hull;
use windrode_domain::units::Length;

use super::super::toml_reading::{Section, Within};
use crate::files::choices;

/// Hull and height of the bow roller.
pub(super) fn hull(section: &Section<'_>) -> Option<(Hull, Length)> {
    let kind = section.want("kind", "\"monohull sail\", \"motor\" or \"multihull\"").word(&choices::HULLS);
    let long = Within::new(3.0, 40.0);
    let length_overall = section.want("length_overall", "her length over all, as \"13.0 m\"").length(long);
    let waterline_length = section.want("waterline_length", "her length on the waterline").length(long);
    let beam = section.want("beam", "her greatest beam").length(Within::new(0.8, 15.0));
    let deep = Within::new(0.1, 6.0);
    let draught = section.want("draught", "her deepest draught, keel down").length(deep);
    let canoe_draught = section
        .want(
            "canoe_draught",
            "the draught of the hull without its keel; where there is no keel, the draught",
        )
        .length(deep);
    let displacement = section
        .want("displacement", "her displacement as she lies, as \"9.5 t\"")
        .mass(Within::new(200.0, 200_000.0));
    let roller_height = section
        .want("roller_height", "the height of the bow roller above the water")
        .length(Within::new(0.1, 6.0));
    let hull = Hull {
        kind: kind?,
        length_overall: length_overall?,
        waterline_length: waterline_length?,
        beam: beam?,
        draught: draught?,
        canoe_draught: canoe_draught?,
        displacement: displacement?,
    };
    match hull.checked() {
        Ok(hull) => Some((hull, roller_height?)),
        Err(errors) => {
            for error in errors {
                section.refuse(format!("{error} (check both figures)"));
            }
            None
        }
    }
}
