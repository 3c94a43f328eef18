//! Plates P1 to P8, computed independently with the same element on uniform meshes down to 2.5 mm.
//!
//! Forces and pressures are those of the finest of these meshes; the largest anchor force and C are their limit for h → 0
//! (Aitken's extrapolation of the last three meshes).
//! Two other discretisations (Morley's triangle, Mindlin's plate with quadratic elements) bracket them within 2 %.
//! The largest moments of P1 to P8 were read there off the finest mesh, at its points nearest to the rim of the band that is left
//! out; here they come out between 0.1 % below and 0.7 % above them, and on one mesh of 5 mm within 0.5 % above.
//! Here each plate is solved as a caller gets it, on meshes that are halved until forces and moments settle.

use uom::si::force::newton;

use super::*;

/// What is known of a plate: kN, MPa, kN mm.
struct Known {
    forces: &'static [f64],
    contact: f64,
    pressure: f64,
    /// Index of the face, moment of the section.
    sections: &'static [(usize, f64)],
    /// N mm/mm.
    largest_moment: f64,
}

fn square(half: f64) -> Vec<[f64; 2]> {
    rectangle([0.0, 0.0], 2.0 * half, 2.0 * half)
}

/// P1: a strip with a wall across it and one anchor on each side, in tension.
pub(super) fn strip() -> Case {
    Case {
        anchors: vec![[-60.0, 0.0], [60.0, 0.0]],
        walls: vec![[[0.0, -40.0], [0.0, 40.0]]],
        actions: [100.0, 0.0, 0.0],
        ..Case::new(240.0, 80.0, 15.0)
    }
}

/// P2: four anchors about a square that is held as a whole, in tension.
pub(super) fn pulled_square() -> Case {
    Case {
        anchors: square(110.0),
        stiffness: 274.75,
        filled: vec![square(60.0)],
        actions: [120.0, 0.0, 0.0],
        ..Case::new(300.0, 300.0, 15.0)
    }
}

/// P4: compression and a moment on a rectangle that is held as a whole.
fn bent_rectangle() -> Case {
    Case {
        anchors: rectangle([0.0, 0.0], 320.0, 220.0),
        filled: vec![rectangle([0.0, 0.0], 150.0, 100.0)],
        actions: [-200.0, 0.0, 60.0],
        ..Case::new(400.0, 300.0, 25.0)
    }
}

/// P5: moments about both axes.
fn twice_bent_square() -> Case {
    Case { actions: [0.0, 10.0, 10.0], thickness: 20.0, ..pulled_square() }
}

/// P6: the flanges and the web of an I section as lines.
pub(super) fn section_of_lines() -> Case {
    let flange = |x: f64| [[x, -100.0], [x, 100.0]];
    Case {
        anchors: rectangle([0.0, 0.0], 280.0, 150.0),
        stiffness: 411.8333,
        walls: vec![flange(-92.5), flange(92.5), [[-92.5, 0.0], [92.5, 0.0]]],
        actions: [-150.0, 0.0, 50.0],
        ..Case::new(360.0, 300.0, 20.0)
    }
}

/// P8: the walls of a hollow section, six anchors, tension and moments about both axes.
pub(super) fn hollow_section() -> Case {
    let row = |x: f64| [-120.0, 0.0, 120.0].map(|y| [x, y]);
    Case {
        anchors: row(-170.0).into_iter().chain(row(170.0)).collect(),
        walls: ring(&rectangle([0.0, 0.0], 190.0, 90.0)),
        actions: [60.0, 12.0, 30.0],
        ..Case::new(420.0, 320.0, 20.0)
    }
}

/// The case as a caller gets it: on meshes of the default, until it settles.
fn settled(case: Case) -> Case {
    Case { element: 0.0, meshes: 5, ..case }
}

#[track_caller]
fn check(case: Case, known: &Known) {
    let bent = settled(case).solve().unwrap();
    let largest = known.forces.iter().copied().fold(0.0, f64::max);
    for (force, known) in forces(&bent).iter().zip(known.forces) {
        // An anchor that carries next to nothing is measured by the others.
        let allowed = (0.02 * known).max(0.001 * largest);
        assert!((force - known).abs() <= allowed, "an anchor carries {force} kN, not {known}");
    }
    near("C", bent.contact.force.get::<kilonewton>(), known.contact, 0.02);
    near("p_max", bent.contact.largest_pressure.get::<megapascal>(), known.pressure, 0.02);
    for (face, moment) in known.sections {
        near("a section's moment", 1e3 * bent.sections[*face].moment.get::<kilonewton_meter>(), *moment, 0.003);
    }
    if known.largest_moment > 0.0 {
        let largest = bent.largest_moment.unwrap().moment.get::<newton>();
        near("the largest moment", largest.abs(), known.largest_moment, 0.02);
    }
    assert!(bent.residual.get::<ratio>() < 1e-9, "{:?} is missing for equilibrium", bent.residual);
    assert!(bent.is_held);
}

