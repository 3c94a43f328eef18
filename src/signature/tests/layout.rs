//! The layout of statements and sign-offs: one way to write each, and a place for every mistake.

use super::bench::{Bench, DIGEST, OTHER_DIGEST, facts, statement};
use crate::diagnostic::Code;
use crate::signature::{Day, Digest, Earlier, Facts, Part, Principal, Role, SignOff, Statement};
use proptest::prelude::*;

#[test]
fn a_statement_is_printed_in_its_fixed_order() {
    let expected = format!(
        "soleplate sign-off 2\nsheet: bases/b4.md\nnumber: FTD-ST-CALC-004\n\
         title: Base plate B4, 20 × 300 × 300 mm\nrevision: P01\ndigest: {DIGEST}\n\
         rules: creator, checker, approver; different people; every line ticked\nrole: checker\n\
         signer: rt@fellmere.example\ndate: 2026-11-20\npart: clause en-1992-4/pull-out {OTHER_DIGEST}\n\
         part: sheet bases/b4.md {DIGEST}\n"
    );
    assert_eq!(statement().text(), expected);
    assert_eq!(Statement::read("s", expected.as_bytes()).unwrap(), statement());
}

/// Replaces once in the statement, reads, and compares place and words.
#[track_caller]
fn check(from: &str, to: &str, expected: &str) {
    let text = statement().text().replacen(from, to, 1);
    assert_ne!(text, statement().text());
    let finding = Statement::read("b4.signed", text.as_bytes()).unwrap_err();
    assert_eq!(finding.to_string(), format!("b4.signed:{expected}"));
}

#[test]
fn every_departure_from_the_layout_is_named_with_its_line() {
    check(
        "soleplate sign-off 2",
        "soleplate sign-off 3",
        "1:1: error[bad-sign-off]: this sign-off has another version of the layout than this program reads",
    );
    check(
        "soleplate sign-off 2",
        "soleplate sign-off 1",
        "1:1: error[bad-sign-off]: this sign-off was made in an earlier form, which does not cover the rules of sign-off",
    );
    check(
        "soleplate sign-off 2\n",
        "",
        "1:1: error[bad-sign-off]: a statement begins with the line `soleplate sign-off 2`",
    );
    check("number: FTD-ST-CALC-004\n", "", "3:1: error[bad-sign-off]: the line `number` is missing before this one");
    check("title: ", "number: A\ntitle: ", "4:1: error[bad-sign-off]: `number` stands twice, or not in its place");
    check("role: ", "mood: good\nrole: ", "8:1: error[bad-sign-off]: `mood` is no key of a statement");
    check("role: ", "part: x\nrole: ", "8:1: error[bad-sign-off]: the line `role` is missing before this one");
    check(
        "date: 2026-11-20",
        "date: 2026-11-20\ndate: 2026-11-21",
        "11:1: error[bad-sign-off]: `date` stands twice, or not in its place",
    );
    check("title: ", "title:", "4:1: error[bad-sign-off]: this line is not of the form `key: value`");
    check("revision: P01", "revision: ", "5:11: error[bad-sign-off]: `revision` is not as it is signed: it is empty");
    check(
        "P01",
        "P01 ",
        "5:11: error[bad-sign-off]: `revision` is not as it is signed: it begins or ends with a space",
    );
    check("\nrevision", "\n\nrevision", "5:1: error[bad-sign-off]: this line is not of the form `key: value`");
    check(
        "bases/b4.md",
        "../b4.md",
        "2:8: error[bad-sign-off]: `sheet` is not as it is signed: it is no path inside a package, with / between folders and names",
    );
    check(
        "bases/b4.md",
        "/b4.md",
        "2:8: error[bad-sign-off]: `sheet` is not as it is signed: it is no path inside a package, with / between folders and names",
    );
    check("9f86", "9F86", "6:9: error[bad-sign-off]: a SHA-256 digest is 64 hexadecimal digits in lower case");
    check("9f86", "9f8", "6:9: error[bad-sign-off]: a SHA-256 digest is 64 hexadecimal digits in lower case");
    check("9f86", "9f8600", "6:9: error[bad-sign-off]: a SHA-256 digest is 64 hexadecimal digits in lower case");
    check(
        "role: checker",
        "role: Checker",
        "8:7: error[bad-sign-off]: `Checker` is no role: creator, checker or approver",
    );
    check("rt@", "r t@", "9:9: error[bad-sign-off]: a space cannot stand in the name of a signer");
    check("rt@", "*@", "9:9: error[bad-sign-off]: `*` cannot stand in the name of a signer");
    check("rt@", "r\u{442}@", "9:9: error[bad-sign-off]: the character U+0442 cannot stand in the name of a signer");
    check(
        "rt@",
        "-rt@",
        "9:9: error[bad-sign-off]: a signer is a name of 1 to 255 characters that starts with no hyphen",
    );
    check("2026-11-20", "2026-02-29", "10:7: error[bad-sign-off]: `2026-02-29` is no day of the form 2026-11-20");
    check("2026-11-20", "+026-11-20", "10:7: error[bad-sign-off]: `+026-11-20` is no day of the form 2026-11-20");
    check(
        "part: clause",
        "part: zlause",
        "12:7: error[bad-sign-off]: `part` is not as it is signed: parts are sorted by name, and no name stands twice",
    );
    check(
        "clause en-1992-4/pull-out 6030",
        "6030",
        "11:7: error[bad-sign-off]: a part has a name and, behind a space, a digest",
    );
}

