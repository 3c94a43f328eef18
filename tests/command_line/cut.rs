//! The process is ended at every step of its writing, in every way: what is on the disk is the old or the new, whole.
//!
//! The points and the ways to end are those of `soleplate::storage::steps`, which only a debug build has.

use crate::run::{Folder, Run, sheet};
use crate::signing::Signing;
use soleplate::storage::steps::{self, VARIABLE};
use std::path::{Path, PathBuf};
use std::process::Command;

/// The ways in which a process ends too early.
const WAYS: [&str; 3] = ["kill", "data", "names"];

/// Runs a command again and again, each time from the same state, ending it one step later, until it comes to its end.
///
/// `state` lays out what it starts from and gives the command; `look` says what is wrong with what it left,
/// by what it had said before. Gives the number of steps, or the first fault. The last step is behind its last word.
fn cut_at_every_step<S>(
    way: &str,
    state: impl Fn() -> (S, Command),
    look: impl Fn(&S, &str) -> Result<(), String>,
) -> Result<usize, String> {
    for step in 1.. {
        let (state, mut command) = state();
        command.env(VARIABLE, format!("{step} {way}")).env("RAYON_NUM_THREADS", "1");
        let output = command.output().map_err(|error| error.to_string())?;
        let said = [output.stdout.as_slice(), &output.stderr].map(String::from_utf8_lossy).concat();
        look(&state, &said).map_err(|fault| format!("{way} at step {step}: {fault}\n{output:?}"))?;
        if output.status.code().is_some() {
            return Ok(step - 1);
        }
        assert!(step < 2000, "there is no end to it");
    }
    unreachable!("steps have an end")
}

/// Whether a file is one of those that it may be; `None` stands for no file.
fn is_one_of(path: &Path, allowed: &[Option<&str>]) -> Result<(), String> {
    let found = std::fs::read(path).ok().map(|bytes| String::from_utf8_lossy(&bytes).into_owned());
    match allowed.contains(&found.as_deref()) {
        true => Ok(()),
        false => Err(format!("{} holds {found:?}", path.display())),
    }
}

/// What a command leaves in a file when nothing cuts it off.
fn left_by(arguments: &[&str], start: impl Fn() -> Folder, path: &str) -> String {
    let folder = start();
    assert!(folder.command().args(arguments).output().unwrap().status.success());
    folder.read(path)
}

const TICK: [&str; 9] =
    ["review", "depot/b4.md", "--tick", "3", "--by", "R.T.", "--date", "2026-11-21", "--remark=seen"];

/// A package in which lines are ticked already.
fn ticked() -> Folder {
    let arguments = ["review", "depot/b4.md", "--tick", "1-2", "--by", "K.L.", "--date", "2026-11-20"];
    Run::beside_package("satisfied").arguments(arguments).exit(0)
}

#[test]
fn no_mark_is_lost_wherever_a_review_is_cut_off() {
    let (before, after) = (ticked().read("depot/b4.marks"), left_by(&TICK, ticked, "depot/b4.marks"));
    for way in WAYS {
        let start = || {
            let folder = Run::beside_package("satisfied");
            folder.write("depot/b4.marks", &before);
            let mut command = folder.command();
            command.args(TICK);
            (folder, command)
        };
        let look = |folder: &Folder, said: &str| {
            let allowed: &[Option<&str>] =
                if said.contains("ticked") { &[Some(&after)] } else { &[Some(&before), Some(&after)] };
            is_one_of(&folder.path("depot/b4.marks"), allowed)?;
            // The next run works, and clears up.
            let next = folder.command().args(TICK).output().unwrap();
            let tidy = leftovers(&folder.path("depot"));
            match next.status.success() && folder.read("depot/b4.marks") == after && tidy.is_empty() {
                true => Ok(()),
                false => Err(format!("the next run: {next:?}, {tidy:?}")),
            }
        };
        let steps = cut_at_every_step(way, start, look).unwrap();
        assert!(steps >= 10, "{way}: only {steps} steps were found");
    }
}

#[test]
fn the_first_mark_is_whole_or_not_there() {
    let start = || Run::beside_package("satisfied");
    let after = left_by(&TICK, start, "depot/b4.marks");
    for way in WAYS {
        let begin = || {
            let folder = start();
            let mut command = folder.command();
            command.args(TICK);
            (folder, command)
        };
        let look = |folder: &Folder, said: &str| {
            let allowed: &[Option<&str>] =
                if said.contains("ticked") { &[Some(&after)] } else { &[None, Some(&after)] };
            is_one_of(&folder.path("depot/b4.marks"), allowed)
        };
        cut_at_every_step(way, begin, look).unwrap();
    }
}

