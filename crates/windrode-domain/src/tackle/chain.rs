//! Calibrated short-link chain: links of round wire, welded, made to one pitch so that a gypsy can grip them.
//!
//! A link is two half circles and two straights about a wire of diameter `d`. With pitch `p` and outside width `b`
//! (all in m) the centre line of one link is `π (b − d) + 2 (p + 2d − b)`, and a metre of chain weighs
//!
//! ```text
//! m   = ρ π d²/4 [π (b − d) + 2 (p + 2d − b)] / p     mass in air            (kg/m)
//! MBL = 2 σ π d²/4                                    least breaking load    (N)
//! EA  ≈ 0.854e11 d²                                   axial stiffness        (N)
//! ```
//!
//! `ρ` 7850 kg/m³; the grade names the mean stress `σ` at the breaking load in N/mm² over ten (ISO 1834; from memory
//! of EN 818-1): 300, 400, 700.
//!
//! Left out: wear, rust, the weld, and heat: galvanising anew above about 400 °C takes a grade-70 chain down.
//!
//! Sources: a chain maker's sheet whose rows are labelled by standard, ISO 4565 (= EN 24565) or DIN 766 ("Grade 3/4
//! Calibrated Short Link Chain", chains.ie); a second sheet for DIN 766 alone (uulifting.com, "DIN 766 chain"). The
//! standards themselves were not read. Stiffness: the offshore industry's figure for studless chain (DNV-OS-E301,
//! 2013, gives 85.6e9 d²), which differs from short link in shape and hardly matters: 5 kN stretch 50 m by 3 cm.

use core::f64::consts::PI;

use super::makers_figures::{
    KindFigures, MakersFigures, Piece, Stiffness, StretchError, is_size, millimetres, neighbours_of,
};
use super::{Stretch, Stuff};
use crate::uncertain::Origin;
use crate::units::{Force, Length, MassPerLength};

/// Standard that a chain's dimensions follow.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ChainStandard {
    /// ISO 4565, the same as EN 24565: for ships' boats and yachts.
    Iso4565,
    /// DIN 766.
    Din766,
}

/// Grade of a chain: mean stress at its breaking load.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ChainGrade {
    /// 300 N/mm².
    G30,
    /// 400 N/mm².
    G40,
    /// 700 N/mm². No table was found for it: by the formula only.
    G70,
}

impl ChainGrade {
    /// Mean stress in the two sides of a link at the breaking load, N/mm².
    pub const fn stress_n_mm2(self) -> f64 {
        match self {
            Self::G30 => 300.0,
            Self::G40 => 400.0,
            Self::G70 => 700.0,
        }
    }
    /// The number that the trade calls it by.
    pub const fn number(self) -> u32 {
        match self {
            Self::G30 => 30,
            Self::G40 => 40,
            Self::G70 => 70,
        }
    }
}

/// One row of the table: a nominal size of one standard.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChainSize {
    /// Diameter of the wire, mm.
    pub size_mm: f64,
    /// Inside length of a link, mm.
    pub pitch_mm: f64,
    /// Greatest outside width of a link, mm.
    pub width_mm: f64,
    /// Whether ISO 4565 has it.
    pub iso_4565: bool,
    /// Whether DIN 766 has it.
    pub din_766: bool,
    /// Mass of a metre in air by the first sheet, kg/m.
    pub mass_kg_m: f64,
    /// The same by the second sheet, where it has the row.
    pub second_mass_kg_m: Option<f64>,
    /// Load that every length of it is pulled to, kN.
    pub proof_kn: f64,
    /// Least breaking load in grade 30, kN.
    pub grade_30_kn: Option<f64>,
    /// Least breaking load in grade 40, kN.
    pub grade_40_kn: Option<f64>,
}

#[rustfmt::skip]
const fn row(
    dimensions_mm: [f64; 3], [iso_4565, din_766]: [bool; 2], mass_kg_m: f64, second_mass_kg_m: Option<f64>,
    proof_kn: f64, [grade_30_kn, grade_40_kn]: [Option<f64>; 2],
) -> ChainSize {
    let [size_mm, pitch_mm, width_mm] = dimensions_mm;
    ChainSize {
        size_mm, pitch_mm, width_mm, iso_4565, din_766, mass_kg_m, second_mass_kg_m, proof_kn, grade_30_kn,
        grade_40_kn,
    }
}

