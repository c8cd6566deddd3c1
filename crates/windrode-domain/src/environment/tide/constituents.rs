//! The constituents: their arguments, their node rules, their speeds.
//!
//! Every constituent turns at its own steady speed. An astronomical one has an argument
//! `V = n₁T + n₂s + n₃h + n₄p + n₅p₁ + 90°·q` and a node rule. In shallow water the tide distorts itself: sums and
//! differences of the astronomical waves appear, and their `V` and `u` are the same sums and differences of their
//! parts', their `f` the product of their parts' (each as often as it takes part, whichever its sign).
//!
//! The speeds are entered beside the arguments on purpose: a test multiplies the arguments by the astronomical
//! rates and must meet them.
//!
//! Left out: 3L2, 3N2, S3, T3, R3, MA2, MB2 and OO2, whose arguments the authorities give in more than one way
//! (by quarter and half turns, or by other multiples of the perigee); a table that uses them cannot be read safely
//! by name alone.
//!
//! Source: arguments and node rules of the astronomical waves by Schureman, SP 98, table 2; names, speeds and parts
//! of the compound ones by the IHO Tides, Water Level and Currents Working Group, *Standard list of tidal
//! constituents* (8 May 2017), and, where a name admits two readings, by hatyan 2.14 (Rijkswaterstaat's usage).

use core::fmt;

use super::astronomy::{Astronomy, NodeFactors, NodeRule, RATES_DEG_H};

/// A wave that sun or moon raises by themselves.
#[derive(Debug, PartialEq)]
pub struct Wave {
    /// Multiples of `T, s, h, p, p₁`.
    numbers: [i8; 5],
    /// Quarter turns added.
    quarters: i8,
    rule: NodeRule,
}

/// A constituent: a wave, or a sum and difference of waves.
#[derive(Debug)]
pub struct Constituent {
    name: &'static str,
    aliases: &'static [&'static str],
    speed_deg_h: f64,
    parts: &'static [(&'static Wave, i8)],
}

/// One constituent is itself, by its name.
impl PartialEq for Constituent {
    fn eq(&self, other: &Self) -> bool {
        self.name == other.name
    }
}

impl fmt::Display for Constituent {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name)
    }
}

impl Wave {
    fn argument_deg(&self, astronomy: &Astronomy) -> f64 {
        let sum: f64 =
            self.numbers.iter().zip(astronomy.angles_deg).map(|(&n, angle)| f64::from(n) * angle).sum();
        sum + 90.0 * f64::from(self.quarters)
    }
}

impl Constituent {
    /// The constituent that goes by a name, in capitals or not; `None` if no constituent does.
    pub fn by_name(name: &str) -> Option<&'static Self> {
        CONSTITUENTS.iter().find(|constituent| {
            constituent.name.eq_ignore_ascii_case(name)
                || constituent.aliases.iter().any(|alias| alias.eq_ignore_ascii_case(name))
        })
    }
    /// Its usual name.
    pub const fn name(&self) -> &'static str {
        self.name
    }
    /// Degrees an hour.
    pub const fn speed_deg_h(&self) -> f64 {
        self.speed_deg_h
    }
    /// The equilibrium argument `V`, degrees, not brought into one turn.
    pub fn argument_deg(&self, astronomy: &Astronomy) -> f64 {
        self.parts.iter().map(|(wave, times)| f64::from(*times) * wave.argument_deg(astronomy)).sum()
    }
    /// The node factor `f` and the angle `u` in degrees.
    pub fn node(&self, factors: &NodeFactors) -> (f64, f64) {
        self.parts.iter().fold((1.0, 0.0), |(f, u_deg), (wave, times)| {
            let power = i32::from(times.unsigned_abs());
            (f * factors.f(wave.rule).powi(power), u_deg + f64::from(*times) * factors.u_deg(wave.rule))
        })
    }
    /// Multiples of `T`: how many times a day it comes, which is a whole turn a day for each.
    pub fn species(&self) -> i32 {
        self.parts.iter().map(|(wave, times)| i32::from(*times) * i32::from(wave.numbers[0])).sum()
    }
    /// The speed that its arguments and the astronomical rates make together, degrees an hour.
    ///
    /// `M1` is reckoned from an argument without `p`, but its `u` goes round once with `p`.
    pub fn speed_from_rates_deg_h(&self) -> f64 {
        let wave_speed = |wave: &Wave| {
            let turning = f64::from(u8::from(wave.rule == NodeRule::M1)) * RATES_DEG_H[3];
            let numbers =
                wave.numbers.iter().zip(RATES_DEG_H).map(|(&n, rate)| f64::from(n) * rate).sum::<f64>();
            numbers + turning
        };
        self.parts.iter().map(|(wave, times)| f64::from(*times) * wave_speed(wave)).sum()
    }
}