#[test]
fn earlier_sign_offs_stand_before_the_parts_in_one_order() {
    let after = |role: &str, digest: &str| format!("after: {role} kl@fellmere.example {digest}\n");
    let (first, second) = (after("creator", DIGEST), after("checker", OTHER_DIGEST));
    let with = |lines: &str| statement().text().replacen("part: ", &format!("{lines}part: "), 1);
    let read = |text: &str| Statement::read("s", text.as_bytes()).map_err(|finding| finding.to_string());
    let text = with(&format!("{first}{second}"));
    let statement = read(&text).unwrap();
    assert_eq!(statement.text(), text);
    let told: Vec<String> = statement.facts().after.iter().map(ToString::to_string).collect();
    assert_eq!(told[1], format!("checker kl@fellmere.example {OTHER_DIGEST}"));
    let refused = [
        (
            with(&format!("{second}{first}")),
            "12:8: error[bad-sign-off]: `after` is not as it is signed: earlier sign-offs are sorted, and none stands twice",
        ),
        (
            with(&format!("{first}{first}")),
            "12:8: error[bad-sign-off]: `after` is not as it is signed: earlier sign-offs are sorted, and none stands twice",
        ),
        (
            with(&first.replace("creator", "boss")),
            "11:8: error[bad-sign-off]: `boss` is no role: creator, checker or approver",
        ),
        (
            with(&first.replace(" kl@", " kl @")),
            "11:8: error[bad-sign-off]: an earlier sign-off is told by role, signer and digest",
        ),
        (
            self::statement().text().to_owned() + &first,
            "13:1: error[bad-sign-off]: `after` stands twice, or not in its place",
        ),
    ];
    for (text, told) in refused {
        assert_eq!(read(&text).unwrap_err(), format!("s:{told}"));
    }
}

#[test]
fn characters_that_mislead_a_reader_are_refused_where_they_stand() {
    check("P01", "P01\r", "5:14: error[bad-sign-off]: a carriage return cannot stand in this file");
    check("P01", "P\t1", "5:12: error[bad-sign-off]: a tab cannot stand in this file");
    check("P01", "P\u{1b}[2J1", "5:12: error[bad-sign-off]: the control character U+001B cannot stand in this file");
    check("P01", "P\u{85}1", "5:12: error[bad-sign-off]: the control character U+0085 cannot stand in this file");
    check(
        "P01",
        "P\u{202e}10",
        "5:12: error[bad-sign-off]: a character that turns the direction of writing, the character U+202E cannot stand in this file",
    );
    check(
        "P01",
        "P\u{200b}01",
        "5:12: error[bad-sign-off]: a character that cannot be seen, the character U+200B cannot stand in this file",
    );
    check(
        "soleplate",
        "\u{feff}soleplate",
        "1:1: error[bad-sign-off]: a character that cannot be seen, the character U+FEFF cannot stand in this file",
    );
}

