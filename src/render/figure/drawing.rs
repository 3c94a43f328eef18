//! The drawing board: lines, circles and lettering in millimetres, and a view box that holds them all.
//!
//! A drawing is made by [`fit`]: lettering must come out at one size on paper whatever is drawn, but how much room it takes
//! decides how wide the drawing is, so the drawing is repeated with a better letter size until both agree.
//! Line weights, margins and lettering all follow the letter size (`em`); only geometry follows the scale.

use super::geometry::{Bounds, Point, at};
use crate::render::markup::{Element, Markup, element};
use std::fmt::Write;

/// How much larger letters are on a card.
const LARGER: f64 = 1.6;
/// Letter size over width of the drawing: 7.75 pt where the drawing is 85 mm wide.
const EM_OF_WIDTH: f64 = 2.734 / 85.0;
/// A drawing higher than this times its width gets blank sides instead.
const TALLEST: f64 = 1.18;
/// Letter size of subscripts.
pub(super) const SUBSCRIPT: f64 = 0.72;
/// How far subscripts hang down.
const SUBSCRIPT_DROP: f64 = 0.2;

/// A drawing while it is made.
#[derive(Clone, Debug)]
pub(super) struct Board {
    /// Letter size, mm.
    pub em: f64,
    /// Everything drawn.
    pub bounds: Bounds,
    /// What lettering must keep clear of.
    pub taken: Vec<Bounds>,
    /// The member in section, which is filled last.
    pub concrete: Option<Bounds>,
    lines: Vec<Line>,
    letters: Vec<Lettering>,
}

/// What was drawn; it becomes markup only when the drawing is finished, since most drawings are trials for [`fit`].
#[derive(Clone, Debug)]
enum Line {
    Path(&'static str, Path),
    Circle(&'static str, Point, f64),
}

/// Words at their place.
#[derive(Clone, Debug)]
struct Lettering {
    class: &'static str,
    words: Words,
    place: Place,
}

/// Where lettering stands about its place.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub(super) enum Align {
    Start,
    Middle,
    End,
}

/// A place for lettering: point of the base line, alignment, and clockwise turn in degrees.
#[derive(Copy, Clone, Debug)]
pub(super) struct Place {
    pub point: Point,
    pub align: Align,
    pub turn: f64,
}

/// Lettering: upright, italic and subscript pieces.
#[derive(Clone, Debug, Default)]
pub(super) struct Words(Vec<(Style, String)>);

#[derive(Copy, Clone, Debug, Eq, PartialEq)]
enum Style {
    Upright,
    Italic,
    Subscript,
}

impl Words {
    /// Upright text.
    pub(super) fn plain(text: &str) -> Self {
        Words(vec![(Style::Upright, text.to_owned())])
    }

    /// Italic text.
    pub(super) fn italic(text: &str) -> Self {
        Words(vec![(Style::Italic, text.to_owned())])
    }

    /// A symbol with its subscript, which may be empty.
    pub(super) fn symbol(letter: &str, subscript: &str) -> Self {
        let mut words = Self::italic(letter);
        if !subscript.is_empty() {
            words.0.push((Style::Subscript, subscript.to_owned()));
        }
        words
    }

    /// Text behind.
    #[must_use]
    pub(super) fn then(mut self, text: &str) -> Self {
        self.0.push((Style::Upright, text.to_owned()));
        self
    }

    /// Other words behind.
    #[must_use]
    pub(super) fn followed_by(mut self, other: Words) -> Self {
        self.0.extend(other.0);
        self
    }

    /// Width in em of the text face, near enough to keep lettering apart.
    pub(super) fn width(&self) -> f64 {
        let piece = |(style, text): &(Style, String)| {
            let size = if *style == Style::Subscript { SUBSCRIPT } else { 1.0 };
            text.chars().map(advance).sum::<f64>() * size
        };
        self.0.iter().map(piece).sum()
    }
}

/// Width of a letter in em, rounded up.
fn advance(letter: char) -> f64 {
    match letter {
        ' ' | '.' | ',' | ':' | ';' | '\'' | 'i' | 'j' | 'l' | 't' | 'f' | 'I' | '|' => 0.29,
        '(' | ')' | '-' | 'r' | 's' | 'J' => 0.4,
        'm' | 'w' | 'M' | 'W' => 0.85,
        '0'..='9' | 'a'..='z' => 0.5,
        _ => 0.7,
    }
}

/// Strokes through points.
#[derive(Clone, Debug, Default)]
pub(super) struct Path(Vec<Step>);

#[derive(Copy, Clone, Debug)]
enum Step {
    Start(Point),
    To(Point),
    Close,
}

impl Path {
    /// From one point to another.
    pub(super) fn line(from: Point, to: Point) -> Self {
        Self::through([from, to])
    }

