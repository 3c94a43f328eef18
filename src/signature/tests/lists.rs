//! Lists of allowed signers and of revoked keys: what is read as ssh-keygen reads it, and what is refused.

use super::bench::{Bench, allowed, facts, judge};
use crate::diagnostic::Diagnostic;
use crate::signature::{AllowedSigners, Facts, PatternList, RevokedKeys, Statement};
use proptest::prelude::*;

/// A key that was made for these tests; its private half is gone.
const KEY: &str = "ssh-ed25519 AAAAC3NzaC1lZDI1NTE5AAAAIF0IvRcF9u0TuCnQMO1QHAuv2f8Kh3rxFLgHzeVtwtXR";

#[test]
fn principals_are_matched_as_ssh_keygen_matches_them() {
    let bench = Bench::new();
    let key = bench.key("rt", "ed25519");
    let lists = [
        "rt@fellmere.example",
        "RT@fellmere.example",
        "*",
        "*@fellmere.example",
        "?t@fellmere.example",
        "r?t@fellmere.example",
        "mk@fellmere.example,rt@fellmere.example",
        "*@fellmere.example,!rt@*",
        "!mk@*,*",
        "!rt@fellmere.example,rt@fellmere.example",
        "*t@*.ex*ple",
        "rt@fellmere.example*",
        "\"rt@fellmere.example,x\"",
        "rt@fellmere.exampl",
        "**e",
        "*f*f*",
    ];
    let signers = ["rt@fellmere.example", "mk@fellmere.example", "rt@site.fellmere.example", "art@fellmere.example"];
    let signed = signers.map(|signer| {
        let signer = signer.parse().unwrap();
        bench.sign(&Statement::new(Facts { signer, ..facts() }).unwrap(), "rt")
    });
    for list in lists {
        for sign_off in &signed {
            let text = format!("{list} {key}\n");
            let accepted = bench.keygen_accepts("UTC0", sign_off, &text, &[]);
            let signer = &sign_off.statement.facts().signer;
            assert_eq!(judge(sign_off, &text).is_good(), accepted, "{list} and {signer}");
        }
    }
}

#[test]
fn lines_are_read_as_ssh_keygen_reads_them() {
    let bench = Bench::new();
    let key = bench.key("rt", "ed25519");
    let sign_off = bench.sign(&Statement::new(facts()).unwrap(), "rt");
    let (kind, base64) = key.split_once(' ').unwrap();
    let files = [
        format!("# a comment\n\n   \t\n  # another\nrt@fellmere.example {key}"),
        format!("rt@fellmere.example\t{kind}\t {base64}\tRT's laptop, \"2026\""),
        format!("  rt@fellmere.example {key}\n"),
        format!("rt@fellmere.example namespaces=\"git,soleplate-sign-off\" {key}\n"),
        format!("rt@fellmere.example NAMESPACES=\"*\" {key}\n"),
        format!("rt@fellmere.example namespaces=\"git\" {key}\n"),
        format!("rt@fellmere.example namespaces=\"*,!soleplate-*\" {key}\n"),
        format!("mk@fellmere.example {KEY}\nrt@fellmere.example {key}\n"),
        format!("rt@fellmere.example {KEY}\n"),
        format!("mk@fellmere.example {key}\n"),
        String::new(),
    ];
    let mut good = 0;
    for file in &files {
        let accepted = bench.keygen_accepts("UTC0", &sign_off, file, &[]);
        assert_eq!(judge(&sign_off, file).is_good(), accepted, "{file}");
        good += usize::from(accepted);
    }
    assert_eq!(good, 6);
}

#[test]
fn a_list_may_have_the_line_ends_of_any_system() {
    let list = allowed(&format!("# who\r\nrt@fellmere.example {KEY} laptop\r\nmk@fellmere.example {KEY}\r\n"));
    assert_eq!(list.entries.len(), 2);
    assert_eq!(list.entries[1].line, 3);
}

