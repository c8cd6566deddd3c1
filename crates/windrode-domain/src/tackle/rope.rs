//! Rope: what it weighs, what it bears and how far it stretches.
//!
//! Laid and plaited rope of man-made fibre. Strength and mass come from printed lists and go roughly with the square
//! of the diameter; stretch is told at shares of the breaking load, and the stiffness taken here is the secant
//!
//! ```text
//! EA = (share of MBL · MBL) / elongation at that share      (N)
//! ```
//!
//! at 20 % of the breaking load, the top of what a snubber should see. Wet polyamide is weaker, knots and splices
//! weaken any rope: [`RopeKind::strength_left`] carries both.
//!
//! Left out: chafe, sun, age, heat in the fibre when it works, the long first pull of a new rope (a new three-strand
//! polyamide stretches up to 10 % at a tenth of its breaking load), and that a rope is stiffer in quick pulls.
//!
//! Sources: lists of the Engineering Toolbox (US cordage values: nylon, polyester, polypropylene, three- and
//! eight-strand; its millimetres stand beside inch sizes and are up to 6 % smaller than these); polyamide
//! three-strand of BS 4928 / EN 696 as European makers print it (from memory). The two lists for polyamide differ by
//! up to 41 %: the lower figure is taken, and the maker's wins over both. Elongations: makers' usual figures, from
//! memory, ±25 % of themselves.

use super::makers_figures::{
    KindFigures, MakersFigures, Piece, Stiffness, StretchError, is_size, millimetres, neighbours_of,
};
use super::{RopeFibre, Stretch, Stuff};
use crate::uncertain::{Lognormal, Origin};
use crate::units::{Force, Length, MassPerLength};

/// How a rope is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum RopeConstruction {
    /// Three strands laid.
    ThreeStrand,
    /// Eight strands plaited in pairs.
    Octoplait,
    /// A braid over a braid.
    DoubleBraid,
}

/// How its ends are made fast.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Termination {
    /// Spliced eyes.
    Spliced,
    /// A bowline or rolling hitch.
    Knotted,
}

/// A rope as the trade names it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RopeKind {
    /// Fibre.
    pub fibre: RopeFibre,
    /// Nominal diameter.
    pub diameter: Length,
    /// How it is made.
    pub construction: RopeConstruction,
    /// How its ends are made fast.
    pub termination: Termination,
}

/// One row of a list: diameter, least breaking load, mass of a metre.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RopeSize {
    /// Nominal diameter, mm.
    pub diameter_mm: f64,
    /// Least breaking load, new and dry, kN.
    pub breaking_kn: f64,
    /// Mass of a metre in air, kg/m.
    pub mass_kg_m: f64,
}

const fn row(diameter_mm: f64, breaking_kn: f64, mass_kg_m: f64) -> RopeSize {
    RopeSize { diameter_mm, breaking_kn, mass_kg_m }
}

/// Polyamide, three- and eight-strand, US cordage values. Engineering Toolbox, "Nylon Ropes – Strengths".
#[rustfmt::skip]
pub const POLYAMIDE_US: [RopeSize; 12] = [
    row( 6.0,   6.61, 0.023), row( 8.0,  10.2, 0.036), row(10.0,  14.4, 0.053), row(11.0,  19.2, 0.071),
    row(12.0,  25.2,  0.094), row(14.0,  32.0, 0.119), row(16.0,  39.6, 0.147), row(18.0,  56.8, 0.213),
    row(22.0,  76.9,  0.290), row(24.0,  98.9, 0.377), row(26.0, 112.0, 0.427), row(28.0, 126.0, 0.479),
];

/// Polyamide, three-strand, BS 4928 / EN 696 as European makers print it; from memory.
#[rustfmt::skip]
pub const POLYAMIDE_EN: [RopeSize; 9] = [
    row( 6.0,  7.35, 0.0237), row( 8.0, 13.24, 0.042), row(10.0,  20.40, 0.065), row(12.0, 29.42, 0.094),
    row(14.0, 40.21, 0.128),  row(16.0, 51.98, 0.166), row(18.0,  64.72, 0.210), row(20.0, 81.40, 0.260),
    row(24.0, 117.68, 0.375),
];