#[test]
fn p1_strip() {
    let known = Known {
        forces: &[66.12, 66.12],
        contact: 32.24,
        pressure: 16.4452,
        sections: &[(0, 2166.78)],
        largest_moment: 18_367.0,
    };
    check(strip(), &known);
}

#[test]
fn p2_pulled_square() {
    let known = Known {
        forces: &[38.49; 4],
        contact: 33.94,
        pressure: 24.3588,
        sections: &[(0, 2515.48)],
        largest_moment: 13_952.0,
    };
    check(pulled_square(), &known);
}

#[test]
fn p3_square_without_prying() {
    // Contact is a rest at the very corners that no mesh shows well: of it, only that it is next to nothing.
    let bent = settled(Case { thickness: 25.0, ..pulled_square() }).solve().unwrap();
    forces(&bent).iter().for_each(|force| near("an anchor", *force, 30.01, 0.001));
    assert!(bent.contact.force.get::<kilonewton>() < 0.05);
    near("a section's moment", 1e3 * bent.sections[0].moment.get::<kilonewton_meter>(), 2999.56, 0.003);
    near("the largest moment", bent.largest_moment.unwrap().moment.get::<newton>(), 12_192.0, 0.02);
    assert!(bent.residual.get::<ratio>() < 1e-9, "{:?}", bent.residual);
}

#[test]
fn p4_bent_rectangle() {
    let known = Known {
        forces: &[0.0, 70.17, 70.17, 0.0],
        contact: 340.33,
        pressure: 23.0293,
        sections: &[(0, 11_632.1), (1, -12_969.6)],
        largest_moment: 41_346.0,
    };
    check(bent_rectangle(), &known);
}

#[test]
fn p5_square_bent_about_both_axes() {
    let known = Known {
        forces: &[0.0, 14.5772, 42.13, 14.5772],
        contact: 71.32,
        pressure: 8.9051,
        sections: &[(0, 2713.07), (1, -1233.15)],
        largest_moment: 19_656.0,
    };
    check(twice_bent_square(), &known);
}

#[test]
fn p6_section_of_lines() {
    let known = Known {
        forces: &[0.0, 68.93, 68.93, 0.0],
        contact: 287.86,
        pressure: 15.4101,
        sections: &[(0, 6545.63), (1, -5456.31)],
        largest_moment: 19_921.0,
    };
    check(section_of_lines(), &known);
}

#[test]
fn p7_thick_plate_is_rigid() {
    let thick = Case { thickness: 200.0, ..twice_bent_square() };
    let known = Known {
        forces: &[0.0, 12.0666, 35.04, 12.0666],
        contact: 59.17,
        pressure: 10.4105,
        sections: &[],
        largest_moment: 0.0,
    };
    check(thick.clone(), &known);
    // The rigid plate by an exact solver of the polygon in contact, computed independently; thicker is nearer to it.
    let rigid = 34.9980;
    let away = |thickness: f64| {
        let bent = Case { thickness, element: 60.0, ..thick.clone() }.solve().unwrap();
        (forces(&bent)[2] / rigid - 1.0).abs()
    };
    let [at_100, at_200, at_400] = [100.0, 200.0, 400.0].map(away);
    assert!(at_100 > at_200 && at_200 > at_400, "{at_100} {at_200} {at_400}");
    assert!(at_400 < 0.0005, "{at_400}");
}

#[test]
fn p8_hollow_section() {
    // The extrapolated 79.00 kN and 120.15 kN are the least certain of all, by 1.5 %: many corners, slow convergence.
    let known = Known {
        forces: &[0.0, 0.1894, 21.1350, 20.8014, 79.00, 58.9839],
        contact: 120.15,
        pressure: 27.6883,
        sections: &[(0, 8983.01), (2, 4301.24)],
        largest_moment: 44_665.0,
    };
    check(hollow_section(), &known);
}

#[test]
fn moments_and_deflections_at_points() {
    // Points every 5 mm; (85, 0) lies 25 mm from the column, (150, 0) on the edge.
    let bent = settled(Case { samples: 61, ..pulled_square() }).solve().unwrap();
    let fields = bent.fields.unwrap();
    let at = |x: f64, y: f64| ((y + 150.0) / 5.0) as usize * 61 + ((x + 150.0) / 5.0) as usize;
    near("m_x", fields.moment_x[at(85.0, 0.0)].get::<newton>(), 4547.7, 0.02);
    near("m_y", fields.moment_y[at(85.0, 0.0)].get::<newton>(), 2360.7, 0.02);
    near("w", fields.deflection[at(150.0, 0.0)].get::<millimeter>(), 0.374814, 0.01);
    near("w", fields.deflection[at(150.0, 150.0)].get::<millimeter>(), -0.162391, 0.01);
    near("p", fields.pressure[at(150.0, 150.0)].get::<megapascal>(), 24.3588, 0.01);
    near("w of the column", bent.column.deflection.get::<millimeter>(), 0.575629, 0.01);
    // The stress of (85, 0) by hand from the moments there: 6/15² √(4547.7² − 4547.7 · 2360.7 + 2360.7²).
    near("stress", fields.stress[at(85.0, 0.0)].get::<megapascal>(), 105.03, 0.02);
}