/// The sheets as printed; 7 and 13 mm are DIN 766 only, 12 mm ISO 4565 only, 10 mm both with different pitches.
#[rustfmt::skip]
pub const CHAINS: [ChainSize; 9] = [
    //   size  pitch  width   ISO   DIN    kg/m  second       proof   grade 30      grade 40
    row([ 6.0, 18.5, 21.6], [true,  true ], 0.80, Some(0.80), 10.0, [Some( 18.0), Some( 20.0)]),
    row([ 7.0, 22.0, 23.8], [false, true ], 1.15, Some(1.10), 16.0, [Some( 25.0), Some( 30.0)]),
    row([ 8.0, 24.0, 28.8], [true,  true ], 1.40, Some(1.40), 20.0, [Some( 32.0), Some( 40.0)]),
    row([10.0, 30.0, 36.0], [true,  false], 2.25, None,       32.0, [Some( 50.0), Some( 63.0)]),
    row([10.0, 28.0, 36.0], [false, true ], 2.20, Some(2.20), 32.0, [None,        Some( 63.0)]),
    row([12.0, 36.0, 43.2], [true,  false], 3.25, None,       35.0, [Some( 71.0), None       ]),
    row([13.0, 36.0, 47.0], [false, true ], 3.90, Some(3.80), 50.0, [Some( 80.0), None       ]),
    row([14.0, 41.0, 50.0], [false, true ], 4.25, Some(4.40), 63.0, [Some(100.0), Some(121.0)]),
    row([16.0, 45.0, 58.0], [false, true ], 5.80, Some(5.70), 80.0, [Some(125.0), None       ]),
];

/// Part of the breaking load that chain may carry day after day: a quarter, lifting practice for grades 30 and 40 and
/// what chandlers print (from memory).
pub const CHAIN_WORKING_SHARE: f64 = 0.25;

/// Density of chain steel, kg/m³.
const STEEL_KG_M3: f64 = 7850.0;
/// Axial stiffness of studless chain over the square of the wire's diameter, N/m² (0.854e8 kN/m², from memory of the
/// mooring codes; DNV-OS-E301 (2013) prints 85.6e9).
const STIFFNESS_N_M2: f64 = 0.854e11;
/// Links that a skipper can lay along a rule to tell one standard from the other; the number the second sheet prints.
pub const LINKS_TO_MEASURE: u32 = 11;

impl ChainSize {
    /// Whether a standard has it.
    pub const fn is_of(&self, standard: ChainStandard) -> bool {
        match standard {
            ChainStandard::Iso4565 => self.iso_4565,
            ChainStandard::Din766 => self.din_766,
        }
    }
    /// Mass of a metre in air: the lighter of the two sheets, since a lighter chain lifts sooner.
    pub fn mass(&self) -> MassPerLength {
        let lighter = self.second_mass_kg_m.map_or(self.mass_kg_m, |second| second.min(self.mass_kg_m));
        MassPerLength::kilograms_per_metre(lighter)
    }
    /// Least breaking load that the sheet prints for a grade.
    pub fn printed_breaking_load(&self, grade: ChainGrade) -> Option<Force> {
        let printed_kn = match grade {
            ChainGrade::G30 => self.grade_30_kn,
            ChainGrade::G40 => self.grade_40_kn,
            ChainGrade::G70 => None,
        };
        printed_kn.map(|kn| Force::newtons(kn * 1000.0))
    }
    /// What eleven links measure, pulled straight, from inside to inside.
    pub fn eleven_links(&self) -> Length {
        Length::metres(self.pitch_mm * f64::from(LINKS_TO_MEASURE) / 1000.0)
    }
}

/// Least breaking load by the grade's stress alone: `2 σ π d²/4`.
pub fn breaking_load_by_stress(size: Length, grade: ChainGrade) -> Force {
    let d_mm = size.as_metres() * 1000.0;
    Force::newtons(2.0 * grade.stress_n_mm2() * PI * d_mm * d_mm / 4.0)
}

/// Axial stiffness of chain, `0.854e11 d²` N.
pub fn stiffness(size: Length) -> Force {
    let d_m = size.as_metres();
    Force::newtons(STIFFNESS_N_M2 * d_m * d_m)
}

/// Mass of a metre from the shape of a link; outside width across the finished link.
pub fn mass_from_link(size: Length, pitch: Length, width: Length) -> MassPerLength {
    let [d_m, p_m, b_m] = [size, pitch, width].map(Length::as_metres);
    let centre_line_m = PI * (b_m - d_m) + 2.0 * (p_m + 2.0 * d_m - b_m);
    MassPerLength::kilograms_per_metre(STEEL_KG_M3 * PI * d_m * d_m / 4.0 * centre_line_m / p_m)
}

