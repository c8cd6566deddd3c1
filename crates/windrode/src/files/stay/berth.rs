//! `[depth]` and `[ground]`.

use super::super::times::Zone;
use super::super::toml_reading::{Section, Within};
use super::{DepthGiven, DepthKnown, GroundGiven};

/// Depths that small craft anchor in, and a drying height or a reading of nothing, m.
const DEPTHS: Within = Within::new(-12.0, 100.0);

/// Depth, by the chart or by a sounding.
pub(super) fn depth(section: &Section<'_>, zone: &Zone) -> DepthGiven {
    section.one_of(&["charted", "sounding"]);
    let charted = section.may("charted").length(DEPTHS).map(DepthKnown::Charted);
    let sounding = section.may("sounding").section(|sounding| {
        let reading =
            sounding.want("reading", "what the sounder shows, as \"7 m\"").length(Within::new(0.0, 100.0));
        let at = sounding.want("at", "when it showed it").time(zone);
        Some(DepthKnown::Sounding { reading: reading?, at: at? })
    });
    let slope = section.may("slope").angle(Within::new(0.0, 30.0));
    let uphill = section.may("uphill").bearing();
    DepthGiven { known: charted.or(sounding), slope, uphill }
}

/// Nature of the bottom, and whether it may be anchored on.
pub(super) fn ground(section: &Section<'_>) -> GroundGiven {
    GroundGiven {
        nature: section.may("nature").located_texts(),
        quality: section.may("quality").located_texts(),
        weed: section.may("weed").located_text(),
        forbidden: section.may("forbidden").text(),
    }
}
