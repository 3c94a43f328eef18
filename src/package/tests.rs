use super::*;

/// Every shipped clause under the names of a package's own.
fn own_clauses() -> Memory {
    Library::shipped().clauses().fold(Memory::default(), |files, clause| {
        files.with(&format!("{CLAUSES}{}.md", clause.path), clause.source.text.clone())
    })
}

#[test]
fn a_sound_clause_is_sound_without_a_use() {
    let (package, findings) = Package::open(Box::new(own_clauses())).expect("memory can be read");
    // Each stands in the place of one that is shipped, which is told, and nothing else.
    let is_replacing = |finding: &&Diagnostic| {
        !finding.is_error() && finding.message.contains("stands in the place of the shipped clause `")
    };
    assert_eq!(findings.iter().filter(is_replacing).count(), findings.len());
    assert_eq!(findings.len(), Library::shipped().clauses().count());
    let findings = package.check_clauses();
    let told: Vec<String> = findings.iter().map(ToString::to_string).collect();
    assert!(told.is_empty(), "{told:#?}");
}

#[test]
fn a_mistake_in_any_line_of_a_clause_is_found_without_a_use() {
    let clause = "+++\nkind = \"clause\"\ntitle = \"C\"\nstandard = \"S\"\nclause = \"1\"\nversion = \"1\"\nscope = \"s\"\nbasis = \"b\"\n+++\n\
                  ```clause\ntakes h : length\ntakes N : list of force\ntakes t : table of x length\ngives q\n```\n";
    for (block, place) in [
        ("```derive\nq = h + max(N)\n```\n", "h"),
        ("```derive\nq = sum(t.x) + N[2]\n```\n", "sum(t.x)"),
        ("```derive\nq = h\n```\n```verify\nh <= N[1]\n```\n", "h"),
        ("```derive\nq = h\nrequire t.a.x < zz\n```\n", "zz"),
        ("```derive\n```\n", "q"),
    ] {
        let files = Memory::default().with("clauses/x/a.md", format!("{clause}{block}"));
        let (package, _) = Package::open(Box::new(files)).expect("memory can be read");
        let findings = package.check_clauses();
        assert_eq!(findings.len(), 1, "{block}: {findings:#?}");
        let label = &findings[0].labels[0];
        assert_eq!(label.source.slice(label.span), place, "{block}");
    }
}

#[test]
fn a_sheet_rests_on_the_family_of_its_data() {
    let sheet = "+++\ntitle = \"S\"\nnumber = \"1\"\nrevision = \"1\"\npurpose = \"p\"\nscope = \"s\"\n+++\n\
                 ```given\nx = data \"data/x.toml\" @ s\n```\n";
    let family =
        "title = \"F\"\nstandard = \"S\"\nbasis = \"b\"\n[values]\na = { range = \"1 to 2\", description = \"a\" }\n";
    let data = "title = \"T\"\nfamily = \"own/f\"\n[values]\na = { value = \"1\" }\n";
    let files = Memory::default().with("s.md", sheet).with("clauses/own/f.toml", family).with("data/x.toml", data);
    let (package, findings) = Package::open(Box::new(files)).expect("memory can be read");
    let built = package.build("s.md");
    assert!(findings.is_empty() && built.findings.is_empty(), "{findings:?} {:?}", built.findings);
    let RestsOn::Files(files) = built.rests_on() else { panic!("it was built") };
    let files: Vec<&str> = files.iter().map(String::as_str).collect();
    assert_eq!(files, ["clauses/own/f.toml", "data/x.toml", "s.marks", "s.md"]);
}