    /// Through points.
    pub(super) fn through(points: impl IntoIterator<Item = Point>) -> Self {
        let mut path = Self::default();
        path.add(points);
        path
    }

    /// Through points and back to the first.
    pub(super) fn around(points: impl IntoIterator<Item = Point>) -> Self {
        let mut path = Self::default();
        path.add_around(points);
        path
    }

    /// Another stroke.
    pub(super) fn add(&mut self, points: impl IntoIterator<Item = Point>) {
        let mut points = points.into_iter();
        self.0.extend(points.next().map(Step::Start));
        self.0.extend(points.map(Step::To));
    }

    /// Another closed stroke.
    pub(super) fn add_around(&mut self, points: impl IntoIterator<Item = Point>) {
        self.add(points);
        self.0.push(Step::Close);
    }

    /// Whether there is no stroke.
    pub(super) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The data of an SVG path.
    fn data(&self) -> String {
        let mut data = String::with_capacity(self.0.len() * 14);
        for step in &self.0 {
            let (letter, point) = match step {
                Step::Start(point) => ('M', point),
                Step::To(point) => ('L', point),
                Step::Close => {
                    data.push('Z');
                    continue;
                }
            };
            data.push(letter);
            push_trimmed(&mut data, point.x, 2);
            data.push(' ');
            push_trimmed(&mut data, point.y, 2);
        }
        data
    }
}

/// Makes a drawing with the letter size that suits its width; `start` is a first guess of that width.
pub(super) fn fit(start: f64, draw: impl Fn(f64) -> Board) -> Board {
    let mut board = draw(start * EM_OF_WIDTH);
    for _ in 0..12 {
        let em = board.width() * EM_OF_WIDTH;
        if (em - board.em).abs() <= 0.002 * em {
            break;
        }
        board = draw(em);
    }
    board
}

impl Board {
    /// An empty one.
    pub(super) fn new(em: f64) -> Self {
        Board { em, bounds: Bounds::NONE, taken: Vec::new(), concrete: None, lines: Vec::new(), letters: Vec::new() }
    }

    fn view(&self) -> Bounds {
        let bounds = self.bounds.grown(0.35 * self.em);
        let width = bounds.width().max(bounds.height() / TALLEST);
        Bounds::about(bounds.centre(), width / 2.0, bounds.height() / 2.0)
    }

    fn width(&self) -> f64 {
        self.view().width()
    }

    /// Draws a path whose points lie within `bounds`.
    pub(super) fn path(&mut self, class: &'static str, path: Path, bounds: Bounds) {
        if !path.is_empty() {
            self.bounds.join(bounds);
            self.lines.push(Line::Path(class, path));
        }
    }

    /// Draws a line through points.
    pub(super) fn polyline(&mut self, class: &'static str, points: &[Point]) {
        let bounds = Bounds::of(points.iter().copied());
        self.path(class, Path::through(points.iter().copied()), bounds);
    }

    /// Draws a closed line through points.
    pub(super) fn polygon(&mut self, class: &'static str, points: &[Point]) {
        let bounds = Bounds::of(points.iter().copied());
        self.path(class, Path::around(points.iter().copied()), bounds);
    }

    /// Draws a box.
    pub(super) fn rectangle(&mut self, class: &'static str, bounds: Bounds) {
        self.polygon(class, &bounds.corners());
    }

    /// Draws the walls of a column, which have no thickness here, as double lines.
    pub(super) fn walls(&mut self, walls: &[[Point; 2]]) {
        let bounds = Bounds::of(walls.iter().flatten().copied());
        for class in ["wall", "wall core"] {
            let mut lines = Path::default();
            for wall in walls {
                lines.add(*wall);
            }
            self.path(class, lines, bounds);
        }
        for [from, to] in walls {
            self.keep_clear_of_line(*from, *to);
        }
    }

    /// Draws a circle.
    pub(super) fn circle(&mut self, class: &'static str, centre: Point, radius: f64) {
        self.bounds.join(Bounds::about(centre, radius, radius));
        self.lines.push(Line::Circle(class, centre, radius));
    }

