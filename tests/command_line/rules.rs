//! The rules of sign-off: that they are signed, in which order roles are, and what is found behind a signature.

use crate::signing::{MANIFEST, Signing};

#[test]
fn a_checker_may_be_let_off_ticking_by_the_manifest_alone() {
    let signing = Signing::of("satisfied");
    signing.sign("kl", "creator", &[]).expect(0);
    signing.sign("rt", "checker", &[]).expect(2).tells("lines are not ticked: 3 of 3");
    signing.folder.write(
        "depot/soleplate.toml",
        MANIFEST.replace("[sign_off.", "[sign_off]\nall_lines_ticked = false\n[sign_off."),
    );
    // Who signed under other rules signs again.
    signing.sign("rt", "checker", &[]).expect(2).tells("the creator has not signed it as it is");
    signing.sign("kl", "creator", &[]).expect(0).says("  rules      creator, checker; different people; in order\n");
    signing.sign("rt", "checker", &[]).expect(0);
}

#[test]
fn an_edit_of_the_rules_voids_what_was_signed_and_one_of_people_does_not() {
    let signing = Signing::signed("satisfied");
    let edits = [
        (
            "[sign_off.",
            "[sign_off]\ndifferent_people = false\n[sign_off.",
            "creator, checker; every line ticked; in order",
        ),
        (
            "[sign_off.",
            "[sign_off]\nin_order = false\n[sign_off.",
            "creator, checker; different people; every line ticked",
        ),
        ("checker = [\"*@fellmere.example\"]\n", "", "creator; different people; every line ticked; in order"),
    ];
    for (from, to, now) in edits {
        signing.folder.write("depot/soleplate.toml", MANIFEST.replace(from, to));
        let told = format!(
            "the rules of sign-off changed: it was signed under `creator, checker; different people; every line ticked; in \
             order`; now they are `{now}`"
        );
        let answer = signing.run(&["verify", "depot"]).expect(7).says(&told).says("signature void");
        let answer = answer.tells("1 sheet: 1 satisfied; 1 with a signature that does not count\n");
        assert_eq!(answer.stdout.matches("the rules of sign-off changed").count(), 1, "{answer:#?}");
        signing.run(&["verify", "depot", "--demand", "signed", "--junit", "v.xml"]).expect(7).says("not signed: ");
        let report = signing.folder.read("v.xml");
        assert!(
            report.contains("name=\"every signature counts\"") && report.contains("sign-offs that do not count: 2")
        );
        signing.run(&["render", "depot", "--issue"]).expect(7);
        signing.run(&["render", "depot"]).expect(0);
        assert!(signing.folder.read("out/b4.html").contains("signature void: rules changed"));
    }
    let more = MANIFEST.replace("checker = [", "checker = [\"xx@elsewhere.example\", ");
    signing.folder.write("depot/soleplate.toml", more);
    signing.allow(&["kl", "rt", "xx"], "");
    signing.run(&["verify", "depot", "--demand", "signed"]).expect(0).says("status issued");
    signing.folder.write("depot/soleplate.toml", MANIFEST.replace("checker = [\"*@", "checker = [\"xx@"));
    signing.run(&["verify", "depot"]).expect(7).says("rt@fellmere.example is not among those who may sign as checker");
}

#[test]
fn a_sign_off_in_the_form_without_rules_asks_for_another() {
    let signing = Signing::signed("satisfied");
    let path = signing.sign_off("checker");
    let text = signing.folder.read(&path);
    let (first, rest) = text.split_once('\n').unwrap();
    assert_eq!(first, "soleplate sign-off 2");
    let old: Vec<&str> =
        rest.lines().filter(|line| !line.starts_with("rules: ") && !line.starts_with("after: ")).collect();
    signing.folder.write(&path, format!("soleplate sign-off 1\n{}\n", old.join("\n")));
    signing
        .run(&["verify", "depot"])
        .expect(7)
        .tells("this sign-off was made in an earlier form, which does not cover the rules of sign-off")
        .tells("help: sign again, which replaces it, or take the file out")
        .says("status for review, unchecked");
    signing.run(&["render", "depot", "--issue"]).expect(7);
    signing.run(&["render", "depot"]).expect(0);
    assert!(signing.folder.read("out/b4.html").contains("was made in an earlier form"));
    // The new one stands in its place.
    signing.sign("rt", "checker", &[]).expect(0);
    signing.run(&["verify", "depot", "--demand", "signed"]).expect(0);
}

