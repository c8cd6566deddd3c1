//! Quantities, and only the operators that physics gives them.
//!
//! Every quantity is kept in SI and says its unit going in and coming out; there is no `From<f64>`. Inside a
//! formula raw `f64` locals carry the literature's letters under a legend, or end in their unit (`load_n`).
//!
//! Constants: standard gravity is exact by definition (3rd CGPM, 1901); the knot is 1852 m per hour, exact
//! (International Extraordinary Hydrographic Conference, 1929); the pound-force is 4.448 221 615 260 5 N, exact
//! (from the 1959 international pound).

use core::fmt;
use core::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

/// Standard gravity, m/s², exact by definition.
pub const GRAVITY_M_S2: f64 = 9.806_65;
/// Density of sea water for gear and propellers, kg/m³: the round value used in naval architecture.
pub const SEA_WATER_KG_M3: f64 = 1025.0;
/// Density of dry air at 15 °C and 1013.25 hPa, kg/m³. ISO 2533:1975 standard atmosphere.
pub const AIR_KG_M3: f64 = 1.225;
/// One knot in metres a second, exact.
pub const KNOT_M_S: f64 = 1852.0 / 3600.0;
/// One pound-force in newtons, exact to the digits of the 1959 pound.
pub const POUND_FORCE_N: f64 = 4.448_221_615_260_5;
/// One international foot in metres, exact.
pub const FOOT_M: f64 = 0.3048;

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $new:ident, $get:ident, $unit:literal, $digits:literal) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            /// Nothing of it.
            pub const ZERO: Self = Self(0.0);

            #[doc = concat!("From a value in ", $unit, ".")]
            pub const fn $new(value: f64) -> Self {
                Self(value)
            }
            #[doc = concat!("The value in ", $unit, ".")]
            pub const fn $get(self) -> f64 {
                self.0
            }
            /// The larger of two; NaN gives way to a number.
            #[must_use]
            pub const fn max(self, other: Self) -> Self {
                Self(self.0.max(other.0))
            }
            /// The smaller of two; NaN gives way to a number.
            #[must_use]
            pub const fn min(self, other: Self) -> Self {
                Self(self.0.min(other.0))
            }
            /// Its size without its sign.
            #[must_use]
            pub const fn abs(self) -> Self {
                Self(self.0.abs())
            }
            /// Neither infinite nor NaN.
            pub const fn is_finite(self) -> bool {
                self.0.is_finite()
            }
        }

        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }
        impl AddAssign for $name {
            fn add_assign(&mut self, other: Self) {
                self.0 += other.0;
            }
        }
        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }
        impl SubAssign for $name {
            fn sub_assign(&mut self, other: Self) {
                self.0 -= other.0;
            }
        }
        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }
        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }
        impl Mul<$name> for f64 {
            type Output = $name;
            fn mul(self, quantity: $name) -> $name {
                $name(self * quantity.0)
            }
        }
        impl Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self {
                Self(self.0 / divisor)
            }
        }
        impl Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }
        impl core::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(quantities: I) -> Self {
                quantities.fold(Self::ZERO, Add::add)
            }
        }
        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, concat!("{:.", $digits, "} ", $unit), self.0)
            }
        }
    };
}

quantity!(
    /// A length, a distance, a height. Kept in metres.
    Length, metres, as_metres, "m", 2
);
quantity!(
    /// An area. Kept in square metres.
    Area, square_metres, as_square_metres, "m²", 2
);
quantity!(
    /// A mass. Kept in kilograms.
    Mass, kilograms, as_kilograms, "kg", 1
);
quantity!(
    /// Mass of a metre of chain or rope, in air. Kept in kilograms a metre.
    MassPerLength, kilograms_per_metre, as_kilograms_per_metre, "kg/m", 3
);
quantity!(
    /// Weight of a metre of chain or rope, in water where so said; negative if it floats. Kept in newtons a metre.
    WeightPerLength, newtons_per_metre, as_newtons_per_metre, "N/m", 3
);
quantity!(
    /// A force; an axial stiffness `EA` is a force too. Kept in newtons.
    Force, newtons, as_newtons, "N", 0
);
quantity!(
    /// A speed. Kept in metres a second.
    Speed, metres_per_second, as_metres_per_second, "m/s", 2
);
quantity!(
    /// An angle that is not a direction on the compass (uplift, slope, sheer). Kept in radians.
    Angle, radians, as_radians, "rad", 4
);
quantity!(
    /// Engine or shaft power. Kept in watts.
    Power, watts, as_watts, "W", 0
);

quantity!(
    /// Energy or work. Kept in joules.
    Energy, joules, as_joules, "J", 0
);

impl Length {
    /// From international feet.
    pub const fn feet(value: f64) -> Self {
        Self(value * FOOT_M)
    }
    /// From fathoms of six feet.
    pub const fn fathoms(value: f64) -> Self {
        Self(value * 6.0 * FOOT_M)
    }
    /// In international feet.
    pub const fn as_feet(self) -> f64 {
        self.0 / FOOT_M
    }
    /// In fathoms of six feet.
    pub const fn as_fathoms(self) -> f64 {
        self.0 / (6.0 * FOOT_M)
    }
}