#[test]
fn a_line_has_a_limit_and_a_text_ends_with_a_line() {
    let long = "x".repeat(1000);
    check(
        "P01",
        &long,
        "5:11: error[bad-sign-off]: `revision` is not as it is signed: the line is longer than 1000 bytes",
    );
    let text = statement().text().to_owned();
    let cut = Statement::read("s", &text.as_bytes()[..text.len() - 1]).unwrap_err();
    assert_eq!(cut.message, "the statement ends within a line");
    let mut bytes = text.clone().into_bytes();
    bytes[40] = 0xff;
    assert_eq!(Statement::read("s", &bytes).unwrap_err().code, Code::NotUtf8);
    assert_eq!(Statement::read("s", &vec![b'x'; (1 << 20) + 1]).unwrap_err().code, Code::TooLarge);
    assert_eq!(Statement::read("s", b"").unwrap_err().code, Code::BadSignOff);
}

#[test]
fn facts_that_cannot_be_written_are_no_statement() {
    let key = |facts: Facts| Statement::new(facts).unwrap_err().key;
    assert_eq!(key(Facts { title: "A\nrole: approver".to_owned(), ..facts() }), "title");
    assert_eq!(key(Facts { sheet: "a//b.md".to_owned(), ..facts() }), "sheet");
    let mut twice = facts();
    twice.parts[1].name = twice.parts[0].name.clone();
    let fault = Statement::new(twice).unwrap_err();
    assert_eq!((fault.key, fault.at), ("part", 1));
    let mut long = facts();
    long.parts[1].name = "z".repeat(1000);
    let fault = Statement::new(long).unwrap_err();
    assert_eq!((fault.key, fault.at), ("part", 1));
    let parts = (0..7000).map(|n| Part { name: format!("part {n:04}"), digest: facts().digest }).collect();
    assert_eq!(Statement::new(Facts { parts, ..facts() }).unwrap_err().why, "there are too many parts");
}

/// What is said about a sign-off made of the statement, some text, and a real signature.
fn said(make: impl Fn(&str, &str) -> String) -> String {
    let bench = Bench::new();
    bench.key("rt", "ed25519");
    let sign_off = bench.sign(&statement(), "rt");
    let text = make(statement().text(), &sign_off.armour());
    SignOff::read("b4.signed", text.as_bytes()).unwrap_err().to_string()
}

#[test]
fn a_sign_off_is_one_statement_and_one_signature() {
    assert_eq!(
        said(|statement, _| statement.to_owned()),
        "b4.signed:13:1: error[bad-sign-off]: there is no signature in this file"
    );
    assert_eq!(
        said(|statement, armour| format!("{statement}{armour}{armour}")),
        "b4.signed:19:1: error[bad-sign-off]: a second signature stands behind the signature"
    );
    assert_eq!(
        said(|statement, armour| format!("{statement}{armour}\n")),
        "b4.signed:19:1: error[bad-sign-off]: something stands behind the signature"
    );
    assert_eq!(
        said(|statement, armour| format!("{statement}{statement}{armour}")),
        "b4.signed:13:1: error[bad-sign-off]: this line is not of the form `key: value`"
    );
    assert_eq!(
        said(|statement, armour| format!("{statement}\n{armour}")),
        "b4.signed:13:1: error[bad-sign-off]: this line is not of the form `key: value`"
    );
    assert_eq!(
        said(|statement, armour| format!("{statement}{}", armour.replace("-----END SSH SIGNATURE-----\n", ""))),
        "b4.signed:18:1: error[bad-sign-off]: the signature is cut off: its last line is missing"
    );
    assert_eq!(
        said(|statement, armour| format!("{statement}{}", armour.replace("U1NI", "U1!I"))),
        "b4.signed:13:1: error[bad-sign-off]: the signature is damaged: it is not Base64 between its first and last line"
    );
    assert_eq!(
        said(|statement, armour| format!("{statement}{}", armour.replace("U1NI", "U1NI\n"))),
        "b4.signed:13:1: error[bad-sign-off]: the signature is damaged: its lines are not as ssh-keygen writes them"
    );
    assert_eq!(
        said(|statement, armour| format!("{statement}{armour}").replace('\n', "\r\n")),
        "b4.signed:1:21: error[bad-sign-off]: a carriage return cannot stand in this file"
    );
}

