//! A published minimum for whole vessels, to hold the gear aboard against.
//!
//! A code for small commercial vessels says by length what anchors, chain and rope a vessel must carry. It is no
//! judgement of a night: it knows neither ground nor wind. Its masses are for high-holding-power types and are to be
//! increased for high windage; its chain is short link to ISO 4565, its rope polyamide.
//!
//! Sources: SCV Code (Small Commercial Vessels, Caribbean), annex 7; the same masses stand in table 20.1 of the UK's
//! harmonised small-vessel code, which also fills the rope column from 15 m. The length is there a mean of length
//! over all and waterline (from memory). The rule on length of rode, four lengths or 30 m, the longer, and with rope
//! 10 m of chain or a fifth, is from memory; the text was not found.

use super::{Rode, Stuff};
use crate::boat::Hull;
use crate::units::{Length, Mass};

/// What the code asks of a vessel of a length.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PublishedMinimum {
    /// Length of the row, m.
    pub length_m: f64,
    /// Mass of the main anchor, kg.
    pub main_anchor_kg: f64,
    /// Mass of the kedge, kg.
    pub kedge_kg: f64,
    /// Size of the main anchor's chain, mm.
    pub main_chain_mm: f64,
    /// Diameter of the main anchor's rope, mm.
    pub main_rope_mm: f64,
    /// Size of the kedge's chain, mm.
    pub kedge_chain_mm: f64,
    /// Diameter of the kedge's rope, mm.
    pub kedge_rope_mm: f64,
}

const fn row(
    length_m: f64,
    [main, kedge]: [f64; 2],
    main_mm: [f64; 2],
    kedge_mm: [f64; 2],
) -> PublishedMinimum {
    PublishedMinimum {
        length_m,
        main_anchor_kg: main,
        kedge_kg: kedge,
        main_chain_mm: main_mm[0],
        main_rope_mm: main_mm[1],
        kedge_chain_mm: kedge_mm[0],
        kedge_rope_mm: kedge_mm[1],
    }
}

/// SCV Code, annex 7, from 8 m; the rows for 21 to 23 m are not held.
#[rustfmt::skip]
pub const PUBLISHED_MINIMA: [PublishedMinimum; 14] = [
    //   length  main  kedge     chain  rope    kedge's
    row( 8.0, [10.0,  5.0], [ 8.0, 12.0], [ 6.0, 10.0]),
    row( 9.0, [11.0,  5.0], [ 8.0, 12.0], [ 6.0, 10.0]),
    row(10.0, [13.0,  6.0], [ 8.0, 12.0], [ 6.0, 10.0]),
    row(11.0, [15.0,  7.0], [ 8.0, 12.0], [ 6.0, 10.0]),
    row(12.0, [18.0,  9.0], [ 8.0, 14.0], [ 8.0, 12.0]),
    row(13.0, [21.0, 10.0], [10.0, 14.0], [ 8.0, 12.0]),
    row(14.0, [24.0, 12.0], [10.0, 14.0], [ 8.0, 12.0]),
    row(15.0, [27.0, 13.0], [10.0, 14.0], [ 8.0, 12.0]),
    row(16.0, [30.0, 15.0], [10.0, 14.0], [ 8.0, 12.0]),
    row(17.0, [34.0, 17.0], [10.0, 14.0], [ 8.0, 14.0]),
    row(18.0, [38.0, 19.0], [10.0, 16.0], [ 8.0, 14.0]),
    row(19.0, [42.0, 21.0], [12.0, 16.0], [10.0, 14.0]),
    row(20.0, [47.0, 23.0], [12.0, 16.0], [10.0, 14.0]),
    row(24.0, [68.0, 34.0], [12.0, 19.0], [10.0, 16.0]),
];

/// Least length of rode whatever the vessel, m (from memory).
const LEAST_RODE_M: f64 = 30.0;
/// Least length of rode in lengths of the vessel (from memory).
const LEAST_RODE_LENGTHS: f64 = 4.0;
/// Chain before a rope, m, or a fifth of the rode, the lesser (from memory).
const LEAST_CHAIN_M: f64 = 10.0;
/// Chain before a rope as a part of the rode (from memory).
const LEAST_CHAIN_SHARE: f64 = 0.20;

/// Where gear falls short of the published minimum.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shortfall {
    /// The anchor is lighter.
    Anchor {
        /// Its mass.
        has: Mass,
        /// What is asked.
        asked: Mass,
    },
    /// A stretch of chain is thinner.
    Chain {
        /// Its size.
        has: Length,
        /// What is asked.
        asked: Length,
    },
    /// A stretch of rope is thinner.
    Rope {
        /// Its diameter.
        has: Length,
        /// What is asked.
        asked: Length,
    },
    /// The rode is shorter.
    RodeLength {
        /// Its length.
        has: Length,
        /// What is asked.
        asked: Length,
    },
    /// There is less chain before the rope.
    ChainLength {
        /// How much.
        has: Length,
        /// What is asked.
        asked: Length,
    },
}

/// The row for a hull: that of its mean length, or the next longer. `None` outside 7 to 24 m, where nothing is held.
pub fn published_minimum(hull: &Hull) -> Option<&'static PublishedMinimum> {
    let mean_m = (hull.length_overall + hull.waterline_length).as_metres() / 2.0;
    // A vessel shorter than the first row by less than the step between rows is judged by the first row.
    if !(7.0..).contains(&mean_m) {
        return None;
    }
    PUBLISHED_MINIMA.iter().find(|row| mean_m <= row.length_m)
}

