use super::*;
use crate::package::{Memory, Package, RestsOn, Wanted};
use crate::review::HEADER;
use std::collections::BTreeSet;
use std::path::Path;
use std::sync::mpsc::channel;
use std::sync::{Arc, Mutex};
use std::time::Duration;

const HEAD: &str = "+++\ntitle = \"T\"\nnumber = \"1\"\nrevision = \"P01\"\npurpose = \"p\"\nscope = \"s\"\n+++\n\n";

fn sheet(block: &str, text: &str) -> String {
    format!("{HEAD}```{block}\n{text}\n```\n")
}

fn clause(text: &str) -> String {
    format!(
        "+++\nkind = \"clause\"\ntitle = \"T\"\nstandard = \"S\"\nclause = \"1\"\nversion = \"1\"\nscope = \"s\"\n\
         basis = \"b\"\n+++\n\n{text}"
    )
}

fn data(value: &str) -> String {
    format!("title = \"D\"\n[values]\nb = {{ value = \"{value}\", source = \"s\" }}\n")
}

/// Two sheets with a clause within a clause and a data file, one without either.
fn depot() -> Memory {
    let inner = "```clause\ntakes y : number\ngives z\n```\n\n```derive\nz = 2 * y\n```\n";
    let outer =
        "```clause\ntakes x : number\ngives w\nuse own/inner with y = x gives z\n```\n\n```derive\nw = z\n```\n";
    Memory::default()
        .with("soleplate.toml", "title = \"Depot\"\n")
        .with("clauses/own/inner.md", clause(inner))
        .with("clauses/own/outer.md", clause(outer))
        .with("data/bolt.toml", data("2"))
        .with("a.md", sheet("given", "x = 1"))
        .with("b.md", sheet("given", "d = data \"data/bolt.toml\"\n```\n\n```derive\nx = d.b"))
        .with("frame/c.md", sheet("given", "x = 3") + "\n```clause\nuse own/outer gives w\n```\n")
        .with("frame/d.md", sheet("given", "x = 4") + "\n![plan](plan.svg)\n")
}

/// Builds and remembers what it was asked for.
#[derive(Default)]
struct Ledger {
    gone: Vec<String>,
    with_errors: BTreeSet<String>,
}

impl Press for Ledger {
    fn publish(&mut self, update: &Update<'_>) -> Vec<(String, RestsOn)> {
        self.gone.extend(update.gone.iter().cloned());
        let mut on = Vec::new();
        for path in update.rebuild {
            let built = update.package.build(path);
            match built.trace {
                Some(_) => self.with_errors.remove(path),
                None => self.with_errors.insert(path.clone()),
            };
            on.push((path.clone(), built.rests_on()));
        }
        on
    }
}

/// A package in memory under watch.
struct Depot {
    files: Arc<Mutex<Memory>>,
    session: Session,
    ledger: Ledger,
}

impl Depot {
    fn open(files: Memory) -> Self {
        let files = Arc::new(Mutex::new(files));
        let shared = files.clone();
        let open = move || Package::open(Box::new(shared.lock().unwrap().clone()));
        let mut depot = Self { files, session: Session::new(Box::new(open), Wanted::All), ledger: Ledger::default() };
        depot.session.start(&mut depot.ledger).unwrap();
        depot
    }

    /// Saves a file and says which sheets were rebuilt.
    fn save(&mut self, path: &str, text: impl Into<Vec<u8>>) -> String {
        let changed = self.files.lock().unwrap().clone().with(path, text);
        *self.files.lock().unwrap() = changed;
        self.tell(path)
    }

    fn tell(&mut self, path: &str) -> String {
        let changes = Changes::Files(vec![path.to_owned()]);
        self.session.change(&changes, &mut self.ledger).unwrap().join(" ")
    }

    fn replace_all(&mut self, files: Memory, changed: &str) -> String {
        *self.files.lock().unwrap() = files;
        self.tell(changed)
    }
}

#[test]
fn a_change_rebuilds_what_rests_on_it_and_nothing_else() {
    let mut depot = Depot::open(depot());
    assert!(depot.ledger.with_errors.is_empty(), "{:?}", depot.ledger.with_errors);
    assert_eq!(depot.session.rebuilt(), 4);
    assert_eq!(depot.save("a.md", sheet("given", "x = 2")), "a.md");
    assert_eq!(depot.save("data/bolt.toml", data("3")), "b.md");
    assert_eq!(depot.save("frame/plan.svg", "<svg/>"), "frame/d.md");
    assert_eq!(depot.save("notes.txt", "none of the sheets"), "");
    assert_eq!(depot.session.rebuilt(), 7);
    assert_eq!(depot.save("frame/c.marks", format!("{HEADER}\n")), "frame/c.md", "the first mark counts too");
    assert_eq!(depot.save("frame/c.marks", "spoilt"), "frame/c.md");
    assert_eq!(depot.ledger.with_errors.iter().collect::<Vec<_>>(), ["frame/c.md"]);
    assert_eq!(depot.save("frame/c.marks", format!("{HEADER}\n")), "frame/c.md");
    assert_eq!(depot.session.rebuilt(), 10);
    let all = "a.md b.md frame/c.md frame/d.md";
    assert_eq!(depot.save("soleplate.toml", "title = \"Tram depot\"\n"), all);
    assert_eq!(depot.session.rebuilt(), 14);
}

