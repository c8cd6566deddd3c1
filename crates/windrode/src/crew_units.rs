//! Figures as this crew reads them: metres, feet or fathoms; knots or metres a second; decanewtons, kilonewtons or
//! pounds.
//!
//! Rounding is said in the name: a length or load is rounded to the nearest, or down, or up, so that the calm
//! direction is never chosen by accident. Water and room are rounded down, rode to veer and loads up.

use windrode_domain::units::{Force, Length, Speed};

/// Unit of lengths.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum LengthUnit {
    /// Metres.
    Metres,
    /// International feet.
    Feet,
    /// Fathoms of six feet.
    Fathoms,
}

/// Unit of speeds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum SpeedUnit {
    /// Knots.
    Knots,
    /// Metres a second.
    MetresPerSecond,
}

/// Unit of forces.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum ForceUnit {
    /// Decanewtons.
    Decanewtons,
    /// Kilonewtons.
    Kilonewtons,
    /// Pounds-force.
    PoundsForce,
}

/// The units that a crew reads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct CrewUnits {
    /// Of lengths.
    pub(crate) length: LengthUnit,
    /// Of speeds.
    pub(crate) speed: SpeedUnit,
    /// Of forces.
    pub(crate) force: ForceUnit,
}

/// Metres, knots, decanewtons: what most charts, forecasts and deck gear are told in.
pub(crate) const USUAL: CrewUnits =
    CrewUnits { length: LengthUnit::Metres, speed: SpeedUnit::Knots, force: ForceUnit::Decanewtons };

/// Which way a figure is rounded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Towards {
    Nearest,
    Down,
    Up,
}

/// A figure that lies this close to a printed one is that one: what conversion between units leaves, not a length.
const CONVERSION_RESIDUE: f64 = 1e-6;

fn rounded(value: f64, decimals: i32, towards: Towards) -> f64 {
    let scale = 10_f64.powi(decimals);
    let scaled = value * scale;
    let whole = match towards {
        Towards::Nearest => scaled.round(),
        Towards::Down => (scaled + CONVERSION_RESIDUE).floor(),
        Towards::Up => (scaled - CONVERSION_RESIDUE).ceil(),
    };
    // Adding nothing turns a negative zero into a plain one.
    whole / scale + 0.0
}

impl CrewUnits {
    /// A length to the nearest tenth.
    pub(crate) fn length(self, length: Length) -> String {
        self.length_towards(length, Towards::Nearest)
    }
    fn length_towards(self, length: Length, towards: Towards) -> String {
        let (value, unit) = match self.length {
            LengthUnit::Metres => (length.as_metres(), "m"),
            LengthUnit::Feet => (length.as_feet(), "ft"),
            LengthUnit::Fathoms => (length.as_fathoms(), "fm"),
        };
        format!("{:.1} {unit}", rounded(value, 1, towards))
    }

    /// A speed to the nearest: whole knots, or tenths of a metre a second.
    pub(crate) fn speed(self, speed: Speed) -> String {
        self.speed_towards(speed, Towards::Nearest)
    }
    /// A speed rounded down: wind that she stands.
    pub(crate) fn speed_down(self, speed: Speed) -> String {
        self.speed_towards(speed, Towards::Down)
    }
    /// A speed rounded up: wind that comes.
    pub(crate) fn speed_up(self, speed: Speed) -> String {
        self.speed_towards(speed, Towards::Up)
    }
    fn speed_towards(self, speed: Speed, towards: Towards) -> String {
        match self.speed {
            SpeedUnit::Knots => format!("{:.0} kn", rounded(speed.as_knots(), 0, towards)),
            SpeedUnit::MetresPerSecond => {
                format!("{:.1} m/s", rounded(speed.as_metres_per_second(), 1, towards))
            }
        }
    }

    /// A force to the nearest: whole decanewtons or pounds, hundredths of a kilonewton.
    pub(crate) fn force(self, force: Force) -> String {
        self.force_towards(force, Towards::Nearest)
    }
    /// A force rounded down: what a part may carry, what was proved.
    pub(crate) fn force_down(self, force: Force) -> String {
        self.force_towards(force, Towards::Down)
    }
    /// A force rounded up: what comes.
    pub(crate) fn force_up(self, force: Force) -> String {
        self.force_towards(force, Towards::Up)
    }
    fn force_towards(self, force: Force, towards: Towards) -> String {
        match self.force {
            ForceUnit::Decanewtons => format!("{:.0} daN", rounded(force.as_decanewtons(), 0, towards)),
            ForceUnit::Kilonewtons => format!("{:.2} kN", rounded(force.as_newtons() / 1000.0, 2, towards)),
            ForceUnit::PoundsForce => format!("{:.0} lbf", rounded(force.as_pounds(), 0, towards)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FEET: CrewUnits = CrewUnits {
        length: LengthUnit::Feet,
        speed: SpeedUnit::MetresPerSecond,
        force: ForceUnit::PoundsForce,
    };
    const FATHOMS: CrewUnits =
        CrewUnits { length: LengthUnit::Fathoms, speed: SpeedUnit::Knots, force: ForceUnit::Kilonewtons };

    #[test]
    fn water_never_rounds_up_nor_rode_down() {
        assert_eq!(USUAL.length_towards(Length::metres(0.299), Towards::Down), "0.2 m");
        assert_eq!(USUAL.length_towards(Length::metres(-0.01), Towards::Down), "-0.1 m");
        assert_eq!(USUAL.length_towards(Length::metres(40.01), Towards::Up), "40.1 m");
        assert_eq!(USUAL.length(Length::metres(40.04)), "40.0 m");
    }

    #[test]
    fn a_round_figure_stays_round_through_its_conversion() {
        for tenths in 0..500 {
            let feet = f64::from(tenths) / 10.0;
            let told = format!("{feet:.1} ft");
            assert_eq!(FEET.length_towards(Length::feet(feet), Towards::Up), told);
            assert_eq!(FEET.length_towards(Length::feet(feet), Towards::Down), told);
        }
    }

    #[test]
    fn each_crew_reads_its_own_units() {
        assert_eq!(FEET.length(Length::metres(3.048)), "10.0 ft");
        assert_eq!(FATHOMS.length(Length::metres(18.288)), "10.0 fm");
        assert_eq!(FEET.speed(Speed::metres_per_second(12.34)), "12.3 m/s");
        assert_eq!(USUAL.speed_up(Speed::knots(30.2)), "31 kn");
        assert_eq!(USUAL.speed_down(Speed::knots(30.9)), "30 kn");
        assert_eq!(FATHOMS.speed(Speed::knots(30.4)), "30 kn");
        assert_eq!(USUAL.force_up(Force::newtons(4001.0)), "401 daN");
        assert_eq!(FEET.force_down(Force::pounds(899.9)), "899 lbf");
        assert_eq!(FATHOMS.force(Force::newtons(12_344.0)), "12.34 kN");
    }

    #[test]
    fn nothing_reads_as_minus_nothing() {
        assert_eq!(USUAL.length(Length::metres(-0.01)), "0.0 m");
    }
}
