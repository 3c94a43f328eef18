//! Signing calculations, and what becomes of a signature when something changes.

use crate::run::Folder;
use crate::signing::{MANIFEST, Signing};

#[test]
fn a_sheet_that_all_have_signed_is_issued() {
    let signing = Signing::of("satisfied");
    signing.run(&["render", "depot"]).expect(0);
    assert!(signing.folder.read("out/b4.html").contains("<b>draft, unchecked</b>"));
    signing
        .sign("kl", "creator", &[])
        .expect(0)
        .says("  number     FTD-ST-CALC-020, revision P01\n")
        .says("  result     satisfied\n  governs    pull-out, ratio 0.40\n")
        .says("  parts      failure modes\n")
        .says("  date       2026-11-20, as you state it\n")
        .says("Signed: depot/sign-offs/b4.P01.creator.");
    signing.run(&["verify", "depot"]).expect(0).says("status for review, unchecked");
    signing.run(&["verify", "depot", "--demand", "signed"]).expect(6).says("    not signed: its status is for review");
    signing.tick_all();
    signing.sign("rt", "checker", &[]).expect(0);
    signing.run(&["render", "depot"]).expect(0).says("").tells("pages in out");
    let page = signing.folder.read("out/b4.html");
    assert!(page.contains("<b>issued</b>"), "the title block tells it");
    for told in ["rt@fellmere.example <span class=\"key\">SHA256:", "<td>2026-11-20</td>", "</i>signed"] {
        assert!(page.contains(told), "{told}");
    }
    assert!(signing.folder.read("out/index.html").contains("<td class=\"status\">issued</td>"));
    signing.run(&["verify", "depot", "--demand", "signed"]).expect(0);
    signing.run(&["verify", "depot"]).says("signed by rt@fellmere.example as checker, date stated 2026-11-20");
}

#[test]
fn the_json_beside_a_page_says_who_signed_and_what_the_status_is() {
    let signing = Signing::of("satisfied");
    let json = || -> serde_json::Value {
        signing.run(&["render", "depot"]);
        serde_json::from_str(&signing.folder.read("out/b4.json")).unwrap()
    };
    signing.sign("kl", "creator", &[]).expect(0);
    let told = json();
    assert_eq!(told["status"], "for review, unchecked");
    let signed = &told["sign_offs"][0];
    assert_eq!((&signed["role"], &signed["counts"]), (&"creator".into(), &true.into()));
    assert_eq!((&signed["signer"], &signed["date"]), (&"kl@fellmere.example".into(), &"2026-11-20".into()));
    assert!(signed["key"].as_str().is_some_and(|key| key.starts_with("SHA256:")), "{signed}");
    let open = serde_json::json!({ "role": "checker", "state": "not signed yet", "counts": false });
    assert_eq!(told["sign_offs"][1], open);
    signing.change("depot/b4.md", "4 kN", "5 kN");
    let told = json();
    assert_eq!(told["status"], "draft, unchecked, signature void");
    let void = &told["sign_offs"][2];
    assert_eq!((&void["state"], &void["counts"]), (&"signature void: changed since".into(), &false.into()));
    assert!(void["reason"].as_str().is_some_and(|reason| reason.contains("results is another")), "{void}");
    signing.folder.write("depot/soleplate.toml", "title = \"Tram depot\"\n");
    std::fs::remove_dir_all(signing.folder.path("depot/sign-offs")).unwrap();
    let told = json();
    assert_eq!((&told["status"], told.get("sign_offs")), (&"draft, unchecked".into(), None));
}

