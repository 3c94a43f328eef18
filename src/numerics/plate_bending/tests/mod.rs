//! Plates with known answers, and what must hold for every plate.

mod classic;
mod laws;
mod outlines;
mod references;
mod refusals;

use uom::si::f64::{Force, Length, Pressure, Ratio, Torque};
use uom::si::force::kilonewton;
use uom::si::length::millimeter;
use uom::si::pressure::megapascal;
use uom::si::ratio::ratio;
use uom::si::torque::kilonewton_meter;

use super::{Actions, Anchor, BentPlate, Footprint, Model, Place, Plate, PlateError, Settings, bend_plate};

/// A model in kN and mm, with the values that the cases share.
#[derive(Debug, Clone)]
struct Case {
    outline: Vec<[f64; 2]>,
    holes: Vec<Vec<[f64; 2]>>,
    thickness: f64,
    bed: f64,
    anchors: Vec<[f64; 2]>,
    /// kN/mm.
    stiffness: f64,
    walls: Vec<[[f64; 2]; 2]>,
    filled: Vec<Vec<[f64; 2]>>,
    reference: [f64; 2],
    /// N in kN, M_x and M_y in kNm.
    actions: [f64; 3],
    element: f64,
    meshes: usize,
    /// The change at which forces have settled; moments have at twice as much.
    settled: f64,
    samples: usize,
}

/// A rectangle about a point.
fn rectangle([x, y]: [f64; 2], width: f64, height: f64) -> Vec<[f64; 2]> {
    let (a, b) = (width / 2.0, height / 2.0);
    vec![[x - a, y - b], [x + a, y - b], [x + a, y + b], [x - a, y + b]]
}

/// The sides of a ring.
fn ring(corners: &[[f64; 2]]) -> Vec<[[f64; 2]; 2]> {
    (0..corners.len()).map(|index| [corners[index], corners[(index + 1) % corners.len()]]).collect()
}

impl Case {
    fn new(width: f64, height: f64, thickness: f64) -> Case {
        Case {
            outline: rectangle([0.0, 0.0], width, height),
            holes: Vec::new(),
            thickness,
            bed: 150.0,
            anchors: Vec::new(),
            stiffness: 343.0,
            walls: Vec::new(),
            filled: Vec::new(),
            reference: [0.0, 0.0],
            actions: [0.0; 3],
            element: 20.0,
            meshes: 1,
            settled: 0.01,
            samples: 0,
        }
    }

    fn solve(&self) -> Result<BentPlate, PlateError> {
        self.solve_within(Settings::default().iterations)
    }

    fn solve_within(&self, iterations: usize) -> Result<BentPlate, PlateError> {
        let mm = Length::new::<millimeter>;
        let place = |point: &[f64; 2]| Place { x: mm(point[0]), y: mm(point[1]) };
        let ring = |ring: &Vec<[f64; 2]>| ring.iter().map(place).collect::<Vec<Place>>();
        let outline = ring(&self.outline);
        let holes: Vec<Vec<Place>> = self.holes.iter().map(ring).collect();
        let holes: Vec<&[Place]> = holes.iter().map(Vec::as_slice).collect();
        let filled: Vec<Vec<Place>> = self.filled.iter().map(ring).collect();
        let filled: Vec<&[Place]> = filled.iter().map(Vec::as_slice).collect();
        let walls: Vec<[Place; 2]> = self.walls.iter().map(|wall| [place(&wall[0]), place(&wall[1])]).collect();
        let stiffness = Force::new::<kilonewton>(self.stiffness) / mm(1.0);
        let anchors: Vec<Anchor> =
            self.anchors.iter().map(|anchor| Anchor { place: place(anchor), stiffness }).collect();
        let model = Model {
            plate: Plate {
                outline: &outline,
                holes: &holes,
                thickness: mm(self.thickness),
                modulus: Pressure::new::<megapascal>(210_000.0),
                poisson: Ratio::new::<ratio>(0.3),
            },
            bed: Pressure::new::<megapascal>(self.bed) / mm(1.0),
            anchors: &anchors,
            footprint: Footprint { walls: &walls, filled: &filled, reference: place(&self.reference) },
            actions: Actions {
                normal: Force::new::<kilonewton>(self.actions[0]),
                moment_x: Torque::new::<kilonewton_meter>(self.actions[1]),
                moment_y: Torque::new::<kilonewton_meter>(self.actions[2]),
            },
        };
        let settings = Settings {
            element: (self.element > 0.0).then(|| mm(self.element)),
            meshes: self.meshes,
            settled_forces: Ratio::new::<ratio>(self.settled),
            settled_moments: Ratio::new::<ratio>(2.0 * self.settled),
            samples: self.samples,
            iterations,
            ..Settings::default()
        };
        bend_plate(&model, &settings)
    }
}

/// The anchor forces, kN.
fn forces(bent: &BentPlate) -> Vec<f64> {
    bent.anchor_forces.iter().map(|force| force.get::<kilonewton>()).collect()
}

#[track_caller]
fn near(what: &str, value: f64, known: f64, allowed: f64) {
    assert!((value - known).abs() <= allowed * known.abs(), "{what} is {value}, not {known}");
}
