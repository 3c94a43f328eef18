use super::*;
use crate::quantity::Dimension;
use crate::syntax::{KindText, StatementKind};

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

#[test]
fn every_shipped_family_reads_without_a_finding() {
    for family in Library::shipped().families() {
        let (schema, findings) = family.schema();
        let messages: Vec<String> = findings.iter().map(ToString::to_string).collect();
        assert!(messages.is_empty(), "{messages:#?}");
        assert!(schema.values.iter().any(|field| field.is_required), "{}", family.path);
    }
}

#[test]
fn families_have_values_of_the_kinds_that_clauses_take() {
    let library = Library::shipped();
    let mut shared = 0;
    for family in library.families() {
        for field in &family.schema().0.values {
            for clause in library.clauses() {
                for statement in clause.sheet().0.statements() {
                    let StatementKind::Takes { name, kind, .. } = &statement.kind else { continue };
                    if name.node != field.name {
                        continue;
                    }
                    shared += 1;
                    let agrees = match (&field.kind, kind) {
                        (FieldKind::Number(range), KindText::Dimension(name)) => {
                            Dimension::from_name(&name.node) == Some(range.dimension())
                        }
                        (FieldKind::Truth, KindText::Truth) => true,
                        (FieldKind::Word(words), KindText::Word) => {
                            let among = statement.suffix.among.iter().flatten();
                            among.map(|word| word.node.as_str()).eq(words.iter().map(String::as_str))
                        }
                        _ => false,
                    };
                    assert!(agrees, "`{}` of {} and of {}", field.name, family.path, clause.path);
                }
            }
        }
    }
    assert!(shared > 50, "only {shared} values are taken by clauses");
}

/// A library with one family, and a data file that names it.
fn check(family: &str, values: &str) -> (DataFile, Vec<String>) {
    let mut library = Library::shipped();
    let text = format!("title = \"F\"\nstandard = \"S\"\nbasis = \"b\"\n[values]\n{family}");
    library.add_family("own/f", SourceFile::new("clauses/own/f.toml", text));
    let text = format!("title = \"T\"\nfamily = \"own/f\"\n[values]\n{values}");
    let (mut file, _) = read_data(&SourceFile::new("data/x.toml", text));
    let findings = library.check_data(&mut file);
    (file, findings.iter().map(ToString::to_string).collect())
}

#[test]
fn a_value_that_cannot_be_read_is_not_missing_as_well() {
    let family = "a = { range = \"1 to 2\", description = \"a\", required = true }\n";
    assert_eq!(check(family, "a = { value = \"7 (\" }\n").1, Vec::<String>::new());
    assert_eq!(check(family, "").1.len(), 1);
}

#[test]
fn the_ends_of_a_range_count_in_every_unit() {
    let family = "h = { range = \"40 mm to 0.5 m\", description = \"h\" }\nf = { range = \"10 ksi to 20 ksi\", description = \"f\" }\n";
    for (value, is_in) in [("40 mm", true), ("4 cm", true), ("500 mm", true), ("39.99 mm", false), ("0.501 m", false)] {
        let (_, findings) = check(family, &format!("h = {{ value = \"{value}\" }}\n"));
        assert_eq!(findings.is_empty(), is_in, "{value}: {findings:?}");
    }
    assert!(check(family, "f = { value = \"20000 psi\" }\n").1.is_empty());
}

#[test]
fn words_of_a_family_become_words_of_its_data() {
    let family = "head = { among = [\"round\", \"square\"], description = \"h\" }\n";
    let (file, findings) = check(family, "head = { value = \"square\" }\n");
    assert!(findings.is_empty(), "{findings:?}");
    assert_eq!(file.values["head"].words.as_deref(), Some(["round".to_owned(), "square".to_owned()].as_slice()));
}

#[test]
fn a_package_family_goes_before_a_shipped_one() {
    let mut library = Library::shipped();
    library.add_family("en-1992-4/headed-bolt", SourceFile::new("clauses/en-1992-4/headed-bolt.toml", ""));
    let family = library.family("en-1992-4/headed-bolt").expect("it was added");
    assert_eq!((family.origin, family.schema().1.len()), (Origin::Override, 1));
}

