//! Functions of a base plate: anchor forces and pressure below a plate that is rigid, and below one that bends.

use super::unpack::{Unpack, fill};
use super::{Function, Gives, Parameter, Signature, TypedRoutine};
use crate::numerics::base_plate::{self, Anchors as Springs, Loads, Outline, Point};
use crate::numerics::plate_bending::{self, Actions, Anchor, Footprint, Model, Place, Plate, Settings};
use crate::program::Routine;
use crate::quantity::Dimension;
use uom::si::f64::Length;

use Parameter::{Anchors, Corners, PerAnchor, Quantity, Rings, Walls};

const NONE: Gives = Gives::Quantity(Dimension::NONE);
const LENGTH: Gives = Gives::Quantity(Dimension::LENGTH);
const AREA: Gives = Gives::Quantity(Dimension::AREA);
const FORCE: Gives = Gives::Quantity(Dimension::FORCE);
const STRESS: Gives = Gives::Quantity(Dimension::STRESS);
/// A moment on a length.
const MOMENT_PER_LENGTH: Gives = Gives::Quantity(Dimension::FORCE);

/// Force by extension of a spring.
const SPRING: Dimension = Dimension::FORCE_PER_LENGTH;
/// Pressure by settlement of a bed.
const BED: Dimension = Dimension::WEIGHT_DENSITY;

/// Points along each side at which a field is sampled for figures.
pub(super) const SAMPLES: usize = 41;

