//! One base from above: every anchor by a shape, and those that do not pass by a word as well.

use crate::render::figure::drawing::{Align, Board, Place, Words};
use crate::render::figure::geometry::{Bounds, Point, at};
use crate::render::figure::undrawn;
use crate::render::markup::Markup;

/// Letter size over the width of the anchors: several bases stand side by side.
const EM_OF_WIDTH: f64 = 1.0 / 8.5;

/// How far the plate reaches beyond its anchors, in letter sizes: a word below one of them stays on it, on a card as well,
/// where letters are larger.
const BESIDE: f64 = 2.3;

/// How an anchor came out.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub enum Outcome {
    /// A full disc.
    Passes,
    /// A ring: its record passes, and it stands in another place than the one that was verified.
    Moved,
    /// A triangle.
    Fails,
    /// A cross.
    Missing,
    /// Two rings.
    Several,
    /// A square.
    Unreadable,
    /// A diamond.
    Substituted,
    /// A ring with a disc in it: to be tested, or whatever the word beside it says.
    Marked,
    /// A small disc; where others are marked it has its name as well, so that a plan that is turned is seen to be.
    Other,
}

impl Outcome {
    /// The word that stands beside the shape; none where the shape alone says enough.
    pub fn word(self) -> &'static str {
        match self {
            Outcome::Passes => "passes",
            Outcome::Moved => "moved",
            Outcome::Fails => "fails",
            Outcome::Missing => "missing",
            Outcome::Several => "several",
            Outcome::Unreadable => "unreadable",
            Outcome::Substituted => "substituted",
            Outcome::Marked | Outcome::Other => "",
        }
    }
}

/// An anchor of a base.
#[derive(Clone, Debug)]
pub struct Spot {
    /// Its mark.
    pub label: String,
    /// Where it stands, mm, y to the north.
    pub place: (f64, f64),
    /// How it came out.
    pub outcome: Outcome,
}

/// Draws a base; `title` says which it is and how it came out.
pub fn base(spots: &[Spot], title: &str) -> Markup {
    if spots.iter().any(|spot| !spot.place.0.is_finite() || !spot.place.1.is_finite()) {
        return undrawn("base", "an anchor has no place");
    }
    let places: Vec<Point> = spots.iter().map(|spot| at(spot.place.0, -spot.place.1)).collect();
    let core = Bounds::of(places.iter().copied());
    if places.is_empty() {
        return undrawn("base", "it has no anchors");
    }
    let em = (core.width().max(core.height()) * EM_OF_WIDTH).max(1.0);
    let mut board = Board::new(em);
    let plate = core.grown(BESIDE * em);
    board.rectangle("plate", plate);
    for (spot, centre) in spots.iter().zip(&places) {
        draw(&mut board, spot.outcome, *centre);
        board.taken.push(Bounds::about(*centre, 0.5 * em, 0.5 * em));
    }
    for (spot, centre) in spots.iter().zip(&places) {
        let (class, words) = match spot.outcome {
            Outcome::Passes | Outcome::Other => continue,
            Outcome::Marked => ("marked", Words::plain(&spot.label)),
            fault => ("fault", Words::plain(&spot.label).then(" ").then(fault.word())),
        };
        board.letter_where_clear(class, &words, &around(*centre, core, em));
    }
    if spots.iter().any(|spot| spot.outcome == Outcome::Marked) {
        for (spot, centre) in spots.iter().zip(&places).filter(|(spot, _)| spot.outcome == Outcome::Other) {
            board.letter_if_clear("soft", &Words::plain(&spot.label), &around(*centre, core, em));
        }
        let below = Bounds { low: plate.low, high: at(plate.high.x, plate.high.y + 2.6 * em) };
        board.axes(at(-1.0, 1.0), below);
    }
    board.finish(title)
}

/// Places for a word below or above a shape, which lead from the side of the base towards its middle.
fn around(centre: Point, core: Bounds, em: f64) -> [Place; 2] {
    let beside = core.width() / 4.0;
    let middle = (core.low.x + core.high.x) / 2.0;
    let (x, align) = match centre.x - middle {
        right if right > beside => (1.1, Align::End),
        right if right < -beside => (-1.1, Align::Start),
        _ => (0.0, Align::Middle),
    };
    [1.35, -0.75].map(|y| Place { point: centre + at(x * em, y * em), align, turn: 0.0 })
}

fn draw(board: &mut Board, outcome: Outcome, centre: Point) {
    let size = 0.4 * board.em;
    let around =
        |points: &[(f64, f64)]| -> Vec<Point> { points.iter().map(|(x, y)| centre + at(x * size, y * size)).collect() };
    match outcome {
        Outcome::Passes => board.circle("passes", centre, 0.7 * size),
        Outcome::Other => board.circle("passes", centre, 0.35 * size),
        Outcome::Marked => {
            board.circle("marked", centre, 1.1 * size);
            board.circle("passes", centre, 0.5 * size);
        }
        Outcome::Moved => board.circle("fault", centre, 0.9 * size),
        Outcome::Fails => board.polygon("fault", &around(&[(0.0, -1.1), (1.0, 0.75), (-1.0, 0.75)])),
        Outcome::Missing => {
            board.polyline("fault", &around(&[(-0.8, -0.8), (0.8, 0.8)]));
            board.polyline("fault", &around(&[(-0.8, 0.8), (0.8, -0.8)]));
        }
        Outcome::Several => {
            board.circle("fault", centre, size);
            board.circle("fault", centre, 0.5 * size);
        }
        Outcome::Substituted => {
            board.polygon("fault", &around(&[(0.0, -1.1), (1.0, 0.0), (0.0, 1.1), (-1.0, 0.0)]));
        }
        Outcome::Unreadable => board.polygon("fault", &around(&[(-0.8, -0.8), (0.8, -0.8), (0.8, 0.8), (-0.8, 0.8)])),
    }
}
