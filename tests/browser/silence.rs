//! A page is one file, and only read: it runs no script, and loading it asks for nothing else.

use crate::Faults;
use crate::browser::Browser;
use crate::pages::Pages;
use serde_json::{Value, json};

/// What would run later, when a reader does something.
const DORMANT: &str = "[...document.querySelectorAll('*')].flatMap(element => element.getAttributeNames()
    .filter(name => element.localName === 'script' || name.startsWith('on') ||
        /^\\s*javascript:/i.test(element.getAttribute(name)))
    .map(name => `${element.localName} ${name}`))";

pub fn pages_run_no_script_and_ask_for_nothing(pages: &Pages) -> Faults {
    let mut browser = Browser::start();
    // What is asked for, what is run, and what the page's own policy refused to load or run.
    for domain in ["Network", "Debugger", "Log"] {
        browser.call(&format!("{domain}.enable"), json!({}));
    }
    let mut faults = Faults::new();
    for page in pages.iter() {
        let address = page.address();
        let mut asked_for_page = false;
        for event in browser.show(page) {
            let parameters = &event["params"];
            let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
            match event["method"].as_str().unwrap_or_default() {
                "Network.requestWillBeSent" => {
                    let asked = text(&parameters["request"]["url"]);
                    asked_for_page |= asked == address;
                    if asked != address && !asked.starts_with("data:") {
                        faults.push(format!("{} asks for {asked}", page.name));
                    }
                }
                // What the tests evaluate has no address.
                "Debugger.scriptParsed" if parameters["url"] != "" => {
                    faults.push(format!("{} runs a script of {}", page.name, parameters["url"]));
                }
                "Log.entryAdded" => faults.push(format!("{}: {}", page.name, parameters["entry"]["text"])),
                _ => {}
            }
        }
        assert!(asked_for_page, "{}: the browser does not tell what it asks for", page.name);
        let dormant = browser.evaluate(DORMANT);
        faults.extend(dormant.as_array().unwrap().iter().map(|what| format!("{} holds {what}", page.name)));
    }
    faults
}
