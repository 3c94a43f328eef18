//! The page that `review --page` serves: what it tells, what it takes, and whom it turns away.

use crate::run::{Folder, Run, sheet};
use serde_json::{Value, json};
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::{Child, ExitStatus};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

/// A program that serves a page, ended when the test is over.
struct Page {
    child: Child,
    lines: Receiver<String>,
    /// As `127.0.0.1:4711`.
    host: String,
    /// As `/c0ffee/`.
    path: String,
}

/// What came back: status, head and body.
struct Answer {
    status: u16,
    head: String,
    body: String,
}

impl Page {
    fn start(folder: &Folder) -> Self {
        Self::start_with(folder, &["review", "depot/b4.md", "--page", "--by", "R.T.", "--date", "2026-11-20"])
    }

    fn start_with(folder: &Folder, arguments: &[&str]) -> Self {
        let mut child = folder.command().args(arguments).spawn().unwrap();
        let (sender, lines) = channel();
        for reader in [
            Box::new(BufReader::new(child.stdout.take().unwrap())) as Box<dyn BufRead + Send>,
            Box::new(BufReader::new(child.stderr.take().unwrap())),
        ] {
            let sender = sender.clone();
            std::thread::spawn(move || reader.lines().map_while(Result::ok).try_for_each(|line| sender.send(line)));
        }
        let mut page = Self { child, lines, host: String::new(), path: String::new() };
        let line = page.until(" is marked by ");
        let address = line.split("http://").nth(1).unwrap();
        let (host, path) = address.split_once('/').unwrap();
        (page.host, page.path) = (host.to_owned(), format!("/{path}"));
        page
    }

    /// Waits for a line that says something.
    #[track_caller]
    fn until(&self, text: &str) -> String {
        let mut seen = Vec::new();
        loop {
            match self.lines.recv_timeout(Duration::from_secs(60)) {
                Ok(line) if line.contains(text) => return line,
                Ok(line) => seen.push(line),
                Err(_) => panic!("nothing said {text:?}, but {seen:#?}"),
            }
        }
    }

    /// What comes back for some bytes.
    #[track_caller]
    fn raw(&self, bytes: &[u8]) -> Answer {
        Self::answer(self.send(bytes))
    }

    #[track_caller]
    fn send(&self, bytes: &[u8]) -> TcpStream {
        let mut stream = TcpStream::connect(&self.host).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(60))).unwrap();
        // Who is refused early need not take all that was sent.
        let _ = stream.write_all(bytes);
        stream
    }

    #[track_caller]
    fn answer(mut stream: TcpStream) -> Answer {
        let mut all = Vec::new();
        let _ = stream.read_to_end(&mut all);
        let all = String::from_utf8(all).unwrap();
        let (head, body) = all.split_once("\r\n\r\n").unwrap_or_else(|| panic!("no answer, but {all:?}"));
        let status = head.split(' ').nth(1).unwrap().parse().unwrap();
        Answer { status, head: head.to_owned(), body: body.to_owned() }
    }

    #[track_caller]
    fn get(&self, target: &str) -> Answer {
        self.raw(format!("GET {target} HTTP/1.1\r\nHost: {}\r\n\r\n", self.host).as_bytes())
    }

    /// The page with its version and the lines that can be marked.
    #[track_caller]
    fn shown(&self) -> (String, String, Value) {
        let html = self.get(&self.path).body;
        let attribute = |name: &str| {
            let start = format!(" {name}=\"");
            html.split(start.as_str()).nth(1).and_then(|rest| rest.split('"').next()).unwrap().to_owned()
        };
        let lines = serde_json::from_str(&attribute("data-lines").replace("&quot;", "\"")).unwrap();
        (attribute("data-version"), html, lines)
    }

    /// Sends a body as the page does.
    #[track_caller]
    fn post(&self, body: &str) -> Answer {
        let (host, path) = (&self.host, &self.path);
        let head = format!(
            "POST {path} HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nContent-Type: application/json\r\nContent-Length: {}\r\n\r\n",
            body.len()
        );
        self.raw(format!("{head}{body}").as_bytes())
    }

    /// An order on the page as it is now; status and message.
    #[track_caller]
    fn order(&self, action: &str, line: &str, words: &str) -> (u16, String) {
        self.order_on(&self.shown().0, action, line, words)
    }

    #[track_caller]
    fn order_on(&self, version: &str, action: &str, line: &str, words: &str) -> (u16, String) {
        let order = json!({ "version": version, "action": action, "line": line, "words": words });
        let answer = self.post(&order.to_string());
        let said: Value = serde_json::from_str(&answer.body).unwrap();
        (answer.status, said["message"].as_str().unwrap().to_owned())
    }

    /// Ends it from the page.
    fn end(mut self) -> ExitStatus {
        assert_eq!(self.order_on("", "end", "", "").0, 200);
        self.child.wait().unwrap()
    }
}

