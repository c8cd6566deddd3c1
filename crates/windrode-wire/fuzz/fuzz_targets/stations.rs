//! The packed stations: every entry, its tide and its pedigree.

#![no_main]

use libfuzzer_sys::fuzz_target;
use windrode_domain::environment::tide::harmonic::Convention;
use windrode_wire::stations::Stations;

fuzz_target!(|bytes: &[u8]| {
    let Ok(stations) = Stations::read(bytes) else { return };
    for entry in stations.iter().take(1000).flatten() {
        let _ = (stations.pedigree(&entry), stations.water(&entry, Convention::Continuous));
        let _ = stations.find(entry.id);
    }
});