#[test]
fn a_clause_within_a_clause_counts_too() {
    let mut depot = Depot::open(depot());
    assert_eq!(depot.tell("clauses/own/inner.md"), "frame/c.md");
    assert_eq!(depot.tell("clauses/own/outer.md"), "frame/c.md");
    assert_eq!(depot.tell("clauses"), "frame/c.md", "a folder stands for its files");
}

#[test]
fn a_new_clause_in_the_place_of_a_shipped_one_concerns_its_users() {
    let library = crate::library::Library::shipped();
    let path = library.clauses().next().expect("clauses are shipped").path.clone();
    let user = sheet("given", "x = 1") + &format!("\n```clause\nuse {path}\n```\n");
    let rests_on = RestsOn::Files(BTreeSet::from(["u.md".to_owned(), format!("clauses/{path}.md")]));
    let mut dependencies = Dependencies::default();
    dependencies.set("u.md", rests_on);
    let changes = Changes::Files(vec![format!("clauses/{path}.md")]);
    assert_eq!(dependencies.affected(&changes), ["u.md"]);
    // A use that binds nothing has errors, and a sheet with errors is rebuilt on any change.
    let mut depot = Depot::open(depot().with("u.md", user));
    assert_eq!(depot.save(&format!("clauses/{path}.md"), clause("")), "u.md");
    assert!(depot.ledger.with_errors.is_empty());
}

#[test]
fn a_sheet_with_errors_waits_for_any_file() {
    let mut depot = Depot::open(depot());
    assert_eq!(depot.save("a.md", sheet("given", "d = data \"data/new.toml\"\n```\n\n```derive\nx = d.b")), "a.md");
    assert!(depot.ledger.with_errors.contains("a.md"));
    assert_eq!(depot.save("data/new.toml", data("1")), "a.md");
    assert!(depot.ledger.with_errors.is_empty());
    assert_eq!(depot.tell("frame/d.md"), "frame/d.md");
}

#[test]
fn half_saved_sheets_are_survived() {
    let mut depot = Depot::open(depot());
    let good = sheet("given", "x = 1");
    for half in [Vec::new(), good.as_bytes()[..good.len() / 2].to_vec(), vec![0xff, 0xfe, 0x00]] {
        assert_eq!(depot.save("a.md", half), "a.md");
        assert!(depot.ledger.with_errors.contains("a.md"));
        assert_eq!(depot.save("a.md", good.clone()), "a.md");
        assert!(depot.ledger.with_errors.is_empty());
    }
}

#[test]
fn new_and_removed_sheets_are_found_whatever_the_event_named() {
    let mut depot = Depot::open(depot());
    let more = depot.files.lock().unwrap().clone().with("new/e.md", sheet("given", "x = 1"));
    assert_eq!(depot.replace_all(more, "new"), "new/e.md");
    assert_eq!(depot.replace_all(self::depot(), "new"), "");
    assert_eq!(depot.ledger.gone, ["new/e.md"]);
    assert_eq!(depot.tell("new/e.md"), "");
}

#[test]
fn a_broken_manifest_holds_every_sheet_back_until_it_is_mended() {
    let mut depot = Depot::open(depot());
    let all = "a.md b.md frame/c.md frame/d.md";
    assert_eq!(depot.save("soleplate.toml", "title = "), all);
    assert_eq!(depot.save("a.md", sheet("given", "x = 7")), all, "nothing was put in place, so all wait");
    assert_eq!(depot.save("soleplate.toml", "title = \"Depot\"\n"), all);
    assert_eq!(depot.save("a.md", sheet("given", "x = 8")), "a.md");
}

#[test]
fn a_lost_count_of_events_rebuilds_everything() {
    let mut depot = Depot::open(depot());
    let built = depot.session.change(&Changes::Anything, &mut depot.ledger).unwrap();
    assert_eq!(built.len(), 4);
}

/// The changes that a watcher tells of after an action, which must come before a deadline.
fn changes_after(folder: &Path, action: impl FnOnce()) -> Changes {
    let (ready, started) = channel();
    let (sender, changes) = channel();
    let watched = folder.to_owned();
    let out = folder.join("out");
    std::thread::spawn(move || {
        let watcher = Watcher::new(&watched, true, move |path| path.starts_with(&out)).unwrap();
        ready.send(()).unwrap();
        if let Some(changes) = watcher.next() {
            sender.send(changes).ok();
        }
    });
    started.recv().unwrap();
    action();
    changes.recv_timeout(Duration::from_secs(10)).expect("a change is told before the deadline")
}

#[test]
#[expect(clippy::disallowed_methods, reason = "the system names changed files by their real path")]
fn both_ways_of_saving_are_seen_and_own_pages_are_not() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path().canonicalize().unwrap();
    std::fs::create_dir(folder.join("out")).unwrap();
    std::fs::write(folder.join("a.md"), "old").unwrap();

    let changes = changes_after(&folder, || {
        std::fs::write(folder.join("out/a.html"), "page").unwrap();
        std::fs::write(folder.join(".a.md.swp"), "editor").unwrap();
        std::fs::write(folder.join("a.md"), "in place").unwrap();
    });
    assert_eq!(changes, Changes::Files(vec!["a.md".to_owned()]));

    let changes = changes_after(&folder, || {
        std::fs::write(folder.join(".a.md.new"), "renamed").unwrap();
        std::fs::rename(folder.join(".a.md.new"), folder.join("a.md")).unwrap();
    });
    assert_eq!(changes, Changes::Files(vec!["a.md".to_owned()]));

    let changes = changes_after(&folder, || std::fs::remove_file(folder.join("a.md")).unwrap());
    assert_eq!(changes, Changes::Files(vec!["a.md".to_owned()]));
}
