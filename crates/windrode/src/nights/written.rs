//! One night written down as the log that its instruments would have left, to be replayed and looked into.
//!
//! At its head stand, as remarks, what the crew would have told the watch, and for what is not told in a replay by a
//! flag the lines of a vessel file. A replay of it is near the night that was scored, and not the same: of the rode
//! it knows length and chain only.

use std::fmt::Write;

use windrode_domain::simulate::{Night, Scenario};
use windrode_wire::nmea0183::clock::{UtcTime, Zda};
use windrode_wire::nmea0183::encode::{self, Decimals};
use windrode_wire::nmea0183::sentence::Talker;

use super::member::{NightOf, generator};
use super::scenario_file::Case;
use super::sentences;

/// The log of a night, and where its anchor truly lay.
pub(crate) struct Written {
    /// Sentences under remarks.
    pub(crate) log: String,
    /// A table `t_utc,anchor_lat,anchor_lon`.
    pub(crate) truth: String,
}

/// Lives one night of a case and writes it down.
///
/// # Errors
/// In words, why it cannot be played.
pub(crate) fn written(case: &Case, seed: u64, number: u32) -> Result<Written, String> {
    let mut rng = generator(NightOf { seed, number });
    let (family, scenario) = case.draw(number, &mut rng);
    let origin = scenario.origin;
    let mut log = head(family.word(), &scenario);
    let mut truth = "t_utc,anchor_lat,anchor_lon\n".to_owned();
    let mut night = Night::new(scenario, &mut rng).map_err(|error| error.to_string())?;
    let mut readings = Vec::new();
    while !night.over() {
        readings.clear();
        let now = night.second(&mut rng, &mut readings);
        let date = Some(jiff::tz::TimeZone::UTC.to_datetime(now.at).date());
        let zda = Zda { time: Some(UtcTime::of(now.at)), date };
        encode::zda(&zda, Talker(*b"GP"), Decimals::USUAL, &mut log);
        sentences::write(&readings, &mut log);
        if now.second.is_multiple_of(10) {
            let lay = origin.plus(now.anchor);
            let (lat, lon) = (lay.latitude_deg(), lay.longitude_deg());
            // Text takes whatever is written to it.
            let _ = writeln!(truth, "{},{lat:.8},{lon:.8}", now.at);
        }
    }
    Ok(Written { log, truth })
}

/// What the crew would have told.
fn head(family: &str, scenario: &Scenario) -> String {
    let boat = &scenario.boat;
    let drop = scenario.drop.map(|mark| scenario.origin.plus(mark.off));
    let drop = drop
        .map_or_else(String::new, |at| format!(" --drop={:.8},{:.8}", at.latitude_deg(), at.longitude_deg()));
    format!(
        "# {family}: replay with{drop} --rode {:.2} --depth {:.2}, and of the vessel:\n# length_m = {:.2}\n\
         # antenna_aft_of_bow_m = {:.2}\n# antenna_to_starboard_m = {:.2}\n# roller_height_m = {:.2}\n\
         # draught_m = {:.2}\n",
        scenario.rode_said.length().as_metres(),
        scenario.depth_m,
        boat.length_m,
        boat.antenna_aft_m,
        boat.antenna_starboard_m,
        boat.roller_m,
        boat.draught_m,
    )
}