#[test]
fn the_title_block_tells_who_signed_and_who_is_only_named() {
    let signing = Signing::of("satisfied");
    let field = |role: &str| {
        signing.run(&["render", "depot"]);
        let page = signing.folder.read("out/b4.html");
        let (_, rest) = page.split_once(&format!("<dt>{role}</dt><dd>"))?;
        Some(rest.split("</dd>").next()?.to_owned())
    };
    let aside = |name: &str, remark: &str| Some(format!("{name} <span class=\"aside\">{remark}</span>"));
    assert_eq!(field("Creator"), aside("nobody", "not signed"));
    assert_eq!(field("Checker"), aside("nobody", "not signed"));
    assert_eq!(field("Approver"), Some("not stated".to_owned()));
    let names = "creator = \"Kim Lang\"\napprover = \"A.B.\"\nrevision = ";
    signing.change("depot/b4.md", "revision = ", names);
    assert_eq!(field("Creator"), aside("Kim Lang", "named, not signed"));
    assert_eq!(field("Approver"), aside("A.B.", "named"), "the package demands none");
    signing.sign("kl", "creator", &[]).expect(0);
    assert_eq!(field("Creator"), aside("kl@fellmere.example", "signed, date stated 2026-11-20"));
    signing.tick_all();
    signing.sign("rt", "checker", &[]).expect(0);
    assert_eq!(field("Checker"), aside("rt@fellmere.example", "signed, date stated 2026-11-20"));
    signing.run(&["verify", "depot"]).expect(0);
    // Who signs although the sheet names another is told so, before and ever after.
    std::fs::remove_dir_all(signing.folder.path("depot/sign-offs")).unwrap();
    signing.sign("rt", "creator", &[]).expect(0).says("             but the sheet names Kim Lang as creator\n");
    let told = "the sheet names another as creator than the one who has signed";
    signing.run(&["verify", "depot"]).expect(0).says(told);
    let creator = field("Creator").unwrap();
    assert!(creator.contains("<span class=\"contradiction\">the sheet names Kim Lang</span>"), "{creator}");
    // A package without roles has names alone.
    signing.folder.write("depot/soleplate.toml", "title = \"Tram depot\"\n");
    assert_eq!((field("Creator"), field("Checker")), (aside("Kim Lang", "named"), None));
}

#[test]
fn a_package_without_roles_says_so_on_its_pages() {
    let signing = Signing::of("satisfied");
    signing.run(&["render", "depot"]).expect(0);
    let page = signing.folder.read("out/b4.html");
    assert_eq!((page.matches("not signed yet").count(), page.matches("names no roles").count()), (2, 0));
    signing.folder.write("depot/soleplate.toml", "title = \"Tram depot\"\n");
    signing.run(&["render", "depot"]).expect(0);
    let page = signing.folder.read("out/b4.html");
    assert_eq!((page.matches("not signed yet").count(), page.matches("The package names no roles").count()), (0, 1));
    assert!(page.contains("<b>draft, unchecked</b>"));
}

#[test]
fn what_stands_in_the_way_is_told_at_once() {
    let signing = Signing::of("satisfied");
    signing.sign("kl", "creator", &[]).expect(0);
    signing.run(&["review", "depot/b4.md", "--query", "1", "which case?", "--by", "R.T."]).expect(0);
    signing
        .sign("kl", "checker", &[])
        .expect(2)
        .tells("depot/b4.md cannot be signed by kl@fellmere.example as checker")
        .tells("queries are not closed: 1")
        .tells("lines are not ticked: 3 of 3")
        .tells("kl@fellmere.example has signed as creator already, and the checker must be another person");
    signing.sign("rt", "approver", &[]).expect(2).tells("this package has no approver");
    signing.change("depot/soleplate.toml", "creator = [\"*@", "creator = [\"kl@");
    signing
        .sign("rt", "creator", &[])
        .expect(2)
        .tells("rt@fellmere.example is not among those who may sign as creator");
    assert_eq!(signing.sign_offs().len(), 1, "nothing but the first sign-off was written");
}

#[test]
fn inherited_values_are_confirmed_before_anybody_signs() {
    let signing = Signing::of("satisfied");
    signing.run(&["new", "depot/b5.md", "--from", "depot/b4.md"]).expect(0);
    let arguments = ["sign", "depot/b5.md", "--role", "creator", "--as", "kl@fellmere.example", "--key", "kl"];
    signing.run(&arguments).expect(2).tells("inherited values are not confirmed: 2");
}

#[test]
fn only_a_sheet_with_a_result_is_signed() {
    Signing::of("errors").sign("kl", "creator", &[]).expect(4).tells("nothing was signed: first put the errors right");
    let signing = Signing::of("not-valid");
    signing.sign("kl", "creator", &["--although-not-satisfied"]).expect(2).tells("the calculation is not valid");
    let signing = Signing::of("not-satisfied");
    signing.sign("kl", "creator", &[]).expect(2).tells("`--although-not-satisfied` signs it as such");
    signing.sign("kl", "creator", &["--although-not-satisfied"]).expect(0).says("a check is not satisfied");
    assert!(signing.folder.read(&signing.sign_off("creator")).contains("\npart: verdict not satisfied "));
}