    /// Keeps lettering away from a line.
    pub(super) fn keep_clear_of_line(&mut self, from: Point, to: Point) {
        let pieces = ((to - from).length() / self.em).ceil().clamp(1.0, 200.0) as usize;
        let half = (to - from) * (0.5 / pieces as f64);
        for piece in 0..pieces {
            let centre = from + half * (2 * piece + 1) as f64;
            let (x, y) = (half.x.abs().max(0.1 * self.em), half.y.abs().max(0.1 * self.em));
            self.taken.push(Bounds::about(centre, x, y));
        }
    }

    /// Writes words, and keeps others away from them.
    pub(super) fn letter(&mut self, class: &'static str, words: &Words, place: Place) {
        let bounds = self.lettered(words, place);
        self.bounds.join(bounds);
        self.taken.push(bounds);
        self.letters.push(Lettering { class, words: words.clone(), place });
    }

    /// Writes words at the first of some places that is clear, or else at the one that is least in the way.
    pub(super) fn letter_where_clear(&mut self, class: &'static str, words: &Words, places: &[Place]) {
        if let Some(place) = self.clearest(words, places) {
            self.letter(class, words, place);
        }
    }

    /// Writes words at the first of some places that is clear; whether there was one.
    pub(super) fn letter_if_clear(&mut self, class: &'static str, words: &Words, places: &[Place]) -> bool {
        let is_clear = |place: &Place| {
            let bounds = self.lettered(words, *place);
            self.taken.iter().all(|other| other.shared(bounds) <= 0.0)
        };
        let Some(place) = places.iter().copied().find(is_clear) else {
            return false;
        };
        self.letter(class, words, place);
        true
    }

    /// Writes words at the first of some places that is clear also where they are shown larger, as on a card, or else at the
    /// one that is least in the way.
    pub(super) fn letter_with_room(&mut self, class: &'static str, words: &Words, places: &[Place]) {
        let is_clear = |place: &Place| {
            let bounds = self.lettered_by(words, *place, LARGER * self.em);
            self.taken.iter().all(|other| other.shared(bounds) <= 0.0)
        };
        match places.iter().copied().find(is_clear) {
            Some(place) => self.letter(class, words, place),
            None => self.letter_where_clear(class, words, places),
        }
    }

    fn clearest(&self, words: &Words, places: &[Place]) -> Option<Place> {
        let mut best: Option<(f64, Place)> = None;
        for place in places {
            let bounds = self.lettered(words, *place);
            let in_the_way: f64 = self.taken.iter().map(|other| other.shared(bounds)).sum();
            if best.is_none_or(|(least, _)| in_the_way < least - 1e-9) {
                best = Some((in_the_way, *place));
            }
            if in_the_way == 0.0 {
                break;
            }
        }
        best.map(|(_, place)| place)
    }

    /// The box about words at a place.
    pub(super) fn lettered(&self, words: &Words, place: Place) -> Bounds {
        self.lettered_by(words, place, self.em)
    }

    fn lettered_by(&self, words: &Words, place: Place, em: f64) -> Bounds {
        let width = words.width() * em;
        let left = match place.align {
            Align::Start => 0.0,
            Align::Middle => -width / 2.0,
            Align::End => -width,
        };
        let (sin, cos) = turn(place.turn);
        let upright = Bounds { low: at(left, -0.74 * em), high: at(left + width, 0.24 * em) };
        Bounds::of(
            upright
                .corners()
                .map(|corner| place.point + at(corner.x * cos - corner.y * sin, corner.x * sin + corner.y * cos)),
        )
    }

