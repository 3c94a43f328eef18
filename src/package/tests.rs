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
    assert!(findings.is_empty(), "{findings:?}");
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
