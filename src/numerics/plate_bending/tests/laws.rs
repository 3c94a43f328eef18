//! What holds for every plate: symmetry, scale, place, equilibrium, settling.

use uom::si::ratio::percent;

use super::references::{hollow_section, pulled_square, strip};
use super::*;

#[test]
fn a_mirrored_plate_has_mirrored_forces() {
    let case = Case { element: 60.0, ..hollow_section() };
    let mut mirrored = case.clone();
    mirrored.anchors.iter_mut().for_each(|anchor| anchor[0] = -anchor[0]);
    mirrored.actions[2] = -mirrored.actions[2];
    let (one, other) = (case.solve().unwrap(), mirrored.solve().unwrap());
    for (one, other) in forces(&one).iter().zip(forces(&other)) {
        assert!((one - other).abs() < 1e-6);
    }
    near("the section", one.sections[0].moment.value, other.sections[1].moment.value, 1e-6);
    near("p_max", one.contact.largest_pressure.value, other.contact.largest_pressure.value, 1e-6);
}

#[test]
fn a_symmetric_plate_has_equal_forces() {
    let forces = forces(&Case { element: 60.0, ..pulled_square() }.solve().unwrap());
    assert!(forces.iter().all(|force| (force - forces[0]).abs() < 1e-6), "{forces:?}");
}

#[test]
fn forces_grow_with_the_actions_and_contact_stays() {
    let case = Case { element: 60.0, ..hollow_section() };
    let doubled = Case { actions: case.actions.map(|action| 2.0 * action), ..case.clone() };
    let (one, two) = (case.solve().unwrap(), doubled.solve().unwrap());
    for (one, two) in forces(&one).iter().zip(forces(&two)) {
        assert!((2.0 * one - two).abs() < 1e-6);
    }
    assert_eq!(one.contact.area, two.contact.area);
}

#[test]
fn neither_the_place_nor_the_point_of_reference_matters() {
    let case = Case { element: 60.0, ..hollow_section() };
    let mut moved = case.clone();
    let shift = |point: &mut [f64; 2]| *point = [point[0] + 1234.5, point[1] - 678.9];
    moved.outline.iter_mut().chain(&mut moved.anchors).chain(moved.walls.iter_mut().flatten()).for_each(shift);
    // The reference is 40 mm right of the middle and 30 mm above it; a force there has moments about the middle.
    moved.reference = [1234.5 + 40.0, -678.9 + 30.0];
    let [normal, about_x, about_y] = case.actions;
    moved.actions = [normal, about_x - normal * 0.030, about_y - normal * 0.040];
    let (one, other) = (case.solve().unwrap(), moved.solve().unwrap());
    for (one, other) in forces(&one).iter().zip(forces(&other)) {
        assert!((one - other).abs() < 1e-5, "{one} {other}");
    }
}

#[test]
fn anchors_less_contact_are_the_normal_force() {
    let bent = Case { element: 60.0, ..hollow_section() }.solve().unwrap();
    near("N", (bent.tension.unwrap().force - bent.contact.force).get::<kilonewton>(), 60.0, 1e-7);
    assert!(bent.residual.get::<ratio>() < 1e-10);
    // M_y about the middle, by the results alone.
    let anchors: f64 = forces(&bent).iter().zip(&hollow_section().anchors).map(|(force, at)| force * at[0]).sum();
    let contact = bent.contact.force.get::<kilonewton>() * bent.contact.centre.unwrap().x.get::<millimeter>();
    near("M_y", anchors - contact, 30_000.0, 1e-6);
}

#[test]
fn two_anchors_without_contact_leave_a_tilt_free() {
    let bent = Case { thickness: 60.0, element: 40.0, ..strip() }.solve().unwrap();
    assert!(!bent.is_held);
    forces(&bent).iter().for_each(|force| near("an anchor", *force, 50.0, 1e-6));
}

#[test]
fn a_column_without_forces_leaves_the_plate_alone() {
    let bent = Case { actions: [0.0; 3], element: 60.0, samples: 3, ..pulled_square() }.solve().unwrap();
    assert_eq!(forces(&bent), [0.0; 4]);
    assert_eq!(bent.contact.force.get::<kilonewton>(), 0.0);
    assert_eq!((bent.contact.centre, bent.contact.at), (None, None));
}

#[test]
fn full_contact_is_the_average_pressure_below_a_thick_plate() {
    let bent =
        Case { anchors: Vec::new(), actions: [-90.0, 0.0, 0.0], thickness: 400.0, element: 60.0, ..pulled_square() }
            .solve()
            .unwrap();
    near("p", bent.contact.largest_pressure.get::<megapascal>(), 90_000.0 / (300.0 * 300.0), 0.005);
    near("the area", bent.contact.area.value, 0.09, 1e-9);
}

#[test]
fn meshes_get_finer_until_forces_and_moments_settle() {
    let bent = Case { element: 60.0, meshes: 5, ..pulled_square() }.solve().unwrap();
    // The forces have settled on the second mesh already.
    assert_eq!(bent.accuracy.meshes, 3);
    let change = bent.accuracy.change.unwrap();
    assert!(change.forces.get::<percent>() <= 1.0 && change.moments.get::<percent>() <= 2.0);
    assert_eq!(bent.accuracy.element.get::<millimeter>(), 15.0);
    assert!(bent.accuracy.iterations > 2 && bent.accuracy.unknowns > 500);
}
