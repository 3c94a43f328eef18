//! Draughtsman's drawings as SVG, to scale, from the numbers of a calculation.
//!
//! [`draw`] reads a figure's arguments from a trace by `arguments`, which turns them from SI units into millimetres and
//! kilonewtons, and calls [`plan`], [`section`], [`base`], [`bearing`] or [`base_section`]; those know nothing of sheets.
//! [`bar`] draws a ratio for the summary.
//!
//! Colours and line weights are those of `templates/style/figure.css`; a drawing holds no colour of its own.
//! A view box is in millimetres of the object, so that a drawing can be measured.
//! What cannot be drawn, such as a plate without a size, gives a short note that says why.

mod arguments;
pub mod bar;
pub mod base;
pub mod base_section;
pub mod bearing;
mod contour;
mod dimension;
mod drawing;
mod geometry;
pub mod plan;
pub mod records;
mod region;
pub mod section;
#[cfg(test)]
mod tests;
mod texture;

use super::markup::{Markup, element};
use crate::compile::Figure;
use crate::evaluate::Trace;
use arguments::Arguments;

/// Draws a figure from the numbers of a trace.
pub fn draw(trace: &Trace, figure: &Figure) -> Markup {
    let arguments = Arguments { trace, figure };
    match figure.name.as_str() {
        "plan" => plan::draw(&arguments.plan()),
        "section" => section::draw(&arguments.section()),
        "base_section" => base_section::draw_base_section(&arguments.base_section()),
        "pressure" => base::pressure::draw_pressure(&arguments.pressure()),
        "stress" => base::stress::draw_stress(&arguments.stress()),
        "t_stub_i" => bearing::draw_bearing(&arguments.bearing(arguments.i_section())),
        "t_stub_rhs" => bearing::draw_bearing(&arguments.bearing(arguments.rectangular_section())),
        "t_stub_chs" => bearing::draw_bearing(&arguments.bearing(arguments.circular_section())),
        name => undrawn("figure", &format!("there is no figure {name}")),
    }
}

/// The note that stands in place of a drawing.
pub(super) fn undrawn(what: &str, reason: &str) -> Markup {
    element("p").with("class", "undrawn").saying(&format!("The {what} cannot be drawn: {reason}.")).into()
}
