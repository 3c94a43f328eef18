use crate::run::{Folder, Run};
use insta::assert_snapshot;

fn help_of<const N: usize>(arguments: [&str; N]) -> String {
    Folder::empty().arguments(arguments).finish(0).1
}

#[test]
fn help_shows_verbs_examples_and_exit_codes() {
    assert_snapshot!("help", help_of(["--help"]));
}

#[test]
fn every_verb_has_help() {
    for verb in ["new", "render", "watch", "verify", "sign", "review", "compare", "register", "clauses", "data"] {
        assert_snapshot!(format!("help_{verb}"), help_of([verb, "--help"]));
    }
}

#[test]
fn the_version_is_that_of_the_package() {
    let version = format!("soleplate {}\n", env!("CARGO_PKG_VERSION"));
    Folder::empty().arguments(["--version"]).stdout(&version).exit(0);
}

#[test]
fn misuse_is_explained() {
    Folder::empty().arguments([]).tells("Usage: soleplate").exit(2);
    Folder::empty().arguments(["rendr"]).tells("'render'").exit(2);
    Folder::empty().arguments(["render", "--outt", "x"]).tells("'--out'").exit(2);
    Folder::empty().arguments(["new"]).tells("<PATH>").exit(2);
    Folder::empty()
        .arguments(["render"])
        .tells("which package?")
        .tells("help: name a package's folder or a sheet")
        .exit(2);
    Run::in_package("satisfied").arguments(["watch", "a", "b"]).tells("unexpected argument").exit(2);
}
