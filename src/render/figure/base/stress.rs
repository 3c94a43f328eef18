//! The bending stress of a base plate, from above.

use super::field::{Field, MOST_VALUES, contour, draw, grid_of, letter_on};
use super::pressure::{draw_mark, places_about};
use super::{Base, Ground, draw_bare};
use crate::render::figure::drawing::{Board, Words, fit, millimetres, significant};
use crate::render::figure::geometry::at;
use crate::render::markup::Markup;

/// What a drawing of the stress shows; lengths in mm, stresses in N/mm², moments on a length in kN, y to the north.
#[derive(Clone, Debug, Default)]
pub struct Stress {
    /// Plate, column and anchors.
    pub base: Base,
    /// As many stresses in a row as there are rows over the box of the plate, from the south-west.
    pub samples: Vec<f64>,
    /// The largest moment on a length.
    pub m_max: f64,
    /// Where it is.
    pub m_max_at: [f64; 2],
    /// The largest stress, as the calculation has it.
    pub sigma_max: Option<f64>,
    /// The strength of the plate, which is drawn as a line of its own.
    pub f_yd: Option<f64>,
}

/// Draws the stress.
pub fn draw_stress(stress: &Stress) -> Markup {
    match survey(stress) {
        Ok((ground, field)) => {
            fit(1.3 * ground.bounds.width().max(ground.bounds.height()), |em| lay_out(stress, &ground, &field, em))
                .finish(&describe(stress, &ground))
        }
        Err(reason) => draw_bare(&stress.base, "stress", &reason),
    }
}

fn survey(stress: &Stress) -> Result<(Ground, Field), String> {
    let ground = Ground::of(&stress.base)?;
    let more = [stress.m_max, stress.m_max_at[0], stress.m_max_at[1]];
    let optional = stress.sigma_max.into_iter().chain(stress.f_yd);
    if stress.samples.iter().copied().chain(more).chain(optional).any(|number| !number.is_finite()) {
        return Err("its stresses are no numbers".to_owned());
    }
    let place = at(stress.m_max_at[0], -stress.m_max_at[1]);
    if !ground.bounds.grown(1.0).contains(place) {
        return Err("its largest moment lies outside the plate".to_owned());
    }
    let grid = grid_of(&ground, &stress.samples, false).ok_or("there are no stresses")?;
    // At walls and anchors the stress has no finite value, so the lines end at the largest further away.
    let top = match stress.sigma_max {
        Some(sigma_max) => sigma_max,
        None => grid.value_at(place).filter(|value| value.is_finite()).unwrap_or(0.0),
    };
    if top > 0.0 || stress.samples.iter().all(|sample| *sample == 0.0) {
        return Ok((ground, Field { grid, top: top.max(0.0), has_zero: false }));
    }
    Err("its largest stress is not positive".to_owned())
}

fn lay_out(stress: &Stress, ground: &Ground, field: &Field, em: f64) -> Board {
    let mut board = Board::new(em);
    ground.draw_ground(&mut board);
    field.draw_tints(&mut board);
    ground.draw_outlines(&mut board);
    let lines = field.draw_lines(&mut board, &ground.plate);
    let strength = stress.f_yd.map_or_else(Vec::new, |f_yd| contour(&field.grid, f_yd, &ground.plate, em));
    draw(&mut board, "yield", &strength);
    board.walls(&ground.walls);
    ground.draw_anchors(&mut board);
    let mut frame = ground.bounds;
    let place = at(stress.m_max_at[0], -stress.m_max_at[1]);
    if stress.m_max > 0.0 {
        draw_mark(&mut board, place);
    }
    ground.draw_chains(&mut board, &mut frame);
    if stress.m_max > 0.0 {
        board.letter_where_clear("name", &largest(stress), &places_about(place, 0.35 * em, em));
    }
    ground.letter_anchors(&mut board, &stress.base, 0.6 * em, |_| String::new());
    if let Some(f_yd) = stress.f_yd {
        letter_on(&mut board, "num", &Words::symbol("f", "yd").then(&format!(" {}", significant(f_yd))), &strength, 2);
    }
    for (words, lines) in &lines {
        letter_on(&mut board, "num", words, lines, MOST_VALUES);
    }
    frame.join(board.bounds);
    field.draw_scale(&mut board, &mut frame, &Words::plain("bending stress at the face (von Mises), N/mm²"));
    board
}

/// What stands at the largest moment.
fn largest(stress: &Stress) -> Words {
    match stress.sigma_max {
        Some(sigma_max) => Words::symbol("σ", "max").then(&format!(" {}", significant(sigma_max))),
        None => Words::symbol("m", "max").then(&format!(" {} kN·m/m", significant(stress.m_max))),
    }
}

/// What the drawing shows, in words.
fn describe(stress: &Stress, ground: &Ground) -> String {
    let mut parts = ground.describe(&stress.base, &[]);
    let [x, y] = stress.m_max_at;
    parts.push(format!(
        "largest moment {} kN·m/m at {}, {}",
        significant(stress.m_max),
        millimetres(x),
        millimetres(y)
    ));
    if let Some(sigma_max) = stress.sigma_max {
        parts.push(format!("largest stress {} N/mm²", significant(sigma_max)));
    }
    format!("Bending stress of the plate, dimensions in millimetres: {}.", parts.join(". "))
}
