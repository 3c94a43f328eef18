//! Pages, formulas, figures and data files from a trace; nothing is computed here, only formatted.

pub mod address;
pub mod markup;
pub mod view;
