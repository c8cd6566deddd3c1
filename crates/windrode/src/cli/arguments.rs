//! Values on the command line that several commands take.

use windrode_domain::position::Position;

/// A position as `LAT,LON` in decimal degrees, north and east positive, longitudes ±180 or 0 to 360.
pub(super) fn position(text: &str) -> Result<Position, String> {
    let form = || format!("\"{text}\" is not a position: write LAT,LON in degrees, such as -41.2,174.8");
    let (latitude, longitude) = text.split_once(',').ok_or_else(form)?;
    let degrees = |part: &str| part.trim().parse::<f64>().map_err(|_| form());
    Position::new(degrees(latitude)?, degrees(longitude)?).map_err(|error| error.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn longitudes_may_be_told_either_way_round() {
        let (west, east) = (position("41.0,-71.5").unwrap(), position(" 41.0, 288.5").unwrap());
        assert!(west.towards(east).0.as_metres() < 1e-6);
    }

    #[test]
    fn what_is_no_position_is_refused_with_the_form() {
        for text in ["", "41", "41;-71", "north,west", "41,"] {
            assert!(position(text).unwrap_err().contains("LAT,LON"), "{text}");
        }
        assert!(position("91,0").unwrap_err().contains("latitude"));
        assert!(position("NaN,0").unwrap_err().contains("latitude"));
        assert!(position("0,400").unwrap_err().contains("longitude"));
    }
}
