//! What would mend it, each as an order that can be carried out.

use windrode_domain::plan::sheet::{MarkAt, Remedy};

use super::figures::{Toward, bearing, force, length_long, rode_length_long, speed};
use super::{Voice, mark, plain};

/// One remedy as a sentence in the imperative.
pub(crate) fn remedy(what: &Remedy, voice: &Voice) -> String {
    match what {
        Remedy::VeerTo { length, more, mark } => format!(
            "Veer to {} in all, {} more{}.",
            rode_length_long(*length, Toward::More, voice),
            rode_length_long(*more, Toward::More, voice),
            in_marks(mark.as_ref(), voice),
        ),
        Remedy::ShortenTo { length, mark } => format!(
            "Shorten to {} in all{}.",
            rode_length_long(*length, Toward::Less, voice),
            in_marks(mark.as_ref(), voice)
        ),
        Remedy::LeaveBefore(at) => format!("Leave before {}.", voice.clock.time(*at)),
        Remedy::ComeAfter(at) => format!("Come no earlier than {}.", voice.clock.time_up(*at)),
        Remedy::StandsGust(gust) => {
            format!("Leave if more than {} is forecast in gusts.", speed(*gust, Toward::Less, voice))
        }
        Remedy::LieFarther { towards, by } => {
            format!("Lie {} farther to {}.", length_long(*by, Toward::More, voice), bearing(*towards))
        }
        Remedy::DeeperBy(by) => {
            format!("Lie in {} more charted depth.", length_long(*by, Toward::More, voice))
        }
        Remedy::SetAt(load) => {
            format!("Set her to {} at the anchor before you trust her.", force(*load, Toward::More, voice))
        }
        Remedy::Snubber(long) => format!("Rig a snubber of {}.", length_long(*long, Toward::More, voice)),
        Remedy::StrongerPart(load) => {
            format!("Fit one with a working load of at least {}.", force(*load, Toward::More, voice))
        }
        Remedy::FindOut(what) => format!("Find out: {}.", plain(what).trim_end_matches('.')),
        Remedy::AnotherBerth => "Find another berth: nothing aboard mends this.".to_owned(),
    }
}

fn in_marks(at: Option<&MarkAt>, voice: &Voice) -> String {
    at.map_or_else(String::new, |at| format!(": to {}", mark(at, voice)))
}

#[cfg(test)]
mod tests {
    use windrode_domain::units::{Bearing, Force, Length, Speed};

    use super::*;
    use crate::sample::{after, voice};

    // A regression guard on wording, read through by hand.
    #[test]
    fn every_remedy_is_an_order_with_its_figure() {
        let all = [
            Remedy::VeerTo { length: Length::metres(52.0), more: Length::metres(10.0), mark: None },
            Remedy::ShortenTo { length: Length::metres(30.2), mark: None },
            Remedy::LeaveBefore(after(9.51)),
            Remedy::ComeAfter(after(9.51)),
            Remedy::StandsGust(Speed::knots(41.9)),
            Remedy::LieFarther { towards: Bearing::degrees(45.0), by: Length::metres(24.2) },
            Remedy::DeeperBy(Length::metres(0.71)),
            Remedy::SetAt(Force::newtons(4401.0)),
            Remedy::Snubber(Length::metres(9.0)),
            Remedy::StrongerPart(Force::newtons(9801.0)),
            Remedy::FindOut("the nature of the bottom.".to_owned()),
            Remedy::AnotherBerth,
        ];
        let told: Vec<String> = all.iter().map(|what| remedy(what, &voice())).collect();
        insta::assert_snapshot!(told.join("\n"), @r#"
        Veer to 52 metres in all, 10 metres more.
        Shorten to 30 metres in all.
        Leave before Sat 03:30.
        Come no earlier than Sat 03:31.
        Leave if more than 41 kn is forecast in gusts.
        Lie 25 metres farther to NE (045°).
        Lie in 0.8 metres more charted depth.
        Set her to 441 daN at the anchor before you trust her.
        Rig a snubber of 9 metres.
        Fit one with a working load of at least 981 daN.
        Find out: the nature of the bottom.
        Find another berth: nothing aboard mends this.
        "#);
    }
}
