use super::*;
use uom::si::area::square_millimeter;
use uom::si::force::newton;

fn cases() -> Vec<(&'static str, Case)> {
    let square = |a: f64| vec![[-a, -a], [a, -a], [a, a], [-a, a]];
    let box4 = |x: f64, y: f64| vec![[-x, -y], [x, -y], [x, y], [-x, y]];
    let p2 = Case {
        anchors: square(110.0),
        stiffness: 274.75,
        filled: vec![square(60.0)],
        actions: [120.0, 0.0, 0.0],
        ..Case::new(300.0, 300.0, 15.0)
    };
    let p5 = Case { actions: [0.0, 10.0, 10.0], thickness: 20.0, ..p2.clone() };
    vec![
        (
            "P1",
            Case {
                anchors: vec![[-60.0, 0.0], [60.0, 0.0]],
                walls: vec![[[0.0, -40.0], [0.0, 40.0]]],
                actions: [100.0, 0.0, 0.0],
                ..Case::new(240.0, 80.0, 15.0)
            },
        ),
        ("P2", p2.clone()),
        ("P3", Case { thickness: 25.0, ..p2 }),
        (
            "P4",
            Case {
                anchors: box4(160.0, 110.0),
                filled: vec![box4(75.0, 50.0)],
                actions: [-200.0, 0.0, 60.0],
                ..Case::new(400.0, 300.0, 25.0)
            },
        ),
        ("P5", p5.clone()),
        (
            "P6",
            Case {
                anchors: box4(140.0, 75.0),
                stiffness: 411.8333,
                walls: vec![
                    [[-92.5, -100.0], [-92.5, 100.0]],
                    [[92.5, -100.0], [92.5, 100.0]],
                    [[-92.5, 0.0], [92.5, 0.0]],
                ],
                actions: [-150.0, 0.0, 50.0],
                ..Case::new(360.0, 300.0, 20.0)
            },
        ),
        ("P7", Case { thickness: 200.0, ..p5 }),
        (
            "P8",
            Case {
                anchors: vec![
                    [-170.0, -120.0],
                    [-170.0, 0.0],
                    [-170.0, 120.0],
                    [170.0, -120.0],
                    [170.0, 0.0],
                    [170.0, 120.0],
                ],
                walls: ring(&box4(95.0, 45.0)),
                actions: [60.0, 12.0, 30.0],
                ..Case::new(420.0, 320.0, 20.0)
            },
        ),
    ]
}

#[test]
fn probe() {
    for (name, case) in cases() {
        for element in [40.0, 30.0, 20.0, 10.0, 5.0] {
            if cfg!(debug_assertions) && element < 15.0 {
                continue;
            }
            let start = std::time::Instant::now();
            match (Case { element, ..case.clone() }).solve() {
                Ok(bent) => println!(
                    "{name} {element}: {:.3?} sum {:.3} C {:.3} p {:.3} A {:.0} wmax {:.5} wmin {:.6} it {} n {} res {:.1e} held {} sec {:.2?} m {:.0?} {:?}",
                    forces(&bent),
                    bent.anchor_sum.get::<kilonewton>(),
                    bent.contact.force.get::<kilonewton>(),
                    bent.contact.largest_pressure.get::<megapascal>(),
                    bent.contact.area.get::<square_millimeter>(),
                    bent.highest.deflection.get::<millimeter>(),
                    bent.lowest.deflection.get::<millimeter>(),
                    bent.accuracy.iterations,
                    bent.accuracy.unknowns,
                    bent.residual.value,
                    bent.is_held,
                    bent.sections.iter().map(|s| s.moment.get::<kilonewton_meter>() * 1000.0).collect::<Vec<_>>(),
                    bent.largest_moment.map(|m| (
                        m.moment.get::<newton>(),
                        m.at.x.get::<millimeter>(),
                        m.at.y.get::<millimeter>()
                    )),
                    start.elapsed()
                ),
                Err(error) => println!("{name} {element}: {error}"),
            }
        }
    }
}