const fn wave(numbers: [i8; 5], quarters: i8, rule: NodeRule) -> Wave {
    Wave { numbers, quarters, rule }
}

const fn line(
    name: &'static str,
    aliases: &'static [&'static str],
    speed_deg_h: f64,
    parts: &'static [(&'static Wave, i8)],
) -> Constituent {
    Constituent { name, aliases, speed_deg_h, parts }
}

// Schureman, SP 98, table 2.
//                                     T   s   h   p  p₁   90°  rule
#[rustfmt::skip]
mod waves {
    use super::{NodeRule, Wave, wave};
    pub(super) static SA: Wave      = wave([0,  0,  1,  0,  0],  0, NodeRule::Unmoved);
    pub(super) static SSA: Wave     = wave([0,  0,  2,  0,  0],  0, NodeRule::Unmoved);
    pub(super) static MSM: Wave     = wave([0,  1, -2,  1,  0],  0, NodeRule::Mm);
    pub(super) static MM: Wave      = wave([0,  1,  0, -1,  0],  0, NodeRule::Mm);
    pub(super) static MSF: Wave     = wave([0,  2, -2,  0,  0],  0, NodeRule::Mm);
    pub(super) static MF: Wave      = wave([0,  2,  0,  0,  0],  0, NodeRule::Mf);
    pub(super) static MSTM: Wave    = wave([0,  3, -2,  1,  0],  0, NodeRule::Mf);
    pub(super) static MTM: Wave     = wave([0,  3,  0, -1,  0],  0, NodeRule::Mf);
    pub(super) static MSQM: Wave    = wave([0,  4, -2,  0,  0],  0, NodeRule::Mf);
    pub(super) static TWO_Q1: Wave  = wave([1, -4,  1,  2,  0],  1, NodeRule::O1);
    pub(super) static SIGMA1: Wave  = wave([1, -4,  3,  0,  0],  1, NodeRule::O1);
    pub(super) static Q1: Wave      = wave([1, -3,  1,  1,  0],  1, NodeRule::O1);
    pub(super) static RHO1: Wave    = wave([1, -3,  3, -1,  0],  1, NodeRule::O1);
    pub(super) static O1: Wave      = wave([1, -2,  1,  0,  0],  1, NodeRule::O1);
    pub(super) static TAU1: Wave    = wave([1, -2,  3,  0,  0], -1, NodeRule::J1);
    pub(super) static M1: Wave      = wave([1, -1,  1,  0,  0], -1, NodeRule::M1);
    pub(super) static M1C: Wave     = wave([1, -1,  1,  0,  0],  0, NodeRule::M1Middle);
    pub(super) static CHI1: Wave    = wave([1, -1,  3, -1,  0], -1, NodeRule::J1);
    pub(super) static PI1: Wave     = wave([1,  0, -2,  0,  1],  1, NodeRule::Unmoved);
    pub(super) static P1: Wave      = wave([1,  0, -1,  0,  0],  1, NodeRule::Unmoved);
    pub(super) static S1: Wave      = wave([1,  0,  0,  0,  0],  0, NodeRule::Unmoved);
    pub(super) static K1: Wave      = wave([1,  0,  1,  0,  0], -1, NodeRule::K1);
    pub(super) static PSI1: Wave    = wave([1,  0,  2,  0, -1], -1, NodeRule::Unmoved);
    pub(super) static PHI1: Wave    = wave([1,  0,  3,  0,  0], -1, NodeRule::Unmoved);
    pub(super) static THETA1: Wave  = wave([1,  1, -1,  1,  0], -1, NodeRule::J1);
    pub(super) static J1: Wave      = wave([1,  1,  1, -1,  0], -1, NodeRule::J1);
    pub(super) static OO1: Wave     = wave([1,  2,  1,  0,  0], -1, NodeRule::Oo1);
    pub(super) static EPS2: Wave    = wave([2, -5,  4,  1,  0],  0, NodeRule::M2);
    pub(super) static TWO_N2: Wave  = wave([2, -4,  2,  2,  0],  0, NodeRule::M2);
    pub(super) static MU2: Wave     = wave([2, -4,  4,  0,  0],  0, NodeRule::M2);
    pub(super) static N2: Wave      = wave([2, -3,  2,  1,  0],  0, NodeRule::M2);
    pub(super) static NU2: Wave     = wave([2, -3,  4, -1,  0],  0, NodeRule::M2);
    pub(super) static M2: Wave      = wave([2, -2,  2,  0,  0],  0, NodeRule::M2);
    pub(super) static LAMBDA2: Wave = wave([2, -1,  0,  1,  0],  2, NodeRule::M2);
    pub(super) static L2: Wave      = wave([2, -1,  2, -1,  0],  2, NodeRule::L2);
    pub(super) static T2: Wave      = wave([2,  0, -1,  0,  1],  0, NodeRule::Unmoved);
    pub(super) static S2: Wave      = wave([2,  0,  0,  0,  0],  0, NodeRule::Unmoved);
    pub(super) static R2: Wave      = wave([2,  0,  1,  0, -1],  2, NodeRule::Unmoved);
    pub(super) static K2: Wave      = wave([2,  0,  2,  0,  0],  0, NodeRule::K2);
    pub(super) static M3: Wave      = wave([3, -3,  3,  0,  0],  0, NodeRule::M3);
}
#[rustfmt::skip]
use waves::{
    CHI1, EPS2, J1, K1, K2, L2, LAMBDA2, M1, M1C, M2, M3, MF, MM, MSF, MSM, MSQM, MSTM, MTM, MU2, N2, NU2, O1, OO1,
    P1, PHI1, PI1, PSI1, Q1, R2, RHO1, S1, S2, SA, SIGMA1, SSA, T2, TAU1, THETA1, TWO_N2, TWO_Q1,
};