/// Polyester, three- and eight-strand, US cordage values. Engineering Toolbox, "Polyester Rope – Strength".
#[rustfmt::skip]
pub const POLYESTER_US: [RopeSize; 12] = [
    row( 6.0,  5.85, 0.029), row( 8.0,  9.1, 0.045), row(10.0, 12.9, 0.065), row(11.0,  17.4, 0.088),
    row(12.0, 22.6,  0.115), row(14.0, 28.6, 0.146), row(16.0, 34.8, 0.179), row(18.0,  49.8, 0.256),
    row(22.0, 67.7,  0.348), row(24.0, 88.0, 0.452), row(26.0, 99.0, 0.509), row(28.0, 110.0, 0.573),
];

/// Polypropylene, three- and eight-strand, US cordage values. Engineering Toolbox, "Polypropylene Fiber Rope –
/// Strength"; masses as printed, to the centigram.
#[rustfmt::skip]
pub const POLYPROPYLENE_US: [RopeSize; 12] = [
    row( 6.0,  5.00, 0.02), row( 8.0,  7.61, 0.03), row(10.0, 10.8, 0.04), row(11.0, 14.0, 0.05),
    row(12.0, 16.8,  0.07), row(14.0, 20.4,  0.09), row(16.0, 24.8, 0.11), row(18.0, 34.0, 0.15),
    row(22.0, 46.0,  0.21), row(24.0, 57.0,  0.27), row(26.0, 64.1, 0.30), row(28.0, 71.2, 0.34),
];

/// Elongation at 10, 20 and 30 % of the breaking load, worked-in rope. Makers' usual figures, from memory.
const POLYAMIDE_THREE_STRAND_STRETCH: [f64; 3] = [0.07, 0.12, 0.16];
const POLYAMIDE_OCTOPLAIT_STRETCH: [f64; 3] = [0.06, 0.11, 0.15];
const POLYAMIDE_BRAID_STRETCH: [f64; 3] = [0.045, 0.075, 0.105];
const POLYESTER_BRAID_STRETCH: [f64; 3] = [0.015, 0.025, 0.035];
/// The shares at which elongation is told.
const STRETCH_SHARES: [f64; 3] = [0.1, 0.2, 0.3];
/// The elongations are good to ±25 % of themselves (their own makers' spread), taken as the 10th and 90th
/// percentiles.
const STRETCH_SPREAD: f64 = 0.25;

/// Strength that wet polyamide keeps: it loses 10 to 15 % (Cordage Institute's guidance, from memory); the greater
/// loss is taken.
const WET_POLYAMIDE: f64 = 0.85;
/// Strength that a spliced eye keeps, about 90 % (OCIMF, Mooring Equipment Guidelines 2nd ed., note to table 6.5).
const SPLICED: f64 = 0.90;
/// Strength that a bowline or rolling hitch keeps, 60 to 65 % (from memory); the lower end is taken.
const KNOTTED: f64 = 0.60;

/// Part of the strength left that rope may carry: storm loads on ground tackle are kept to 20 to 25 % of the breaking
/// load (common practice, no source); the lower end is taken, of the strength that wet and ends leave.
pub const ROPE_WORKING_SHARE: f64 = 0.20;

