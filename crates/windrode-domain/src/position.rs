//! Positions on WGS 84, and the flat sheet of water round an anchor.
//!
//! Distances and bearings are geodesics by Karney's method (C. F. F. Karney, "Algorithms for geodesics", J. Geodesy
//! 87, 2013), from the `geographiclib-rs` crate, good to nanometres. Everything that swings is reckoned in metres
//! east and north of one origin: the azimuthal-equidistant projection about it, true in range and bearing from the
//! origin; between two points both within 2 km of it the distance is true to better than 1 mm.

use core::fmt;

use geographiclib_rs::{DirectGeodesic, Geodesic, InverseGeodesic};

use crate::units::{Bearing, Length};

/// A position on WGS 84: latitude north positive in `[-90, 90]`, longitude east positive in `[-180, 180)`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Position {
    latitude_deg: f64,
    longitude_deg: f64,
}

/// A position that cannot be.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum PositionError {
    /// Latitude is not a number within a quarter turn of the equator.
    #[error("latitude {0} is not between -90 and 90 degrees")]
    Latitude(f64),
    /// Longitude is not a number between -180 and 360.
    #[error("longitude {0} is not between -180 and 360 degrees")]
    Longitude(f64),
}

impl Position {
    /// From degrees; longitudes may be given as ±180 or 0 to 360.
    ///
    /// # Errors
    /// [`PositionError`] names the value that is not a latitude or longitude.
    pub fn new(latitude_deg: f64, longitude_deg: f64) -> Result<Self, PositionError> {
        if !(-90.0..=90.0).contains(&latitude_deg) {
            return Err(PositionError::Latitude(latitude_deg));
        }
        if !(-180.0..=360.0).contains(&longitude_deg) {
            return Err(PositionError::Longitude(longitude_deg));
        }
        let wrapped = (longitude_deg + 180.0).rem_euclid(360.0) - 180.0;
        Ok(Self { latitude_deg, longitude_deg: wrapped })
    }

    /// Latitude in degrees, north positive.
    pub const fn latitude_deg(self) -> f64 {
        self.latitude_deg
    }
    /// Longitude in degrees, east positive, in `[-180, 180)`.
    pub const fn longitude_deg(self) -> f64 {
        self.longitude_deg
    }

    /// Distance and initial true bearing to another position. The bearing over no distance is north.
    pub fn towards(self, other: Self) -> (Length, Bearing) {
        let (distance_m, azimuth_deg, _, _): (f64, f64, f64, f64) = Geodesic::wgs84().inverse(
            self.latitude_deg,
            self.longitude_deg,
            other.latitude_deg,
            other.longitude_deg,
        );
        let azimuth_deg = if distance_m > 0.0 { azimuth_deg } else { 0.0 };
        (Length::metres(distance_m), Bearing::degrees(azimuth_deg))
    }

    /// The position at a distance along a true bearing.
    #[must_use]
    pub fn at(self, distance: Length, bearing: Bearing) -> Self {
        let (latitude_deg, longitude_deg): (f64, f64) = Geodesic::wgs84().direct(
            self.latitude_deg,
            self.longitude_deg,
            bearing.as_degrees(),
            distance.as_metres(),
        );
        let wrapped = (longitude_deg + 180.0).rem_euclid(360.0) - 180.0;
        Self { latitude_deg, longitude_deg: wrapped }
    }

    /// Where another position lies on the flat sheet about this one.
    pub fn offset_of(self, other: Self) -> Offset {
        let (distance, bearing) = self.towards(other);
        Offset::along(bearing, distance)
    }

    /// The position of a point on the flat sheet about this one.
    #[must_use]
    pub fn plus(self, offset: Offset) -> Self {
        self.at(offset.length(), offset.bearing())
    }
}

impl fmt::Display for Position {
    /// Degrees and decimal minutes, as on a chart: `41°12.345'S 174°48.000'E`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let minutes = |value: f64, width: usize, positive: char, negative: char| {
            let thousandths = (value.abs() * 60_000.0).round();
            let degrees = (thousandths / 60_000.0).floor();
            let minutes = (thousandths - degrees * 60_000.0) / 1000.0;
            let sign = if value < 0.0 { negative } else { positive };
            format!("{degrees:0width$.0}°{minutes:06.3}'{sign}")
        };
        let latitude = minutes(self.latitude_deg, 2, 'N', 'S');
        let longitude = minutes(self.longitude_deg, 3, 'E', 'W');
        write!(f, "{latitude} {longitude}")
    }
}

/// Metres east and north of an origin that the context names.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Offset {
    /// Metres east.
    pub east_m: f64,
    /// Metres north.
    pub north_m: f64,
}

impl Offset {
    /// The origin itself.
    pub const ORIGIN: Self = Self { east_m: 0.0, north_m: 0.0 };

    /// A distance along a true bearing.
    pub fn along(bearing: Bearing, distance: Length) -> Self {
        let (sin, cos) = bearing.as_radians().sin_cos();
        Self { east_m: distance.as_metres() * sin, north_m: distance.as_metres() * cos }
    }
    /// Distance from the origin.
    pub fn length(self) -> Length {
        Length::metres(self.east_m.hypot(self.north_m))
    }
    /// True bearing from the origin; north for the origin itself.
    pub fn bearing(self) -> Bearing {
        Bearing::degrees(self.east_m.atan2(self.north_m).to_degrees())
    }
    /// Distance to another offset from the same origin.
    pub fn distance_to(self, other: Self) -> Length {
        (other - self).length()
    }
}

impl core::ops::Add for Offset {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self { east_m: self.east_m + other.east_m, north_m: self.north_m + other.north_m }
    }
}

impl core::ops::Sub for Offset {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self { east_m: self.east_m - other.east_m, north_m: self.north_m - other.north_m }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn longitudes_may_be_told_either_way_round() {
        let west = Position::new(41.0, -71.5).unwrap();
        let east = Position::new(41.0, 288.5).unwrap();
        assert!((west.longitude_deg() - east.longitude_deg()).abs() < 1e-12);
    }

    #[test]
    fn what_is_not_a_position_is_refused_by_name() {
        assert!(matches!(Position::new(91.0, 0.0), Err(PositionError::Latitude(_))));
        assert!(matches!(Position::new(f64::NAN, 0.0), Err(PositionError::Latitude(_))));
        assert!(matches!(Position::new(0.0, f64::INFINITY), Err(PositionError::Longitude(_))));
        assert!(matches!(Position::new(0.0, 361.0), Err(PositionError::Longitude(_))));
    }

    #[test]
    fn out_and_back_ends_where_it_began() {
        let origin = Position::new(-41.2, 179.999).unwrap();
        let there = origin.plus(Offset { east_m: 400.0, north_m: -250.0 });
        let back = origin.offset_of(there);
        assert!(back.distance_to(Offset { east_m: 400.0, north_m: -250.0 }).as_metres() < 1e-6);
    }

    #[test]
    fn minutes_never_read_sixty() {
        let place = Position::new(-41.999_999_9, 9.999_999_99).unwrap();
        assert_eq!(place.to_string(), "42°00.000'S 010°00.000'E");
    }
}
