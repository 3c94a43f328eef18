//! The page that `soleplate review --page` serves, marked as a checker does: by clicks and keys in a browser.

use crate::Faults;
use crate::browser::Browser;
use crate::pages::{Pages, soleplate};
use serde_json::{Value, json};
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};

/// The width of a small phone in CSS pixels.
const PHONE: u64 = 360;

pub fn lines_are_marked_by_click(_: &Pages) -> Faults {
    let folder = tempfile::tempdir().unwrap();
    let package = folder.path().join("depot");
    soleplate(&["new".as_ref(), &package]);
    let mut served = Served::start(&package.join("base.md"));
    let mut browser = Browser::start();
    browser.call("Log.enable", json!({}));
    browser.open(&served.address);
    let mut faults = Faults::new();
    let mut expect = |is: bool, what: &str| {
        if !is {
            faults.push(what.to_owned());
        }
    };

    // A box far down the page: the click is written, and the line stays where it was.
    browser.evaluate(
        "globalThis.boxes = () => [...document.querySelectorAll('main .box')];
         globalThis.address = boxes().findLast(box => box.checkVisibility()).parentElement.id;
         globalThis.line = () => document.getElementById(address);
         globalThis.box = () => line().querySelector(':scope > .box');
         globalThis.version = () => document.getElementById('page:desk').dataset.version;
         globalThis.news = () => document.querySelector('.news').textContent;
         globalThis.button = name => document.querySelector(`[data-do=${name}]`);
         box().scrollIntoView({ block: 'center' });
         globalThis.stood = line().getBoundingClientRect().top",
    );
    let address = browser.evaluate("address").as_str().unwrap().to_owned();
    browser.click("box()");
    expect(browser.until("line().querySelector('.reviewed.ticked')"), "a click on a box shows no tick");
    expect(browser.until("box().ariaPressed === 'true'"), "the box of a ticked line is not pressed");
    expect(served.marks_of(&address) == ["ticked"], "a click on a box is not in the file");
    let moved = browser.evaluate("scrollY > 0 ? Math.abs(line().getBoundingClientRect().top - globalThis.stood) : -1");
    expect((0.0..2.0).contains(&moved.as_f64().unwrap()), &format!("the ticked line has moved by {moved} px"));
    expect(
        browser.until("/^1 of .* ticked/.test(document.querySelector('.review .tally').textContent)"),
        "nothing is counted",
    );

    // Another line, chosen by a click, is asked about in words.
    browser.evaluate(
        "globalThis.address = boxes().find(box => box.parentElement.querySelector('.d')).parentElement.id;
         line().scrollIntoView({ block: 'center' })",
    );
    let asked = browser.evaluate("address").as_str().unwrap().to_owned();
    browser.click("line().querySelector('.d')");
    expect(browser.until("line().matches('.is-chosen') && !button('query').hidden"), "a click chooses no line");
    browser.click("button('query')");
    browser.call("Input.insertText", json!({ "text": "Which <b>load</b> case?" }));
    browser.click("document.querySelector('.desk [type=submit]')");
    expect(browser.until("line().querySelector('.reviewed.query-open')"), "a query is not shown");
    expect(browser.until("document.querySelector('.desk form').hidden"), "the form stays open");
    expect(served.marks_of(&asked) == ["queried"], "a query is not in the file");
    expect(served.marks().contains("\"Which <b>load</b> case?\""), "the words of a query are others in the file");
    expect(browser.until("line().textContent.includes('Which <b>load</b> case?')"), "words became markup");

    // By keys alone: the next line to check, its tick, and the tick taken back.
    browser
        .evaluate("globalThis.address = boxes().find(box => box.ariaPressed === 'false').parentElement.id; line().id");
    browser.key("n");
    browser.evaluate("globalThis.address = document.querySelector('.is-chosen').id");
    let keyed = browser.evaluate("address").as_str().unwrap().to_owned();
    expect(keyed != address, "the next line to check is one that is ticked");
    browser.key("t");
    expect(browser.until("box().ariaPressed === 'true' && document.activeElement === box()"), "a key ticks nothing");
    expect(served.marks_of(&keyed).contains(&"ticked".to_owned()), "a tick by key is not in the file");
    browser.key("t");
    expect(browser.until("box().ariaPressed === 'false'"), "a second key takes no tick back");
    expect(!served.marks_of(&keyed).contains(&"ticked".to_owned()), "a tick taken back is in the file");

    // What somebody else does comes to the page by itself, and what is being written stays.
    browser.evaluate(&format!("globalThis.address = {}", json!(asked)));
    browser.click("line().querySelector('.d')");
    browser.click("button('answer')");
    browser.call("Input.insertText", json!({ "text": "Case 7." }));
    soleplate(&["review", &served.sheet.display().to_string(), "--tick", &asked, "--by", "K.L."].map(Path::new));
    expect(browser.until("line().querySelector('.reviewed.ticked')"), "the tick of another does not come to the page");
    expect(browser.until("document.getElementById('page:words').value === 'Case 7.'"), "what was written is lost");
    browser.click("document.querySelector('.desk [type=submit]')");
    expect(browser.until("line().querySelector('.reviewed.query-answered')"), "an answer is not shown");

    // What one asked is closed by a key; what others asked needs words.
    browser.key("c");
    expect(browser.until("line().querySelector('.reviewed.query-closed')"), "one's own query is not closed");
    let sheet = served.sheet.display().to_string();
    soleplate(&["review", &sheet, "--query", &asked, "And snow?", "--by", "K.L."].map(Path::new));
    expect(browser.until("line().querySelector('.reviewed.query-open')"), "the query of another does not come");
    browser.key("c");
    expect(
        browser.until("document.querySelector('.desk label').textContent.includes('others asked')"),
        "no words asked",
    );
    browser.call("Input.insertText", json!({ "text": "Indoors." }));
    browser.click("document.querySelector('.desk [type=submit]')");
    expect(
        browser.until("line().textContent.includes(', for K.L.: Indoors.')"),
        "it is not told for whom it is closed",
    );
    expect(served.marks_of(&asked).last().map(String::as_str) == Some("closed"), "the closing is not in the file");

    // An order on a page that is not the newest is refused, and its words stay.
    browser.evaluate(
        "globalThis.honest = fetch;
         globalThis.fetch = (to, how) => honest(to, how?.body
             ? { ...how, body: JSON.stringify({ ...JSON.parse(how.body), version: 'another' }) } : how)",
    );
    browser.click("button('query')");
    browser.call("Input.insertText", json!({ "text": "And the wind?" }));
    browser.click("document.querySelector('.desk [type=submit]')");
    expect(browser.until("news().includes('changed meanwhile')"), "a refusal is not told");
    expect(browser.until("document.getElementById('page:words').value === 'And the wind?'"), "refused words are lost");
    expect(!served.marks().contains("wind"), "what was refused is in the file");
    browser.evaluate("globalThis.fetch = honest");
    browser.click("document.querySelector('.desk [data-do=cancel]')");

    // A sheet that is saved is shown, and one with errors leaves the page as it was.
    let text = served.text().replacen("title = \"", "title = \"Anew: ", 1);
    served.write(&text);
    expect(
        browser.until("document.querySelector('h1').textContent.startsWith('Anew: ')"),
        "a saved sheet is not shown",
    );
    served.write(&(text.replacen("Anew: ", "Broken: ", 1) + "\n```derive\nX_1 = X_2\n```\n"));
    expect(browser.until("document.querySelector('.trouble [role=alert]')"), "errors are not told");
    expect(browser.until("document.querySelector('h1').textContent.startsWith('Anew: ')"), "errors change the page");
    served.write(&text);
    expect(browser.until("!document.querySelector('.trouble [role=alert]')"), "errors that were mended stay");

    // On a phone nothing stands out, and on paper there is no desk.
    browser.lay_out("screen", PHONE);
    let width = browser.evaluate("document.documentElement.scrollWidth");
    expect(width.as_u64().unwrap() <= PHONE, &format!("the page is {width} px wide on a phone"));
    browser.lay_out("print", 700);
    let printed =
        browser.evaluate("[...document.querySelectorAll('.desk, .box')].filter(part => part.checkVisibility()).length");
    expect(printed == json!(0), "the desk is printed");
    browser.lay_out("screen", 1200);

    // Until now the page was quiet, but for the refusal. A script that found its way into it would not run.
    let mut said = browser.told("Log.entryAdded");
    said.retain(|entry| !entry["entry"]["text"].as_str().unwrap_or_default().contains("status of 409"));
    expect(said.is_empty(), &format!("the browser complains: {said:?}"));
    browser.evaluate(
        "document.body.insertAdjacentHTML('beforeend', '<img src=x onerror=\"globalThis.ran = true\">');
         const script = document.createElement('script');
         script.textContent = 'globalThis.ran = true';
         document.body.append(script);
         new Promise(resolve => setTimeout(resolve, 200))",
    );
    expect(browser.evaluate("globalThis.ran === undefined") == json!(true), "foreign script runs on the page");

    browser.click("button('end')");
    expect(browser.until("news().startsWith('Ended')"), "the end is not told");
    expect(served.ends(), "the program goes on after its end");
    faults
}

