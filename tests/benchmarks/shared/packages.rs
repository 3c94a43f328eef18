//! Packages of any size, no two sheets of which are the same.

use anyhow::{Context, Result, ensure};
use std::fs;
use std::path::{Path, PathBuf};

/// The demo's calculation.
pub const DEMO_SHEET: &str = "gantry-base-b4.md";
/// Bytes of Markdown in a sheet that explains its sixty lines at length.
pub const LONG: usize = 30_000;

/// What the sheets of a package are.
#[derive(Copy, Clone, Debug)]
pub enum Kind {
    /// The demo's calculation, whose clauses add most of the lines.
    LikeDemo,
    /// Sixty lines of the sheet's own in [`LONG`] bytes of Markdown.
    SixtyLines,
}

impl Kind {
    /// A sheet with a number, a title and values of its own.
    pub fn sheet(self, number: usize) -> Result<String> {
        match self {
            Kind::LikeDemo => like_demo(number),
            Kind::SixtyLines => Ok(sixty_lines(number, LONG)),
        }
    }
}

/// The folder of the demo package.
pub fn demo() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("sheets/fellmere-tram-depot")
}

/// Copies the demo package.
pub fn copy_demo(folder: &Path) -> Result<()> {
    fs::create_dir_all(folder.join("data"))?;
    for inside in ["", "data"] {
        for entry in fs::read_dir(demo().join(inside))? {
            let entry = entry?;
            if entry.file_type()?.is_file() {
                fs::copy(entry.path(), folder.join(inside).join(entry.file_name()))?;
            }
        }
    }
    Ok(())
}

/// Lays out a package of so many sheets.
pub fn lay_out(folder: &Path, kind: Kind, sheets: usize) -> Result<()> {
    fs::create_dir_all(folder.join("data"))?;
    for file in ["soleplate.toml", "data/fx-12.toml"] {
        fs::copy(demo().join(file), folder.join(file)).with_context(|| format!("the demo's {file}"))?;
    }
    for number in 1..=sheets {
        fs::write(folder.join(format!("base-k{number:04}.md")), kind.sheet(number)?)?;
    }
    Ok(())
}

/// The demo's calculation under lighter loads, which it passes as well.
fn like_demo(number: usize) -> Result<String> {
    let part = 1.0 - number as f64 / 4000.0;
    let changes = [
        ("number = \"FTD-ST-CALC-014\"", format!("number = \"FTD-ST-CALC-{}\"", 1000 + number)),
        ("title = \"Gantry column base, grid B4\"", format!("title = \"Gantry column base, grid K{number}\"")),
        ("N_Ed = 18 kN", format!("N_Ed = {:.4} kN", 18.0 * part)),
        ("M_y  = 0.18 kN·m", format!("M_y  = {:.6} kN·m", 0.18 * part)),
        ("V_x  = 6.5 kN", format!("V_x  = {:.5} kN", 6.5 * part)),
    ];
    let mut text = fs::read_to_string(demo().join(DEMO_SHEET)).context("the demo sheet")?;
    for (from, to) in changes {
        ensure!(text.contains(from), "the demo sheet no longer says `{from}`");
        text = text.replacen(from, &to, 1);
    }
    Ok(text)
}

/// A sheet of six givens, a plan and nine parts of six lines each, with prose up to so many bytes.
pub fn sixty_lines(number: usize, bytes: usize) -> String {
    let mut text = format!(
        "+++\ntitle = \"Mean lengths, row {number}\"\nnumber = \"FTD-ST-CALC-{}\"\nrevision = \"P01\"\n\
         purpose = \"To compare mean lengths of row {number}.\"\nscope = \"Lengths from 10 mm to 100 mm.\"\n+++\n\n\
         ```given\n\
         anchors = table x in mm, y in mm  \"four bolts\"  @ drawing FTD-ST-101\n\
         \x20   A1: -75, -75\n    A2: 75, -75\n    A3: -75, 75\n    A4: 75, 75\n\
         edges = table normal in °, distance in mm  \"free edge\"  @ drawing FTD-ST-101\n    east: 0, {}\n\
         plate_x = 220 mm  \"plate\"  @ drawing FTD-ST-101\n\
         plate_y = 220 mm  \"plate\"  @ drawing FTD-ST-101\n\
         d = 12 mm  \"bolt\"  @ drawing FTD-ST-101\n\
         l_0 = {:.3} mm  \"first length\"  @ drawing FTD-ST-101\n\
         ```\n\n```figure\nplan \"Plan of the base\"\n```\n\n",
        2000 + number,
        195 + number % 50,
        10.0 + 0.05 * number as f64
    );
    let start = text.len();
    for part in 1..=9 {
        let (before, given) = (part - 1, 15 + 7 * part);
        text += &format!(
            "## Lengths of bay {part}\n\n\
             ```given\ng_{part} = {given} mm  \"length in bay {part}\"  @ drawing FTD-ST-102\n```\n\n\
             ```derive\n\
             a_{part} = sqrt((l_{before}^2 + g_{part}^2) / 2) in mm  \"quadratic mean\"\n\
             b_{part} = (a_{part} * g_{part}^2)^(1/3) in mm  \"geometric mean\"\n\
             c_{part} = 2 * a_{part} * b_{part} / (a_{part} + b_{part}) in mm  \"harmonic mean\"\n\
             l_{part} = min(max(a_{part}, b_{part}), c_{part} + g_{part}) in mm  \"length of bay {part}\"\n\
             ```\n\n```verify\nl_{part} <= 100 mm  \"length of bay {part}\"\n```\n\n"
        );
        let mut paragraph = 0;
        while text.len() < start + (bytes.saturating_sub(start)) * part / 9 {
            paragraph += 1;
            text += &format!(
                "The lengths of bay {part} were taken *twice*, once before and once after the props were set; reading \
                 {paragraph} differs from the one before it by less than `{paragraph} mm`.\n\
                 Where the two disagree the **longer** one stands, since it gives the larger mean.\n\n\
                 - The line along the pit was read from the east.\n- The line across it was read from the rail.\n\n"
            );
        }
    }
    text
}