/// Why the standard matters for a size that both have with different pitches; `None` where it does not.
pub fn gypsy_note(size: Length) -> Option<String> {
    let of = |standard| CHAINS.iter().find(|row| is_size(row.size_mm, size) && row.is_of(standard));
    let (iso, din) = (of(ChainStandard::Iso4565)?, of(ChainStandard::Din766)?);
    if iso.pitch_mm.to_bits() == din.pitch_mm.to_bits() {
        return None;
    }
    Some(format!(
        "{} chain is made with two pitches, ISO 4565 {} mm and DIN 766 {} mm, and a gypsy takes one of them: \
         eleven links measure {:.0} mm or {:.0} mm",
        millimetres(size),
        iso.pitch_mm,
        din.pitch_mm,
        iso.eleven_links().as_metres() * 1000.0,
        din.eleven_links().as_metres() * 1000.0,
    ))
}

/// A chain as the trade names it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChainKind {
    /// Nominal size: diameter of the wire.
    pub size: Length,
    /// Grade; grade 30, the weakest, stands in for an unknown one and is marked as assumed.
    pub grade: Option<ChainGrade>,
    /// Standard; the lighter and weaker row of the size stands in for an unknown one.
    pub standard: Option<ChainStandard>,
}

impl ChainKind {
    fn rows(self) -> impl Iterator<Item = &'static ChainSize> {
        CHAINS.iter().filter(move |row| self.standard.is_none_or(|standard| row.is_of(standard)))
    }

    fn figures(self) -> Option<KindFigures> {
        let row = self
            .rows()
            .filter(|row| is_size(row.size_mm, self.size))
            .min_by(|a, b| a.mass().as_kilograms_per_metre().total_cmp(&b.mass().as_kilograms_per_metre()))?;
        let grade = self.grade.unwrap_or(ChainGrade::G30);
        let printed = row.printed_breaking_load(grade);
        let origin = match (self.grade, printed) {
            (None, _) => Origin::Assumed,
            (Some(_), None) => Origin::Computed,
            (Some(_), Some(_)) => Origin::Given,
        };
        Some(KindFigures {
            mass: Some(row.mass()),
            breaking_load: Some(printed.unwrap_or_else(|| breaking_load_by_stress(self.size, grade))),
            stiffness: Stiffness::Known(stiffness(self.size)),
            origin,
        })
    }

    const fn words(self) -> &'static str {
        match self.standard {
            Some(ChainStandard::Iso4565) => "ISO 4565 chain",
            Some(ChainStandard::Din766) => "DIN 766 chain",
            None => "short-link chain",
        }
    }

    fn name(self, makers: &MakersFigures) -> String {
        let size = millimetres(self.size);
        match self.grade {
            Some(grade) => format!("{size} chain, grade {}", grade.number()),
            None if makers.breaking_load.is_some() => format!("{size} chain"),
            None => format!("{size} chain, grade 30 assumed"),
        }
    }
}