#[test]
fn the_lines_that_signing_lacks_are_told_to_be_pasted() {
    let signing = Signing::of("satisfied");
    std::fs::remove_file(signing.folder.path("depot/allowed_signers")).unwrap();
    signing.folder.write("depot/soleplate.toml", "title = \"Tram depot\"\n");
    // What is told is put in as it stands, until nothing is lacking.
    let pasted = |answer: crate::signing::Answer| {
        let (_, rest) = answer.stderr.split_once(":\n\n").unwrap_or_else(|| panic!("{answer:#?}"));
        rest.trim_end().to_owned() + "\n"
    };
    let answer = signing.sign("kl", "creator", &[]).expect(2).tells("help: add to the end of depot/soleplate.toml");
    let roles = pasted(answer);
    assert_eq!(roles, "[sign_off.roles]\ncreator = [\"kl@fellmere.example\"]\nchecker = [\"name@example.invalid\"]\n");
    signing.folder.write("depot/soleplate.toml", format!("title = \"Tram depot\"\n\n{roles}"));
    let answer =
        signing.sign("kl", "creator", &[]).expect(2).tells("add to depot/allowed_signers:\n\nkl@fellmere.example");
    signing.folder.write("depot/allowed_signers", pasted(answer));
    signing.sign("kl", "creator", &[]).expect(0);
    let answer = signing.sign("kl", "approver", &[]).expect(2).tells("this package has no approver");
    assert_eq!(pasted(answer), "approver = [\"kl@fellmere.example\"]\n");
}

#[test]
fn a_key_that_does_not_count_leaves_no_sign_off() {
    let signing = Signing::of("satisfied");
    signing
        .sign("xx", "creator", &[])
        .expect(2)
        .tells("is not among the allowed signers")
        .tells("depot/allowed_signers");
    let borrowed = ["sign", "depot/b4.md", "--role", "creator", "--as", "kl@fellmere.example", "--key", "rt"];
    signing.run(&borrowed).expect(2).tells("names kl@fellmere.example as the signer, but the key");
    assert!(!signing.folder.holds("depot/sign-offs"));
}

#[test]
fn the_private_key_appears_nowhere() {
    let signing = Signing::signed("satisfied");
    let page = signing.issue();
    let answer = signing.sign("rt", "checker", &[]).expect(0);
    let key = signing.folder.read("rt");
    let sign_off = signing.folder.read(&signing.sign_off("checker"));
    for secret in key.lines().skip(3).filter(|line| !line.starts_with('-')) {
        for text in [&page, &answer.stdout, &answer.stderr, &sign_off] {
            assert!(!text.contains(secret));
        }
    }
}

#[test]
fn a_change_voids_signatures_and_names_what_changed_until_it_is_undone() {
    let signing = Signing::signed("satisfied");
    let changes = [
        ("depot/b4.md", "4 kN", "5 kN", "results is another, sheet b4.md is another"),
        ("depot/b4.md", "Nothing real.", "Anything.", "since it was signed: sheet b4.md is another"),
        ("depot/soleplate.toml", "Tram depot", "Bus depot", "since it was signed: settings is another"),
        ("depot/b4.md", "CALC-020", "CALC-021", "it was signed when the number was `FTD-ST-CALC-020`; now it is"),
        ("depot/b4.md", "4 kN", "12 kN", "verdict not satisfied has come in, verdict satisfied is gone"),
    ];
    for (path, from, to, told) in changes {
        signing.change(path, from, to);
        let answer = signing.run(&["verify", "depot"]).expect(7).says("do not count: ").says(told);
        assert_eq!(answer.stdout.matches("do not count").count(), 1, "the reason stands once: {answer:#?}");
        signing.run(&["render", "depot"]);
        let page = signing.folder.read("out/b4.html");
        assert!(page.contains("signature void"), "{told}");
        assert!(page.contains("<b>draft, unchecked, signature void</b>"), "{told}");
        signing.change(path, to, from);
        // The same content is the same promise, whatever happened in between.
        signing.run(&["verify", "depot"]).expect(0);
        signing.run(&["render", "depot"]).expect(0);
        assert!(signing.folder.read("out/b4.html").contains("<b>issued</b>"), "{told}");
    }
}