fn messages(findings: Vec<Diagnostic>) -> Vec<String> {
    findings.iter().map(Diagnostic::to_string).collect()
}

/// The one finding about a list of one line, without the name of the file.
fn said(line: &str) -> String {
    let found = messages(AllowedSigners::read("a", line.as_bytes()).unwrap_err());
    assert_eq!(found.len(), 1, "{found:?}");
    found[0].strip_prefix("a:").unwrap().replace("error[bad-signers]: ", "")
}

#[test]
fn what_cannot_be_read_is_refused_where_it_stands() {
    let cases = [
        (
            "rt@x cert-authority KEY",
            "1:6: signatures by certificates are not supported, so no authority for them can be allowed",
        ),
        (
            "rt@x namespaces=\"git\",cert-authority KEY",
            "1:23: signatures by certificates are not supported, so no authority for them can be allowed",
        ),
        ("rt@x no-pty KEY", "1:6: `no-pty` is no option of an allowed signer"),
        ("rt@x namespaces=git KEY", "1:6: the value of `namespaces` does not stand in quotes"),
        ("rt@x namespaces=\"git KEY", "1:6: the value of `namespaces` does not stand in quotes"),
        ("rt@x namespaces=\"\" KEY", "1:6: a pattern is empty"),
        ("rt@x namespaces=\"a\",namespaces=\"b\" KEY", "1:21: `namespaces` stands twice"),
        ("rt@x valid-after=\"20260101\",valid-after=\"20260101\" KEY", "1:29: `valid-after` stands twice"),
        ("rt@x namespaces=\"a\", KEY", "1:20: options are separated by commas, and none stands behind the last"),
        (
            "rt@x namespaces=\"a\"valid-after=\"20260101\" KEY",
            "1:20: options are separated by commas, and none stands behind the last",
        ),
        (
            "rt@x valid-after=\"2026-01-01\" KEY",
            "1:6: `2026-01-01` is no time of the form 20261120, 202611200930Z or 20261120093000Z",
        ),
        (
            "rt@x valid-after=\"20260230\" KEY",
            "1:6: `20260230` is no time of the form 20261120, 202611200930Z or 20261120093000Z",
        ),
        (
            "rt@x valid-before=\"202601012400Z\" KEY",
            "1:6: `202601012400Z` is no time of the form 20261120, 202611200930Z or 20261120093000Z",
        ),
        (
            "rt@x valid-before=\"202601010930\" KEY",
            "1:6: `202601010930` would be another time on a machine in another time zone: write it in UTC, with a Z behind it",
        ),
        (
            "rt@x valid-after=\"20260101\",valid-before=\"20260101\" KEY",
            "1:6: `valid-before` is not later than `valid-after`, so that nothing is ever signed with it",
        ),
        ("rt@x", "1:5: a public key is missing here"),
        ("rt@x namespaces=\"a\"", "1:20: a public key is missing here"),
        (
            "rt@x ssh-ed25519",
            "1:6: this public key is damaged or cut off, or is of another kind than the word before it says",
        ),
        (
            "rt@x ssh-ed25519 AAAAC3NzaC1lZDI1NTE5AAAAIF0I",
            "1:18: this public key is damaged or cut off, or is of another kind than the word before it says",
        ),
        (
            "rt@x ssh-rsa AAAAC3NzaC1lZDI1NTE5AAAAIF0IvRcF9u0TuCnQMO1QHAuv2f8Kh3rxFLgHzeVtwtXR",
            "1:14: this public key is damaged or cut off, or is of another kind than the word before it says",
        ),
        ("rt@x ssh-ed25519-cert-v01@openssh.com AAAA", "1:6: certificates are not supported"),
        ("rt@x,, KEY", "1:1: a pattern is empty"),
        ("!rt@x KEY", "1:1: no pattern here says who is meant: `*` stands for everybody"),
        ("\"rt@x KEY", "1:1: the quote that opens the principals is not closed"),
        ("\"rt x\" KEY", "1:2: a space cannot stand in a pattern"),
        (
            "KEY",
            "1:13: `AAAAC3NzaC1lZDI1NTE5AAAAIF0IvRcF9u0TuCnQMO1QHAuv2f8Kh3rxFLgHzeVtwtXR` is no option of an allowed signer",
        ),
        (
            "rt@x KEY \u{202e}",
            "1:87: a character that turns the direction of writing, the character U+202E cannot stand in this file",
        ),
    ];
    for (line, expected) in cases {
        assert_eq!(said(&line.replace("KEY", KEY)), expected, "{line}");
    }
}