impl Browser {
    /// A real click on the middle of an element.
    #[track_caller]
    fn click(&mut self, element: &str) {
        let place = self.evaluate(&format!(
            "(() => {{ const area = ({element}).getBoundingClientRect(); return [area.x + area.width / 2, area.y + area.height / 2]; }})()"
        ));
        for kind in ["mousePressed", "mouseReleased"] {
            let event = json!({ "type": kind, "x": place[0], "y": place[1], "button": "left", "clickCount": 1 });
            self.call("Input.dispatchMouseEvent", event);
        }
    }

    /// A key pressed and let go.
    fn key(&mut self, key: &str) {
        self.call("Input.dispatchKeyEvent", json!({ "type": "keyDown", "key": key, "text": key }));
        self.call("Input.dispatchKeyEvent", json!({ "type": "keyUp", "key": key }));
    }

    /// Whether something comes to hold within a time that is long on a busy machine.
    #[track_caller]
    fn until(&mut self, condition: &str) -> bool {
        let waited = format!(
            "(async () => {{
                for (const end = Date.now() + 40000; Date.now() < end;) {{
                    if ({condition}) return true;
                    await new Promise(resolve => setTimeout(resolve, 20));
                }}
                return false;
            }})()"
        );
        self.evaluate(&waited) == json!(true)
    }

    /// What the tab has told of one kind.
    fn told(&self, method: &str) -> Vec<Value> {
        self.events.iter().filter(|event| event["method"] == method).map(|event| event["params"].clone()).collect()
    }
}

