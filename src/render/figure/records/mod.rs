//! Drawings of as-installed records: how each anchor of a base came out, how often which torque was reached, and torques
//! one after another with their band.
//!
//! In go plain numbers, lengths in mm with y to the north, torques in one unit; nothing here knows of sheets or files.

mod bases;
mod torques;

pub use bases::{Outcome, Spot, base};
pub use torques::{Band, Mark, histogram, series};
