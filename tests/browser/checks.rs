//! What a reader hears who cannot see the page: each check stands in the browser's accessibility tree.

use crate::Faults;
use crate::browser::Browser;
use crate::pages::Pages;
use serde_json::{Value, json};
use std::collections::HashMap;

pub fn every_check_is_heard_with_its_verdict(pages: &Pages) -> Faults {
    let mut browser = Browser::start();
    let mut faults = Faults::new();
    for page in pages.calculations() {
        browser.show(page);
        // A reader opens what is folded; until then nothing of it is heard.
        browser.evaluate("document.querySelectorAll('details').forEach(part => { part.open = true })");
        let tree = Tree::of(&mut browser);
        let checks: Vec<&Value> = page.lines().iter().filter(|line| !line["verdict"].is_null()).collect();
        if checks.is_empty() {
            faults.push(format!("{}: no check", page.name));
        }
        for check in checks {
            let (line, description) = (check["line"].to_string(), check["description"].as_str().unwrap_or_default());
            let verdict = check["verdict"].as_str().unwrap();
            let place = format!("{}: the check on line {line}, {description},", page.name);
            let Some(group) =
                tree.groups().find(|group| tells(name(group), &line) && name(group).contains(description))
            else {
                faults.push(format!("{place} is no group with that name"));
                continue;
            };
            // "satisfied" alone would also be heard in "not satisfied".
            if !name(group).contains(&format!(", {verdict}")) {
                faults.push(format!("{place} is {verdict}, but is called {:?}", name(group)));
            }
            if !tree.texts(group).contains(&verdict) {
                faults.push(format!("{place} is {verdict}, but holds only {:?}", tree.texts(group)));
            }
            // Where a check does not apply or nothing is valid, its ratio would mean nothing.
            if verdict.ends_with("satisfied") && !tells_ratio(name(group), check["ratio"].as_f64()) {
                faults.push(format!("{place} has the ratio {}, but is called {:?}", check["ratio"], name(group)));
            }
        }
    }
    faults
}

/// Whether a name holds a number as a word of its own.
fn tells(name: &str, number: &str) -> bool {
    name.split(|sign: char| !sign.is_alphanumeric()).any(|word| word == number)
}

/// Whether a name ends in the ratio, to the two decimals that pages show; `> 1.00` stands for little more than 1; where
/// there is none, of nothing or against nothing, none is told.
fn tells_ratio(name: &str, ratio: Option<f64>) -> bool {
    let Some(ratio) = ratio else { return !name.contains("ratio") };
    let shown = name.rsplit(' ').next().and_then(|word| word.parse::<f64>().ok());
    shown.is_some_and(|shown| (shown - ratio).abs() < 0.0051)
}

/// The accessibility tree of a page.
pub struct Tree {
    nodes: HashMap<String, Value>,
}

impl Tree {
    pub fn of(browser: &mut Browser) -> Self {
        let mut answer = browser.call("Accessibility.getFullAXTree", json!({}));
        let Value::Array(nodes) = answer["nodes"].take() else { panic!("no accessibility tree: {answer}") };
        let nodes = nodes.into_iter().map(|node| (node["nodeId"].as_str().unwrap().to_owned(), node)).collect();
        Self { nodes }
    }

    fn groups(&self) -> impl Iterator<Item = &Value> {
        self.nodes.values().filter(|node| node["role"]["value"] == "group")
    }

    /// Every text of the page.
    pub fn all_texts(&self) -> Vec<&str> {
        self.nodes.values().filter(|node| node["role"]["value"] == "StaticText").map(|node| name(node).trim()).collect()
    }

    /// The texts below a node. Nodes without a meaning are passed over by readers, but not what stands below them.
    fn texts<'t>(&'t self, node: &'t Value) -> Vec<&'t str> {
        if node["role"]["value"] == "StaticText" {
            return vec![name(node).trim()];
        }
        let children = node["childIds"].as_array().into_iter().flatten();
        children.filter_map(|id| self.nodes.get(id.as_str()?)).flat_map(|child| self.texts(child)).collect()
    }
}

fn name(node: &Value) -> &str {
    node["name"]["value"].as_str().unwrap_or_default()
}
