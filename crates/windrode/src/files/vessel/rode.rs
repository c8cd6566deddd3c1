//! `[[rode]]` and `[[snubber]]`: stretches of chain and rope, and the marks on them.

use windrode_domain::tackle::chain::ChainKind;
use windrode_domain::tackle::makers_figures::MakersFigures;
use windrode_domain::tackle::rope::{RopeConstruction, RopeKind, Termination};
use windrode_domain::tackle::{Marks, Rode, Snubber, SnubberLegs, Stretch};
use windrode_domain::units::Length;

use super::super::toml_reading::{Section, Within};
use super::SnubberAboard;
use crate::files::choices;

/// One rode.
pub(super) fn rode(section: &Section<'_>) -> Option<Rode> {
    let name = section.want("name", "what the crew call it").text();
    let marks = section.may("marks").section(marks);
    let stretches =
        section.want_sections("stretch", "at least one [[rode.stretch]], from the anchor up", stretch);
    Some(Rode { name: name?, stretches, marks })
}

fn marks(section: &Section<'_>) -> Option<Marks> {
    let every = section
        .want("every", "the length from one mark to the next, as \"10 m\"")
        .length(Within::new(0.5, 60.0));
    let looks = section.want("looks", "how the marks look, from the anchor on, as [\"red\", \"white\"]");
    let looks: Vec<String> = looks.located_texts().into_iter().map(|look| look.value).collect();
    if looks.is_empty() {
        section.refuse("says no looks (give at least one, as looks = [\"red\"])");
        return None;
    }
    Some(Marks { every: every?, looks })
}

/// One stretch of chain or rope.
fn stretch(section: &Section<'_>) -> Option<Stretch> {
    let stuff = Told::of(section);
    let length = section.want("length", "its length, as \"60 m\"").length(Within::new(0.1, 500.0));
    stuff?.made_up(section, length?)
}

/// One snubber or bridle.
pub(super) fn snubber(section: &Section<'_>) -> Option<SnubberAboard> {
    let name = section.want("name", "what the crew call it").text();
    let stuff = Told::of(section);
    let length = section
        .want("length", "its length, for a bridle that of one leg, as \"9 m\"")
        .length(Within::new(0.5, 60.0));
    let bridle = section.want("legs", "\"single\" or \"bridle\"").word(&choices::LEGS);
    let spread = section.may("spread").length(Within::new(0.3, 14.0));
    let height = section
        .want("height", "the height above the water where it is made fast or led over")
        .length(Within::new(0.0, 6.0));
    let bridle = bridle?;
    if !bridle {
        section.refuse_beside("a single leg", &["spread"]);
    }
    let legs = match (bridle, spread) {
        (false, _) => SnubberLegs::Single,
        (true, Some(spread)) => SnubberLegs::Bridle { spread },
        (true, None) => {
            section.refuse("is a bridle whose spread is not known (give spread, from one bow to the other)");
            return None;
        }
    };
    let leg = stuff?.made_up(section, length?)?;
    Some(SnubberAboard { name: name?, snubber: Snubber { leg, legs, height: height? } })
}

/// Chain or rope as the file tells it, with what its maker states.
struct Told {
    kind: Kind,
    makers: MakersFigures,
}

enum Kind {
    Chain(ChainKind),
    Rope(RopeKind),
}

impl Told {
    fn of(section: &Section<'_>) -> Option<Self> {
        let makers = makers_figures(section);
        let chain = chain(section);
        let rope = rope(section);
        let told = ["chain", "rope"];
        if !section.one_of(&told) {
            if !section.has_any(&told) {
                section.refuse(
                    "is neither chain nor rope (give chain = \"10 mm\", or rope = \"polyamide\" and its diameter)",
                );
            }
            return None;
        }
        if section.has_any(&["chain"]) {
            section.refuse_beside("chain", &["diameter", "construction", "ends"]);
        } else {
            section.refuse_beside("rope", &["grade", "standard"]);
        }
        let kind = chain.map(Kind::Chain).or(rope.map(Kind::Rope))?;
        Some(Self { kind, makers })
    }

    fn made_up(&self, section: &Section<'_>, length: Length) -> Option<Stretch> {
        let made = match self.kind {
            Kind::Chain(kind) => Stretch::chain(kind, length, self.makers),
            Kind::Rope(kind) => Stretch::rope(kind, length, self.makers),
        };
        match made {
            Ok(stretch) => Some(stretch),
            Err(error) => {
                section.refuse(error.to_string());
                None
            }
        }
    }
}

fn makers_figures(section: &Section<'_>) -> MakersFigures {
    let strong = Within::new(100.0, 5_000_000.0);
    MakersFigures {
        mass: section.may("mass_per_metre").mass_per_length(Within::new(0.005, 60.0)),
        weight: section.may("weight_in_water").weight_per_length(Within::new(-50.0, 600.0)),
        breaking_load: section.may("breaking_load").force(strong),
        working_load: section.may("working_load").force(strong),
        stiffness: section.may("stiffness").force(Within::new(1000.0, 5e8)),
    }
}

fn chain(section: &Section<'_>) -> Option<ChainKind> {
    let size = section.may("chain").size(Within::new(4.0, 40.0));
    let grade = section.may("grade");
    let grade_told = grade.count(30, 70).and_then(|number| {
        let known = choices::GRADES.iter().find(|choice| choice.word == number.to_string());
        let refused = "is not a grade held here (30, 40 or 70; for others give breaking_load)";
        known.map(|choice| choice.is).or_else(|| grade.refuse(refused))
    });
    let standard = section.may("standard").word(&choices::STANDARDS);
    Some(ChainKind { size: size?, grade: grade_told, standard })
}

fn rope(section: &Section<'_>) -> Option<RopeKind> {
    let rope = section.may("rope");
    let told = !rope.is_absent();
    let fibre = rope.word(&choices::FIBRES);
    let diameter = section.may("diameter");
    if told && diameter.is_absent() {
        section.refuse("is rope without a diameter (give diameter = \"14 mm\")");
    }
    let diameter = diameter.size(Within::new(4.0, 80.0));
    let construction = section.may("construction").word(&choices::LAYS);
    // Knots are what is made when nothing is said, and leave least.
    let ends = section.may("ends").word(&choices::ENDS).unwrap_or(Termination::Knotted);
    Some(RopeKind {
        fibre: fibre?,
        diameter: diameter?,
        construction: construction.unwrap_or(RopeConstruction::ThreeStrand),
        termination: ends,
    })
}