    /// The SVG element; `label` says what it shows.
    pub(super) fn finish(mut self, label: &str) -> Markup {
        if let Some(member) = self.concrete {
            self.sprinkle(member);
        }
        let view = self.view();
        let root: Element = element("svg")
            .with("class", "drawing")
            .with(
                "viewBox",
                format!(
                    "{} {} {} {}",
                    coordinate(view.low.x),
                    coordinate(view.low.y),
                    coordinate(view.width()),
                    coordinate(view.height())
                ),
            )
            .with("font-size", coordinate(self.em))
            .with("role", "img")
            .with("aria-label", label);
        // Lettering lies over all lines, so that its halo interrupts those it must cross.
        let lines: Markup = self.lines.iter().map(Line::markup).collect();
        let letters: Markup = self.letters.iter().map(|lettering| lettering.markup(self.em)).collect();
        root.holding(lines).holding(letters).into()
    }
}

impl Line {
    fn markup(&self) -> Markup {
        match self {
            Line::Path(class, path) => element("path").with("class", class).with("d", path.data()),
            Line::Circle(class, centre, radius) => element("circle")
                .with("class", class)
                .with("cx", coordinate(centre.x))
                .with("cy", coordinate(centre.y))
                .with("r", coordinate(*radius)),
        }
        .into()
    }
}

impl Lettering {
    fn markup(&self, em: f64) -> Markup {
        let Self { class, words, place } = self;
        let (x, y) = (coordinate(place.point.x), coordinate(place.point.y));
        let mut text = element("text").with("class", class).with("x", &x).with("y", &y);
        match place.align {
            Align::Start => {}
            Align::Middle => text = text.with("text-anchor", "middle"),
            Align::End => text = text.with("text-anchor", "end"),
        }
        if place.turn != 0.0 {
            text = text.with("transform", format!("rotate({} {x} {y})", coordinate(place.turn)));
        }
        let mut dropped = false;
        for (style, piece) in &words.0 {
            let drop = em * SUBSCRIPT_DROP;
            let mut span = element("tspan");
            match style {
                Style::Subscript => span = span.with("class", "sub").with("dy", coordinate(drop)),
                _ if dropped => span = span.with("dy", coordinate(-drop)),
                _ => {}
            }
            if *style == Style::Italic {
                span = span.with("class", "sym");
            }
            text = if *style == Style::Upright && !dropped {
                text.saying(piece)
            } else {
                text.holding(span.saying(piece))
            };
            dropped = *style == Style::Subscript;
        }
        text.into()
    }
}

/// Sine and cosine of degrees, exact for quarters.
pub(super) fn turn(degrees: f64) -> (f64, f64) {
    match degrees {
        0.0 => (0.0, 1.0),
        90.0 => (1.0, 0.0),
        -90.0 => (-1.0, 0.0),
        _ => libm::sincos(degrees.to_radians()),
    }
}

/// A coordinate: two decimals, without trailing zeros, never "-0".
pub(super) fn coordinate(value: f64) -> String {
    trimmed(value, 2)
}

/// A number with up to so many decimals, without trailing zeros; "-" stands for minus, and "-0" does not occur.
pub(super) fn trimmed(value: f64, decimals: usize) -> String {
    let mut text = String::new();
    push_trimmed(&mut text, value, decimals);
    text
}

/// Writes what [`trimmed`] gives. A drawing has thousands of coordinates, and whole numbers print faster than fractions.
fn push_trimmed(out: &mut String, value: f64, decimals: usize) {
    let parts = 10_u64.pow(decimals as u32);
    let whole = (value.abs() * parts as f64).round();
    // Beyond this not every whole number is a double.
    if whole >= 9e15 || whole.is_nan() {
        let _ = write!(out, "{value:.0}");
        return;
    }
    let (mut whole, mut decimals) = (whole as u64, decimals);
    while decimals > 0 && whole % 10 == 0 {
        whole /= 10;
        decimals -= 1;
    }
    if value < 0.0 && whole > 0 {
        out.push('-');
    }
    let parts = 10_u64.pow(decimals as u32);
    let _ = match decimals {
        0 => write!(out, "{whole}"),
        _ => write!(out, "{}.{:0decimals$}", whole / parts, whole % parts),
    };
}

/// A length in millimetres as on a dimension line.
pub(super) fn millimetres(value: f64) -> String {
    trimmed(value, 1).replace('-', "−")
}

/// A number with three significant figures.
pub(super) fn significant(value: f64) -> String {
    let decimals = match value.abs() {
        size if size < 0.1 => 4,
        size if size < 1.0 => 3,
        size if size < 10.0 => 2,
        size if size < 100.0 => 1,
        _ => 0,
    };
    trimmed(value, decimals).replace('-', "−")
}

/// A force in kilonewtons.
pub(super) fn kilonewtons(value: f64) -> String {
    let decimals = match value.abs() {
        size if size < 10.0 => 2,
        size if size < 100.0 => 1,
        _ => 0,
    };
    format!("{} kN", trimmed(value, decimals).replace('-', "−"))
}
