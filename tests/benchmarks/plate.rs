//! How long the plate of a column base takes: the state of a rigid plate, of which a figure that moves needs many.
//!
//! Each row is the mean of many solutions, from the caller's quantities to forces, polygons and the neutral axis.
#![expect(clippy::disallowed_methods, reason = "a hole need not be the same on every platform")]

mod shared;

use anyhow::{Result, ensure};
use shared::table::Figure::Time;
use shared::table::{Table, Target};
use shared::timing::{in_turn, timed};
use soleplate::numerics::base_plate::{Anchors, Loads, Outline, Point, RigidState, rigid_plate};
use std::f64::consts::TAU;
use std::hint::black_box;
use std::time::Duration;
use uom::si::f64::{Force, Length, Pressure, Torque};
use uom::si::force::{kilonewton, newton};
use uom::si::length::millimeter;
use uom::si::pressure::megapascal;
use uom::si::torque::kilonewton_meter;

/// How often each row goes through.
const ROUNDS: usize = 40;
/// Repetitions to one time of what is too short for the clock.
const RUNS: u32 = 500;

fn main() -> Result<()> {
    if shared::is_asked_for() {
        print!("{}", rigid()?);
    }
    Ok(())
}

fn mm(value: f64) -> Length {
    Length::new::<millimeter>(value)
}

/// Eight anchors on a plate of 450 mm by 450 mm, under compression with two moments, and the same with a round hole.
fn rigid() -> Result<Table> {
    let mut table = Table::new(format!("A rigid plate with 8 anchors ({ROUNDS} rounds, medians)"));
    let corners = [(-225.0, -225.0), (225.0, -225.0), (225.0, 225.0), (-225.0, 225.0)];
    let points = corners.map(|(x, y)| Point { x: mm(x), y: mm(y) });
    let places = [-175.0, 0.0, 175.0].map(|x| [-175.0, 0.0, 175.0].map(|y| (x, y))).concat();
    let (x, y): (Vec<Length>, Vec<Length>) =
        places.into_iter().filter(|place| *place != (0.0, 0.0)).map(|(x, y)| (mm(x), mm(y))).unzip();
    let stiffness = vec![Force::new::<newton>(210_000.0 * 245.0) / mm(1.0); x.len()];
    let bed = Pressure::new::<megapascal>(30_000.0) / mm(1.0);
    let moment = Torque::new::<kilonewton_meter>;
    let loads = Loads { n: Force::new::<kilonewton>(-150.0), m_x: moment(25.0), m_y: moment(70.0) };
    let hole = (0..48).map(|corner| TAU * f64::from(corner) / 48.0);
    let hole: Vec<Point> = hole.map(|angle| Point { x: mm(40.0 * angle.cos()), y: mm(40.0 * angle.sin()) }).collect();
    let holes = [hole];

    let solve = |holes| {
        let outline = Outline { points: &points, holes, clearance_holes: &[] };
        rigid_plate(outline, Anchors { x: &x, y: &y, stiffness: &stiffness }, bed, loads)
    };
    let largest = |state: RigidState| {
        let forces = state.anchor_forces.iter().map(|force| force.get::<kilonewton>());
        forces.fold(0.0, f64::max)
    };
    let force = largest(solve(&[])?);
    ensure!((force - 43.1286).abs() < 1e-3, "the largest force is {force} kN, not that of the reference");

    let time =
        |holes| (timed(|| (0..RUNS).for_each(|_| drop(black_box(solve(black_box(holes)))))).1 / RUNS) as Duration;
    let [plain, round] = in_turn(ROUNDS, [&mut || Ok(time(&[])), &mut || Ok(time(&holes))])?;
    table.against("a square plate", Time(plain.median()), Target::AtMost(Time(50e-6)));
    table.plain("with a hole of 48 corners", Time(round.median()));
    Ok(table)
}