/// The family.
pub(super) const FUNCTIONS: &[Function] = &[
    Function {
        name: "rectangle",
        usage: "rectangle(b_x, b_y)",
        summary: "a table of the four corners of a rectangle about the origin",
        signature: Signature::Routine(&TypedRoutine {
            parameters: &[("b_x", Quantity(Dimension::LENGTH)), ("b_y", Quantity(Dimension::LENGTH))],
            gives: Gives::Table(Corners, 4),
            routine: Routine { name: "rectangle", function: rectangle },
        }),
        examples: &[],
    },
    Function {
        name: "walls_of_i",
        usage: "walls_of_i(h, b, t_f, x, y)",
        summary: "a table of the centre lines of an I section about (x, y): two flanges along y, the web of the depth along x between them",
        signature: Signature::Routine(&TypedRoutine {
            parameters: &[
                ("h", Quantity(Dimension::LENGTH)),
                ("b", Quantity(Dimension::LENGTH)),
                ("t_f", Quantity(Dimension::LENGTH)),
                ("x", Quantity(Dimension::LENGTH)),
                ("y", Quantity(Dimension::LENGTH)),
            ],
            gives: Gives::Table(Walls, 3),
            routine: Routine { name: "walls_of_i", function: walls_of_i },
        }),
        examples: &[],
    },
    Function {
        name: "walls_of_rectangle",
        usage: "walls_of_rectangle(h, b, t, x, y)",
        summary: "the same of a rectangular hollow section, h along x and b along y",
        signature: Signature::Routine(&TypedRoutine {
            parameters: &[
                ("h", Quantity(Dimension::LENGTH)),
                ("b", Quantity(Dimension::LENGTH)),
                ("t", Quantity(Dimension::LENGTH)),
                ("x", Quantity(Dimension::LENGTH)),
                ("y", Quantity(Dimension::LENGTH)),
            ],
            gives: Gives::Table(Walls, 4),
            routine: Routine { name: "walls_of_rectangle", function: walls_of_rectangle },
        }),
        examples: &[],
    },
    Function {
        name: "walls_of_circle",
        usage: "walls_of_circle(d, t, x, y)",
        summary: "the same of a circular hollow section, as a ring of 16 straight pieces",
        signature: Signature::Routine(&TypedRoutine {
            parameters: &[
                ("d", Quantity(Dimension::LENGTH)),
                ("t", Quantity(Dimension::LENGTH)),
                ("x", Quantity(Dimension::LENGTH)),
                ("y", Quantity(Dimension::LENGTH)),
            ],
            gives: Gives::Table(Walls, PIECES),
            routine: Routine { name: "walls_of_circle", function: walls_of_circle },
        }),
        examples: &[],
    },
    Function {
        name: "solid_rectangle",
        usage: "solid_rectangle(b_x, b_y, x, y)",
        summary: "a table of the corners of a solid rectangle about (x, y), a column without a hollow that holds the plate over its whole area; of no size, it holds nothing",
        signature: Signature::Routine(&TypedRoutine {
            parameters: &[
                ("b_x", Quantity(Dimension::LENGTH)),
                ("b_y", Quantity(Dimension::LENGTH)),
                ("x", Quantity(Dimension::LENGTH)),
                ("y", Quantity(Dimension::LENGTH)),
            ],
            gives: Gives::Table(Rings, 4),
            routine: Routine { name: "solid_rectangle", function: solid_rectangle },
        }),
        examples: &[],
    },
    Function {
        name: "solid_circle",
        usage: "solid_circle(d, x, y)",
        summary: "the same of a solid circle, as a polygon of 16 sides",
        signature: Signature::Routine(&TypedRoutine {
            parameters: &[
                ("d", Quantity(Dimension::LENGTH)),
                ("x", Quantity(Dimension::LENGTH)),
                ("y", Quantity(Dimension::LENGTH)),
            ],
            gives: Gives::Table(Rings, PIECES),
            routine: Routine { name: "solid_circle", function: solid_circle },
        }),
        examples: &[],
    },
    Function {
        name: "rigid_plate",
        usage: "rigid_plate(outline, holes, d_f, anchors, k_a, k_s, N, M_x, M_y)",
        summary: "equilibrium of a rigid plate on a bed that only pushes, held by anchors that only pull: a record with the tension `F` of each anchor, their resultant `N_g` at `x_g`, `y_g`, its eccentricities `e_N_x`, `e_N_y`, the compression `C` at `x_C`, `y_C` on the area `A_C`, the largest pressure `p_max` at `x_p`, `y_p`, the movement `a + b x + c y` and the `residual`; loads act about the origin, positive moments pull on the positive side; around each anchor a hole of diameter `d_f` carries no pressure",
        signature: Signature::Routine(&TypedRoutine {
            parameters: &[
                ("outline", Corners),
                ("holes", Rings),
                ("d_f", Quantity(Dimension::LENGTH)),
                ("anchors", Anchors),
                ("k_a", PerAnchor(SPRING)),
                ("k_s", Quantity(BED)),
                ("N", Quantity(Dimension::FORCE)),
                ("M_x", Quantity(Dimension::MOMENT)),
                ("M_y", Quantity(Dimension::MOMENT)),
            ],
            gives: Gives::Record(&[
                ("F", Gives::PerAnchor(Dimension::FORCE)),
                ("N_g", FORCE),
                ("x_g", LENGTH),
                ("y_g", LENGTH),
                ("e_N_x", LENGTH),
                ("e_N_y", LENGTH),
                ("C", FORCE),
                ("x_C", LENGTH),
                ("y_C", LENGTH),
                ("A_C", AREA),
                ("p_max", STRESS),
                ("x_p", LENGTH),
                ("y_p", LENGTH),
                ("a", LENGTH),
                ("b", NONE),
                ("c", NONE),
                ("residual", NONE),
            ]),
            routine: Routine { name: "rigid_plate", function: rigid_plate },
        }),
        examples: &[],
    },
    Function {
        name: "flexible_plate",
        usage: "flexible_plate(outline, holes, walls, solid, anchors, t, E, nu, k_a, k_s, N, M_x, M_y)",
        summary: "the same for a plate of thickness `t` that bends, held along the walls and over the solid parts of a column, by finite elements whose mesh is refined until the anchor forces settle to 1 % and the moments to 2 %: a record with `F`, `N_g`, `x_g`, `y_g`, `e_N_x`, `e_N_y`, `C`, `x_C`, `y_C`, `A_C`, `p_max`, `x_p`, `y_p`, the greatest and least deflection `w_max`, `w_min`, the largest principal moment on a length `m_max` at `x_m`, `y_m`, no nearer than `t` to column and anchors, the moments `M_face` in the sections through the whole plate along the sides right, left, top and bottom of the column and the lengths `b_face` of these sections, the `residual`, the size `element` of the last mesh, its number of `unknowns`, the number of `meshes`, the last `change` of the forces and `change_m` of the moments, and for figures `pressure` and `stress`",
        signature: Signature::Routine(&TypedRoutine {
            parameters: &[
                ("outline", Corners),
                ("holes", Rings),
                ("walls", Walls),
                ("solid", Rings),
                ("anchors", Anchors),
                ("t", Quantity(Dimension::LENGTH)),
                ("E", Quantity(Dimension::STRESS)),
                ("nu", Quantity(Dimension::NONE)),
                ("k_a", PerAnchor(SPRING)),
                ("k_s", Quantity(BED)),
                ("N", Quantity(Dimension::FORCE)),
                ("M_x", Quantity(Dimension::MOMENT)),
                ("M_y", Quantity(Dimension::MOMENT)),
            ],
            gives: Gives::Record(&[
                ("F", Gives::PerAnchor(Dimension::FORCE)),
                ("N_g", FORCE),
                ("x_g", LENGTH),
                ("y_g", LENGTH),
                ("e_N_x", LENGTH),
                ("e_N_y", LENGTH),
                ("C", FORCE),
                ("x_C", LENGTH),
                ("y_C", LENGTH),
                ("A_C", AREA),
                ("p_max", STRESS),
                ("x_p", LENGTH),
                ("y_p", LENGTH),
                ("w_max", LENGTH),
                ("w_min", LENGTH),
                ("m_max", MOMENT_PER_LENGTH),
                ("x_m", LENGTH),
                ("y_m", LENGTH),
                ("M_face", Gives::Samples(4, Dimension::MOMENT)),
                ("b_face", Gives::Samples(4, Dimension::LENGTH)),
                ("residual", NONE),
                ("element", LENGTH),
                ("unknowns", NONE),
                ("meshes", NONE),
                ("change", NONE),
                ("change_m", NONE),
                ("pressure", Gives::Samples(SAMPLES * SAMPLES, Dimension::STRESS)),
                ("stress", Gives::Samples(SAMPLES * SAMPLES, Dimension::STRESS)),
            ]),
            routine: Routine { name: "flexible_plate", function: flexible_plate },
        }),
        examples: &[],
    },
];