/// A program that serves the page of a sheet, ended when the test is over.
struct Served {
    child: Child,
    sheet: PathBuf,
    address: String,
}

impl Served {
    fn start(sheet: &Path) -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_soleplate"))
            .arg("review")
            .arg(sheet)
            .args(["--page", "--by", "R.T."])
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.take().unwrap()).read_line(&mut line).unwrap();
        let address = line.trim().split(" at ").last().unwrap_or_default().to_owned();
        assert!(address.starts_with("http://127.0.0.1:"), "{line}");
        Self { child, sheet: sheet.to_owned(), address }
    }

    fn text(&self) -> String {
        std::fs::read_to_string(&self.sheet).unwrap()
    }

    fn write(&self, text: &str) {
        std::fs::write(&self.sheet, text).unwrap();
    }

    fn marks(&self) -> String {
        std::fs::read_to_string(self.sheet.with_extension("marks")).unwrap_or_default()
    }

    /// The kinds of the marks on a line.
    fn marks_of(&self, address: &str) -> Vec<String> {
        let marks = self.marks();
        let fields = marks.lines().map(|line| line.split(' ').collect::<Vec<_>>());
        fields.filter(|fields| fields[0] == address).map(|fields| fields[2].to_owned()).collect()
    }

    fn ends(&mut self) -> bool {
        self.child.wait().unwrap().success()
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