#[test]
fn no_sign_off_is_lost_or_torn_wherever_signing_is_cut_off() {
    let signing = Signing::of("satisfied");
    let arguments = ["sign", "depot/b4.md", "--role", "creator", "--as", "kl@fellmere.example", "--key", "kl"];
    let arguments: Vec<&str> = arguments.into_iter().chain(["--date", "2026-11-20"]).collect();
    signing.run(&arguments).expect(0);
    // Ed25519 signs the same text the same way.
    let name = signing.sign_off("creator");
    let whole = signing.folder.read(&name);
    for way in WAYS {
        let start = || {
            let _ = std::fs::remove_dir_all(signing.folder.path("depot/sign-offs"));
            let mut command = signing.folder.command();
            command.args(&arguments);
            ((), command)
        };
        let look = |(): &(), said: &str| {
            let allowed: &[Option<&str>] =
                if said.contains("Signed: ") { &[Some(&whole)] } else { &[None, Some(&whole)] };
            is_one_of(&signing.folder.path(&name), allowed)?;
            let next = signing.run(&arguments);
            let tidy = leftovers(&signing.folder.path("depot/sign-offs"));
            match next.code == 0 && signing.folder.read(&name) == whole && tidy.is_empty() {
                true => Ok(()),
                false => Err(format!("the next run: {next:?}, {tidy:?}")),
            }
        };
        let steps = cut_at_every_step(way, start, look).unwrap();
        assert!(steps >= 10, "{way}: only {steps} steps were found");
    }
}

#[test]
fn pages_are_whole_wherever_rendering_is_cut_off() {
    let start = || {
        let folder = Run::beside_package("satisfied").arguments(["render", "depot"]).exit(0);
        folder.write("depot/b4.md", sheet("5 kN"));
        folder
    };
    let files = ["out/b4.html", "out/b4.json", "out/index.html"];
    // A page that is issued is as safe as a mark; any other can be made again, so only a killed process is looked at.
    for (arguments, ways) in
        [(vec!["render", "depot"], &WAYS[..1]), (vec!["render", "depot/b4.md", "--issue"], &WAYS[..])]
    {
        let before = files.map(|file| start().read(file));
        let after = files.map(|file| left_by(&arguments, start, file));
        for way in ways {
            let begin = || {
                let folder = start();
                let mut command = folder.command();
                command.args(&arguments);
                (folder, command)
            };
            let look = |folder: &Folder, said: &str| {
                for (at, file) in files.iter().enumerate() {
                    let (old, new) = (Some(before[at].as_str()), Some(after[at].as_str()));
                    let allowed = if said.contains("pages in out") { [new, new] } else { [old, new] };
                    is_one_of(&folder.path(file), &allowed)?;
                }
                Ok(())
            };
            let steps = cut_at_every_step(way, begin, look).unwrap();
            assert!(steps >= 10, "{way}: only {steps} steps were found");
        }
    }
}

#[test]
fn a_layout_that_was_cut_off_goes_on() {
    let whole = files(&Folder::empty().arguments(["new", "depot"]).exit(0).path("depot"));
    assert!(whole.len() > 8);
    for way in WAYS {
        let start = || {
            let folder = Folder::empty();
            let mut command = folder.command();
            command.args(["new", "depot"]);
            (folder, command)
        };
        let look = |folder: &Folder, said: &str| {
            let is_package = folder.holds("depot/soleplate.toml");
            if said.contains("is a package now") && !is_package {
                return Err("what was told is not there".to_owned());
            }
            if !is_package {
                let next = folder.command().args(["new", "depot"]).output().unwrap();
                if !next.status.success() {
                    return Err(format!("the next run: {next:?}"));
                }
            }
            match files(&folder.path("depot")) == whole {
                true => Ok(()),
                false => Err(format!("it holds {:?}", files(&folder.path("depot")))),
            }
        };
        let steps = cut_at_every_step(way, start, look).unwrap();
        assert!(steps >= 60, "{way}: only {steps} steps were found");
    }
}