#[test]
fn roles_are_signed_in_order_each_behind_the_one_before() {
    let signing = Signing::of("satisfied");
    signing.folder.write("depot/soleplate.toml", MANIFEST.to_owned() + "approver = [\"*@fellmere.example\"]\n");
    signing.allow(&["kl", "rt", "xx"], "");
    signing.tick_all();
    signing
        .sign("rt", "checker", &[])
        .expect(2)
        .tells("the creator has not signed it as it is, and the checker signs behind the creator");
    signing
        .sign("xx", "approver", &[])
        .expect(2)
        .tells("the creator has not signed it as it is")
        .tells("the checker has not signed it as it is, and the approver signs behind the checker");
    signing.sign("kl", "creator", &[]).expect(0);
    signing.sign("rt", "checker", &[]).expect(0).says("  behind     kl@fellmere.example as creator\n");
    signing.sign("xx", "approver", &[]).expect(0).says("             rt@fellmere.example as checker\n");
    signing.run(&["verify", "depot", "--demand", "signed"]).expect(0);
    // What is named is the digest of the file, as other programs make it.
    use sha2::Digest;
    let creator = signing.folder.read(&signing.sign_off("creator"));
    let digest: String = sha2::Sha256::digest(&creator).iter().map(|byte| format!("{byte:02x}")).collect();
    for later in ["checker", "approver"] {
        let text = signing.folder.read(&signing.sign_off(later));
        assert!(text.contains(&format!("\nafter: creator kl@fellmere.example {digest}\n")), "{text}");
    }
    // Whoever signs again behind those who rest on it would take it from them.
    let again = ["sign", "depot/b4.md", "--role", "creator", "--as", "kl@fellmere.example", "--key", "kl"];
    signing
        .run(&again)
        .expect(2)
        .tells("since that of xx@fellmere.example as approver would not count beside it")
        .tells("what the creator had signed when it was made counts no more, or was signed anew");
    let path = signing.sign_off("creator");
    std::fs::remove_file(signing.folder.path(&path)).unwrap();
    let answer = signing.run(&["verify", "depot"]).expect(7).says("draft, unchecked");
    let answer = answer.says("the sign-offs of rt@fellmere.example as checker and of xx@fellmere.example as approver");
    answer.says("what the creator had signed when it was made counts no more");
}

#[test]
fn a_day_that_has_not_come_is_refused_and_found() {
    let signing = Signing::signed("satisfied");
    let tomorrow = ["sign", "depot/b4.md", "--role", "checker", "--as", "rt@fellmere.example", "--key", "rt"];
    signing
        .run(&[&tomorrow[..], &["--date", "2026-11-27"]].concat())
        .expect(2)
        .tells("2026-11-27 has come nowhere yet: the latest day is 2026-11-26");
    signing.issue();
    let on = |day: &str, what: &[&str]| {
        let output = signing.folder.command().env("SOLEPLATE_TODAY", day).args(what).output().unwrap();
        (
            output.status.code().unwrap(),
            String::from_utf8(output.stdout).unwrap() + &String::from_utf8(output.stderr).unwrap(),
        )
    };
    let told = "it states that it was signed on 2026-11-20, which has come nowhere yet: the latest day is 2026-11-19";
    for what in [["verify", "depot"], ["verify", "out/b4.html"]] {
        let (code, said) = on("2026-11-19", &what);
        assert_eq!((code, said.matches(told).count()), (7, 1), "{said}");
        assert!(said.contains("status draft, unchecked"), "{said}");
        assert_eq!(on("2026-11-20", &what).0, 0);
    }
    // A page is the same on every day.
    let page = signing.folder.read("out/b4.html");
    assert_eq!(on("2026-11-19", &["render", "depot", "--issue"]).0, 0);
    assert_eq!(signing.folder.read("out/b4.html"), page);
    assert_eq!(on("today", &["verify", "depot"]).0, 2);
}

#[test]
fn a_query_asked_after_signing_is_told_until_it_is_closed() {
    let signing = Signing::signed("satisfied");
    let review = |arguments: &[&str], by: &str| {
        signing.run(&[&["review", "depot/b4.md"], arguments, &["--by", by, "--date", "2026-11-21"]].concat()).expect(0);
    };
    review(&["--query", "1", "which case?"], "R.T.");
    for _ in 0..2 {
        signing.run(&["verify", "depot"]).expect(0).says("status issued, 1 query open");
        signing
            .run(&["verify", "depot", "--demand", "signed"])
            .expect(6)
            .says("    not signed: its status is issued, 1 query open");
        signing
            .run(&["render", "depot", "--issue"])
            .expect(6)
            .tells("depot/b4.md was not issued, since a query is open that was asked after it was signed")
            .tells("1 not issued");
        assert!(!signing.folder.holds("out/b4.html"));
        review(&["--answer", "1", "case 7"], "K.L.");
    }
    signing.run(&["render", "depot"]).expect(0);
    assert!(signing.folder.read("out/b4.html").contains("<b>issued, 1 query open</b>"));
    review(&["--close", "1"], "R.T.");
    signing.run(&["verify", "depot", "--demand", "signed"]).expect(0);
    // A draft that only its creator has signed is asked about as any.
    std::fs::remove_file(signing.folder.path(&signing.sign_off("checker"))).unwrap();
    review(&["--query", "1", "and now?"], "R.T.");
    signing.run(&["render", "depot", "--issue"]).expect(0);
}
