//! Pages, formulas, figures and data files from a trace; nothing is computed here, only formatted.

pub mod address;
pub mod by_row;
pub mod card;
pub mod comparison;
pub mod completeness;
pub mod difference;
pub mod figure;
#[cfg(test)]
mod html;
pub mod json;
pub mod markup;
pub mod math;
pub mod page;
pub mod present;
pub mod prose;
pub mod provenance;
pub mod recalculation;
pub mod records;
pub mod review;
pub mod view;
pub mod wording;
mod working;