/// Straight pieces that stand for a circle.
const PIECES: usize = 16;

/// Writes a table column by column.
fn fill_table<const COLUMNS: usize>(results: &mut [f64], rows: &[[f64; COLUMNS]]) {
    fill(results, (0..COLUMNS).flat_map(|column| rows.iter().map(move |row| row[column])));
}

/// The single values of a call.
fn single<const COUNT: usize>(arguments: &[Vec<f64>]) -> [f64; COUNT] {
    std::array::from_fn(|at| arguments.get(at).and_then(|list| list.first()).copied().unwrap_or(f64::NAN))
}

fn rectangle(arguments: &[Vec<f64>], results: &mut [f64]) -> Result<(), String> {
    let [x, y] = single::<2>(arguments).map(|side| side / 2.0);
    fill_table(results, &[[-x, -y], [x, -y], [x, y], [-x, y]]);
    Ok(())
}

fn walls_of_i(arguments: &[Vec<f64>], results: &mut [f64]) -> Result<(), String> {
    let [h, b, t_f, x, y] = single(arguments);
    let (flange, half) = ((h - t_f) / 2.0, b / 2.0);
    let (left, right) = (x - flange, x + flange);
    fill_table(results, &[[left, y - half, left, y + half], [right, y - half, right, y + half], [left, y, right, y]]);
    Ok(())
}

fn walls_of_rectangle(arguments: &[Vec<f64>], results: &mut [f64]) -> Result<(), String> {
    let [h, b, t, x, y] = single(arguments);
    let (u, v) = ((h - t) / 2.0, (b - t) / 2.0);
    let (left, right, low, high) = (x - u, x + u, y - v, y + v);
    let walls =
        [[left, low, right, low], [right, low, right, high], [right, high, left, high], [left, high, left, low]];
    fill_table(results, &walls);
    Ok(())
}

/// A corner of the polygon in a circle.
fn on_circle(at: usize, radius: f64, [x, y]: [f64; 2]) -> [f64; 2] {
    let angle = std::f64::consts::TAU * (at % PIECES) as f64 / PIECES as f64;
    [x + radius * libm::cos(angle), y + radius * libm::sin(angle)]
}