#[test]
fn conflict_markers_are_called_what_they_are() {
    let merged = |statement: &str, armour: &str| {
        format!("<<<<<<< HEAD\n{statement}{armour}=======\n{statement}{armour}>>>>>>> other\n")
    };
    assert_eq!(said(merged), "b4.signed:1:1: error[merge-conflict]: a merge left its conflict markers in this file");
    let inside = |statement: &str, armour: &str| format!("{statement}{}", armour.replacen('\n', "\n=======\n", 1));
    assert_eq!(said(inside), "b4.signed:14:1: error[merge-conflict]: a merge left its conflict markers in this file");
}

fn line() -> impl Strategy<Value = String> {
    "[\\PC]{1,40}".prop_map(|text| text.trim().to_owned()).prop_filter("can be signed", |text| {
        !text.is_empty() && !text.chars().any(|c| super::super::reading::unfit_character(c).is_some())
    })
}

fn any_facts() -> impl Strategy<Value = Facts> {
    let day = (1971_u16..=9999, 1_u8..=12, 1_u8..=28).prop_map(|(y, m, d)| Day::new(y, m, d).unwrap());
    let principal = "[a-zA-Z0-9_.@+=:/~'()&%$]{1,60}".prop_map(|text| text.parse::<Principal>().unwrap());
    let digest = any::<[u8; 32]>().prop_map(Digest);
    let parts = prop::collection::btree_map(line(), any::<[u8; 32]>(), 0..5)
        .prop_map(|map| map.into_iter().map(|(name, bytes)| Part { name, digest: Digest(bytes) }).collect::<Vec<_>>());
    let sheet = "[a-z0-9 ]{0,8}[a-z](/[a-z]{1,8}){0,3}".prop_map(|path| path.trim().to_owned());
    let role = prop::sample::select(Role::ALL.to_vec());
    let earlier = (role.clone(), principal.clone(), digest.clone()).prop_map(|(role, signer, digest)| Earlier {
        role,
        signer,
        digest,
    });
    let after = prop::collection::btree_set(earlier, 0..3).prop_map(|set| set.into_iter().collect::<Vec<_>>());
    let texts = (sheet, line(), line(), line(), line());
    (texts, digest, role, principal, day, after, parts).prop_map(
        |((sheet, number, title, revision, rules), digest, role, signer, date, after, parts)| Facts {
            sheet,
            number,
            title,
            revision,
            digest,
            rules,
            role,
            signer,
            date,
            after,
            parts,
        },
    )
}

proptest! {
    #[test]
    fn what_is_printed_reads_back_byte_for_byte(facts in any_facts()) {
        let statement = Statement::new(facts.clone()).unwrap();
        let read = Statement::read("s", statement.text().as_bytes()).unwrap();
        prop_assert_eq!(read.facts(), &facts);
        prop_assert_eq!(read.text(), statement.text());
    }

    #[test]
    fn a_text_that_is_read_is_printed_as_it_was(at in 0_usize..600, with in ".{0,3}", drop in 0_usize..4) {
        let text = statement().text().to_owned();
        let at = (0..=at.min(text.len())).rev().find(|at| text.is_char_boundary(*at)).unwrap();
        let end = (at + drop..=text.len()).find(|end| text.is_char_boundary(*end)).unwrap_or(text.len());
        let changed = format!("{}{with}{}", &text[..at], &text[end..]);
        if let Ok(read) = Statement::read("s", changed.as_bytes()) {
            prop_assert_eq!(read.text(), changed);
        }
    }

    #[test]
    fn no_bytes_make_the_readers_panic(bytes in prop::collection::vec(any::<u8>(), 0..300), cut in 0_usize..400) {
        let _ = SignOff::read("s", &bytes);
        let mut begun = statement().text().as_bytes()[..cut.min(statement().text().len())].to_vec();
        begun.extend(b"-----BEGIN SSH SIGNATURE-----\n");
        begun.extend(bytes);
        let _ = SignOff::read("s", &begun);
    }
}
