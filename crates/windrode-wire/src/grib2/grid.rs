//! A regular grid of latitude and longitude (template 3.0), in any scanning order.

use windrode_domain::position::Position;

use super::frame::Octets;

/// Most points that one field may have: twice a global grid of 0.1°.
pub(super) const MOST_POINTS: usize = 13_000_000;

/// Where the points of a field lie, and in which order they are stored.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Grid {
    /// Points along a parallel, and along a meridian.
    ni: usize,
    nj: usize,
    /// Westernmost longitude, and degrees between columns, eastward.
    west_deg: f64,
    east_step_deg: f64,
    /// Southernmost latitude, and degrees between rows, northward.
    south_deg: f64,
    north_step_deg: f64,
    /// Scanning mode (flag table 3.4), as it stands.
    scan: Scan,
    /// The last column meets the first.
    closes: bool,
}

/// Scanning mode.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Scan {
    flags: u8,
}

impl Scan {
    const WESTWARD: u8 = 0x80;
    const NORTHWARD: u8 = 0x40;
    const BY_COLUMN: u8 = 0x20;
    const ALTERNATING: u8 = 0x10;

    const fn has(self, flag: u8) -> bool {
        self.flags & flag != 0
    }
}

/// Four points round a place, with their weights.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Corners {
    /// Index into the field as stored, and weight.
    pub(super) corners: [(usize, f64); 4],
    /// The nearest of the grid's points.
    pub(super) nearest: Position,
}

impl Grid {
    /// From a section 3; the words say what is not understood.
    pub(super) fn read(section: Octets<'_>) -> Result<Self, String> {
        let short = || "its section is too short".to_owned();
        let template = section.u16(13).ok_or_else(short)?;
        if template != 0 {
            return Err(format!(
                "its kind is {template}, and only regular latitude and longitude (0) is read"
            ));
        }
        if section.u8(11).ok_or_else(short)? != 0 {
            return Err("its rows differ in length".to_owned());
        }
        let number = |octet: usize| section.u32(octet).map(f64::from).ok_or_else(short);
        let signed = |octet: usize| section.i32(octet).map(f64::from).ok_or_else(short);
        let unit_deg = match (number(39)?, section.u32(43).ok_or_else(short)?) {
            (basic, subdivisions) if 0.0 < basic && basic < f64::from(u32::MAX) && 0 < subdivisions => {
                basic / f64::from(subdivisions)
            }
            _ => 1e-6,
        };
        let count = |octet: usize| section.u32(octet).and_then(|n| usize::try_from(n).ok()).ok_or_else(short);
        let (ni, nj) = (count(31)?, count(35)?);
        let points = count(7)?;
        let possible = 2 <= ni && 2 <= nj && ni.checked_mul(nj) == Some(points) && points <= MOST_POINTS;
        if !possible {
            return Err(format!("{ni} by {nj} points are not a grid of {points} (at most {MOST_POINTS})"));
        }
        let scan = Scan { flags: section.u8(72).ok_or_else(short)? };
        if scan.flags & 0x0f != 0 {
            return Err(format!("its scanning mode is {:#04x}, with offsets between rows", scan.flags));
        }
        let first = (signed(47)? * unit_deg, signed(51)? * unit_deg);
        let last = (signed(56)? * unit_deg, signed(60)? * unit_deg);
        let grid = Self::between((ni, nj), first, last, scan)?;
        let flags = section.u8(55).ok_or_else(short)?;
        check_step("longitude", flags & 0x20, number(64)? * unit_deg, (ni, grid.east_step_deg))?;
        check_step("latitude", flags & 0x10, number(68)? * unit_deg, (nj, grid.north_step_deg))?;
        Ok(grid)
    }

    fn between(
        (ni, nj): (usize, usize),
        (lat1_deg, lon1_deg): (f64, f64),
        (lat2_deg, lon2_deg): (f64, f64),
        scan: Scan,
    ) -> Result<Self, String> {
        let northward = scan.has(Scan::NORTHWARD);
        let (south_deg, north_deg) = if northward { (lat1_deg, lat2_deg) } else { (lat2_deg, lat1_deg) };
        let westward = scan.has(Scan::WESTWARD);
        let (west_deg, east_deg) = if westward { (lon2_deg, lon1_deg) } else { (lon1_deg, lon2_deg) };
        let width_deg = (east_deg - west_deg).rem_euclid(360.0);
        let possible = -90.0 <= south_deg && south_deg < north_deg && north_deg <= 90.0 && 0.0 < width_deg;
        if !possible {
            return Err(format!(
                "it runs from {lat1_deg}, {lon1_deg} to {lat2_deg}, {lon2_deg}, against its scanning mode {:#04x}",
                scan.flags
            ));
        }
        let east_step_deg = width_deg / (ni - 1) as f64;
        // A grid right round the earth lacks one step, to within the rounding of its ends.
        let closes = (east_step_deg * ni as f64 - 360.0).abs() < 0.01 * east_step_deg;
        let north_step_deg = (north_deg - south_deg) / (nj - 1) as f64;
        Ok(Self { ni, nj, west_deg, east_step_deg, south_deg, north_step_deg, scan, closes })
    }