#[test]
fn the_largest_moment_falls_gradually_with_the_thickness() {
    // A step of 1.25 % in the thickness, which is that of the band as well: the rim wanders over cells, one by one.
    let largest = |step: u32| {
        let thickness = 19.5 + 0.25 * f64::from(step);
        let bent = Case { thickness, element: 40.0, ..section_of_lines() }.solve().unwrap();
        bent.largest_moment.unwrap().moment.get::<newton>()
    };
    let moments: Vec<f64> = (0..=4).map(largest).collect();
    for pair in moments.windows(2) {
        assert!(pair[1] < pair[0] && pair[1] > 0.985 * pair[0], "{moments:?}");
    }
}

#[test]
fn the_largest_moment_lies_no_nearer_than_the_thickness() {
    let case = section_of_lines();
    let peak = Case { element: 40.0, ..case.clone() }.solve().unwrap().largest_moment.unwrap();
    let at = [peak.at.x.get::<millimeter>(), peak.at.y.get::<millimeter>()];
    // Beside the middle of the right flange, to which the web leads: on the rim, 20 mm from the line of the flange.
    near("x", at[0], 92.5 + 20.0, 1e-9);
    assert!(at[1].abs() < 1e-9, "{at:?}");
    // A band that covers the plate leaves no moment, and the sections remain.
    let thick = Case { thickness: 200.0, element: 60.0, ..case }.solve().unwrap();
    assert_eq!(thick.largest_moment, None);
    assert!(thick.sections.iter().any(|section| section.moment.get::<kilonewton_meter>().abs() > 1.0));
}

#[test]
fn tension_has_a_resultant_with_eccentricities() {
    // By the forces of P5 known for (110, -110), (110, 110) and (-110, 110), of which the middle lies at 110/3 each way.
    let forces = [14.5772, 42.13, 14.5772];
    let sum: f64 = forces.iter().sum();
    let known = 110.0 * (forces[0] + forces[1] - forces[2]) / sum;
    let tension = settled(twice_bent_square()).solve().unwrap().tension.unwrap();
    near("N_g", tension.force.get::<kilonewton>(), sum, 0.005);
    for (at, eccentricity) in [(tension.point.x, tension.eccentricity_x), (tension.point.y, tension.eccentricity_y)] {
        near("the resultant", at.get::<millimeter>(), known, 0.005);
        near("e_N", eccentricity.get::<millimeter>(), known - 110.0 / 3.0, 0.01);
    }
    // A thick plate is pressed all over, and no anchor pulls.
    let pressed =
        Case { actions: [-100.0, 0.0, 0.0], thickness: 200.0, element: 60.0, ..pulled_square() }.solve().unwrap();
    assert_eq!(pressed.tension, None);
}

#[test]
fn sections_have_the_width_of_the_plate() {
    let widths = |case: Case| {
        let bent = Case { element: 60.0, ..case }.solve().unwrap();
        bent.sections.map(|section| section.width.get::<millimeter>())
    };
    let close = |widths: [f64; 4], known: [f64; 4]| {
        widths.iter().zip(known).for_each(|(width, known)| near("a width", *width, known, 1e-4));
    };
    close(widths(section_of_lines()), [300.0, 300.0, 360.0, 360.0]);
    // A hole that the section at x = 92.5 passes takes its 60 mm away.
    let holes = vec![rectangle([100.0, 110.0], 40.0, 60.0)];
    let case = Case { holes, walls: ring(&rectangle([0.0, 0.0], 185.0, 100.0)), ..section_of_lines() };
    close(widths(case), [240.0, 300.0, 360.0, 360.0]);
    // Where the column ends with the plate, nothing is beyond: no moment, and the width is that of the plate there.
    let flush = Case { filled: vec![rectangle([90.0, 0.0], 120.0, 120.0)], ..pulled_square() };
    let bent = Case { element: 60.0, ..flush }.solve().unwrap();
    assert_eq!(bent.sections[0].moment.get::<kilonewton_meter>(), 0.0);
    near("the width", bent.sections[0].width.get::<millimeter>(), 300.0, 1e-4);
}