#[test]
fn what_was_signed_for_another_revision_is_history() {
    let signing = Signing::signed("satisfied");
    signing.change("depot/b4.md", "P01", "P02");
    signing.change("depot/b4.md", "4 kN", "5 kN");
    signing
        .run(&["verify", "depot"])
        .expect(0)
        .says("signed by rt@fellmere.example as checker for revision P01")
        .says("status draft, unchecked\n");
    signing.run(&["verify", "depot", "--demand", "signed"]).expect(6);
    signing.run(&["render", "depot"]).expect(0);
    let page = signing.folder.read("out/b4.html");
    assert!(page.contains("of another revision") && page.contains("<b>draft, unchecked</b>"));
}

#[test]
fn line_ends_and_marks_void_no_signature() {
    let signing = Signing::signed("satisfied");
    let text = signing.folder.read("depot/b4.md");
    signing.folder.write("depot/b4.md", text.replace('\n', "\r\n"));
    signing.run(&["verify", "depot"]).expect(0).says("status issued");
    signing.run(&["review", "depot/b4.md", "--untick", "1", "--by", "R.T."]).expect(0);
    signing.run(&["verify", "depot"]).expect(0).says("status issued\n");
}

#[test]
fn sign_offs_of_another_sheet_or_revision_count_for_nothing() {
    let signing = Signing::signed("satisfied");
    let sign_off = signing.folder.read(&signing.sign_off("checker"));
    let sheet = signing.folder.read("depot/b4.md");
    signing.folder.write("depot/b5.md", &sheet).write("depot/sign-offs/b5.P01.checker.000000000000.sig", &sign_off);
    signing.run(&["verify", "depot"]).says("depot/b5.md: the sign-off of rt@fellmere.example as checker does not count: it was signed for another sheet, b4.md");
    signing.folder.write("depot/sign-offs/lost.P01.checker.000000000000.sig", &sign_off);
    signing
        .run(&["verify", "depot"])
        .tells("this sign-off lies under the name of no sheet")
        .tells("it was signed for `b4.md`\n");
}

#[test]
fn a_sheet_that_was_renamed_is_named_with_what_to_do() {
    let signing = Signing::signed("satisfied");
    let rename = |from: &str, to: &str| std::fs::rename(signing.folder.path(from), signing.folder.path(to)).unwrap();
    rename("depot/b4.md", "depot/bracket.md");
    let told = |how: &str| {
        signing
            .run(&["verify", "depot"])
            .expect(0)
            .tells("this sign-off lies under the name of no sheet")
            .tells(&format!("it was signed for `b4.md`, which is not here; `bracket.md` {how}"))
            .tells("a signature names its sheet: call `bracket.md` `b4.md` again, or have it signed anew under its new name")
            .tells("then delete this file");
    };
    told("has its text");
    let text = signing.folder.read("depot/bracket.md");
    signing.change("depot/bracket.md", "4 kN", "5 kN");
    told("bears its number, FTD-ST-CALC-020");
    signing.folder.write("depot/bracket.md", text.replace("CALC-020", "CALC-021"));
    signing.run(&["verify", "depot"]).tells("it was signed for `b4.md`, which is not here\n");
    signing.folder.write("depot/bracket.md", &text);
    rename("depot/bracket.md", "depot/b4.md");
    let answer = signing.run(&["verify", "depot", "--demand", "signed"]).expect(0);
    assert!(!answer.stderr.contains("under the name of no sheet"), "{answer:#?}");
}

#[test]
fn keys_that_are_revoked_expired_or_gone_count_for_nothing() {
    let signing = Signing::signed("satisfied");
    signing.folder.write("depot/revoked_keys", signing.folder.read("rt.pub"));
    signing.run(&["render", "depot"]).says("is revoked: whatever it signed counts no more").says("status for review");
    assert!(signing.folder.read("out/b4.html").contains("key revoked"));
    std::fs::remove_file(signing.folder.path("depot/revoked_keys")).unwrap();
    signing.allow(&["kl", "rt"], "valid-before=\"20261101\"");
    signing.run(&["render", "depot"]).says("but the key is accepted until the start of 2026-11-01");
    assert!(signing.folder.read("out/b4.html").contains("key expired"));
    signing.allow(&["kl"], "");
    signing.run(&["render", "depot"]).says("is not among the allowed signers").says("status for review, unchecked");
    assert!(signing.folder.read("out/b4.html").contains("unknown key"));
}