impl RopeKind {
    const fn lists(self) -> &'static [&'static [RopeSize]] {
        match self.fibre {
            RopeFibre::Polyamide => &[&POLYAMIDE_US, &POLYAMIDE_EN],
            RopeFibre::Polyester => &[&POLYESTER_US],
            RopeFibre::Polypropylene => &[&POLYPROPYLENE_US],
            RopeFibre::LeadCored => &[],
        }
    }

    const fn words(self) -> &'static str {
        match self.fibre {
            RopeFibre::Polyamide => "polyamide rope",
            RopeFibre::Polyester => "polyester rope",
            RopeFibre::Polypropylene => "polypropylene rope",
            RopeFibre::LeadCored => "lead-cored rope",
        }
    }

    fn name(self) -> String {
        let made = match self.construction {
            RopeConstruction::ThreeStrand => "three-strand",
            RopeConstruction::Octoplait => "octoplait",
            RopeConstruction::DoubleBraid => "double braid",
        };
        format!("{} {}, {made}", millimetres(self.diameter), self.words())
    }

    /// Elongation at 10, 20 and 30 % of the breaking load. Polypropylene and lead-cored rope have no figures here.
    ///
    /// Only braided polyester has figures; laid polyester gives more, so that the braid's are on the hard side.
    const fn elongation(self) -> Option<[f64; 3]> {
        match (self.fibre, self.construction) {
            (RopeFibre::Polyamide, RopeConstruction::ThreeStrand) => Some(POLYAMIDE_THREE_STRAND_STRETCH),
            (RopeFibre::Polyamide, RopeConstruction::Octoplait) => Some(POLYAMIDE_OCTOPLAIT_STRETCH),
            (RopeFibre::Polyamide, RopeConstruction::DoubleBraid) => Some(POLYAMIDE_BRAID_STRETCH),
            (RopeFibre::Polyester, _) => Some(POLYESTER_BRAID_STRETCH),
            (RopeFibre::Polypropylene | RopeFibre::LeadCored, _) => None,
        }
    }

    /// Secant stiffness over breaking load at 10, 20 and 30 % of it; `None` where no elongation is known.
    pub fn stiffness_over_breaking_load(self) -> Option<[f64; 3]> {
        let [at_10, at_20, at_30] = self.elongation()?;
        let [tenth, fifth, third] = STRETCH_SHARES;
        Some([tenth / at_10, fifth / at_20, third / at_30])
    }

    /// Band of the stiffness for a breaking load, N: median at 20 % of it, as wide as makers' elongations differ.
    pub fn stiffness_band(self, breaking_load: Force) -> Option<Lognormal> {
        let [_, at_20, _] = self.stiffness_over_breaking_load()?;
        let median_n = at_20 * breaking_load.as_newtons();
        Lognormal::from_p10_p90(median_n * (1.0 - STRETCH_SPREAD), median_n / (1.0 - STRETCH_SPREAD))
    }

    /// Share of the breaking load left by wet and by the ends.
    pub const fn strength_left(self) -> f64 {
        let wet = if matches!(self.fibre, RopeFibre::Polyamide) { WET_POLYAMIDE } else { 1.0 };
        let ends = match self.termination {
            Termination::Spliced => SPLICED,
            Termination::Knotted => KNOTTED,
        };
        wet * ends
    }

    fn rows(self) -> impl Iterator<Item = &'static RopeSize> {
        self.lists().iter().flat_map(|list| list.iter())
    }

    fn figures(self) -> KindFigures {
        let of_size = || self.rows().filter(|row| is_size(row.diameter_mm, self.diameter));
        let weakest = of_size().map(|row| row.breaking_kn).min_by(f64::total_cmp);
        let lightest = of_size().map(|row| row.mass_kg_m).min_by(f64::total_cmp);
        KindFigures {
            mass: lightest.map(MassPerLength::kilograms_per_metre),
            breaking_load: weakest.map(|kn| Force::newtons(kn * 1000.0)),
            stiffness: self
                .stiffness_over_breaking_load()
                .map_or(Stiffness::Unknown, |[_, at_20, _]| Stiffness::TimesBreakingLoad(at_20)),
            origin: Origin::Assumed,
        }
    }

    fn refusal(self, makers: &MakersFigures) -> StretchError {
        let kind = self.words();
        match self.fibre {
            RopeFibre::LeadCored => StretchError::NoTable {
                kind,
                missing: "mass of a metre, weight in water, breaking load and stiffness",
            },
            RopeFibre::Polypropylene if makers.stiffness.is_none() => {
                StretchError::NoTable { kind, missing: "its stiffness (mass and strength are in a list)" }
            }
            _ => StretchError::NotInTable {
                kind,
                size: self.diameter,
                nearest: neighbours_of(
                    self.diameter.as_metres() * 1000.0,
                    self.rows().map(|row| row.diameter_mm),
                ),
                missing: "mass of a metre and breaking load",
            },
        }
    }
}

