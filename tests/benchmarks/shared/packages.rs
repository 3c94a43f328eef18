//! Packages of any size, made of the demo's calculation.

use anyhow::{Context, Result, ensure};
use std::fs;
use std::path::{Path, PathBuf};

/// The demo's calculation.
pub const DEMO_SHEET: &str = "gantry-base-b4.md";

/// The folder of the demo package.
pub fn demo() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("sheets/fellmere-tram-depot")
}

/// The demo's calculation with number, title and tension of its own, so that two of them share no result.
pub fn sheet(number: usize) -> Result<String> {
    with_tension(number, 14.0 + 0.004 * (number % 1000) as f64)
}

/// The same with a chosen tension in kilonewtons.
pub fn with_tension(number: usize, tension: f64) -> Result<String> {
    let text = fs::read_to_string(demo().join(DEMO_SHEET)).context("the demo sheet")?;
    let changes = [
        ("number = \"FTD-ST-CALC-014\"", format!("number = \"FTD-ST-CALC-{:04}\"", 1000 + number)),
        ("title = \"Gantry column base, grid B4\"", format!("title = \"Gantry column base, grid K{number}\"")),
        ("N_Ed = 18 kN ", format!("N_Ed = {tension:.3} kN ")),
    ];
    let mut changed = text;
    for (from, to) in changes {
        ensure!(changed.contains(from), "the demo sheet no longer says `{from}`");
        changed = changed.replace(from, &to);
    }
    Ok(changed)
}

/// Lays out a package of so many sheets, all different.
pub fn lay_out(folder: &Path, sheets: usize) -> Result<()> {
    fs::create_dir_all(folder.join("data"))?;
    for file in ["soleplate.toml", "data/fx-12.toml"] {
        fs::copy(demo().join(file), folder.join(file)).with_context(|| format!("the demo's {file}"))?;
    }
    for number in 1..=sheets {
        fs::write(folder.join(format!("base-k{number:04}.md")), sheet(number)?)?;
    }
    Ok(())
}
