use super::*;

#[test]
fn a_package_clause_goes_before_a_shipped_one_and_says_so() {
    let mut library = Library::shipped();
    library.add("own/check", SourceFile::new("clauses/own/check.md", ""));
    assert_eq!(library.clause("own/check").map(|c| c.origin), Some(Origin::Package));
    let path = library.clauses().find(|c| c.origin == Origin::Shipped).map(|c| c.path.clone());
    let path = path.expect("clauses are shipped");
    library.add(&path, SourceFile::new("clauses/x.md", ""));
    assert_eq!(library.clause(&path).map(|c| c.origin), Some(Origin::Override));
}

#[test]
fn every_shipped_clause_reads_without_a_finding() {
    for clause in Library::shipped().clauses() {
        let (_, findings) = clause.sheet();
        let messages: Vec<String> = findings.iter().map(ToString::to_string).collect();
        assert!(messages.is_empty(), "{messages:#?}");
    }
}

#[test]
fn a_data_file_points_at_its_mistakes() {
    let text = "title = \"T\"\n[values]\na = { value = \"7 (\", source = \"s\" }\nb = { value = \"70 mm\" }\n";
    let (file, findings) = read_data(&SourceFile::new("data/x.toml", text));
    assert_eq!(file.values.keys().collect::<Vec<_>>(), ["b"]);
    let at = findings[0].position().expect("a place");
    assert_eq!(at.line, 3);
    let (_, findings) = read_data(&SourceFile::new("data/x.toml", "title = 3\n"));
    assert_eq!(findings[0].code, crate::diagnostic::Code::BadData);
}