/// Where a main anchor and its rode fall short of a row, for a vessel of a length over all.
pub fn shortfalls(
    minimum: &PublishedMinimum,
    length_overall: Length,
    anchor: Mass,
    rode: &Rode,
) -> Vec<Shortfall> {
    let mut found = Vec::new();
    let asked = Mass::kilograms(minimum.main_anchor_kg);
    if anchor < asked {
        found.push(Shortfall::Anchor { has: anchor, asked });
    }
    found.extend(rode.stretches.iter().filter_map(|stretch| thinner(minimum, stretch.stuff)));
    let asked = (length_overall * LEAST_RODE_LENGTHS).max(Length::metres(LEAST_RODE_M));
    if rode.length() < asked {
        found.push(Shortfall::RodeLength { has: rode.length(), asked });
    }
    if !rode.is_all_chain() {
        let chain = |stretch: &&super::Stretch| matches!(stretch.stuff, Stuff::Chain { .. });
        let has = rode.stretches.iter().filter(chain).map(|stretch| stretch.length).sum();
        let asked = (rode.length() * LEAST_CHAIN_SHARE).min(Length::metres(LEAST_CHAIN_M));
        if has < asked {
            found.push(Shortfall::ChainLength { has, asked });
        }
    }
    found
}

fn thinner(minimum: &PublishedMinimum, stuff: Stuff) -> Option<Shortfall> {
    let millimetre = |mm: f64| Length::metres(mm / 1000.0);
    match stuff {
        Stuff::Chain { size } => {
            let asked = millimetre(minimum.main_chain_mm);
            (size < asked).then_some(Shortfall::Chain { has: size, asked })
        }
        Stuff::Rope { diameter, .. } => {
            let asked = millimetre(minimum.main_rope_mm);
            (diameter < asked).then_some(Shortfall::Rope { has: diameter, asked })
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::chain::{ChainGrade, ChainKind};
    use super::super::makers_figures::MakersFigures;
    use super::super::rope::{RopeConstruction, RopeKind, Termination};
    use super::super::{RopeFibre, Stretch};
    use super::*;
    use crate::boat::HullKind;

    fn hull(overall_m: f64, waterline_m: f64) -> Hull {
        Hull {
            kind: HullKind::MonohullSail,
            length_overall: Length::metres(overall_m),
            waterline_length: Length::metres(waterline_m),
            beam: Length::metres(4.0),
            draught: Length::metres(2.0),
            canoe_draught: Length::metres(0.7),
            displacement: Mass::kilograms(9000.0),
        }
    }

    fn chain(size_mm: f64, length_m: f64) -> Stretch {
        let kind = ChainKind {
            size: Length::metres(size_mm / 1000.0),
            grade: Some(ChainGrade::G30),
            standard: None,
        };
        Stretch::chain(kind, Length::metres(length_m), MakersFigures::default()).unwrap()
    }

    fn rope(diameter_mm: f64, length_m: f64) -> Stretch {
        let kind = RopeKind {
            fibre: RopeFibre::Polyamide,
            diameter: Length::metres(diameter_mm / 1000.0),
            construction: RopeConstruction::ThreeStrand,
            termination: Termination::Spliced,
        };
        Stretch::rope(kind, Length::metres(length_m), MakersFigures::default()).unwrap()
    }

    fn rode(stretches: Vec<Stretch>) -> Rode {
        Rode { name: "bower".to_owned(), stretches, marks: None }
    }

    // SCV Code annex 7: a mean length of 12 m asks 18 kg, 8 mm chain, 14 mm rope.
    #[test]
    fn the_row_is_that_of_the_mean_length() {
        let minimum = published_minimum(&hull(12.8, 11.2)).unwrap();
        assert!((minimum.main_anchor_kg - 18.0).abs() < 1e-12);
    }

    #[test]
    fn between_two_rows_the_longer_vessel_sets_the_measure() {
        let minimum = published_minimum(&hull(13.0, 11.4)).unwrap();
        assert!((minimum.length_m - 13.0).abs() < 1e-12);
    }

    #[test]
    fn nothing_is_said_outside_the_table() {
        assert!(published_minimum(&hull(30.0, 28.0)).is_none());
        assert!(published_minimum(&hull(6.0, 5.0)).is_none());
        assert!(published_minimum(&hull(f64::NAN, 5.0)).is_none());
    }

    #[test]
    fn nothing_in_the_table_shrinks_with_length() {
        for pair in PUBLISHED_MINIMA.windows(2) {
            let [short, long] = pair else { unreachable!("windows of two") };
            assert!(short.main_anchor_kg <= long.main_anchor_kg && short.kedge_kg <= long.kedge_kg);
            assert!(short.main_chain_mm <= long.main_chain_mm && short.main_rope_mm <= long.main_rope_mm);
        }
    }

    #[test]
    fn gear_at_the_minimum_falls_short_of_nothing() {
        let minimum = published_minimum(&hull(12.5, 11.5)).unwrap();
        let rode = rode(vec![chain(8.0, 20.0), rope(14.0, 40.0)]);
        assert_eq!(shortfalls(minimum, Length::metres(12.5), Mass::kilograms(18.0), &rode), []);
    }

    #[test]
    fn every_shortfall_is_named() {
        let minimum = published_minimum(&hull(13.5, 12.5)).unwrap();
        let rode = rode(vec![chain(8.0, 4.0), rope(12.0, 30.0)]);
        let found = shortfalls(minimum, Length::metres(13.5), Mass::kilograms(15.0), &rode);
        assert_eq!(found.len(), 5, "{found:?}");
    }
}
