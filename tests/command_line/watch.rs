use crate::run::{Folder, Run, sheet, sheet_that_is};
use std::io::{BufRead, BufReader};
use std::process::Child;
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

/// A watching program, ended when the test is over.
struct Watch {
    child: Child,
    lines: Receiver<String>,
}

impl Watch {
    fn start(folder: &Folder) -> Self {
        let mut child = folder.command().args(["watch", "depot"]).spawn().unwrap();
        let (sender, lines) = channel();
        let errors = BufReader::new(child.stderr.take().unwrap());
        let results = BufReader::new(child.stdout.take().unwrap());
        for reader in [Box::new(errors) as Box<dyn BufRead + Send>, Box::new(results)] {
            let sender = sender.clone();
            std::thread::spawn(move || reader.lines().map_while(Result::ok).try_for_each(|line| sender.send(line)));
        }
        let watch = Self { child, lines };
        watch.until("watching depot");
        watch
    }

    /// Waits until a line says something, and fails at a deadline.
    #[track_caller]
    fn until(&self, text: &str) {
        let mut seen = Vec::new();
        loop {
            match self.lines.recv_timeout(Duration::from_secs(20)) {
                Ok(line) if line.contains(text) => return,
                Ok(line) => seen.push(line),
                Err(_) => panic!("nothing said {text:?}, but {seen:#?}"),
            }
        }
    }
}

impl Drop for Watch {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

#[test]
fn pages_follow_what_is_saved_and_survive_what_is_broken() {
    let folder = Run::beside_package("satisfied");
    folder.write("depot/other.md", sheet("1 kN"));
    let watch = Watch::start(&folder);
    assert!(folder.holds("out/b4.html") && folder.holds("out/index.html"));

    // Saved in place.
    folder.write("depot/b4.md", sheet("12 kN"));
    watch.until("1 sheet: 1 not satisfied");
    let before = folder.read("out/b4.html");
    assert!(folder.read("out/index.html").contains("not satisfied"));

    // Broken for a moment: the page stays.
    folder.write("depot/b4.md", b"");
    watch.until("1 sheet: 1 has errors");
    folder.write("depot/b4.md", b"\xff\xfe");
    watch.until("1 sheet: 1 has errors");
    assert_eq!(folder.read("out/b4.html"), before);

    // Saved by renaming a finished copy.
    folder.write("depot/.b4.md.new", sheet("3 kN"));
    std::fs::rename(folder.path("depot/.b4.md.new"), folder.path("depot/b4.md")).unwrap();
    watch.until("1 sheet: 1 satisfied");
    assert_ne!(folder.read("out/b4.html"), before);

    // New and removed sheets. The row goes to the one stream and the count to the other, in no certain order, so only
    // the count is waited for.
    folder.write("depot/frame/base.md", sheet("2 kN"));
    watch.until("1 sheet: 1 satisfied");
    assert!(folder.holds("out/frame/base.html"));
    std::fs::remove_file(folder.path("depot/other.md")).unwrap();
    watch.until("depot/other.md is gone; out/other.html stays");
    watch.until("no sheet");
    assert!(!folder.read("out/index.html").contains("other.md"));
    assert!(folder.holds("out/other.html"));

    // The manifest concerns every sheet.
    folder.write("depot/soleplate.toml", "figures = 40\n");
    watch.until("error[front-matter]");
    folder.write("depot/soleplate.toml", "figures = 4\n");
    watch.until("2 sheets: 2 satisfied");
}

#[test]
fn own_pages_inside_the_package_set_nothing_off() {
    let folder = Run::beside_package("errors");
    let mut command = folder.command();
    command.args(["watch", "--out", "out"]).current_dir(folder.path("depot"));
    let mut child = command.spawn().unwrap();
    let mut lines = BufReader::new(child.stderr.take().unwrap()).lines().map_while(Result::ok);
    let started = lines.any(|line| line.starts_with("watching this folder"));
    folder.write("depot/b4.md", sheet_that_is("satisfied"));
    let mended = lines.find(|line| line.contains("sheet"));
    folder.write("depot/b4.md", sheet_that_is("not-satisfied"));
    let next = lines.find(|line| line.contains("sheet"));
    child.kill().unwrap();
    child.wait().unwrap();
    assert!(started);
    assert_eq!(mended.as_deref(), Some("1 sheet: 1 satisfied"));
    assert_eq!(next.as_deref(), Some("1 sheet: 1 not satisfied"));
    assert!(folder.holds("depot/out/b4.html"));
}

#[test]
fn watching_ends_when_the_folder_is_gone() {
    let folder = Run::beside_package("satisfied");
    let mut watch = Watch::start(&folder);
    std::fs::rename(folder.path("depot"), folder.path("moved")).unwrap();
    watch.until("is gone");
    assert_eq!(watch.child.wait().unwrap().code(), Some(5));
}
