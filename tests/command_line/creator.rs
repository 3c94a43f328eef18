//! The creator's own ticks, which do not count for the checker where the package demands different people.

use crate::signing::{MANIFEST, Signing};

/// Ticks of `b4.md` under a name.
fn tick(signing: &Signing, lines: &str, by: &str) {
    signing.run(&["review", "depot/b4.md", "--tick", lines, "--by", by, "--date", "2026-11-20"]).expect(0);
}

#[test]
fn the_creators_own_ticks_do_not_count_for_the_checker() {
    let signing = Signing::of("satisfied");
    tick(&signing, "1-3", "K.L.");
    signing.run(&["verify", "depot", "--demand", "checked"]).expect(0);
    signing.sign("kl", "creator", &[]).expect(0);
    signing
        .run(&["verify", "depot", "--demand", "checked"])
        .expect(6)
        .says("    not checked: 3 lines ticked by the creator alone\n");
    signing
        .sign("rt", "checker", &[])
        .expect(2)
        .tells("lines are not ticked: 3 of 3")
        .tells("of these the creator alone has ticked lines 1, 2, 3, which does not count for the checker");
    tick(&signing, "1-2", "R.T.");
    signing
        .sign("rt", "checker", &[])
        .expect(2)
        .tells("lines are not ticked: 1 of 3")
        .tells("of these the creator alone has ticked line 3, which does not count for the checker");
    signing
        .run(&["review", "depot/b4.md"])
        .expect(0)
        .says(
            "2 of the 3 lines that need a tick are ticked, 1 line is to check. Of these 1 is ticked by the creator alone, which does not count",
        )
        .says("Ticked by the creator alone, to be checked by another\n     3  check");
    signing.run(&["render", "depot"]).expect(0);
    let page = signing.folder.read("out/b4.html");
    assert_eq!(page.matches("</i>ticked by the creator alone <span class=\"by\">K.L.</span>").count(), 1);
    assert!(signing.folder.read("out/b4.json").contains("\"by_creator\":1"));
    tick(&signing, "3", "R.T.");
    signing.sign("rt", "checker", &[]).expect(0);
    signing.run(&["verify", "depot", "--demand", "checked"]).expect(0);
}

#[test]
fn a_creator_does_not_come_in_behind_the_checker() {
    let signing = Signing::of("satisfied");
    signing
        .folder
        .write("depot/soleplate.toml", MANIFEST.replace("[sign_off.", "[sign_off]\nin_order = false\n[sign_off."));
    tick(&signing, "1-3", "K.L.");
    // Nobody has signed as creator, and the sheet names none: nothing is known against these ticks.
    signing.sign("rt", "checker", &[]).expect(0);
    signing.sign("kl", "creator", &[]).expect(2).tells(
        "the checker has signed while kl@fellmere.example alone has ticked lines 1, 2, 3: have another tick first",
    );
    tick(&signing, "1-3", "R.T.");
    signing.sign("kl", "creator", &[]).expect(0);
    signing.run(&["verify", "depot", "--demand", "signed"]).expect(0);
}

#[test]
fn the_creator_is_known_by_sheet_manifest_and_earlier_signatures() {
    let signing = Signing::of("satisfied");
    // Named in the sheet, as long as nobody has signed.
    signing.change("depot/b4.md", "revision = ", "creator = \"Kim Lang\"\nrevision = ");
    tick(&signing, "1-3", "K.L.");
    signing.sign("rt", "checker", &[]).expect(2).tells("the creator alone has ticked lines 1, 2, 3");
    // By the manifest these initials are another's.
    let manifest = format!("{MANIFEST}\n[sign_off.initials]\n\"K.L.\" = \"other@fellmere.example\"\n");
    signing.folder.write("depot/soleplate.toml", &manifest);
    signing.change("depot/b4.md", "Kim Lang", "kl@fellmere.example");
    signing.run(&["verify", "depot", "--demand", "checked"]).expect(0);
    signing.folder.write("depot/soleplate.toml", manifest.replace("K.L.", "site 3").replace("other@", "kl@"));
    tick(&signing, "1-3", "site 3");
    signing.run(&["verify", "depot", "--demand", "checked"]).expect(6).says("3 lines ticked by the creator alone");
    signing.folder.write("depot/soleplate.toml", manifest.replace("other@fellmere.example", "two words"));
    signing.run(&["verify", "depot"]).expect(4).tells("under `K.L.` a signer is expected").tells("soleplate.toml:8:10");
    // A change voids the creator's signature, and makes nobody else of the creator.
    signing.folder.write("depot/soleplate.toml", MANIFEST);
    signing.change("depot/b4.md", "creator = \"kl@fellmere.example\"\n", "");
    signing.run(&["review", "depot/b4.md", "--untick", "1-3", "--by", "site 3"]).expect(0);
    signing.sign("kl", "creator", &[]).expect(0);
    signing.change("depot/b4.md", "Nothing real.", "Anything.");
    signing.sign("rt", "checker", &[]).expect(2).tells("the creator alone has ticked lines 1, 2");
}

#[test]
fn the_creators_ticks_count_where_one_person_may_hold_two_roles() {
    let signing = Signing::of("satisfied");
    let manifest = MANIFEST.replace("[sign_off.", "[sign_off]\ndifferent_people = false\n[sign_off.");
    signing.folder.write("depot/soleplate.toml", manifest);
    tick(&signing, "1-3", "K.L.");
    signing.sign("kl", "creator", &[]).expect(0);
    signing.sign("kl", "checker", &[]).expect(0);
    signing.run(&["verify", "depot", "--demand", "signed"]).expect(0);
}

#[test]
fn what_the_creator_closes_of_the_checkers_queries_counts_as_answered() {
    let signing = Signing::of("satisfied");
    let review = |action: &[&str], by: &str| {
        let mut arguments = vec!["review", "depot/b4.md", "--by", by, "--date", "2026-11-20"];
        arguments.extend(action);
        signing.run(&arguments).expect(0)
    };
    tick(&signing, "1-3", "R.T.");
    review(&["--query", "1", "which load case?"], "R.T.");
    signing.sign("kl", "creator", &[]).expect(0);
    review(&["--close", "1", "--remark", "it is fine"], "K.L.");
    signing.sign("rt", "checker", &[]).expect(2).tells("queries are not closed: 1");
    signing.run(&["verify", "depot", "--demand", "answered"]).expect(0);
    signing
        .run(&["verify", "depot", "--demand", "checked"])
        .expect(6)
        .says("not checked: 1 query answered, not closed");
    review(&["--close", "1"], "R.T.");
    signing.sign("rt", "checker", &[]).expect(0);
}
