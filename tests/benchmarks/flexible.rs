//! How long a flexible base plate takes, on one thread: contact and anchors included, at several sizes of mesh.
//!
//! The plate is square with a hollow column under tension and moments about both axes, so that contact has to be found.
//! [`sizes`] solves it on single meshes and tells the growth; [`settled`] lets the mesh be halved until forces and moments settle.
#![expect(clippy::disallowed_methods, reason = "benchmarks read and write files")]

mod shared;

use anyhow::Result;
use shared::table::Figure::{Time, Times};
use shared::table::{Table, Target};
use shared::timing::{Samples, in_turn, timed};
use soleplate::numerics::plate_bending::{
    Actions, Anchor, BentPlate, Footprint, Model, Place, Plate, PlateError, Settings, bend_plate,
};
use uom::si::f64::{Force, Length, Pressure, Ratio, Torque};
use uom::si::force::kilonewton;
use uom::si::length::millimeter;
use uom::si::pressure::megapascal;
use uom::si::ratio::ratio;
use uom::si::torque::kilonewton_meter;

/// How often each size is solved.
const ROUNDS: usize = 15;
/// Greatest length of a cell, mm; that of the target gives 40 × 40 cells, those divided again next to the walls included.
const SIZES: [f64; 4] = [30.0, TARGET, 10.0, 7.5];
const TARGET: f64 = 15.0;
/// The side of the plate, mm.
const SIDE: f64 = 480.0;

fn main() -> Result<()> {
    if shared::is_asked_for() {
        print!("{}", sizes()?);
        print!("{}", settled()?);
    }
    Ok(())
}

fn mm(value: f64) -> Length {
    Length::new::<millimeter>(value)
}

/// The plate; all lines are multiples of 15 mm.
fn bend(settings: &Settings) -> Result<BentPlate, PlateError> {
    let at = |x: f64, y: f64| Place { x: mm(x), y: mm(y) };
    let corners = |x: f64, y: f64| [at(-x, -y), at(x, -y), at(x, y), at(-x, y)];
    let column = corners(90.0, 45.0);
    let walls: [[Place; 2]; 4] = std::array::from_fn(|side| [column[side], column[(side + 1) % 4]]);
    let stiffness = Force::new::<kilonewton>(343.0) / mm(1.0);
    bend_plate(
        &Model {
            plate: Plate {
                outline: &corners(SIDE / 2.0, SIDE / 2.0),
                holes: &[],
                thickness: mm(20.0),
                modulus: Pressure::new::<megapascal>(210_000.0),
                poisson: Ratio::new::<ratio>(0.3),
            },
            bed: Pressure::new::<megapascal>(150.0) / mm(1.0),
            anchors: &corners(195.0, 150.0).map(|place| Anchor { place, stiffness }),
            footprint: Footprint { walls: &walls, filled: &[], reference: at(0.0, 0.0) },
            actions: Actions {
                normal: Force::new::<kilonewton>(60.0),
                moment_x: Torque::new::<kilonewton_meter>(12.0),
                moment_y: Torque::new::<kilonewton_meter>(30.0),
            },
        },
        settings,
    )
}

fn sizes() -> Result<Table> {
    let solve = |size: f64| bend(&Settings { element: Some(mm(size)), meshes: 1, ..Settings::default() });
    let mut plates = Vec::new();
    for size in SIZES {
        plates.push(solve(size)?);
    }
    let time = |size: f64| {
        let (bent, time) = timed(|| solve(size));
        bent.map(|_| time).map_err(Into::into)
    };
    let [a, b, c, d] = SIZES;
    let samples = in_turn(ROUNDS, [&mut || time(a), &mut || time(b), &mut || time(c), &mut || time(d)])?;
    let mut table = Table::new(format!("A flexible base plate on one mesh ({ROUNDS} rounds, medians)"));
    for ((size, bent), samples) in SIZES.iter().zip(&plates).zip(&samples) {
        let (unknowns, iterations) = (bent.accuracy.unknowns, bent.accuracy.iterations);
        let what = format!("cells of {size} mm, {unknowns} unknowns, {iterations} iterations");
        if *size == TARGET {
            table.against(&format!("{what} (40 × 40 cells)"), Time(samples.median()), Target::AtMost(Time(0.15)));
        } else {
            table.plain(&what, Time(samples.median()));
        }
    }
    let unknowns: Vec<f64> = plates.iter().map(|bent| bent.accuracy.unknowns as f64).collect();
    let growth = exponent(&unknowns, &samples);
    table.against("exponent of the growth with the unknowns", Times(growth), Target::AtMost(Times(1.5)));
    Ok(table)
}

/// The slope of the straight line through the logarithms of unknowns and times.
fn exponent(unknowns: &[f64], samples: &[Samples]) -> f64 {
    let x: Vec<f64> = unknowns.iter().map(|count| libm::log(*count)).collect();
    let y: Vec<f64> = samples.iter().map(|samples| libm::log(samples.median())).collect();
    let mean = |values: &[f64]| values.iter().sum::<f64>() / values.len() as f64;
    let (middle_x, middle_y) = (mean(&x), mean(&y));
    let rise: f64 = x.iter().zip(&y).map(|(x, y)| (x - middle_x) * (y - middle_y)).sum();
    rise / x.iter().map(|x| (x - middle_x) * (x - middle_x)).sum::<f64>()
}

fn settled() -> Result<Table> {
    let settings = Settings { samples: 61, ..Settings::default() };
    let bent = bend(&settings)?;
    let mut samples = Samples::default();
    for _ in 0..ROUNDS {
        samples.push(timed(|| bend(&settings)).1);
    }
    let (meshes, unknowns) = (bent.accuracy.meshes, bent.accuracy.unknowns);
    let mut table =
        Table::new(format!("The same until forces have settled to 1 % and moments to 2 % ({ROUNDS} rounds, median)"));
    table.plain(&format!("{meshes} meshes, {unknowns} unknowns at last, 61 × 61 samples"), Time(samples.median()));
    Ok(table)
}