impl Drop for Page {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

#[test]
fn lines_are_marked_on_the_page_and_the_marks_are_in_the_file() {
    let folder = Run::beside_package("satisfied");
    let page = Page::start(&folder);
    let (first, html, lines) = page.shown();
    assert!(html.contains("Nothing is ticked: 3 lines are to check."));
    assert_eq!(lines[0]["address"], "N_Ed");
    assert_eq!((&lines[0]["needs"], &lines[0]["tick"]), (&json!(true), &json!("missing")));
    assert!(!folder.holds("depot/b4.marks"), "a page that is looked at marks nothing");

    assert_eq!(page.order("tick", "N_Ed", ""), (200, "Line 1: ticked.".to_owned()));
    assert!(folder.read("depot/b4.marks").contains("\nN_Ed 1 ticked 2026-11-20 R.T. \"4 kN\" "));
    let (second, html, lines) = page.shown();
    assert_ne!(first, second);
    assert!(html.contains("1 of the 3 lines that need a tick is ticked, 2 lines are to check."));
    assert_eq!((&lines[0]["tick"], &lines[0]["own"]), (&json!("ticked"), &json!(true)));

    assert_eq!(page.order("query", "N_Rd", "from \"which\" test?").0, 200);
    assert_eq!(page.shown().2[1]["query"], "open");
    assert_eq!(page.order("answer", "N_Rd", "report 7").0, 200);
    assert_eq!(page.order("close", "N_Rd", "").0, 200);
    assert_eq!(page.order("untick", "N_Ed", "").0, 200);
    let marks = folder.read("depot/b4.marks");
    assert!(marks.contains("N_Rd 1 queried 2026-11-20 R.T. \"10 kN\" \"from \\\"which\\\" test?\" "), "{marks}");
    assert!(marks.contains("N_Rd 2 answered ") && marks.contains("N_Rd 3 closed ") && !marks.contains("ticked 2026"));

    // What is refused says why and changes nothing.
    assert_eq!(page.order("close", "N_Rd", "").0, 422);
    assert_eq!(page.order("query", "N_Rd", " \n").0, 422);
    assert_eq!(page.order("accept", "N_Ed", "").0, 422);
    assert_eq!(page.order("untick", "N_Ed", "").0, 422);
    for line in ["N_Edd", "", "1", "1-3", "../b4.md", "#N_Ed"] {
        assert_eq!(page.order("tick", line, "").0, 422, "{line}");
    }
    assert_eq!(folder.read("depot/b4.marks"), marks);
    assert_eq!(page.end().code(), Some(0));
}

#[test]
fn nothing_is_marked_on_a_page_that_is_not_the_newest() {
    let folder = Run::beside_package("satisfied");
    let page = Page::start(&folder);
    let (version, ..) = page.shown();
    // The sheet is another.
    folder.write("depot/b4.md", sheet("5 kN"));
    assert_eq!(page.order_on(&version, "tick", "N_Ed", "").0, 409);
    assert!(!folder.holds("depot/b4.marks"));
    // Its marks are others, made in a terminal.
    let (version, ..) = page.shown();
    let folder = folder.arguments(["review", "depot/b4.md", "--tick", "N_Rd", "--by", "K.L."]).exit(0);
    let marks = folder.read("depot/b4.marks");
    let (status, message) = page.order_on(&version, "tick", "N_Ed", "");
    assert_eq!((status, message.contains("changed meanwhile")), (409, true), "{message}");
    assert_eq!(folder.read("depot/b4.marks"), marks);
    let lines = page.shown().2;
    assert_eq!((&lines[1]["tick"], &lines[1]["own"]), (&json!("ticked"), &json!(false)), "ticked, but by another");
    assert_eq!(page.order("tick", "N_Rd", "").0, 200);
    assert!(folder.read("depot/b4.marks").contains(" K.L. ") && folder.read("depot/b4.marks").contains(" R.T. "));
    // Ticks that were made on another value are shown with old and new.
    let (version, ..) = page.shown();
    folder.write("depot/b4.md", sheet("5 kN").replace("10 kN", "11 kN"));
    page.get(&format!("{}?seen={version}", page.path));
    let (mut seen, mut html, mut lines) = page.shown();
    // A file that is written in place is empty for a moment, and the page says so until the next news.
    for _ in 0..5 {
        if html.contains("error[") {
            page.get(&format!("{}?seen={seen}", page.path));
            (seen, html, lines) = page.shown();
        }
    }
    assert_eq!(lines[1]["tick"], "changed");
    assert!(html.contains("was <del>10 kN</del>, is <ins>11 kN</ins>"));
}

#[test]
fn who_waits_for_news_is_told_when_something_is_saved() {
    let folder = Run::beside_package("satisfied");
    let page = Page::start(&folder);
    let (version, ..) = page.shown();
    let (host, path) = (&page.host, &page.path);
    let waiting = page.send(format!("GET {path}?seen={version} HTTP/1.1\r\nHost: {host}\r\n\r\n").as_bytes());
    folder.write("depot/b4.md", sheet("5 kN"));
    let answer = Page::answer(waiting);
    assert_eq!(answer.status, 200);
    let (newer, html, _) = page.shown();
    assert!(newer != version && html.contains('5') && answer.body.contains(&newer));
}

#[test]
fn a_sheet_with_errors_keeps_its_page_and_takes_no_marks() {
    let folder = Run::beside_package("satisfied");
    let page = Page::start(&folder);
    let (version, before, lines) = page.shown();
    folder.write("depot/b4.md", sheet("4 kN").replace("N_Ed <= N_Rd ", "N_Ed <= N_Rt "));
    assert_eq!(page.order_on(&version, "tick", "N_Ed", "").0, 409);
    let (broken, html, same) = page.shown();
    assert!(html.contains("error[unknown-symbol]") && html.contains("depot/b4.md:"), "{html}");
    assert_eq!(same, lines);
    assert_eq!(page.order_on(&broken, "tick", "N_Ed", "").0, 409);
    folder.write("depot/b4.marks", "nonsense\n");
    assert_eq!(page.order("tick", "N_Ed", "").0, 409);
    folder.write("depot/b4.md", sheet("4 kN"));
    assert_eq!(page.order("tick", "N_Ed", "").0, 409, "the marks cannot be read");
    assert_eq!(folder.read("depot/b4.marks"), "nonsense\n");
    std::fs::remove_file(folder.path("depot/b4.md")).unwrap();
    assert_eq!(page.order("tick", "N_Ed", "").0, 409, "the sheet is gone");
    folder.write("depot/b4.md", sheet("4 kN"));
    std::fs::remove_file(folder.path("depot/b4.marks")).unwrap();
    page.order("tick", "N_Edd", "");
    assert_eq!(page.shown().1, before, "as it was at first");
    assert_eq!(page.order("tick", "N_Ed", "").0, 200);
}

#[test]
fn other_sites_and_other_paths_are_turned_away() {
    let folder = Run::beside_package("satisfied");
    let page = Page::start(&folder);
    let (host, path) = (page.host.as_str(), page.path.as_str());
    let order = json!({ "version": page.shown().0, "action": "tick", "line": "N_Ed", "words": "" }).to_string();
    let own = format!("Origin: http://{host}\r\nContent-Type: application/json\r\n");
    let send = |line: &str, host: &str, headers: &str, body: &str| {
        let length = body.len();
        let head = format!("{line} HTTP/1.1\r\nHost: {host}\r\n{headers}Content-Length: {length}\r\n\r\n{body}");
        page.raw(head.as_bytes())
    };
    let post = format!("POST {path}");
    let foreign = own.replace(host, "depot.example");
    for (status, answer) in [
        (403, send(&post, "depot.example", &own, &order)),
        (403, send(&format!("GET {path}"), "depot.example", "", "")),
        (403, send(&post, host, &foreign, &order)),
        (403, send(&post, host, &own.replace(&format!("http://{host}"), "null"), &order)),
        (403, send(&post, host, "Content-Type: application/json\r\n", &order)),
        (403, send(&post, host, &format!("{own}Sec-Fetch-Site: cross-site\r\n"), &order)),
        (415, send(&post, host, &own.replace("application/json", "text/plain"), &order)),
        (404, send("POST /", host, &own, &order)),
        (404, send("POST /00000000000000000000000000000000/", host, &own, &order)),
        (405, send(&format!("OPTIONS {path}"), host, &foreign.replace("depot.example", host), "")),
        (404, page.get("/")),
        (404, page.get(&format!("{path}b4.md"))),
        (404, page.get(&format!("{path}../depot/b4.md"))),
        (404, page.get(&format!("{path}%2e%2e/depot/b4.md"))),
        (400, page.get("\\..\\b4.md")),
        (400, page.post("tick")),
        (400, page.post(&order.replace("\"line\"", "\"file\":\"x\",\"line\""))),
        (400, page.post(&order.replace("\"tick\"", "\"inherit\""))),
        (413, page.post(&"x".repeat(70_000))),
        (400, page.raw(b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\r\n\r\n")),
    ] {
        assert_eq!(answer.status, status, "{}\n{}", answer.head, answer.body);
        let head = answer.head.to_ascii_lowercase();
        assert!(!head.contains("access-control") && !answer.body.contains("N_Ed"), "{head}");
    }
    assert!(!folder.holds("depot/b4.marks"));
    // All of that was refused for what was wrong with it, and not for the order itself.
    assert_eq!(send(&post, host, &own, &order).status, 200);
    assert!(host.starts_with("127.0.0.1:"));
    assert_eq!(path.len(), 34);
    assert_ne!(Page::start(&folder).path, path, "the secret is another each time");
}

#[test]
fn whoever_says_nothing_holds_nobody_up() {
    let folder = Run::beside_package("satisfied");
    let page = Page::start(&folder);
    let mut slow: Vec<TcpStream> = (0..40).map(|_| TcpStream::connect(&page.host).unwrap()).collect();
    for stream in &mut slow {
        stream.write_all(b"POST / HTTP/1.1\r\nContent-Length: 9\r\n").unwrap();
    }
    assert_eq!(page.order("tick", "N_Ed", "").0, 200);
    // Who goes on saying nothing is told so, and the connection is closed.
    let mut all = String::new();
    slow[0].read_to_string(&mut all).unwrap();
    assert!(all.starts_with("HTTP/1.1 408 "), "{all}");
}

#[test]
fn a_hostile_sheet_and_hostile_words_stay_text() {
    let folder = Run::beside_package("satisfied");
    let hostile = "</script><script>x()</script><img src=x onerror=x()>";
    let text = sheet("4 kN")
        .replace("Bracket", "</title><script>x()</script>")
        .replace("\"tension\"", "\"</aside><script>x()</script>\"  @ ' onclick=x() \\u0022")
        .replace("  within 0 kN to 50 kN", "");
    folder.write("depot/b4.md", text);
    let page = Page::start_with(&folder, &["review", "depot/b4.md", "--page", "--by", "<script>x()</script>\"'"]);
    assert_eq!(page.order("query", "N_Ed", hostile).0, 200);
    let answer = page.get(&page.path);
    let html = &answer.body;
    assert_eq!(html.matches("<script").count(), 1, "there is one script, ours");
    assert!(!html.contains("<img src=x") && html.matches("x()").count() >= 4);
    let policy = answer.head.lines().find(|line| line.starts_with("Content-Security-Policy: ")).unwrap();
    assert!(policy.contains("default-src 'none'; script-src 'sha256-") && !policy.contains("script-src 'unsafe"));
    assert!(policy.contains("frame-ancestors 'none'") && policy.contains("base-uri 'none'"));
}

#[test]
fn issued_pages_have_no_desk() {
    let folder = Run::beside_package("satisfied");
    let page = Page::start(&folder);
    assert_eq!(page.order("tick", "N_Ed", "").0, 200);
    assert_eq!(page.end().code(), Some(0));
    let folder = folder.arguments(["render", "depot"]).exit(0);
    let html = folder.read("out/b4.html");
    assert!(html.contains("1 of the 3 lines that need a tick is ticked"));
    for part in ["<script", "page:desk", "data-version", "class=\"desk\"", ".box"] {
        assert!(!html.contains(part), "{part}");
    }
}

#[test]
fn what_stands_against_a_page_is_said() {
    let folder = Run::beside_package("errors");
    let folder = folder
        .arguments(["review", "depot/b4.md", "--page", "--by", "R.T."])
        .tells("error[unknown-symbol]")
        .exit(4)
        .arguments(["review", "depot/b4.md", "--page"])
        .tells("who marks?")
        .exit(2)
        .arguments(["review", "depot", "--page", "--by", "R.T."])
        .tells("sheets are reviewed one by one")
        .exit(2)
        .arguments(["review", "depot/b4.md", "--page", "--tick", "1", "--by", "R.T."])
        .tells("cannot be used with")
        .exit(2)
        .arguments(["review", "depot/b4.md", "--page", "--by", "R.T.", "--date", "2026-02-30"])
        .tells("is no day of the calendar")
        .exit(2);
    folder.write("depot/b4.md", sheet("4 kN"));
    let page = Page::start(&folder);
    let port = page.host.split(':').nth(1).unwrap().to_owned();
    folder
        .arguments(["review", "depot/b4.md", "--page", "--by", "R.T.", "--port", &port])
        .tells("cannot be taken")
        .tells("leave --port out")
        .exit(5);
}