#[test]
fn a_sign_off_changed_by_hand_counts_for_nothing() {
    let signing = Signing::signed("satisfied");
    let path = signing.sign_off("checker");
    let text = signing.folder.read(&path);
    let in_words =
        [("role: checker", "role: creator"), ("date: 2026-11-20", "date: 2026-11-19"), ("Bracket", "Bracked")];
    for (from, to) in in_words {
        signing.folder.write(&path, text.replacen(from, to, 1));
        let answer = signing.run(&["verify", "depot"]).expect(7).says("does not belong to this text");
        answer.says("status for review, unchecked");
    }
    for broken in
        [text.replace("role: ", "role:  "), text[..text.len() / 2].to_owned(), String::new(), format!("{text}\n")]
    {
        signing.folder.write(&path, broken);
        signing.run(&["render", "depot"]).expect(0).tells("warning[bad-sign-off]");
        assert!(signing.folder.read("out/b4.html").contains("is no sign-off and counts for nothing"));
    }
}

#[test]
fn a_superseded_sheet_says_by_what_and_keeps_its_signatures() {
    let signing = Signing::signed("satisfied");
    signing
        .folder
        .write("depot/soleplate.toml", format!("{MANIFEST}\n[superseded]\n\"b4.md\" = \"FTD-ST-CALC-031\"\n"));
    signing.run(&["verify", "depot"]).expect(0).says("status superseded by FTD-ST-CALC-031").says("signed by rt@");
    signing.sign("rt", "checker", &[]).expect(2).tells("the calculation is superseded by FTD-ST-CALC-031");
    signing.folder.write("depot/soleplate.toml", format!("{MANIFEST}\n[superseded]\n\"b5.md\" = \"031\"\n"));
    signing.run(&["verify", "depot"]).tells("soleplate.toml:8:1").tells("`b5.md` is no sheet of this package");
}

#[test]
fn mistakes_in_the_lists_of_signers_are_told_with_their_place() {
    let signing = Signing::of("satisfied");
    signing.folder.write("depot/allowed_signers", "# people\nkl@fellmere.example ssh-ed25519 AAAA\n");
    signing.run(&["verify", "depot"]).expect(4).tells("error[bad-signers]").tells("--> depot/allowed_signers:2:");
    signing.folder.write("depot/soleplate.toml", "title = \"T\"\n[sign_off]\nallowed_signers = \"keys/people\"\n");
    signing.run(&["verify", "depot"]).expect(4).tells("`keys/people` cannot be read").tells("depot/soleplate.toml:3:1");
    signing.folder.write("depot/soleplate.toml", "[sign_off]\nallowed_signers = \"../kl.pub\"\n");
    signing.run(&["verify", "depot"]).expect(4).tells("`../kl.pub` leads outside the package");
    signing.folder.write("depot/soleplate.toml", "[sign_off.roles]\nchekker = [\"*\"]\n");
    signing.run(&["verify", "depot"]).expect(4).tells("depot/soleplate.toml:2:1");
}

#[test]
fn the_status_is_not_typed() {
    let signing = Signing::of("satisfied");
    signing.change("depot/b4.md", "revision = ", "status = \"issued\"\nrevision = ");
    signing.run(&["render", "depot"]).expect(0).tells("`status` is not typed").tells("depot/b4.md:4:1");
    assert!(signing.folder.read("out/b4.html").contains("<b>draft, unchecked</b>"));
}

#[test]
fn what_cannot_be_signed_is_explained() {
    let folder = Folder::empty();
    folder.write("b4.md", crate::run::sheet_that_is("satisfied"));
    let folder = folder
        .arguments(["sign", "b4.md", "--role", "checker", "--as", "rt@fellmere.example", "--key", "rt"])
        .tells("this sheet belongs to no package")
        .exit(2);
    folder
        .arguments(["sign", "b4.md", "--role", "chief", "--as", "rt@fellmere.example", "--key", "rt"])
        .tells("`chief` is no role: creator, checker or approver")
        .exit(2);
}