impl Stretch {
    /// A length of chain, from its size, grade and standard and from what its maker states.
    ///
    /// The table's figures are [`Origin::Given`] where its sheet prints them; a breaking load by the stress formula
    /// (grade 70, and cells that the sheet leaves empty) makes the stretch [`Origin::Computed`]; a grade taken for
    /// want of better, [`Origin::Assumed`].
    ///
    /// # Errors
    /// [`StretchError`] for a size that the table lacks and the maker's mass and breaking load do not make up for;
    /// sizes between two rows are not interpolated.
    pub fn chain(kind: ChainKind, length: Length, makers: MakersFigures) -> Result<Self, StretchError> {
        let makers = makers.checked(length, kind.size)?;
        let figures = kind.figures().unwrap_or(KindFigures {
            mass: None,
            breaking_load: None,
            stiffness: Stiffness::Known(stiffness(kind.size)),
            origin: Origin::Given,
        });
        let piece = Piece {
            name: kind.name(&makers),
            stuff: Stuff::Chain { size: kind.size },
            length,
            strength_left: 1.0,
            working_share: CHAIN_WORKING_SHARE,
        };
        makers.complete(figures, piece).unwrap_or_else(|| {
            Err(StretchError::NotInTable {
                kind: kind.words(),
                size: kind.size,
                nearest: neighbours_of(kind.size.as_metres() * 1000.0, kind.rows().map(|row| row.size_mm)),
                missing: "mass of a metre and breaking load",
            })
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(value: f64) -> Length {
        Length::metres(value / 1000.0)
    }

    /// The nominal outside width of a link, 3.4 wires, as the second sheet prints it (20.2 for 6 mm is its rounding).
    fn nominal_width(row: &ChainSize) -> Length {
        mm(3.4 * row.size_mm)
    }

    #[test]
    fn a_link_of_these_dimensions_weighs_what_the_sheets_print() {
        for row in &CHAINS {
            let by_shape = mass_from_link(mm(row.size_mm), mm(row.pitch_mm), nominal_width(row));
            let off = by_shape.as_kilograms_per_metre() / row.mass().as_kilograms_per_metre() - 1.0;
            // Wire and width are nominal and the zinc is not counted: 4.5 % covers every row of the lighter sheet.
            assert!(off.abs() < 0.045, "{} mm: {off:+.3}", row.size_mm);
        }
    }

    #[test]
    fn chain_weighs_about_0_0225_times_the_wire_squared() {
        // The trade's rule, kg/m and mm; within 4.5 % of every row of either sheet (common practice, no source).
        for row in &CHAINS {
            let rule = 0.0225 * row.size_mm * row.size_mm;
            for printed in [Some(row.mass_kg_m), row.second_mass_kg_m].into_iter().flatten() {
                assert!((printed / rule - 1.0).abs() < 0.045, "{} mm", row.size_mm);
            }
        }
    }

    // Worked from the geometry of a link by hand, d × p, b: centre line and mass to six digits.
    #[test]
    fn the_centre_line_of_a_link_gives_its_mass() {
        for (d, p, b, kg_m) in [
            (8.0, 24.0, 27.2, 1.412_587),
            (10.0, 30.0, 34.0, 2.207_168),
            (10.0, 28.0, 34.0, 2.276_746),
            (12.0, 36.0, 40.8, 3.178_322),
            (6.0, 18.5, 20.4, 0.785_103),
        ] {
            let found = mass_from_link(mm(d), mm(p), mm(b)).as_kilograms_per_metre();
            assert!((found - kg_m).abs() < 0.5e-6, "{d} × {p}: {found}");
        }
    }

    #[test]
    fn the_grade_is_the_mean_stress_at_the_printed_breaking_load() {
        for row in &CHAINS {
            for grade in [ChainGrade::G30, ChainGrade::G40] {
                let Some(printed) = row.printed_breaking_load(grade) else { continue };
                let off = printed / breaking_load_by_stress(mm(row.size_mm), grade) - 1.0;
                // The standards round to preferred numbers: 9 %; 6 mm in grade 40 (20 for 22.6) is the
                // farthest, 12 %.
                assert!(-0.12 < off && off < 0.09, "{} mm {grade:?}: {off:+.3}", row.size_mm);
            }
        }
    }

    // 2 σ π d²/4 worked by hand for grade 70, for which no table was found.
    #[test]
    fn grade_70_is_by_the_formula_and_says_so() {
        let kind = ChainKind { size: mm(8.0), grade: Some(ChainGrade::G70), standard: None };
        let chain = Stretch::chain(kind, Length::metres(50.0), MakersFigures::default()).unwrap();
        assert!((chain.breaking_load.as_newtons() - 70_372.0).abs() < 0.5);
        assert_eq!(chain.origin, Origin::Computed);
    }

    // Second sheet (DIN 766): length of 11 links.
    #[test]
    fn eleven_links_measure_eleven_pitches() {
        for (size, eleven_mm) in [
            (6.0, 203.5),
            (7.0, 242.0),
            (8.0, 264.0),
            (10.0, 308.0),
            (13.0, 396.0),
            (14.0, 451.0),
            (16.0, 495.0),
        ] {
            let row = CHAINS.iter().find(|row| is_size(row.size_mm, mm(size)) && row.din_766).unwrap();
            assert!((row.eleven_links().as_metres() * 1000.0 - eleven_mm).abs() < 1e-9, "{size} mm");
        }
    }

    #[test]
    fn only_ten_millimetre_chain_comes_with_two_pitches() {
        let note = gypsy_note(mm(10.0)).unwrap();
        assert!(note.contains("330 mm or 308 mm"), "{note}");
        for size in [6.0, 7.0, 8.0, 12.0, 13.0, 14.0, 16.0] {
            assert_eq!(gypsy_note(mm(size)), None);
        }
    }

    #[test]
    fn the_proof_load_stays_below_the_breaking_load() {
        for row in &CHAINS {
            for load_kn in [row.grade_30_kn, row.grade_40_kn].into_iter().flatten() {
                // The sheet's proof loads run from 0.4 to 0.63 of the breaking load.
                assert!((0.4..=0.64).contains(&(row.proof_kn / load_kn)), "{} mm", row.size_mm);
            }
        }
    }

    // The offshore table quoted above: 8 mm 5.4656e6 N, 10 mm 8.54e6 N.
    #[test]
    fn stiffness_goes_with_the_square_of_the_wire() {
        assert!((stiffness(mm(8.0)).as_newtons() - 5.4656e6).abs() < 1.0);
        assert!((stiffness(mm(10.0)).as_newtons() - 8.54e6).abs() < 1.0);
    }

    #[test]
    fn a_standard_chain_needs_only_its_name() {
        let kind = ChainKind {
            size: mm(10.0),
            grade: Some(ChainGrade::G40),
            standard: Some(ChainStandard::Iso4565),
        };
        let chain = Stretch::chain(kind, Length::metres(60.0), MakersFigures::default()).unwrap();
        assert_eq!(chain.name, "10 mm chain, grade 40");
        assert!((chain.mass.as_kilograms_per_metre() - 2.25).abs() < 1e-12);
        assert!((chain.breaking_load.as_newtons() - 63_000.0).abs() < 1e-9);
        assert!((chain.working_load.as_newtons() - 15_750.0).abs() < 1e-9);
        // Steel in sea water keeps 0.869427 of its weight: 2.25 kg/m × g × that, by hand.
        assert!((chain.weight.as_newtons_per_metre() - 2.25 * 9.806_65 * 0.869_427).abs() < 1e-4);
        assert_eq!(chain.origin, Origin::Given);
    }

    #[test]
    fn an_unknown_standard_is_taken_as_the_lighter_and_an_unknown_grade_as_the_weakest() {
        let kind = ChainKind { size: mm(10.0), grade: None, standard: None };
        let chain = Stretch::chain(kind, Length::metres(60.0), MakersFigures::default()).unwrap();
        assert!((chain.mass.as_kilograms_per_metre() - 2.2).abs() < 1e-12);
        assert!(chain.breaking_load < Force::newtons(50_000.0));
        assert_eq!(chain.origin, Origin::Assumed);
    }

    #[test]
    fn a_size_between_two_rows_is_refused_with_both_named() {
        let kind =
            ChainKind { size: mm(9.0), grade: Some(ChainGrade::G40), standard: Some(ChainStandard::Iso4565) };
        let error = Stretch::chain(kind, Length::metres(60.0), MakersFigures::default()).unwrap_err();
        assert_eq!(
            error.to_string(),
            "no table here holds ISO 4565 chain of 9 mm; the nearest sizes are 8 mm and 10 mm, or give mass of a \
             metre and breaking load from its maker"
        );
    }

    #[test]
    fn the_maker_wins_figure_by_figure() {
        let makers = MakersFigures {
            mass: Some(MassPerLength::kilograms_per_metre(1.9)),
            breaking_load: Some(Force::newtons(48_000.0)),
            ..MakersFigures::default()
        };
        let kind = ChainKind { size: mm(9.0), grade: None, standard: None };
        let chain = Stretch::chain(kind, Length::metres(60.0), makers).unwrap();
        assert_eq!(chain.origin, Origin::Given);
        assert!((chain.working_load.as_newtons() - 12_000.0).abs() < 1e-9);
        let kind = ChainKind { size: mm(10.0), grade: Some(ChainGrade::G40), standard: None };
        let makers =
            MakersFigures { working_load: Some(Force::newtons(20_000.0)), ..MakersFigures::default() };
        let chain = Stretch::chain(kind, Length::metres(60.0), makers).unwrap();
        assert!((chain.working_load.as_newtons() - 20_000.0).abs() < 1e-9);
        assert!((chain.breaking_load.as_newtons() - 63_000.0).abs() < 1e-9);
    }

    #[test]
    fn figures_that_no_chain_has_are_refused() {
        let kind = ChainKind { size: mm(10.0), grade: Some(ChainGrade::G40), standard: None };
        let nan = Stretch::chain(kind, Length::metres(f64::NAN), MakersFigures::default());
        assert!(matches!(nan, Err(StretchError::NotPositive { what: "length", .. })));
        let makers =
            MakersFigures { working_load: Some(Force::newtons(70_000.0)), ..MakersFigures::default() };
        let above = Stretch::chain(kind, Length::metres(60.0), makers);
        assert!(matches!(above, Err(StretchError::WorkingAboveBreaking { .. })));
    }
}