#[test]
fn a_copy_that_was_cut_off_is_made_again_and_never_passes_for_confirmed() {
    let copy = ["new", "--from", "depot/b4.md", "depot/b5.md", "--by", "R.T."];
    for way in WAYS {
        let start = || {
            let folder = Run::beside_package("satisfied");
            let mut command = folder.command();
            command.args(copy);
            (folder, command)
        };
        let look = |folder: &Folder, said: &str| {
            if !folder.holds("depot/b5.md") {
                if said.contains("is a copy of") {
                    return Err("what was told is not there".to_owned());
                }
                let next = folder.command().args(copy).output().unwrap();
                if !next.status.success() {
                    return Err(format!("the next run: {next:?}"));
                }
            }
            let marks = std::fs::read_to_string(folder.path("depot/b5.marks")).unwrap_or_default();
            let is_whole = folder.read("depot/b5.md") == folder.read("depot/b4.md");
            match marks.matches(" inherited ").count() == 2 && is_whole {
                true => Ok(()),
                false => Err(format!("marks {marks:?}, whole {is_whole}")),
            }
        };
        cut_at_every_step(way, start, look).unwrap();
    }
}

/// All that a folder holds, with what stands in it; folders are told by name.
fn files(folder: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap().flatten() {
        let (path, name) = (entry.path(), PathBuf::from(entry.file_name()));
        found.push((name.clone(), std::fs::read(&path).unwrap_or_default()));
        if path.is_dir() {
            found.extend(files(&path).into_iter().map(|(inside, bytes)| (name.join(inside), bytes)));
        }
    }
    found.sort();
    found
}

/// Files that were to become others.
fn leftovers(folder: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).into_iter().flatten().flatten();
    let names = entries.map(|entry| entry.file_name().to_string_lossy().into_owned());
    names.filter(|name| name.starts_with(soleplate::storage::LEFTOVER)).collect()
}

/// Writers that do it wrong, to be found out: in place, under another name without a word to the disk, and without a
/// word about the name; with the way to end that shows it, and what is found then.
const NAIVE: [(&str, &str, &str); 3] = [
    ("in-place", "kill", "file holds Some(\"after, an\")"),
    ("unsynced-data", "data", "file holds Some(\"\")"),
    ("unsynced-name", "names", "file holds Some(\"before, and long enough to be cut\")"),
];

/// How a naive writer is told what to do.
const NAIVE_VARIABLE: &str = "SOLEPLATE_NAIVE_WRITER";

#[test]
fn writers_that_do_it_wrong_are_found_out() {
    for (writer, way, found) in NAIVE {
        let start = || {
            let folder = Folder::empty();
            folder.write("file", "before, and long enough to be cut");
            let mut command = Command::new(std::env::current_exe().unwrap());
            command.args(["--exact", "cut::a_naive_writer_at_work", "--ignored", "--nocapture"]);
            command.env(NAIVE_VARIABLE, format!("{writer} {}", folder.path("file").display()));
            (folder, command)
        };
        let look = |folder: &Folder, said: &str| {
            let (before, after) = ("before, and long enough to be cut", "after, and as long as that");
            let allowed: &[Option<&str>] =
                if said.contains("written") { &[Some(after)] } else { &[Some(before), Some(after)] };
            is_one_of(&folder.path("file"), allowed)
        };
        let fault = cut_at_every_step(way, start, look).expect_err("a fault of this writer");
        assert!(fault.contains(found), "{writer}: {fault}");
    }
}

/// Writes a file as it should not be written; a process of its own, which the test above starts.
#[test]
#[ignore = "a part of the test above, which starts it"]
fn a_naive_writer_at_work() {
    let asked = std::env::var(NAIVE_VARIABLE).expect("started by the test above");
    let (writer, path) = asked.split_once(' ').unwrap();
    let (path, bytes) = (Path::new(path), b"after, and as long as that");
    let write = |path: &Path| {
        use std::io::Write;
        let mut file = std::fs::File::create(path).unwrap();
        for piece in steps::pieces(bytes) {
            file.write_all(piece).unwrap();
            steps::wrote(path);
        }
        file
    };
    if writer == "in-place" {
        write(path);
    } else {
        let other = path.with_extension("new");
        let file = write(&other);
        if writer == "unsynced-name" {
            file.sync_all().unwrap();
            steps::synced(&other);
        }
        steps::renaming(&other, path);
        std::fs::rename(&other, path).unwrap();
        steps::step();
    }
    println!("written");
    steps::step();
}