#[test]
fn the_schema_for_editors_says_units_words_and_what_is_required() {
    let mut library = Library::shipped();
    let text = "title = \"F\"\nstandard = \"S\"\nbasis = \"b\"\n[values]\n\
                m = { range = \"1 N·m to 2 kN·m\", description = \"bending\", required = true }\n\
                h = { among = [\"round\"], description = \"head\" }\n";
    library.add_family("own/f", SourceFile::new("clauses/own/f.toml", text));
    let schema = json_schema(library.family("own/f").expect("it was added"));
    let values = &schema["properties"]["values"];
    assert_eq!(values["required"], serde_json::json!(["m"]));
    assert_eq!(values["properties"]["h"]["properties"]["value"]["enum"], serde_json::json!(["round"]));
    let pattern = values["properties"]["m"]["properties"]["value"]["pattern"].as_str().expect("a text");
    assert!(pattern.ends_with(" (N[·⋅*]m|kN[·⋅*]m)$"), "{pattern}");
}

#[test]
fn every_shipped_card_reads_without_a_finding() {
    let library = Library::shipped();
    assert!(library.cards().count() >= 6);
    for card in library.cards() {
        let (text, findings) = card.text();
        assert!(findings.is_empty(), "{}: {findings:?}", card.path);
        assert!(!text.title.is_empty() && !text.basis.is_empty() && !text.sections.is_empty(), "{}", card.path);
        let warns =
            text.sections.iter().any(|section| section.warning) || text.sections.iter().any(|section| section.signed);
        assert!(warns, "{} neither warns nor is signed", card.path);
        for symbol in text.symbols() {
            let is_name = symbol.chars().all(|letter| letter.is_ascii_alphanumeric() || letter == '_');
            assert!(is_name && !symbol.is_empty(), "{}: {symbol:?}", card.path);
        }
    }
}

#[test]
fn words_of_a_card_part_at_their_braces() {
    let part = |piece: Piece<'_>| match piece {
        Piece::Words(words) => format!("Words({words:?})"),
        Piece::Symbol(place) => {
            let mark = if place.is_optional { "?" } else { "" };
            format!("{:?}({:?}){mark}", place.form, place.symbol)
        }
    };
    let parts = |text| pieces(text).into_iter().map(part).collect::<Vec<_>>().join(" ");
    assert_eq!(parts("to {T_inst}, once"), "Words(\"to \") Value(\"T_inst\") Words(\", once\")");
    assert_eq!(parts("{d_0}{ h_0 }"), "Value(\"d_0\") Value(\"h_0\")");
    assert_eq!(parts("{h_ELV?}{ f_ck:words? }{t:words}"), "Value(\"h_ELV\")? Words(\"f_ck\")? Words(\"t\")");
    assert_eq!(parts("{T ± t_T ?}{T+t_T}"), "Between(\"t_T\")(\"T\")? AtMost(\"t_T\")(\"T\")");
    assert_eq!(parts("{a:count}{a:each}{a:some?}"), "Count(\"a\") Each(\"a\") Some(\"a\")?");
    // What no form is called is a symbol that nothing fills, so that it is open and not passed over.
    assert_eq!(parts("{a:cuont}"), "Value(\"a:cuont\")");
    assert_eq!(parts("no { end"), "Words(\"no { end\")");
    assert_eq!(parts(""), "");
}

#[test]
fn front_matter_read_alone_is_that_of_the_document() {
    for clause in Library::shipped().clauses() {
        let (sheet, alone) = (clause.sheet().0, read_front_matter(&clause.source));
        assert_eq!(format!("{:?}", sheet.document.front), format!("{alone:?}"), "{}", clause.path);
    }
    for text in ["", "+++", "+++\n", "+++\ntitle = \"a\"", "no front\n+++\n", "+++\ntitle = 1\n+++\n"] {
        assert_eq!(read_front_matter(&SourceFile::new("a.md", text)).title, "", "{text:?}");
    }
}
