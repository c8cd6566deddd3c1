//! `windrode chart show`: which chart it is, how old, and what it holds.

use std::collections::BTreeMap;
use std::io::Write;

use jiff::civil::Date;
use jiff::tz::Offset;
use serde::Serialize;
use windrode_wire::s57::catalogue::Class;
use windrode_wire::s57::geometry::{Extent, Geometry};
use windrode_wire::s57::quality::Zone;
use windrode_wire::s57::{Chart, values};

use super::{Ending, Failure, Given, remarks};
use crate::clock;

/// Shows which charts are given: edition, age, scale, datum, quality, and how much of what they hold.
#[derive(clap::Args)]
pub(in crate::cli) struct Arguments {
    #[command(flatten)]
    given: Given,
    /// Print JSON, one object a chart, each on its own line.
    #[arg(long)]
    json: bool,
}

/// Runs the command.
pub(super) fn run(arguments: &Arguments, out: &mut impl Write) -> Result<Ending, Failure> {
    let today = Offset::UTC.to_datetime(clock::system_time()).date();
    let mut charts = arguments.given.read()?;
    charts.sort_by_key(|chart| chart.identity().scale);
    for (place, chart) in charts.iter().enumerate() {
        let shown = Shown::of(chart, today);
        if arguments.json {
            serde_json::to_writer(&mut *out, &shown)?;
            writeln!(out)?;
        } else {
            if 0 < place {
                writeln!(out)?;
            }
            shown.write(out)?;
        }
    }
    Ok(Ending::Done)
}

/// A chart as the outside sees it; documented in docs/json.md.
#[derive(Serialize)]
struct Shown {
    version: u8,
    chart: String,
    edition: u32,
    update: u32,
    issued: String,
    updated: Option<String>,
    age_days: i32,
    scale: u32,
    sounding_datum: String,
    height_datum: String,
    extent: Option<Bounds>,
    features: BTreeMap<String, usize>,
    area_m2: AreaM2,
    soundings: Soundings,
    quality: Vec<String>,
    remarks: Vec<String>,
}

#[derive(Serialize)]
#[expect(clippy::struct_field_names, reason = "the unit stands in every name")]
struct Bounds {
    south_deg: f64,
    west_deg: f64,
    north_deg: f64,
    east_deg: f64,
}

/// Charted water and land.
#[derive(Default, Serialize)]
#[serde(rename_all = "UPPERCASE")]
struct AreaM2 {
    depare: f64,
    lndare: f64,
}

#[derive(Default, Serialize)]
struct Soundings {
    count: usize,
    min_m: Option<f64>,
    max_m: Option<f64>,
}

impl Shown {
    fn of(chart: &Chart, today: Date) -> Self {
        let identity = chart.identity();
        let datum = |code: u8| {
            let word = values::word("VERDAT", code.into());
            word.map_or_else(|| format!("datum of unlisted code {code}"), str::to_owned)
        };
        let mut shown = Self {
            version: 1,
            chart: identity.name.clone(),
            edition: identity.edition,
            update: identity.update,
            issued: identity.issued.to_string(),
            updated: identity.updated.map(|date| date.to_string()),
            age_days: (today - identity.stands_of()).get_days(),
            scale: identity.scale,
            sounding_datum: datum(identity.sounding_datum),
            height_datum: datum(identity.height_datum),
            extent: extent(chart),
            features: BTreeMap::new(),
            area_m2: AreaM2::default(),
            soundings: Soundings::default(),
            quality: zones(chart),
            remarks: remarks(chart),
        };
        for feature in chart.features() {
            shown.count(feature.class(), &chart.geometry(feature));
        }
        shown
    }

    /// Soundings count one each, however many a record holds.
    fn count(&mut self, class: Class, geometry: &Geometry) {
        let mut count = 1;
        match (class.listed(), geometry) {
            (_, Geometry::Soundings(all)) => {
                count = all.len();
                for sounding in all {
                    self.soundings.add(sounding.depth_m);
                }
            }
            (Some("DEPARE"), Geometry::Area(area)) => self.area_m2.depare += area.area_m2(),
            (Some("LNDARE"), Geometry::Area(area)) => self.area_m2.lndare += area.area_m2(),
            _ => {}
        }
        *self.features.entry(class.acronym().into_owned()).or_default() += count;
    }

    fn write(&self, out: &mut impl Write) -> std::io::Result<()> {
        write!(out, "Chart {}, edition {} of {}", self.chart, self.edition, self.issued)?;
        match &self.updated {
            Some(updated) => writeln!(out, ", with update {} of {updated}", self.update)?,
            None if self.update == 0 => writeln!(out, ", without updates")?,
            None => writeln!(out, ", updates to {} in it", self.update)?,
        }
        writeln!(out, "{} days old: ask for newer updates before you trust it", self.age_days)?;
        writeln!(out, "Compiled for 1:{}", self.scale)?;
        writeln!(out, "Depths below {}, heights above {}", self.sounding_datum, self.height_datum)?;
        if self.quality.is_empty() {
            writeln!(out, "Says nothing of the surveys behind it")?;
        }
        for zone in &self.quality {
            writeln!(out, "Zone of confidence {zone}")?;
        }
        let Soundings { count, min_m, max_m } = self.soundings;
        if let (Some(min_m), Some(max_m)) = (min_m, max_m) {
            writeln!(out, "{count} soundings, {min_m:.1} to {max_m:.1} m")?;
        }
        let km2 = |area_m2: f64| area_m2 / 1e6;
        let (water, land) = (km2(self.area_m2.depare), km2(self.area_m2.lndare));
        writeln!(out, "Depth areas {water:.2} km², land {land:.2} km²")?;
        for remark in &self.remarks {
            writeln!(out, "Note: {remark}")?;
        }
        for (acronym, count) in &self.features {
            let name = Class::named(acronym).map_or_else(|| "unlisted class".into(), Class::name);
            writeln!(out, "{count:>6}  {acronym:<8} {name}")?;
        }
        Ok(())
    }
}

impl Soundings {
    fn add(&mut self, depth_m: f64) {
        self.count += 1;
        self.min_m = Some(self.min_m.map_or(depth_m, |least| least.min(depth_m)));
        self.max_m = Some(self.max_m.map_or(depth_m, |most| most.max(depth_m)));
    }
}

fn extent(chart: &Chart) -> Option<Bounds> {
    let all = chart.features().iter().filter_map(windrode_wire::s57::Feature::extent);
    let Extent { south_deg, west_deg, north_deg, east_deg } = all.reduce(Extent::with)?;
    Some(Bounds { south_deg, west_deg, north_deg, east_deg })
}

/// Each zone of confidence once, the best first.
fn zones(chart: &Chart) -> Vec<String> {
    let mut codes: Vec<u16> = chart.of("M_QUAL").flat_map(|feature| feature.codes("CATZOC")).collect();
    codes.sort_unstable();
    codes.dedup();
    codes.into_iter().map(|code| Zone::from_code(code).to_string()).collect()
}
