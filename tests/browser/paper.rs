//! Prints on A4 and Letter: how long they are, and that each leaf says to which calculation it belongs.

use crate::Faults;
use crate::browser::Browser;
use crate::pages::Pages;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde_json::json;
use std::process::Command;

/// More leaves than this are too many to be read, for any calculation that is shipped.
const MOST_LEAVES: usize = 46;
/// The same for a calculation of three load cases, each through every clause of anchors, plate and welds.
const MOST_LEAVES_OF_THREE_CASES: (&str, usize) = ("portal-leg-p3", 105);

/// How much longer a print may be than its text, for what stays white above breaks; the last leaf is not counted.
const MOST_WHITE: f64 = 1.25;

/// A paper with its width and height in millimetres.
pub struct Paper {
    name: &'static str,
    width: f64,
    height: f64,
}

pub const A4: Paper = Paper { name: "A4", width: 210.0, height: 297.0 };
pub const LETTER: Paper = Paper { name: "Letter", width: 215.9, height: 279.4 };

impl Paper {
    /// The width and height in CSS pixels that the page shown leaves for text.
    pub fn text_area(&self, browser: &mut Browser) -> (u64, u64) {
        let script = format!("{}([{}, {}])", include_str!("paper.js").trim_end(), self.width, self.height);
        let area = browser.evaluate(&script);
        (area[0].as_u64().unwrap(), area[1].as_u64().unwrap())
    }
}

pub fn prints_are_numbered_and_as_long_as_expected(pages: &Pages) -> Faults {
    let mut browser = Browser::start();
    let mut faults = Faults::new();
    for page in pages.iter() {
        browser.show(page);
        for paper in [A4, LETTER] {
            let (width, height) = paper.text_area(&mut browser);
            browser.lay_out("print", width);
            let text = browser.evaluate("document.body.getBoundingClientRect().height").as_f64().unwrap();
            // Fewer leaves than the text fills would be leaves that were scaled down.
            let fewest = (text / height as f64).floor() as usize;
            let (of_three_cases, leaves_of_three) = MOST_LEAVES_OF_THREE_CASES;
            let readable = if page.name.contains(of_three_cases) { leaves_of_three } else { MOST_LEAVES };
            let most = readable.min((text / height as f64 * MOST_WHITE) as usize + 1);
            let leaves = print(&mut browser, &paper);
            let (name, count) = (format!("{}, {}", page.name, paper.name), leaves.len());
            if !(fewest..=most).contains(&count) {
                faults.push(format!("{name}: {count} leaves, not {fewest} to {most}"));
            }
            for (at, leaf) in leaves.iter().enumerate() {
                if let Some(number) = page.number().filter(|number| !leaf.contains(number)) {
                    faults.push(format!("{name}: leaf {} of {count} does not bear the number {number}", at + 1));
                }
            }
        }
    }
    faults
}

/// The text of each leaf of the page shown, printed on a paper that the reader has chosen.
pub fn print(browser: &mut Browser, paper: &Paper) -> Vec<String> {
    let (width, height) = (paper.width / 25.4, paper.height / 25.4);
    // Tags for readers of the file change no leaf, and cost more time than all else.
    let request = json!({ "paperWidth": width, "paperHeight": height, "generateTaggedPDF": false });
    let answer = browser.call("Page.printToPDF", request);
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("print.pdf");
    std::fs::write(&path, STANDARD.decode(answer["data"].as_str().unwrap()).unwrap()).unwrap();
    let output = Command::new("pdftotext").arg(&path).arg("-").output().unwrap();
    assert!(output.status.success(), "pdftotext: {}", String::from_utf8_lossy(&output.stderr));
    // A form feed ends each leaf.
    let text = String::from_utf8(output.stdout).unwrap();
    text.split_terminator('\x0c').map(str::to_owned).collect()
}
