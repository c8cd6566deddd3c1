//! Sentences: recorded ones against other readers, written ones against our own, and rubbish.

mod authority;
mod logs;
mod nmea_crate;
mod observed;
mod pynmea2;
mod rubbish;
mod written;
