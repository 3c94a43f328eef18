//! From a symbol in a formula to the line that defines it.

use crate::Faults;
use crate::browser::Browser;
use crate::pages::{Page, Pages};
use serde_json::{Value, json};

/// The links of symbols in formulas.
const LINKS: &str = r##"[...document.querySelectorAll('math a[href^="#"]')]"##;

/// Every link leads to a line that defines a symbol, and the formula of the line that it stands on names that symbol.
pub fn every_symbol_leads_to_its_definition(pages: &Pages) -> Faults {
    // A formula may stand in parts with addresses of their own, of which one is that of the line.
    let script = format!(
        "{LINKS}.map(link => {{
            const around = [];
            for (let box = link.closest('[id]'); box; box = box.parentElement.closest('[id]')) around.push(box.id);
            return {{ to: decodeURIComponent(link.hash.slice(1)), around }};
        }})"
    );
    let mut browser = Browser::start();
    let mut faults = Faults::new();
    for page in pages.calculations() {
        browser.show(page);
        let links = browser.evaluate(&script);
        let links = links.as_array().unwrap();
        if links.is_empty() {
            faults.push(format!("{}: no symbol in a formula is a link", page.name));
        }
        for link in links {
            let line = |id: &Value| page.lines().iter().find(|line| line["id"] == *id);
            let Some(symbol) = line(&link["to"]).and_then(|line| line["symbol"].as_str()) else {
                faults.push(format!("{}: no symbol is defined at {}", page.name, link["to"]));
                continue;
            };
            let from = link["around"].as_array().unwrap().iter().find_map(line);
            let formula = from.and_then(|line| line["formula"].as_str()).unwrap_or_default();
            if !names(page, symbol).iter().any(|name| words(formula).any(|word| word == *name)) {
                faults.push(format!("{}: {} is linked from {formula:?} in {}", page.name, link["to"], link["around"]));
            }
        }
    }
    faults
}

/// A symbol, and the names that it is given where a clause is used: `gives beta as beta_top`, `for each edge of edges`.
fn names<'p>(page: &'p Page, symbol: &'p str) -> Vec<&'p str> {
    let mut found = vec![symbol];
    for line in page.lines() {
        let words: Vec<&str> = words(line["formula"].as_str().unwrap_or_default()).collect();
        let each = words.windows(4).filter(|four| four[0] == "each" && four[2] == "of" && four[3] == symbol);
        found.extend(each.map(|four| four[1]));
        found.extend(words.windows(3).filter(|three| three[0] == symbol && three[1] == "as").map(|three| three[2]));
    }
    found
}

fn words(formula: &str) -> impl Iterator<Item = &str> {
    formula.split(|sign: char| !sign.is_alphanumeric() && sign != '_').filter(|word| !word.is_empty())
}

/// Real clicks, on some links from all over the page, of which the definition is not in view.
pub fn a_click_on_a_symbol_shows_its_definition(pages: &Pages) -> Faults {
    const CLICKS: usize = 6;
    let mut browser = Browser::start();
    let mut faults = Faults::new();
    for page in pages.calculations() {
        browser.show(page);
        let far = browser.evaluate(&format!(
            "globalThis.target = link => document.getElementById(decodeURIComponent(link.hash.slice(1)));
             globalThis.far = {LINKS}.filter(link => link.checkVisibility() && target(link) &&
                 Math.abs(target(link).getBoundingClientRect().top - link.getBoundingClientRect().top) > innerHeight);
             far.length"
        ));
        let far = far.as_u64().unwrap() as usize;
        if far == 0 {
            faults.push(format!("{}: no symbol leads out of view", page.name));
        }
        for number in (0..far).step_by(far.div_ceil(CLICKS).max(1)) {
            let place = browser.evaluate(&format!(
                "globalThis.link = far[{number}];
                 link.scrollIntoView({{ block: 'center' }});
                 globalThis.box = link.getClientRects()[0];
                 [box.x + box.width / 2, box.y + box.height / 2]"
            ));
            for kind in ["mousePressed", "mouseReleased"] {
                let event = json!({ "type": kind, "x": place[0], "y": place[1], "button": "left", "clickCount": 1 });
                browser.call("Input.dispatchMouseEvent", event);
            }
            let state = browser.evaluate(ARRIVAL);
            if state["arrived"] != true {
                faults.push(format!("{}: a click shows no definition: {state}", page.name));
            }
        }
    }
    faults
}

/// Whether the view comes to the definition within some frames.
const ARRIVAL: &str = "(async () => {
    let state;
    for (let frame = 0; frame < 120 && !state?.arrived; frame++) {
        await new Promise(requestAnimationFrame);
        const box = target(link).getBoundingClientRect();
        const visible = target(link).checkVisibility() && box.height > 0 && box.top >= 0 && box.top < innerHeight;
        const followed = location.hash === link.hash;
        state = { arrived: visible && followed, visible, followed, link: link.hash, shown: location.hash };
    }
    return state;
})()";
