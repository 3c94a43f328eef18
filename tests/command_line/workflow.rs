//! The commands of `sheets/WORKFLOW.md`, run one behind the other as a reader would.

use crate::run::Folder;
use std::path::{Path, PathBuf};
use std::process::Command;

const GUIDE: &str = include_str!("../../sheets/WORKFLOW.md");

/// Lines of the blocks that a reader types.
fn commands() -> Vec<&'static str> {
    let blocks = GUIDE.split("```sh\n").skip(1).map(|rest| rest.split("```").next().unwrap_or(""));
    blocks.flat_map(str::lines).collect()
}

/// `# edit FILE: KEY = …`: the line of the file that begins with the key is replaced.
fn edit(folder: &Path, change: &str) {
    let (file, line) = change.split_once(": ").expect("a file and a line");
    let key = line.split('=').next().unwrap_or("").trim();
    let text = std::fs::read_to_string(folder.join(file)).unwrap();
    let is_it = |own: &&str| own.split('=').next().is_some_and(|own| own.trim() == key);
    assert_eq!(text.lines().filter(is_it).count(), 1, "{file} has one line of `{key}`");
    let edited: Vec<&str> = text.lines().map(|own| if is_it(&own) { line } else { own }).collect();
    std::fs::write(folder.join(file), edited.join("\n") + "\n").unwrap();
}

#[test]
fn the_guide_works_as_it_stands() {
    if Command::new("git").arg("--version").output().is_err() {
        eprintln!("left out: there is no git");
        return;
    }
    let scratch = Folder::empty();
    let mut here: PathBuf = scratch.path(".");
    let bin = Path::new(env!("CARGO_BIN_EXE_soleplate")).parent().unwrap();
    let path = format!("{}:{}", bin.display(), std::env::var("PATH").unwrap());
    let mut count = 0;
    for line in commands() {
        if let Some(folder) = line.strip_prefix("cd ") {
            here = here.join(folder);
            continue;
        }
        if let Some(change) = line.strip_prefix("# edit ") {
            edit(&here, change);
            continue;
        }
        let expected = match line.split_once("# exit code ") {
            Some((_, rest)) => rest.split(':').next().unwrap().parse().unwrap(),
            None => 0,
        };
        // Git asks for a name and must not take one from whoever runs the tests.
        let output = Command::new("sh")
            .args(["-c", line])
            .current_dir(&here)
            .env("PATH", &path)
            .envs(crate::run::GIT)
            .output()
            .unwrap();
        let said = [output.stdout, output.stderr].map(|bytes| String::from_utf8_lossy(&bytes).into_owned()).concat();
        assert_eq!(output.status.code(), Some(expected), "{line}\n{said}");
        count += 1;
    }
    assert!(count > 15, "only {count} commands were found");
    for written in ["out/verify.xml", "out/changes.html", "out/index.html", "out/register.json"] {
        assert!(here.join(written).is_file(), "{written}");
    }
}