impl Stretch {
    /// A length of rope, from its fibre, diameter, construction and ends and from what its maker states.
    ///
    /// Figures from the lists are [`Origin::Assumed`]: lists differ by up to 41 % for the same rope. A breaking load
    /// from the maker makes it [`Origin::Given`].
    ///
    /// # Errors
    /// [`StretchError`] for a diameter that no list holds and the maker's figures do not make up for, polypropylene
    /// without a stiffness, and lead-cored rope without all its figures; nothing is interpolated.
    pub fn rope(kind: RopeKind, length: Length, makers: MakersFigures) -> Result<Self, StretchError> {
        let makers = makers.checked(length, kind.diameter)?;
        let piece = Piece {
            name: kind.name(),
            stuff: Stuff::Rope { fibre: kind.fibre, diameter: kind.diameter },
            length,
            strength_left: kind.strength_left(),
            working_share: ROPE_WORKING_SHARE,
        };
        makers.complete(kind.figures(), piece).unwrap_or_else(|| Err(kind.refusal(&makers)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn polyamide(diameter_mm: f64) -> RopeKind {
        RopeKind {
            fibre: RopeFibre::Polyamide,
            diameter: Length::metres(diameter_mm / 1000.0),
            construction: RopeConstruction::ThreeStrand,
            termination: Termination::Spliced,
        }
    }

    fn of(kind: RopeKind) -> Result<Stretch, StretchError> {
        Stretch::rope(kind, Length::metres(40.0), MakersFigures::default())
    }

    // Engineering Toolbox prints 14 mm nylon as 32.0 kN and 0.119 kg/m, the European list 40.2 kN and 0.128 kg/m.
    #[test]
    fn the_lower_of_two_lists_is_taken_and_called_assumed() {
        let rope = of(polyamide(14.0)).unwrap();
        assert!((rope.breaking_load.as_newtons() - 32_000.0).abs() < 1e-9);
        assert!((rope.mass.as_kilograms_per_metre() - 0.119).abs() < 1e-12);
        assert_eq!(rope.origin, Origin::Assumed);
        assert_eq!(rope.name, "14 mm polyamide rope, three-strand");
    }

    #[test]
    fn the_european_list_is_the_higher_at_every_diameter_that_both_print() {
        for us in &POLYAMIDE_US {
            let Some(en) =
                POLYAMIDE_EN.iter().find(|en| en.diameter_mm.to_bits() == us.diameter_mm.to_bits())
            else {
                continue;
            };
            let ratio = en.breaking_kn / us.breaking_kn;
            // 1.42 at 10 mm is the widest.
            assert!((1.0..1.42).contains(&ratio), "{} mm: {ratio}", us.diameter_mm);
        }
    }

    // A second, offshore source: polyamide MBL = 207e6 d² + 230e6 d³ N, mass 585 d² kg/m (d in m).
    #[test]
    fn the_two_lists_lie_about_the_offshore_fit() {
        for row in POLYAMIDE_US.iter().chain(&POLYAMIDE_EN) {
            let d_m = row.diameter_mm / 1000.0;
            let fit_kn = (207e6 * d_m * d_m + 230e6 * d_m * d_m * d_m) / 1000.0;
            // The US list falls up to 32 % short (10 mm), the European stays within 6 %.
            assert!((0.66..1.06).contains(&(row.breaking_kn / fit_kn)), "{} mm", row.diameter_mm);
            // Inch sizes under a metric name weigh up to 25 % off (the fit is of big ropes).
            assert!((0.88..1.13).contains(&(row.mass_kg_m / (585.0 * d_m * d_m))), "{} mm", row.diameter_mm);
        }
    }

    #[test]
    fn every_list_grows_with_the_diameter() {
        for list in [&POLYAMIDE_US[..], &POLYAMIDE_EN, &POLYESTER_US, &POLYPROPYLENE_US] {
            for pair in list.windows(2) {
                let [thin, thick] = pair else { unreachable!("windows of two") };
                assert!(thin.diameter_mm < thick.diameter_mm && thin.breaking_kn < thick.breaking_kn);
                assert!(thin.mass_kg_m < thick.mass_kg_m);
            }
        }
    }

    #[test]
    fn mass_goes_with_the_density_of_the_fibre() {
        // Polyester 1380 over polyamide 1140 kg/m³ is 1.21; the lists print rope of the same lay and differ by 1.26.
        for (pa, pes) in POLYAMIDE_US.iter().zip(&POLYESTER_US) {
            let ratio = pes.mass_kg_m / pa.mass_kg_m;
            assert!((1.17..1.28).contains(&ratio), "{} mm: {ratio}", pa.diameter_mm);
        }
    }

    // 14 mm, 32 kN: secant stiffness 45 to 60 kN over 10 to 30 % (1.4 to 1.9 times the breaking load).
    #[test]
    fn three_strand_polyamide_is_one_and_a_half_to_two_times_its_breaking_load_stiff() {
        let [at_10, at_20, at_30] = polyamide(14.0).stiffness_over_breaking_load().unwrap();
        assert!((at_10 * 32.0 - 45.7).abs() < 0.1 && (at_30 * 32.0 - 60.0).abs() < 0.1);
        assert!(at_10 < at_20 && at_20 < at_30);
        let band = polyamide(14.0).stiffness_band(Force::newtons(32_000.0)).unwrap();
        assert!((band.quantile(0.1) - 40_000.0).abs() < 1.0);
    }

    #[test]
    fn braid_gives_less_than_plait_and_plait_less_than_lay() {
        let stiff = |construction| {
            RopeKind { construction, ..polyamide(14.0) }.stiffness_over_breaking_load().unwrap()[1]
        };
        assert!(stiff(RopeConstruction::ThreeStrand) < stiff(RopeConstruction::Octoplait));
        assert!(stiff(RopeConstruction::Octoplait) < stiff(RopeConstruction::DoubleBraid));
    }

    #[test]
    fn a_knot_leaves_less_than_a_splice_and_only_polyamide_suffers_from_wet() {
        let spliced = polyamide(14.0);
        let knotted = RopeKind { termination: Termination::Knotted, ..spliced };
        assert!(knotted.strength_left() < spliced.strength_left());
        let polyester = RopeKind { fibre: RopeFibre::Polyester, ..spliced };
        assert!((polyester.strength_left() - 0.9).abs() < 1e-12);
    }

    // Density 1140 in sea water of 1025 kg/m³: a tenth (0.100877) of the weight is left.
    #[test]
    fn polyamide_is_nearly_weightless_in_water_and_polypropylene_floats() {
        let rope = of(polyamide(14.0)).unwrap();
        let left = rope.weight.as_newtons_per_metre() / (0.119 * 9.806_65);
        assert!((left - 0.100_877).abs() < 1e-6);
        let floating = RopeKind { fibre: RopeFibre::Polypropylene, ..polyamide(14.0) };
        let makers = MakersFigures { stiffness: Some(Force::newtons(80_000.0)), ..MakersFigures::default() };
        let rope = Stretch::rope(floating, Length::metres(40.0), makers).unwrap();
        assert!(rope.weight.as_newtons_per_metre() < 0.0);
    }

    #[test]
    fn what_no_list_holds_is_refused_by_name() {
        assert_eq!(
            of(polyamide(15.0)).unwrap_err().to_string(),
            "no table here holds polyamide rope of 15 mm; the nearest sizes are 14 mm and 16 mm, or give mass of a \
             metre and breaking load from its maker"
        );
        let lead = RopeKind { fibre: RopeFibre::LeadCored, ..polyamide(14.0) };
        assert!(matches!(of(lead), Err(StretchError::NoTable { .. })));
    }

    #[test]
    fn a_makers_breaking_load_carries_its_stiffness_with_it() {
        let makers = MakersFigures {
            mass: Some(MassPerLength::kilograms_per_metre(0.125)),
            breaking_load: Some(Force::newtons(36_000.0)),
            ..MakersFigures::default()
        };
        let rope = Stretch::rope(polyamide(14.0), Length::metres(10.0), makers).unwrap();
        assert_eq!(rope.origin, Origin::Given);
        assert!((rope.stiffness.as_newtons() - 60_000.0).abs() < 1e-6);
    }
}