#[test]
fn all_mistakes_of_a_list_are_told_at_once_and_nobody_is_allowed() {
    let text = format!("rt@x {KEY}\nmk@x no-pty {KEY}\nab@x\n");
    let found = messages(AllowedSigners::read("list", text.as_bytes()).unwrap_err());
    assert_eq!(
        found,
        [
            "list:2:6: error[bad-signers]: `no-pty` is no option of an allowed signer",
            "list:3:5: error[bad-signers]: a public key is missing here"
        ]
    );
    let merged = format!("<<<<<<< HEAD\nrt@x {KEY}\n=======\n>>>>>>> other\n");
    let found = messages(AllowedSigners::read("list", merged.as_bytes()).unwrap_err());
    assert_eq!(found, ["list:1:1: error[merge-conflict]: a merge left its conflict markers in this file"]);
}

#[test]
fn revoked_keys_are_text_with_one_key_a_line() {
    let said = |bytes: &[u8]| messages(RevokedKeys::read("revoked_keys", bytes).unwrap_err()).join("\n");
    assert_eq!(
        said(b"SSHKRL\n\0\0\0\0\x01rest\xff"),
        "revoked_keys:1:1: error[bad-signers]: this is a binary key revocation list (KRL), which is not supported"
    );
    assert_eq!(
        said(format!("{KEY}\nrt@x {KEY}\nsha256: x\n").as_bytes()),
        "revoked_keys:2:1: error[bad-signers]: `rt@x` is no kind of public key\n\
         revoked_keys:3:1: error[bad-signers]: `sha256:` is no kind of public key"
    );
    assert_eq!(RevokedKeys::read("r", b"# none\n").unwrap(), RevokedKeys::default());
}

#[test]
fn a_list_that_ssh_keygen_made_of_revoked_keys_is_named_as_binary() {
    let bench = Bench::new();
    bench.key("rt", "ed25519");
    assert!(bench.keygen(&["-k", "-f", "krl", "rt.pub"], "").status.success());
    #[expect(clippy::disallowed_methods, reason = "the test looks at what was written")]
    let bytes = std::fs::read(bench.path("krl")).unwrap();
    assert!(RevokedKeys::read("krl", &bytes).unwrap_err()[0].message.contains("KRL"));
}

proptest! {
    #[test]
    fn no_bytes_make_the_lists_panic(bytes in prop::collection::vec(any::<u8>(), 0..200), words in ".{0,60}") {
        let _ = AllowedSigners::read("a", &bytes);
        let _ = RevokedKeys::read("r", &bytes);
        let _ = AllowedSigners::read("a", format!("rt@x {words} {KEY}\n{words}\n").as_bytes());
    }

    #[test]
    fn options_of_any_form_are_read_or_refused(words in "(namespaces|valid-after|x)?(=\"[a-z0-9Z,!\\\\\"*é]{0,9}\"?,?){0,3}") {
        let _ = AllowedSigners::read("a", format!("rt@x {words} {KEY}\n").as_bytes());
    }

    #[test]
    fn a_star_takes_any_characters(before in "[ab]{0,4}", between in "[ab]{0,4}", behind in "[ab]{0,4}") {
        let list = format!("x{before}*{behind}").parse::<PatternList>().unwrap();
        let name = format!("x{before}{between}{behind}");
        prop_assert!(list.matches(&name));
        let shorter = format!("x{before}{behind}");
        prop_assert!(!list.matches(&shorter[1..]), "the first character is wanted");
    }
}
