//! A file of GRIB2 messages to winds at a place.

#![no_main]

use libfuzzer_sys::fuzz_target;
use windrode_domain::position::Position;
use windrode_wire::grib2::WindGrids;

fuzz_target!(|bytes: &[u8]| {
    let Ok(winds) = WindGrids::read(bytes) else { return };
    for (latitude_deg, longitude_deg) in [(0.0, 0.0), (42.0, -71.0), (-17.0, 179.9)] {
        let _ = winds.at(Position::new(latitude_deg, longitude_deg).expect("a place on the earth"));
    }
});
