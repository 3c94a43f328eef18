use crate::run::Folder;

#[test]
fn a_new_package_builds_and_is_satisfied() {
    Folder::empty()
        .arguments(["new", "tram-depot"])
        .says("tram-depot is a package now:")
        .says("soleplate render tram-depot")
        .says("  .gitattributes                 lets Git keep the marks of both sides of a merge, and sign-offs as they are\n")
        .stderr("")
        .exit(0)
        .arguments(["render", "tram-depot"])
        .stdout("")
        .stderr("2 sheets: 2 satisfied; pages in out\n")
        .exit(0)
        .arguments(["verify", "tram-depot"])
        .says("satisfied        0.70  tram-depot/bracket.md: room for further cables")
        .exit(0);
}

#[test]
fn the_title_comes_from_the_folder_and_is_safe_in_the_manifest() {
    let folder = Folder::empty().arguments(["new", "inspection_gantry \"east\""]).exit(0);
    let manifest = folder.read("inspection_gantry \"east\"/soleplate.toml");
    assert!(manifest.starts_with("title = 'Inspection gantry \"east\"'\n"), "{manifest}");
    folder.arguments(["verify", "inspection_gantry \"east\""]).exit(0);
}

/// The example in the manifest is one as soon as it is no comment any more.
#[test]
fn the_example_of_roles_holds_when_it_is_uncommented() {
    let folder = Folder::empty().arguments(["new", "depot"]).exit(0);
    let manifest = folder.read("depot/soleplate.toml");
    let (head, example) = manifest.split_once("#\n# [sign_off.roles]\n").unwrap();
    let example = format!("# [sign_off.roles]\n{example}").replace("# ", "").replace("#\n", "\n");
    folder.write("depot/soleplate.toml", format!("{head}\n{example}"));
    folder
        .arguments(["verify", "depot/bracket.md", "--demand", "signed"])
        .says("not signed: its status is draft, unchecked")
        .stderr("1 sheet: 1 satisfied\n")
        .exit(6);
}

#[test]
fn an_empty_folder_is_taken_and_one_with_files_is_refused() {
    let folder = Folder::empty();
    std::fs::create_dir(folder.path("depot")).unwrap();
    let folder = folder.arguments(["new", "depot"]).exit(0);
    folder.write("depot/bracket.md", "mine");
    let folder = folder
        .arguments(["new", "depot"])
        .stderr(
            "error: the folder `depot` is not empty\n\
             help: name a folder that is empty or does not exist yet\n",
        )
        .exit(5);
    assert_eq!(folder.read("depot/bracket.md"), "mine");
    folder.arguments(["new", "depot/bracket.md"]).tells("`depot/bracket.md` is a file").exit(5);
}

#[cfg(unix)]
#[test]
fn a_folder_that_cannot_be_made_is_told() {
    let folder = Folder::empty();
    folder.write("file", "");
    folder.arguments(["new", "file/depot"]).tells("error: file/depot").exit(5);
}

/// The demo is looked after as any package is.
#[test]
fn the_demo_has_what_a_new_package_has_for_version_control() {
    let folder = Folder::empty().arguments(["new", "depot"]).exit(0);
    for package in ["fellmere-tram-depot", "fellmere-tram-depot-records"] {
        for file in [".gitignore", ".gitattributes"] {
            let path = format!("{}/sheets/{package}/{file}", env!("CARGO_MANIFEST_DIR"));
            let text = std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{path}: {error}"));
            assert_eq!(text, folder.read(&format!("depot/{file}")), "{path}");
        }
    }
}

/// A copy out of another package builds at once: what it rests on comes along, and nothing there is written over.
#[test]
fn a_copy_from_another_package_brings_along_what_it_rests_on() {
    const DEMO: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/sheets/fellmere-tram-depot/");
    let folder = Folder::empty().arguments(["new", "depot"]).exit(0);
    let own = format!("{}# ours\n", folder.read("depot/data/fx-12.toml"));
    folder.write("depot/data/fx-12.toml", &own);
    let leg = format!("{DEMO}portal-leg-p3.md");
    let folder = folder
        .arguments(["new", "--from", &leg, "depot/base-2.md"])
        .says("These files came along, since it rests on them: clauses/base-bolts.md, clauses/moment-base.md, data/hd-24.toml.")
        .exit(0)
        .arguments(["verify", "depot/base-2.md"])
        .says("inherited, not confirmed: loads,")
        .exit(0);
    assert_eq!(
        folder.read("depot/clauses/moment-base.md"),
        std::fs::read_to_string(format!("{DEMO}clauses/moment-base.md")).unwrap()
    );
    assert!(!folder.holds("depot/portal-leg-p3.md") && !folder.holds("depot/allowed_signers"));

    let other = format!("{DEMO}gantry-base-b4-other-bolt.md");
    let folder = folder
        .arguments(["new", "--from", &other, "depot/base-3.md"])
        .says("These files came along, since it rests on them: data/fx-12k.toml.")
        .says("another content, and were left; compare them: data/fx-12.toml.")
        .says("did not come along; copy them with `--from` as well: gantry-base-b4.md.")
        .exit(0);
    assert!(folder.read("depot/data/fx-12.toml") == own && !folder.holds("depot/gantry-base-b4.md"));
    let (_, stdout, _) = folder.arguments(["new", "--from", "depot/base-2.md", "depot/base-4.md"]).finish(0);
    assert!(!stdout.contains("along"), "{stdout}");
}
