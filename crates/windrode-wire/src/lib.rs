//! Bytes to reports to observations. Two levels everywhere: first the frame, then its meaning. Nothing here opens a
//! file or a socket, and no sequence of bytes makes it panic, loop or grow without bound.

pub mod nmea0183;
pub mod gpsd;
pub mod observe;
pub mod stations;
pub mod forecast_csv;
pub mod grib2;
pub mod ais;
pub mod s57;
