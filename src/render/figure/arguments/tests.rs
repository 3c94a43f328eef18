//! Tests of figures in sheets: they take the numbers of the calculation, in the units of drawings.

use crate::compile::Figure;
use crate::evaluate::Trace;
use crate::package::{Memory, Package};
use crate::render::figure::draw;
use crate::render::figure::tests::{attributes, numbers, texts};

/// The trace of a sheet without mistakes.
#[track_caller]
fn traced(sheet: &str) -> Trace {
    let (package, findings) =
        Package::open(Box::new(Memory::default().with("a.md", sheet))).expect("memory can be read");
    assert!(findings.is_empty(), "{findings:?}");
    let built = package.build("a.md");
    built.trace.unwrap_or_else(|| panic!("{:#?}", built.findings))
}

/// An even pressure of N / A = 3.704 N/mm², and M / W = 0.926 N/mm² more and less at the ends: elementary statics.
#[test]
fn figures_of_plates_take_their_numbers_from_records() {
    let sheet = "+++\ntitle = \"T\"\nnumber = \"1\"\nrevision = \"A\"\npurpose = \"p\"\nscope = \"s\"\n+++\n\
        ```given\n\
        anchors = table x in mm, y in mm @ s\n    A1: -150, 0\n    A2: 150, 0\n\
        holes = table ring, x in mm, y in mm @ s\n\
        vents = table ring, x in mm, y in mm @ s\n    P1: 2, 10, 10\n    P2: 2, 40, 10\n    P3: 2, 40, 60\n    \
        Q1: 5, -10, -10\n    Q2: 5, -40, -10\n    Q3: 5, -40, -60\n\
        web = along_x among along_x, along_y @ s\n\
        sigma_max = 120 N/mm² @ s\n\
        h = 20 cm @ s\n\
        ```\n\
        ```derive\n\
        outline = rectangle(360 mm, 300 mm)\n\
        walls = walls_of_i(200 mm, 100 mm, 15 mm, 0 mm, 0 mm)\n\
        stiff = rigid_plate(outline, holes, 0 mm, anchors, 100 kN/mm, 100 N/mm³, -400 kN, 0 kN·m, 6 kN·m)\n\
        bent = flexible_plate(outline, holes, walls, solid_rectangle(0 mm, 0 mm, 0 mm, 0 mm), anchors, 30 mm, 210000 N/mm², 0.3, 100 kN/mm, 100 N/mm³, -400 kN, 0 kN·m, 6 kN·m)\n\
        ```\n\
        ```figure\n\
        pressure \"Pressure\" with state = stiff, holes = vents\n\
        stress \"Stress\" with state = bent\n\
        t_stub_i \"Strips\" with plate_x = 36 cm, plate_y = 300 mm, b = 100 mm, t_w = 9 mm, t_f = 15 mm, c = 30 mm, A_eff = 300 cm²\n\
        stress \"Stress\" with state = bent, solid = solid_rectangle(80 mm, 60 mm, 120 mm, 0 mm)\n\
        ```\n";
    let trace = traced(sheet);
    let drawn: Vec<String> =
        trace.compiled.notes.figures.iter().map(|figure| draw(&trace, figure).into_string()).collect();
    let (pressure, stress, strips) = (&drawn[0], &drawn[1], &drawn[2]);
    assert_eq!(texts(pressure, "force"), ["C 400 kN"]);
    assert!(attributes(pressure, "drawing", "aria-label")[0].contains("compression 400 kN at −15, 0"), "M / N");
    assert_eq!(texts(pressure, "name"), ["A1 0", "A2 0", "pmax 4.63"]);
    let line = numbers(attributes(pressure, "iso", "d").last().unwrap());
    assert!(line.chunks(2).all(|point| (point[0] + 57.6).abs() < 0.01), "4 N/mm² at -180 (4 - 3.704) / 0.926");
    assert_eq!(attributes(pressure, "outside", "d").len(), 3, "two holes of three corners");
    assert_eq!(texts(stress, "name"), ["σmax 120", "A1", "A2"]);
    assert!(stress.contains("class=\"iso\""));
    let lines = |drawing: &str| attributes(drawing, "wall", "d")[0].matches('M').count();
    assert_eq!((lines(stress), lines(&drawn[3])), (3, 7), "three walls, and four edges of a bar beside them");
    // The web runs along x, the longer side of the strips with it.
    assert_eq!(texts(strips, "num"), ["50", "260", "50", "360", "70", "160", "70", "300", "c 30"]);
    assert_eq!(texts(strips, "soft"), ["hatched: Aeff 30\u{202f}000 mm²"]);
}

#[test]
fn figures_take_their_numbers_from_the_trace() {
    let sheet = "+++\ntitle = \"T\"\nnumber = \"1\"\nrevision = \"A\"\npurpose = \"p\"\nscope = \"s\"\n+++\n\
        ```given\n\
        anchors = table x in mm, y in mm @ s\n    A1: -75, 0\n    A2: 75, 0\n\
        edges = table normal in °, distance in mm @ s\n    east: 0, 195\n\
        c_cr_N = 105 mm @ s\n\
        V_x = 6 kN @ s\n\
        h_ef = 70 mm @ s\n\
        h = 20 cm @ s\n\
        t_fix = 15 mm @ s\n\
        d = 12 mm @ s\n\
        N = 9.5 kN @ s\n\
        ```\n\
        ```figure\nplan \"Plan\" with plate_x = 220 mm, plate_y = 120 mm\nsection \"Section\"\n```\n";
    let trace = traced(sheet);
    let figures: Vec<&Figure> = trace.compiled.notes.figures.iter().collect();
    let plan = draw(&trace, figures[0]).into_string();
    assert_eq!(texts(&plan, "num"), ["150", "120", "220", "120"]);
    assert_eq!(texts(&plan, "lab"), ["A1", "A2"]);
    assert_eq!(texts(&plan, "force"), ["Vx 6 kN"]);
    let section = draw(&trace, figures[1]).into_string();
    assert_eq!(texts(&section, "num"), ["tfix 15", "hef 70", "h 200"]);
    assert_eq!(texts(&section, "force"), ["N 9.5 kN"]);
}