    pub(super) const fn points(self) -> usize {
        self.ni * self.nj
    }
    /// Degrees between rows, and between columns.
    pub(super) const fn steps_deg(self) -> (f64, f64) {
        (self.north_step_deg, self.east_step_deg)
    }
    /// South, north, west, east: what it covers, in degrees.
    pub(super) fn bounds_deg(self) -> [f64; 4] {
        let north_deg = self.south_deg + self.north_step_deg * (self.nj - 1) as f64;
        let turn = |longitude_deg: f64| (longitude_deg + 180.0).rem_euclid(360.0) - 180.0;
        if self.closes {
            return [self.south_deg, north_deg, -180.0, 180.0];
        }
        let east_deg = self.west_deg + self.east_step_deg * (self.ni - 1) as f64;
        [self.south_deg, north_deg, turn(self.west_deg), turn(east_deg)]
    }

    /// The points round a place; `None` outside the grid.
    pub(super) fn corners(self, place: Position) -> Option<Corners> {
        let y = (place.latitude_deg() - self.south_deg) / self.north_step_deg;
        let turns = 360.0 / self.east_step_deg;
        let mut x = (place.longitude_deg() - self.west_deg).rem_euclid(360.0) / self.east_step_deg;
        // A hair west of the western edge is the edge: degrees were rounded to millionths.
        if turns - 1e-4 < x {
            x -= turns;
        }
        let last_x = if self.closes { self.ni } else { self.ni - 1 };
        let (i, fx) = cell(x, last_x)?;
        let (j, fy) = cell(y, self.nj - 1)?;
        let at = |di: usize, dj: usize| self.index((i + di) % self.ni, j + dj);
        let corners = [
            (at(0, 0), (1.0 - fx) * (1.0 - fy)),
            (at(1, 0), fx * (1.0 - fy)),
            (at(0, 1), (1.0 - fx) * fy),
            (at(1, 1), fx * fy),
        ];
        let latitude_deg = self.south_deg + self.north_step_deg * (j as f64 + fy.round());
        let longitude_deg = self.west_deg + self.east_step_deg * (i as f64 + fx.round());
        let longitude_deg = (longitude_deg + 180.0).rem_euclid(360.0) - 180.0;
        let nearest = Position::new(latitude_deg.clamp(-90.0, 90.0), longitude_deg).ok()?;
        Some(Corners { corners, nearest })
    }

    /// Where the point in column `i` from the west and row `j` from the south is stored.
    fn index(self, i: usize, j: usize) -> usize {
        let i = if self.scan.has(Scan::WESTWARD) { self.ni - 1 - i } else { i };
        let j = if self.scan.has(Scan::NORTHWARD) { j } else { self.nj - 1 - j };
        let (line, within, length) =
            if self.scan.has(Scan::BY_COLUMN) { (i, j, self.nj) } else { (j, i, self.ni) };
        let turned = self.scan.has(Scan::ALTERNATING) && line % 2 == 1;
        line * length + if turned { length - 1 - within } else { within }
    }
}

/// The cell that holds a coordinate counted in steps, and how far into it; the last point belongs to the last cell.
fn cell(x: f64, last: usize) -> Option<(usize, f64)> {
    // A ten-thousandth of a step is a metre or so: the rounding of the ends, not a place outside.
    if !(-1e-4..=last as f64 + 1e-4).contains(&x) {
        return None;
    }
    let x = x.clamp(0.0, last as f64);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "0 <= x <= last, checked above"
    )]
    let whole = (x.floor() as usize).min(last - 1);
    Some((whole, x - whole as f64))
}

/// The step that the section states must agree with its ends to half a cell over the whole grid.
fn check_step(
    of: &str,
    stated: u8,
    step_deg: f64,
    (points, reckoned_deg): (usize, f64),
) -> Result<(), String> {
    let off_deg = (step_deg - reckoned_deg).abs() * points as f64;
    if stated != 0 && reckoned_deg * 0.5 < off_deg {
        return Err(format!("its {of} step is {step_deg}°, but its ends make {reckoned_deg}°"));
    }
    Ok(())
}