fn walls_of_circle(arguments: &[Vec<f64>], results: &mut [f64]) -> Result<(), String> {
    let [d, t, x, y] = single(arguments);
    let radius = (d - t) / 2.0;
    let piece = |at: usize| {
        let [[x_1, y_1], [x_2, y_2]] = [at, at + 1].map(|at| on_circle(at, radius, [x, y]));
        [x_1, y_1, x_2, y_2]
    };
    fill_table(results, &std::array::from_fn::<_, PIECES, _>(piece));
    Ok(())
}

fn solid_rectangle(arguments: &[Vec<f64>], results: &mut [f64]) -> Result<(), String> {
    let [b_x, b_y, x, y] = single(arguments);
    let (left, right, low, high) = (x - b_x / 2.0, x + b_x / 2.0, y - b_y / 2.0, y + b_y / 2.0);
    fill_table(results, &[[1.0, left, low], [1.0, right, low], [1.0, right, high], [1.0, left, high]]);
    Ok(())
}

fn solid_circle(arguments: &[Vec<f64>], results: &mut [f64]) -> Result<(), String> {
    let [d, x, y] = single(arguments);
    let corner = |at: usize| {
        let [x, y] = on_circle(at, d / 2.0, [x, y]);
        [1.0, x, y]
    };
    fill_table(results, &std::array::from_fn::<_, PIECES, _>(corner));
    Ok(())
}

/// Whether all corners of a polygon are one point, so that it stands for nothing.
fn has_no_size(corners: &[Place]) -> bool {
    corners.windows(2).all(|pair| pair[0] == pair[1])
}

/// Sides of the polygon of equal area that stands for a round hole.
const SIDES: usize = 32;

fn round_hole(x: Length, y: Length, d: Length) -> Vec<Point> {
    let angle = std::f64::consts::TAU / SIDES as f64;
    // The area of n triangles with the angle 2π/n at the middle is that of the circle.
    let radius = d / 2.0 * (angle / libm::sin(angle)).sqrt();
    let corner = |at: usize| {
        let turned = angle * at as f64;
        Point { x: x + radius * libm::cos(turned), y: y + radius * libm::sin(turned) }
    };
    (0..SIDES).map(corner).collect()
}

/// Coordinates of a point; the origin where there is none, since the force that would act there is zero.
fn coordinates<P>(point: Option<P>, read: impl Fn(P) -> [Length; 2]) -> [f64; 2] {
    point.map_or([0.0; 2], |point| read(point).map(|length| length.value))
}

fn rigid_plate(arguments: &[Vec<f64>], results: &mut [f64]) -> Result<(), String> {
    let mut take = Unpack::new(arguments);
    let point = |x, y| Point { x, y };
    let (points, holes) = (take.points(point), take.rings(point));
    let d_f: Length = take.one();
    let (x, y): (Vec<Length>, Vec<Length>) = (take.all(), take.all());
    let clearance_holes: Vec<Vec<Point>> = match d_f.value > 0.0 {
        true => x.iter().zip(&y).map(|(x, y)| round_hole(*x, *y, d_f)).collect(),
        false => Vec::new(),
    };
    let stiffness = take.all();
    let (bed, n, m_x, m_y) = (take.one(), take.one(), take.one(), take.one());
    let outline = Outline { points: &points, holes: &holes, clearance_holes: &clearance_holes };
    let springs = Springs { x: &x, y: &y, stiffness: &stiffness };
    let state =
        base_plate::rigid_plate(outline, springs, bed, Loads { n, m_x, m_y }).map_err(|reason| reason.to_string())?;

    let place = |point: Point| [point.x, point.y];
    let (tension, contact) = (state.tension.as_ref(), state.contact.as_ref());
    let mut values: Vec<f64> = state.anchor_forces.iter().map(|force| force.value).collect();
    values.push(tension.map_or(0.0, |tension| tension.force.value));
    values.extend(coordinates(tension.map(|tension| tension.point), place));
    values.extend(tension.map_or([0.0; 2], |tension| [tension.eccentricity_x.value, tension.eccentricity_y.value]));
    values.push(contact.map_or(0.0, |contact| contact.force.value));
    values.extend(coordinates(contact.map(|contact| contact.point), place));
    values.push(contact.map_or(0.0, |contact| contact.area.value));
    values.push(contact.map_or(0.0, |contact| contact.largest_pressure.value));
    values.extend(coordinates(contact.map(|contact| contact.largest_pressure_point), place));
    values.extend([state.plane.a.value, state.plane.b.value, state.plane.c.value, state.residual.value]);
    fill(results, values);
    Ok(())
}

