//! A ratio on one scale with the limit 1 as a line, for the rows of a summary.
//!
//! Every bar of a summary is drawn on the same scale; [`scale`] is the head above them.

use super::drawing::{coordinate, trimmed};
use crate::render::markup::{Element, Markup, element};

/// Width of a bar, in its own units; about 3.75 to the millimetre on paper.
const WIDTH: f64 = 120.0;
/// Where the ratio 0 stands.
const START: f64 = 4.0;
/// Where the scale ends; behind it is room for the head of an arrow.
const END: f64 = 112.0;
/// Height of a bar.
const HEIGHT: f64 = 10.0;

/// Draws a ratio, which is shown beside it; empty where it is no number.
pub fn draw(ratio: f64, shown: &str, scale_max: f64) -> Markup {
    if ratio.is_nan() {
        return Markup::new();
    }
    let max = usable(scale_max);
    let drawn = ratio.clamp(0.0, max);
    let limit = place(1.0, max);
    let middle = HEIGHT / 2.0;
    let line = |class: &str, from: f64, to: f64| {
        element("path").with("class", class).with("d", format!("M{} {middle}H{}", coordinate(from), coordinate(to)))
    };
    let mut drawing = frame("bar", HEIGHT)
        .with("role", "img")
        .with("aria-label", label(ratio, shown))
        .holding(line("axis", START, END));
    if drawn > 0.0 {
        drawing = drawing.holding(line("ratio", START, place(drawn.min(1.0), max)));
    }
    if drawn > 1.0 {
        drawing = drawing.holding(line("over", limit, place(drawn, max)));
    }
    let end = place(drawn, max);
    drawing = if ratio > max {
        let head = format!("M{} {middle}l-1-3.6l7 3.6l-7 3.6Z", coordinate(end));
        drawing.holding(element("path").with("class", "head").with("d", head))
    } else {
        let class = if ratio > 1.0 { "dot over" } else { "dot" };
        let dot = element("circle")
            .with("class", class)
            .with("cx", coordinate(end))
            .with("cy", coordinate(middle))
            .with("r", "2.2");
        drawing.holding(dot)
    };
    drawing
        .holding(element("path").with("class", "limit").with("d", format!("M{} 0V{HEIGHT}", coordinate(limit))))
        .into()
}

/// Draws the head of the scale: its marks with their numbers.
pub fn scale(scale_max: f64) -> Markup {
    let max = usable(scale_max);
    let step = match max {
        max if max <= 2.5 => 0.5,
        max if max <= 6.0 => 1.0,
        max if max <= 12.0 => 2.0,
        _ => max / 4.0,
    };
    let mut drawing = frame("bar scale", HEIGHT + 2.0).with("aria-hidden", "true");
    let mut marks: Vec<f64> =
        (0..).map(|index| f64::from(index) * step).take_while(|mark| *mark <= max + 1e-9).take(16).collect();
    if !marks.iter().any(|mark| (mark - 1.0).abs() < 1e-9) {
        // The limit goes before marks that would run into its number.
        marks.retain(|mark| (place(*mark, max) - place(1.0, max)).abs() > 12.0);
        marks.push(1.0);
    }
    for mark in marks {
        let x = coordinate(place(mark, max));
        let class = if (mark - 1.0).abs() < 1e-9 { "limit" } else { "axis" };
        drawing = drawing
            .holding(
                element("text").with("x", &x).with("y", "7.5").with("text-anchor", "middle").saying(&trimmed(mark, 1)),
            )
            .holding(element("path").with("class", class).with("d", format!("M{x} 9.5V12")));
    }
    drawing.into()
}

fn frame(class: &str, height: f64) -> Element {
    element("svg").with("class", class).with("viewBox", format!("0 0 {} {}", coordinate(WIDTH), coordinate(height)))
}

/// A scale that has room for the limit.
fn usable(scale_max: f64) -> f64 {
    if scale_max.is_finite() { scale_max.clamp(1.05, 100.0) } else { 1.25 }
}

fn place(ratio: f64, max: f64) -> f64 {
    START + (END - START) * ratio / max
}

fn label(ratio: f64, shown: &str) -> String {
    if ratio.is_infinite() { "ratio without bound, limit 1".to_owned() } else { format!("ratio {shown}, limit 1") }
}