/// Every constituent that can be predicted, slowest first.
#[rustfmt::skip]
pub static CONSTITUENTS: [Constituent; 195] = [
    line("SA",        &[],                    0.041_068_6, &[(&SA, 1)]),
    line("SSA",       &[],                    0.082_137_3, &[(&SSA, 1)]),
    line("MSM",       &[],                    0.471_521_1, &[(&MSM, 1)]),
    line("MM",        &[],                    0.544_374_7, &[(&MM, 1)]),
    line("MSF",       &[],                    1.015_895_8, &[(&MSF, 1)]),
    line("SM",        &[],                    1.015_895_8, &[(&S2, 1), (&M2, -1)]),
    line("MF",        &[],                    1.098_033_0, &[(&MF, 1)]),
    line("MSTM",      &[],                    1.569_554_1, &[(&MSTM, 1)]),
    line("MTM",       &["MFM"],               1.642_407_8, &[(&MTM, 1)]),
    line("MSQM",      &[],                    2.113_928_8, &[(&MSQM, 1)]),
    line("2Q1",       &[],                   12.854_286_2, &[(&TWO_Q1, 1)]),
    line("SIGMA1",    &["SIG1"],             12.927_139_8, &[(&SIGMA1, 1)]),
    line("Q1",        &[],                   13.398_660_9, &[(&Q1, 1)]),
    line("RHO1",      &["RHO", "RO1"],       13.471_514_5, &[(&RHO1, 1)]),
    line("O1",        &[],                   13.943_035_6, &[(&O1, 1)]),
    line("MP1",       &[],                   14.025_172_9, &[(&M2, 1), (&P1, -1)]),
    line("TAU1",      &[],                   14.025_172_9, &[(&TAU1, 1)]),
    line("M1C",       &[],                   14.492_052_1, &[(&M1C, 1)]),
    line("M1",        &[],                   14.496_693_9, &[(&M1, 1)]),
    line("NO1",       &[],                   14.496_693_9, &[(&N2, 1), (&O1, -1)]),
    line("CHI1",      &[],                   14.569_547_6, &[(&CHI1, 1)]),
    line("LP1",       &[],                   14.569_547_6, &[(&L2, 1), (&P1, -1)]),
    line("PI1",       &[],                   14.917_864_7, &[(&PI1, 1)]),
    line("TK1",       &[],                   14.917_864_7, &[(&T2, 1), (&K1, -1)]),
    line("P1",        &[],                   14.958_931_4, &[(&P1, 1)]),
    line("S1",        &[],                   15.000_000_0, &[(&S1, 1)]),
    line("K1",        &[],                   15.041_068_6, &[(&K1, 1)]),
    line("RP1",       &[],                   15.082_135_3, &[(&R2, 1), (&P1, -1)]),
    line("PSI1",      &[],                   15.082_135_3, &[(&PSI1, 1)]),
    line("PHI1",      &["FI1"],              15.123_205_9, &[(&PHI1, 1)]),
    line("KP1",       &[],                   15.123_205_9, &[(&K2, 1), (&P1, -1)]),
    line("THETA1",    &[],                   15.512_589_7, &[(&THETA1, 1)]),
    line("J1",        &[],                   15.585_443_3, &[(&J1, 1)]),
    line("2PO1",      &[],                   15.974_827_1, &[(&P1, 2), (&O1, -1)]),
    line("SO1",       &[],                   16.056_964_4, &[(&S2, 1), (&O1, -1)]),
    line("OO1",       &[],                   16.139_101_7, &[(&OO1, 1)]),
    line("KQ1",       &[],                   16.683_476_4, &[(&K2, 1), (&Q1, -1)]),
    line("3MKS2",     &[],                   26.870_175_4, &[(&M2, 3), (&K2, -1), (&S2, -1)]),
    line("2NS2",      &[],                   26.879_459_1, &[(&N2, 2), (&S2, -1)]),
    line("3MS2",      &[],                   26.952_312_7, &[(&M2, 3), (&S2, -2)]),
    line("MLN2S2",    &[],                   26.952_312_7, &[(&M2, 1), (&L2, 1), (&N2, 1), (&S2, -2)]),
    line("OQ2",       &[],                   27.341_696_5, &[(&O1, 1), (&Q1, 1)]),
    line("MNK2",      &[],                   27.341_696_5, &[(&M2, 1), (&N2, 1), (&K2, -1)]),
    line("EPS2",      &["EP2", "EPSILON2"],  27.423_833_8, &[(&EPS2, 1)]),
    line("MNS2",      &[],                   27.423_833_8, &[(&M2, 1), (&N2, 1), (&S2, -1)]),
    line("2ML2S2",    &[],                   27.496_687_4, &[(&M2, 2), (&L2, 1), (&S2, -2)]),
    line("2MS2K2",    &[],                   27.803_933_9, &[(&M2, 2), (&S2, 1), (&K2, -2)]),
    line("2MK2",      &[],                   27.886_071_2, &[(&M2, 2), (&K2, -1)]),
    line("NLK2",      &[],                   27.886_071_2, &[(&N2, 1), (&L2, 1), (&K2, -1)]),
    line("2N2",       &[],                   27.895_354_8, &[(&TWO_N2, 1)]),
    line("MU2",       &[],                   27.968_208_5, &[(&MU2, 1)]),
    line("2MS2",      &[],                   27.968_208_5, &[(&M2, 2), (&S2, -1)]),
    line("SNK2",      &[],                   28.357_592_3, &[(&S2, 1), (&N2, 1), (&K2, -1)]),
    line("N2",        &[],                   28.439_729_5, &[(&N2, 1)]),
    line("NU2",       &[],                   28.512_583_2, &[(&NU2, 1)]),
    line("OP2",       &[],                   28.901_967_0, &[(&O1, 1), (&P1, 1)]),
    line("MSK2",      &[],                   28.901_967_0, &[(&M2, 1), (&S2, 1), (&K2, -1)]),
    line("MPS2",      &[],                   28.943_035_6, &[(&M2, 1), (&P1, 1), (&S1, -1)]),
    line("M2",        &[],                   28.984_104_2, &[(&M2, 1)]),
    line("MSP2",      &[],                   29.025_172_9, &[(&M2, 1), (&S1, 1), (&P1, -1)]),
    line("MKS2",      &[],                   29.066_241_5, &[(&M2, 1), (&K2, 1), (&S2, -1)]),
    line("MKL2S2",    &[],                   28.594_720_5, &[(&M2, 1), (&K2, 1), (&L2, 1), (&S2, -2)]),
    line("M2KS2",     &["M2(KS)2", "2KM2S2"], 29.148_378_8, &[(&M2, 1), (&K2, 2), (&S2, -2)]),
    line("2SNMK2",    &["2SN(MK)2"],         29.373_488_0, &[(&S2, 2), (&N2, 1), (&M2, -1), (&K2, -1)]),
    line("LAMBDA2",   &["LAM2", "LABDA2"],   29.455_625_3, &[(&LAMBDA2, 1)]),
    line("L2",        &[],                   29.528_478_9, &[(&L2, 1)]),
    line("2MN2",      &[],                   29.528_479_0, &[(&M2, 2), (&N2, -1)]),
    line("2SK2",      &[],                   29.917_862_7, &[(&S2, 2), (&K2, -1)]),
    line("T2",        &[],                   29.958_933_3, &[(&T2, 1)]),
    line("S2",        &[],                   30.000_000_0, &[(&S2, 1)]),
    line("R2",        &[],                   30.041_066_7, &[(&R2, 1)]),
    line("K2",        &[],                   30.082_137_3, &[(&K2, 1)]),
    line("MSN2",      &[],                   30.544_374_7, &[(&M2, 1), (&S2, 1), (&N2, -1)]),
    line("MKN2",      &[],                   30.626_512_0, &[(&M2, 1), (&K2, 1), (&N2, -1)]),
    line("KJ2",       &[],                   30.626_512_0, &[(&K1, 1), (&J1, 1)]),
    line("2KMSN2",    &["2KM(SN)2"],         30.708_649_3, &[(&K2, 2), (&M2, 1), (&S2, -1), (&N2, -1)]),
    line("2SM2",      &[],                   31.015_895_8, &[(&S2, 2), (&M2, -1)]),
    line("SKM2",      &[],                   31.098_033_0, &[(&S2, 1), (&K2, 1), (&M2, -1)]),
    line("2SN2",      &[],                   31.560_270_5, &[(&S2, 2), (&N2, -1)]),
    line("SKN2",      &[],                   31.642_407_8, &[(&S2, 1), (&K2, 1), (&N2, -1)]),
    line("MQ3",       &[],                   42.382_765_1, &[(&M2, 1), (&Q1, 1)]),
    line("NO3",       &[],                   42.382_765_1, &[(&N2, 1), (&O1, 1)]),
    line("MO3",       &[],                   42.927_139_8, &[(&M2, 1), (&O1, 1)]),
    line("2MK3",      &[],                   42.927_139_8, &[(&M2, 2), (&K1, -1)]),
    line("2MP3",      &[],                   43.009_277_1, &[(&M2, 2), (&P1, -1)]),
    line("M3",        &[],                   43.476_156_4, &[(&M3, 1)]),
    line("SO3",       &[],                   43.943_035_6, &[(&S2, 1), (&O1, 1)]),
    line("MK3",       &[],                   44.025_172_9, &[(&M2, 1), (&K1, 1)]),
    line("2MQ3",      &[],                   44.569_547_6, &[(&M2, 2), (&Q1, -1)]),
    line("SP3",       &[],                   44.958_931_4, &[(&S2, 1), (&P1, 1)]),
    line("SK3",       &[],                   45.041_068_6, &[(&S2, 1), (&K1, 1)]),
    line("K3",        &[],                   45.123_205_9, &[(&K2, 1), (&K1, 1)]),
    line("2SO3",      &[],                   46.056_964_4, &[(&S2, 2), (&O1, -1)]),
    line("4MS4",      &[],                   55.936_417_0, &[(&M2, 4), (&S2, -2)]),
    line("2MNS4",     &[],                   56.407_938_0, &[(&M2, 2), (&N2, 1), (&S2, -1)]),
    line("3MK4",      &[],                   56.870_175_4, &[(&M2, 3), (&K2, -1)]),
    line("MNLK4",     &[],                   56.870_175_4, &[(&M2, 1), (&N2, 1), (&L2, 1), (&K2, -1)]),
    line("N4",        &[],                   56.879_459_1, &[(&N2, 2)]),
    line("3MS4",      &[],                   56.952_312_7, &[(&M2, 3), (&S2, -1)]),
    line("MSNK4",     &[],                   57.341_696_5, &[(&M2, 1), (&S2, 1), (&N2, 1), (&K2, -1)]),
    line("MN4",       &[],                   57.423_833_8, &[(&M2, 1), (&N2, 1)]),
    line("2MLS4",     &[],                   57.496_687_4, &[(&M2, 2), (&L2, 1), (&S2, -1)]),
    line("2MSK4",     &[],                   57.886_071_2, &[(&M2, 2), (&S2, 1), (&K2, -1)]),
    line("M4",        &[],                   57.968_208_5, &[(&M2, 2)]),
    line("2MKS4",     &[],                   58.050_345_8, &[(&M2, 2), (&K2, 1), (&S2, -1)]),
    line("SN4",       &[],                   58.439_729_5, &[(&S2, 1), (&N2, 1)]),
    line("3MN4",      &[],                   58.512_583_2, &[(&M2, 3), (&N2, -1)]),
    line("ML4",       &[],                   58.512_583_2, &[(&M2, 1), (&L2, 1)]),
    line("2SMK4",     &[],                   58.901_967_0, &[(&S2, 2), (&M2, 1), (&K2, -1)]),
    line("MS4",       &[],                   58.984_104_2, &[(&M2, 1), (&S2, 1)]),
    line("MK4",       &[],                   59.066_241_5, &[(&M2, 1), (&K2, 1)]),
    line("2SNM4",     &[],                   59.455_625_3, &[(&S2, 2), (&N2, 1), (&M2, -1)]),
    line("2MSN4",     &[],                   59.528_479_0, &[(&M2, 2), (&S2, 1), (&N2, -1)]),
    line("SL4",       &[],                   59.528_479_0, &[(&S2, 1), (&L2, 1)]),
    line("S4",        &[],                   60.000_000_0, &[(&S2, 2)]),
    line("SK4",       &[],                   60.082_137_3, &[(&S2, 1), (&K2, 1)]),
    line("3SM4",      &[],                   61.015_895_8, &[(&S2, 3), (&M2, -1)]),
    line("2SKM4",     &[],                   61.098_033_0, &[(&S2, 2), (&K2, 1), (&M2, -1)]),
    line("MNO5",      &[],                   71.366_869_4, &[(&M2, 1), (&N2, 1), (&O1, 1)]),
    line("3MK5",      &[],                   71.911_244_1, &[(&M2, 3), (&K1, -1)]),
    line("2MO5",      &[],                   71.911_244_1, &[(&M2, 2), (&O1, 1)]),
    line("3MP5",      &[],                   71.993_381_4, &[(&M2, 3), (&P1, -1)]),
    line("MNK5",      &[],                   72.464_902_4, &[(&M2, 1), (&N2, 1), (&K1, 1)]),
    line("2MP5",      &[],                   72.927_139_8, &[(&M2, 2), (&P1, 1)]),
    line("2MK5",      &[],                   73.009_277_1, &[(&M2, 2), (&K1, 1)]),
    line("3MO5",      &[],                   73.009_277_1, &[(&M2, 3), (&O1, -1)]),
    line("MSK5",      &[],                   74.025_172_9, &[(&M2, 1), (&S2, 1), (&K1, 1)]),
    line("3KM5",      &[],                   74.107_310_2, &[(&K1, 3), (&M2, 1)]),
    line("2(MN)S6",   &[],                   84.847_667_6, &[(&M2, 2), (&N2, 2), (&S2, -1)]),
    line("3MNS6",     &[],                   85.392_042_3, &[(&M2, 3), (&N2, 1), (&S2, -1)]),
    line("2NMLS6",    &[],                   85.392_042_2, &[(&N2, 2), (&M2, 1), (&L2, 1), (&S2, -1)]),
    line("2NM6",      &[],                   85.863_563_3, &[(&N2, 2), (&M2, 1)]),
    line("4MS6",      &[],                   85.936_417_0, &[(&M2, 4), (&S2, -1)]),
    line("2MLNS6",    &[],                   85.936_416_9, &[(&M2, 2), (&L2, 1), (&N2, 1), (&S2, -1)]),
    line("2MSNK6",    &[],                   86.325_800_7, &[(&M2, 2), (&S2, 1), (&N2, 1), (&K2, -1)]),
    line("2MN6",      &[],                   86.407_938_0, &[(&M2, 2), (&N2, 1)]),
    line("2MNU6",     &[],                   86.480_791_7, &[(&M2, 2), (&NU2, 1)]),
    line("3MLS6",     &[],                   86.480_791_6, &[(&M2, 3), (&L2, 1), (&S2, -1)]),
    line("3MSK6",     &[],                   86.870_175_4, &[(&M2, 3), (&S2, 1), (&K2, -1)]),
    line("M6",        &[],                   86.952_312_7, &[(&M2, 3)]),
    line("MSN6",      &[],                   87.423_833_8, &[(&M2, 1), (&S2, 1), (&N2, 1)]),
    line("2ML6",      &[],                   87.496_687_4, &[(&M2, 2), (&L2, 1)]),
    line("4MN6",      &[],                   87.496_687_4, &[(&M2, 4), (&N2, -1)]),
    line("MNK6",      &[],                   87.505_971_1, &[(&M2, 1), (&N2, 1), (&K2, 1)]),
    line("MKNU6",     &[],                   87.578_824_7, &[(&M2, 1), (&K2, 1), (&NU2, 1)]),
    line("2(MS)K6",   &[],                   87.886_071_2, &[(&M2, 2), (&S2, 2), (&K2, -1)]),
    line("2MS6",      &[],                   87.968_208_5, &[(&M2, 2), (&S2, 1)]),
    line("2MK6",      &[],                   88.050_345_8, &[(&M2, 2), (&K2, 1)]),
    line("2SN6",      &[],                   88.439_729_5, &[(&S2, 2), (&N2, 1)]),
    line("3MSN6",     &[],                   88.512_583_2, &[(&M2, 3), (&S2, 1), (&N2, -1)]),
    line("MSL6",      &[],                   88.512_583_2, &[(&M2, 1), (&S2, 1), (&L2, 1)]),
    line("MKL6",      &[],                   88.594_720_5, &[(&M2, 1), (&K2, 1), (&L2, 1)]),
    line("2SM6",      &[],                   88.984_104_2, &[(&S2, 2), (&M2, 1)]),
    line("MSK6",      &[],                   89.066_241_5, &[(&M2, 1), (&S2, 1), (&K2, 1)]),
    line("S6",        &[],                   90.000_000_0, &[(&S2, 3)]),
    line("2MNO7",     &[],                  100.350_973_6, &[(&M2, 2), (&N2, 1), (&O1, 1)]),
    line("2NMK7",     &[],                  100.904_632_0, &[(&N2, 2), (&M2, 1), (&K1, 1)]),
    line("M7",        &[],                  101.449_006_6, &[(&M2, 3), (&M1, 1)]),
    line("2MSO7",     &[],                  101.911_244_1, &[(&M2, 2), (&S2, 1), (&O1, 1)]),
    line("MSKO7",     &[],                  103.009_277_1, &[(&M2, 1), (&S2, 1), (&K2, 1), (&O1, 1)]),
    line("2(MN)8",    &["2MN8"],            114.847_667_6, &[(&M2, 2), (&N2, 2)]),
    line("3MN8",      &[],                  115.392_042_3, &[(&M2, 3), (&N2, 1)]),
    line("4MLS8",     &[],                  115.464_895_8, &[(&M2, 4), (&L2, 1), (&S2, -1)]),
    line("M8",        &[],                  115.936_417_0, &[(&M2, 4)]),
    line("2MSN8",     &[],                  116.407_938_0, &[(&M2, 2), (&S2, 1), (&N2, 1)]),
    line("3ML8",      &[],                  116.480_791_6, &[(&M2, 3), (&L2, 1)]),
    line("2MNK8",     &[],                  116.490_075_3, &[(&M2, 2), (&N2, 1), (&K2, 1)]),
    line("3MS8",      &[],                  116.952_312_7, &[(&M2, 3), (&S2, 1)]),
    line("3MK8",      &[],                  117.034_450_0, &[(&M2, 3), (&K2, 1)]),
    line("2SNM8",     &["2SMN8"],           117.423_833_8, &[(&S2, 2), (&M2, 1), (&N2, 1)]),
    line("MSNK8",     &[],                  117.505_971_1, &[(&M2, 1), (&S2, 1), (&N2, 1), (&K2, 1)]),
    line("2MSL8",     &[],                  117.496_687_4, &[(&M2, 2), (&S2, 1), (&L2, 1)]),
    line("2(MS)8",    &["2MS8"],            117.968_208_5, &[(&M2, 2), (&S2, 2)]),
    line("2MSK8",     &[],                  118.050_345_8, &[(&M2, 2), (&S2, 1), (&K2, 1)]),
    line("3SM8",      &[],                  118.984_104_2, &[(&S2, 3), (&M2, 1)]),
    line("2SMK8",     &[],                  119.066_241_5, &[(&S2, 2), (&M2, 1), (&K2, 1)]),
    line("S8",        &[],                  120.000_000_0, &[(&S2, 4)]),
    line("2M2NK9",    &["2(MN)K9"],         129.888_736_2, &[(&M2, 2), (&N2, 2), (&K1, 1)]),
    line("3MNK9",     &[],                  130.433_110_9, &[(&M2, 3), (&N2, 1), (&K1, 1)]),
    line("4MK9",      &[],                  130.977_485_5, &[(&M2, 4), (&K1, 1)]),
    line("3MSK9",     &[],                  131.993_381_3, &[(&M2, 3), (&S2, 1), (&K1, 1)]),
    line("4MN10",     &[],                  144.376_146_4, &[(&M2, 4), (&N2, 1)]),
    line("M10",       &[],                  144.920_521_1, &[(&M2, 5)]),
    line("3MSN10",    &["3MNS10"],          145.392_042_2, &[(&M2, 3), (&S2, 1), (&N2, 1)]),
    line("4MS10",     &[],                  145.936_416_9, &[(&M2, 4), (&S2, 1)]),
    line("3MSL10",    &[],                  146.480_791_5, &[(&M2, 3), (&S2, 1), (&L2, 1)]),
    line("2(MS)N10",  &[],                  146.407_938_0, &[(&M2, 2), (&S2, 2), (&N2, 1)]),
    line("2MNSK10",   &[],                  146.490_075_3, &[(&M2, 2), (&N2, 1), (&S2, 1), (&K2, 1)]),
    line("3M2S10",    &[],                  146.952_312_6, &[(&M2, 3), (&S2, 2)]),
    line("4MSK11",    &[],                  160.977_485_4, &[(&M2, 4), (&S2, 1), (&K1, 1)]),
    line("M12",       &[],                  173.904_625_3, &[(&M2, 6)]),
    line("4MSN12",    &["4MNS12"],          174.376_146_4, &[(&M2, 4), (&S2, 1), (&N2, 1)]),
    line("5MS12",     &[],                  174.920_521_1, &[(&M2, 5), (&S2, 1)]),
    line("4MSL12",    &[],                  175.464_895_7, &[(&M2, 4), (&S2, 1), (&L2, 1)]),
    line("4M2S12",    &[],                  175.936_416_8, &[(&M2, 4), (&S2, 2)]),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_speed_is_its_arguments_times_the_astronomical_rates() {
        for constituent in &CONSTITUENTS {
            let turns: u32 = constituent
                .parts
                .iter()
                .map(|(wave, times)| {
                    let numbers: u32 = wave.numbers[1..].iter().map(|n| u32::from(n.unsigned_abs())).sum();
                    numbers * u32::from(times.unsigned_abs())
                })
                .sum();
            // Half a unit in the last place of each printed rate, and of the printed speed; the list itself prints
            // some compound speeds as sums of rounded ones, another unit for each part.
            let parts: u32 = constituent.parts.iter().map(|(_, times)| u32::from(times.unsigned_abs())).sum();
            let tolerance = 0.5e-8 * f64::from(turns) + 0.5e-7 + 0.5e-7 * f64::from(parts);
            let speed = constituent.speed_from_rates_deg_h();
            assert!((speed - constituent.speed_deg_h).abs() <= tolerance, "{constituent}: {speed}");
        }
    }

    #[test]
    fn the_number_that_ends_a_name_is_how_often_a_day_it_comes() {
        for constituent in &CONSTITUENTS {
            let digits: String = constituent
                .name
                .chars()
                .rev()
                .take_while(char::is_ascii_digit)
                .collect::<Vec<_>>()
                .into_iter()
                .rev()
                .collect();
            let named = if constituent.name == "M1C" { 1 } else { digits.parse().unwrap_or(0) };
            assert_eq!(constituent.species(), named, "{constituent}");
        }
    }

    #[test]
    fn no_name_means_two_constituents() {
        let mut names: Vec<&str> =
            CONSTITUENTS.iter().flat_map(|c| c.aliases.iter().copied().chain([c.name])).collect();
        let count = names.len();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), count);
    }

    // Source: hatyan 2.14 ("schureman"), 0 h UT; the order is M2, S2, N2, K2, K1, O1, P1, Q1.
    #[rustfmt::skip]
    const ARGUMENTS: [(&str, [f64; 8]); 3] = [
        ("2020-01-01T00:00:00Z", [229.614, 0.0,  61.394, 200.254,  10.127, 219.487, 349.873,  51.267]),
        ("2025-07-01T00:00:00Z", [231.564, 0.0, 108.837, 198.614, 189.307,  42.257, 170.693, 279.530]),
        ("2026-07-01T00:00:00Z", [332.317, 0.0, 120.867, 198.136, 189.068, 143.249, 170.932, 291.799]),
    ];

    #[test]
    fn equilibrium_arguments_agree_with_an_outside_program() {
        for (when, arguments) in ARGUMENTS {
            let astronomy = Astronomy::at(when.parse().expect("an instant"));
            for (name, expected) in
                ["M2", "S2", "N2", "K2", "K1", "O1", "P1", "Q1"].into_iter().zip(arguments)
            {
                let found = Constituent::by_name(name).expect("a known name").argument_deg(&astronomy);
                // The outside program's moon runs on a rounded epoch: up to 0.05° of M2, six seconds of time.
                let apart = (found - expected + 180.0).rem_euclid(360.0) - 180.0;
                assert!(apart.abs() < 0.06, "{when} {name}: {found}");
            }
        }
    }
}