/// The next of 1, 2 and 5 times a power of ten, from 1e-9 up: what is left over depends in its digits on the processor.
fn at_most(share: f64) -> f64 {
    let mut bound = 1e-9;
    while bound < share && bound < 1.0 {
        if let Some(factor) = [2.0, 5.0].into_iter().find(|factor| bound * factor >= share) {
            return bound * factor;
        }
        bound *= 10.0;
    }
    bound
}

fn flexible_plate(arguments: &[Vec<f64>], results: &mut [f64]) -> Result<(), String> {
    let mut take = Unpack::new(arguments);
    let point = |x, y| Place { x, y };
    let (outline, holes) = (take.points(point), take.rings(point));
    let (starts, ends) = (take.points(point), take.points(point));
    let walls: Vec<[Place; 2]> = starts.into_iter().zip(ends).map(|(start, end)| [start, end]).collect();
    let solid: Vec<Vec<Place>> = take.rings(point).into_iter().filter(|corners| !has_no_size(corners)).collect();
    let places = take.points(point);
    let (thickness, modulus, poisson) = (take.one(), take.one(), take.one());
    let anchors: Vec<Anchor> =
        places.into_iter().zip(take.all()).map(|(place, stiffness)| Anchor { place, stiffness }).collect();
    let bed = take.one();
    let actions = Actions { normal: take.one(), moment_x: take.one(), moment_y: take.one() };
    let holes: Vec<&[Place]> = holes.iter().map(Vec::as_slice).collect();
    let filled: Vec<&[Place]> = solid.iter().map(Vec::as_slice).collect();
    let origin = Place { x: Length::default(), y: Length::default() };
    let model = Model {
        plate: Plate { outline: &outline, holes: &holes, thickness, modulus, poisson },
        bed,
        anchors: &anchors,
        footprint: Footprint { walls: &walls, filled: &filled, reference: origin },
        actions,
    };
    let settings = Settings { samples: SAMPLES, ..Settings::default() };
    let bent = plate_bending::bend_plate(&model, &settings).map_err(|reason| reason.to_string())?;
    if !bent.is_held {
        return Err("the forces balance, but nothing keeps the plate from one tilt: anchors in a line hold it only \
                    across that line"
            .to_owned());
    }

    let place = |point: Place| [point.x, point.y];
    let (tension, contact, accuracy) = (bent.tension.as_ref(), &bent.contact, &bent.accuracy);
    let mut values: Vec<f64> = bent.anchor_forces.iter().map(|force| force.value).collect();
    values.push(tension.map_or(0.0, |tension| tension.force.value));
    values.extend(coordinates(tension.map(|tension| tension.point), place));
    values.extend(tension.map_or([0.0; 2], |tension| [tension.eccentricity_x.value, tension.eccentricity_y.value]));
    values.push(contact.force.value);
    values.extend(coordinates(contact.centre, place));
    values.extend([contact.area.value, contact.largest_pressure.value]);
    values.extend(coordinates(contact.at, place));
    values.extend([bent.highest.deflection.value, bent.lowest.deflection.value]);
    values.push(bent.largest_moment.map_or(0.0, |peak| peak.moment.value.abs()));
    values.extend(coordinates(bent.largest_moment.map(|peak| peak.at), place));
    values.extend(bent.sections.iter().map(|section| section.moment.value));
    values.extend(bent.sections.iter().map(|section| section.width.value));
    values.push(at_most(bent.residual.value));
    values.extend([accuracy.element.value, accuracy.unknowns as f64, accuracy.meshes as f64]);
    let changes = accuracy.change.map_or([0.0; 2], |change| [change.forces.value, change.moments.value]);
    values.extend(changes.map(at_most));
    // Outside the plate there is neither pressure nor stress.
    let drawn = |value: f64| if value.is_nan() { 0.0 } else { value };
    if let Some(fields) = &bent.fields {
        values.extend(fields.pressure.iter().map(|pressure| drawn(pressure.value)));
        values.extend(fields.stress.iter().map(|stress| drawn(stress.value)));
    }
    fill(results, values);
    Ok(())
}
