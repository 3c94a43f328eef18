//! A browser with one tab, and its protocol over two pipes: JSON messages with a zero byte after each.
//!
//! The browser reads from its file descriptor 3 and writes to 4; a shell lays our pipes there. It ends by itself when
//! they close, so that none is left behind even where the tests are interrupted.

use crate::pages::Page;
use serde_json::{Value, json};
use std::fs::File;
use std::io::{BufRead, BufReader, Write};
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;
use tempfile::TempDir;

/// How long an answer may take on a slow and busy machine.
const PATIENCE: Duration = Duration::from_secs(90);

const FLAGS: &[&str] = &[
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    // Little room is set aside for shared memory in containers.
    "--disable-dev-shm-usage",
    "--remote-debugging-pipe",
];

/// A running browser; dropping it ends the process.
pub struct Browser {
    child: Child,
    requests: Option<ChildStdin>,
    messages: Receiver<Value>,
    /// What the tab has told since its page began to load.
    pub events: Vec<Value>,
    session: Value,
    asked: u64,
    folder: TempDir,
}

impl Browser {
    pub fn start() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let mut child = Command::new("sh")
            .args(["-c", "exec chromium \"$@\" 3<&0 4>&1 </dev/null >/dev/null", "sh"])
            .args(FLAGS)
            .arg(format!("--user-data-dir={}", folder.path().join("profile").display()))
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(File::create(folder.path().join("errors")).unwrap())
            .spawn()
            .unwrap();
        let mut answers = BufReader::new(child.stdout.take().unwrap());
        let (sender, messages) = channel();
        // A thread of its own reads, since a pipe cannot be waited on for a limited time.
        std::thread::spawn(move || {
            let mut bytes = Vec::new();
            while answers.read_until(0, &mut bytes).is_ok_and(|length| length > 1) {
                bytes.pop();
                let Ok(message) = serde_json::from_slice(&bytes) else { break };
                if sender.send(message).is_err() {
                    break;
                }
                bytes.clear();
            }
        });
        let requests = child.stdin.take();
        let mut browser =
            Self { child, requests, messages, events: Vec::new(), session: Value::Null, asked: 0, folder };
        // In a window of its own, since a tab behind another is not drawn.
        let tab = browser.call("Target.createTarget", json!({ "url": "about:blank", "newWindow": true }));
        let mut attached =
            browser.call("Target.attachToTarget", json!({ "targetId": tab["targetId"], "flatten": true }));
        browser.session = attached["sessionId"].take();
        browser.call("Page.enable", json!({}));
        browser.call("Page.setLifecycleEventsEnabled", json!({ "enabled": true }));
        browser.call("Emulation.setScrollbarsHidden", json!({ "hidden": true }));
        browser.lay_out("screen", 1200);
        browser
    }

    /// The answer to a request to the tab.
    #[track_caller]
    pub fn call(&mut self, method: &str, parameters: Value) -> Value {
        self.asked += 1;
        let mut request = json!({ "id": self.asked, "method": method, "params": parameters });
        if self.session.is_string() {
            request["sessionId"] = self.session.clone();
        }
        let mut bytes = request.to_string().into_bytes();
        bytes.push(0);
        // Where the browser has ended, waiting for the answer tells so, with its last words.
        let _ = self.requests.as_mut().unwrap().write_all(&bytes);
        loop {
            let mut message = self.receive(method);
            if message["id"] != self.asked {
                self.events.push(message);
            } else if message["error"].is_null() {
                return message["result"].take();
            } else {
                panic!("{method}: {}", message["error"]);
            }
        }
    }

    /// Loads a page with its fonts, and gives what the tab told on the way.
    #[track_caller]
    pub fn show(&mut self, page: &Page) -> &[Value] {
        self.open(&page.address())
    }

    /// The same for a page at any address.
    #[track_caller]
    pub fn open(&mut self, address: &str) -> &[Value] {
        self.events.clear();
        let answer = self.call("Page.navigate", json!({ "url": address }));
        assert!(answer["errorText"].is_null(), "{address}: {answer}");
        let loaded =
            |event: &Value| event["params"]["loaderId"] == answer["loaderId"] && event["params"]["name"] == "load";
        while !self.events.iter().any(loaded) {
            let event = self.receive("loading a page");
            self.events.push(event);
        }
        self.evaluate("document.fonts.ready.then(() => true)");
        &self.events
    }

    /// The value of an expression in the page; where it is a promise, what it comes to.
    #[track_caller]
    pub fn evaluate(&mut self, expression: &str) -> Value {
        let request = json!({ "expression": expression, "returnByValue": true, "awaitPromise": true });
        let mut answer = self.call("Runtime.evaluate", request);
        assert!(answer["exceptionDetails"].is_null(), "{expression}\n{}", answer["exceptionDetails"]);
        answer["result"]["value"].take()
    }

    /// Lays pages out for `print` or for a `screen`, in a view as wide in CSS pixels.
    pub fn lay_out(&mut self, media: &str, width: u64) {
        self.call("Emulation.setEmulatedMedia", json!({ "media": media }));
        let size = json!({ "width": width, "height": 480, "deviceScaleFactor": 1, "mobile": false });
        self.call("Emulation.setDeviceMetricsOverride", size);
    }

    #[track_caller]
    fn receive(&self, purpose: &str) -> Value {
        self.messages.recv_timeout(PATIENCE).unwrap_or_else(|error| {
            let errors = std::fs::read(self.folder.path().join("errors")).unwrap_or_default();
            panic!("{purpose}: {error}; the browser said:\n{}", String::from_utf8_lossy(&errors))
        })
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        self.requests.take();
        // An orderly end lets the browser's other processes leave the profile before it is removed.
        while self.messages.recv_timeout(Duration::from_secs(5)).is_ok() {}
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