impl Mass {
    /// Its weight in air under standard gravity.
    pub const fn weight(self) -> Force {
        Force(self.0 * GRAVITY_M_S2)
    }
}

impl Force {
    /// From decanewtons, the deck's stand-in for the kilogram-force.
    pub const fn decanewtons(value: f64) -> Self {
        Self(value * 10.0)
    }
    /// From pounds-force.
    pub const fn pounds(value: f64) -> Self {
        Self(value * POUND_FORCE_N)
    }
    /// In decanewtons.
    pub const fn as_decanewtons(self) -> f64 {
        self.0 / 10.0
    }
    /// In pounds-force.
    pub const fn as_pounds(self) -> f64 {
        self.0 / POUND_FORCE_N
    }
}

impl Speed {
    /// From knots.
    pub const fn knots(value: f64) -> Self {
        Self(value * KNOT_M_S)
    }
    /// In knots.
    pub const fn as_knots(self) -> f64 {
        self.0 / KNOT_M_S
    }
}

impl Angle {
    /// From degrees.
    pub const fn degrees(value: f64) -> Self {
        Self(value.to_radians())
    }
    /// In degrees.
    pub const fn as_degrees(self) -> f64 {
        self.0.to_degrees()
    }
}

impl Mul for Length {
    type Output = Area;
    fn mul(self, other: Self) -> Area {
        Area(self.0 * other.0)
    }
}
impl Mul<Length> for WeightPerLength {
    type Output = Force;
    fn mul(self, length: Length) -> Force {
        Force(self.0 * length.0)
    }
}
impl Mul<Length> for Force {
    type Output = Energy;
    fn mul(self, length: Length) -> Energy {
        Energy(self.0 * length.0)
    }
}
impl Mul<Length> for MassPerLength {
    type Output = Mass;
    fn mul(self, length: Length) -> Mass {
        Mass(self.0 * length.0)
    }
}
/// A force over a weight per length is a length: the catenary parameter `a = H / w`.
impl Div<WeightPerLength> for Force {
    type Output = Length;
    fn div(self, weight: WeightPerLength) -> Length {
        Length(self.0 / weight.0)
    }
}

/// A direction on the compass, true, in degrees clockwise from north, always in `[0, 360)`.
///
/// Headings say where the bow points; winds say where they blow *from*; streams say where they set *to*. The name
/// of the value says which.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Bearing(f64);

impl Bearing {
    /// From true degrees; any finite value is brought into `[0, 360)`.
    pub fn degrees(value: f64) -> Self {
        let wrapped = value.rem_euclid(360.0);
        // A tiny negative value wraps to 360 exactly after rounding.
        Self(if wrapped < 360.0 { wrapped } else { 0.0 })
    }
    /// True degrees in `[0, 360)`.
    pub const fn as_degrees(self) -> f64 {
        self.0
    }
    /// True radians in `[0, 2π)`.
    pub const fn as_radians(self) -> f64 {
        self.0.to_radians()
    }
    /// The opposite direction.
    #[must_use]
    pub fn reversed(self) -> Self {
        Self::degrees(self.0 + 180.0)
    }
    /// Turned clockwise by an angle.
    #[must_use]
    pub fn turned(self, by: Angle) -> Self {
        Self::degrees(self.0 + by.as_degrees())
    }
    /// The turn from this bearing to another, the short way, clockwise positive, in `(-180°, 180°]`.
    pub fn to(self, other: Self) -> Angle {
        let turn = (other.0 - self.0).rem_euclid(360.0);
        Angle::degrees(if 180.0 < turn { turn - 360.0 } else { turn })
    }
}

impl fmt::Display for Bearing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // 359.6 reads 000, not 360.
        write!(f, "{:03.0}°", self.0.round() % 360.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_nautical_mile_an_hour_is_a_knot() {
        assert!((Speed::knots(3600.0).as_metres_per_second() - 1852.0).abs() < 1e-9);
    }

    #[test]
    fn six_feet_are_a_fathom() {
        assert!((Length::fathoms(1.0).as_feet() - 6.0).abs() < 1e-12);
    }

    #[test]
    fn the_short_way_round_is_never_more_than_half_a_turn() {
        for a in (0..360).step_by(15) {
            for b in (0..360).step_by(15) {
                let (from, to) = (Bearing::degrees(f64::from(a)), Bearing::degrees(f64::from(b)));
                let turn = from.to(to);
                assert!(turn.as_degrees() <= 180.0 + 1e-12 && -180.0 < turn.as_degrees());
                // Degrees pass through radians once: a few ulps of 360.
                let arrived = from.turned(turn).to(to).as_degrees();
                assert!(arrived.abs() < 1e-9, "{a} to {b}: {arrived}");
            }
        }
    }

    #[test]
    fn a_bearing_just_short_of_north_reads_north() {
        assert_eq!(Bearing::degrees(359.7).to_string(), "000°");
        assert!(Bearing::degrees(-1e-18).as_degrees() < 360.0);
    }
}
