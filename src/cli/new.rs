//! `soleplate new`: lays out a package with a first calculation.

use super::exit::{Failure, Outcome};
use super::terminal::Terminal;
use crate::package::MANIFEST;
use anyhow::Context;
use std::path::{Path, PathBuf};

/// What can be typed behind `new`.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// Folder of the new package; it must be empty or not exist yet
    pub path: PathBuf,
}

/// Files of the new package, with what each is for.
const FILES: [(&str, &str, &str); 7] = [
    (MANIFEST, MANIFEST_TEXT, "title and owner of the package"),
    ("bracket.md", include_str!("../../templates/new-package/bracket.md"), "a first calculation, as short as can be"),
    ("base.md", include_str!("../../templates/new-package/base.md"), "a base plate, with every failure mode"),
    (
        "data/fx-12.toml",
        include_str!("../../sheets/fellmere-tram-depot/data/fx-12.toml"),
        "an anchor's values, invented",
    ),
    (
        "clauses/own/bracket-anchor.md",
        include_str!("../../templates/new-package/bracket-anchor.md"),
        "a clause of your own",
    ),
    ("README.md", include_str!("../../templates/new-package/README.md"), "for whoever opens the folder"),
    (".gitignore", "/out/\n", "keeps generated pages out of version control"),
];

const MANIFEST_TEXT: &str = "title = TITLE\nowner = \"Owner not stated\"\n";

/// Lays a package out.
pub fn run(arguments: &Arguments, terminal: &mut Terminal) -> anyhow::Result<Outcome> {
    let folder = &arguments.path;
    refuse_what_is_there(folder)?;
    let title = title(folder);
    for (path, text, _) in FILES {
        let text = if path == MANIFEST {
            text.replace("TITLE", &toml::Value::from(title.as_str()).to_string())
        } else {
            text.replace("TITLE", &title)
        };
        let target = folder.join(path);
        let parent = target.parent().unwrap_or(folder);
        std::fs::create_dir_all(parent)
            .and_then(|()| std::fs::write(&target, text))
            .with_context(|| format!("{} cannot be written", target.display()))?;
    }
    let shown = folder.display();
    terminal.say(&format!("{shown} is a package now:"));
    for (path, _, purpose) in FILES {
        terminal.say(&format!("  {path:<31}{purpose}"));
    }
    terminal.say("");
    terminal.say("Next:");
    terminal.say(&format!("  soleplate render {shown}    writes out/index.html and a page for each sheet"));
    terminal.say(&format!("  soleplate watch {shown}     writes them anew whenever a sheet is saved"));
    Ok(Outcome::Satisfied)
}

#[expect(clippy::disallowed_methods, reason = "whether a folder is empty can only be seen on disk")]
fn refuse_what_is_there(folder: &Path) -> anyhow::Result<()> {
    if !folder.exists() {
        return Ok(());
    }
    if !folder.is_dir() {
        return Err(Failure::unreadable(format!("`{}` is a file", folder.display())).into());
    }
    let is_empty =
        std::fs::read_dir(folder).with_context(|| format!("{} cannot be read", folder.display()))?.next().is_none();
    if !is_empty {
        let failure = Failure::unreadable(format!("the folder `{}` is not empty", folder.display()));
        return Err(failure.help("name a folder that is empty or does not exist yet").into());
    }
    Ok(())
}

/// `tram-depot` is called "Tram depot".
fn title(folder: &Path) -> String {
    let name = folder.file_name().map_or_else(|| "Package".into(), |name| name.to_string_lossy());
    let words = name.replace(['-', '_'], " ");
    let words = words.trim();
    let mut letters = words.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => "Package".to_owned(),
    }
}
