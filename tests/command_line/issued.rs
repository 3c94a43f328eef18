//! Issued pages: whether the page alone shows that it is what it was, whatever somebody changed in it.

use crate::run::{Folder, head};
use crate::signing::{MANIFEST, Signing};
use soleplate::issue::{Kind, Source, Sources, carried, carry, results};
use soleplate::package::{Disk, Package};

#[test]
fn a_page_proves_itself_without_its_package() {
    let signing = Signing::signed("satisfied");
    let page = signing.issue();
    assert!(page.contains("This page carries everything it was made of: "));
    let alone = Folder::empty();
    alone.write("b4.html", &page);
    alone
        .arguments(["verify", "b4.html"])
        .says("b4.html: every byte is as its sources give it\n")
        .says("b4.html: as checker, signed by rt@fellmere.example with the key SHA256:")
        .says("whose keys these are, the page says itself")
        .says("b4.html: status issued; satisfied\n")
        .exit(0);
}

#[test]
fn the_outcome_of_an_issued_page_is_that_of_its_calculation() {
    let signing = Signing::signed("not-satisfied");
    signing.issue();
    signing.run(&["verify", "out/b4.html"]).expect(1).says("status issued; not satisfied");
}

#[test]
fn a_page_without_sources_cannot_be_verified() {
    let signing = Signing::signed("satisfied");
    signing.run(&["render", "depot"]).expect(0);
    let answer = signing.run(&["verify", "out/b4.html"]).expect(4);
    answer.tells("it does not carry what it was made of").tells("`soleplate render --issue`");
}

/// Every character of the page counts: a sample of all places, and of the digits that a reader sees.
#[test]
fn a_change_anywhere_is_found() {
    let signing = Signing::signed("satisfied");
    let page = signing.issue();
    let shown = page.find("<body>").unwrap()..page.find("<template").unwrap();
    let bytes = page.as_bytes();
    let digits = shown.clone().filter(|at| bytes[*at].is_ascii_digit()).step_by(3);
    let places: Vec<usize> = digits.chain((0..page.len()).step_by(page.len() / 80)).chain([page.len() - 1]).collect();
    assert!(places.len() > 150, "{}", places.len());
    let mut arguments = vec!["verify".to_owned()];
    for (at, place) in places.iter().enumerate() {
        let mut changed = bytes.to_vec();
        changed[*place] = if changed[*place] == b'7' { b'1' } else { b'7' };
        signing.folder.write(&format!("pages/{at}.html"), changed);
        arguments.push(format!("pages/{at}.html"));
    }
    for (name, text) in [("longer", format!("{page}\n")), ("shorter", page[..page.len() - 1].to_owned())] {
        signing.folder.write(&format!("pages/{name}.html"), text);
        arguments.push(format!("pages/{name}.html"));
    }
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let answer = signing.run(&arguments).expect(4);
    for name in &arguments[1..] {
        assert!(answer.stderr.contains(&format!("error: {name}")), "{name} passed");
    }
}

#[test]
fn the_first_line_that_differs_is_shown_with_both_texts() {
    let signing = Signing::signed("satisfied");
    let page = signing.issue();
    let line = 1 + page[..page.find("ratio 0.40").unwrap()].matches('\n').count();
    signing.folder.write("out/b4.html", page.replacen("ratio 0.40", "ratio 0.30", 1));
    let answer = signing.run(&["verify", "out/b4.html"]).expect(4);
    let answer = answer.tells(&format!("out/b4.html: line {line} is not what the page was made of gives"));
    answer.tells("ratio 0.30").tells("ratio 0.40");
}

/// The page with other sources in it.
fn with_sources(page: &str, change: impl Fn(&mut Sources)) -> String {
    let mut sources = carried(page.as_bytes()).unwrap();
    change(&mut sources);
    let (before, rest) = page.split_once("<template").unwrap();
    let (_, after) = rest.split_once("</template>\n").unwrap();
    carry(&format!("{before}{after}"), &sources)
}

fn edit(sources: &mut Sources, kind: Kind, name: &str, from: &str, to: &str) {
    let bytes = sources.files.get_mut(&Source { kind, name: name.to_owned() }).unwrap();
    let text = String::from_utf8(bytes.clone()).unwrap();
    assert!(text.contains(from), "{from}");
    *bytes = text.replacen(from, to, 1).into_bytes();
}

#[test]
fn changed_sources_do_not_give_the_page() {
    let signing = Signing::signed("satisfied");
    let page = signing.issue();
    assert_eq!(with_sources(&page, |_| {}), page);
    let sheet = with_sources(&page, |sources| edit(sources, Kind::Package, "b4.md", "4 kN", "3 kN"));
    signing.folder.write("out/sheet.html", sheet);
    let answer = signing.run(&["verify", "out/sheet.html"]).expect(4).tells("is not what the page was made of gives");
    assert_eq!(
        answer.stdout, "out/sheet.html: false: this is not the page that was issued\n",
        "nothing else is said of it"
    );
    let answer = answer.tells("a result is another").tells("issued: N_Ed: ").tells("now:    N_Ed: ");
    let answer = answer.tells("do not count: what decides the result has changed");
    assert_eq!(answer.stderr.matches("what decides the result has changed").count(), 1, "{answer:#?}");
    let stripped = with_sources(&page, |sources| {
        sources.files.retain(|source, _| !source.name.contains(".checker."));
    });
    signing.folder.write("out/stripped.html", stripped);
    let answer =
        signing.run(&["verify", "out/stripped.html"]).expect(4).tells("is not what the page was made of gives");
    assert!(!answer.stdout.contains("signed by"), "{answer:#?}");
}

#[test]
fn a_forger_who_makes_the_whole_page_anew_has_no_signature() {
    let signing = Signing::signed("satisfied");
    let page = signing.issue();
    // The program issues no such page; a forger's has what it would show, under the name of another version.
    signing.change("depot/b4.md", "4 kN", "3 kN");
    let (package, _) = Package::open(Box::new(Disk::new(signing.folder.path("depot")))).unwrap();
    let now = results(&package.build("b4.md").trace.unwrap());
    let forged = with_sources(&page, |sources| {
        "soleplate 0.0.9".clone_into(&mut sources.program);
        edit(sources, Kind::Package, "b4.md", "4 kN", "3 kN");
        let kept = sources.files.iter_mut().find(|(source, _)| source.kind == Kind::Results).unwrap();
        *kept.1 = now.clone().into_bytes();
    });
    signing.folder.write("out/b4.html", forged);
    let answer = signing.run(&["verify", "out/b4.html"]).expect(7).says("all results are the same");
    answer.tells("do not count: what decides the result has changed since it was signed");
}

#[test]
fn keys_that_a_forger_lists_are_found_by_a_list_of_ones_own() {
    let signing = Signing::of("satisfied");
    signing.folder.write("own", signing.list(&["kl", "rt"], ""));
    // Somebody gives a key of their own the name of another.
    signing.folder.write("depot/allowed_signers", signing.list(&["xx"], "").replace("xx@", "rt@"));
    let forged = ["sign", "depot/b4.md", "--role", "creator", "--as", "rt@fellmere.example", "--key", "xx"];
    signing.run(&forged).expect(0);
    signing.issue();
    signing.run(&["verify", "out/b4.html"]).expect(0).says("compare them, or use --allowed-signers");
    let answer = signing.run(&["verify", "out/b4.html", "--allowed-signers", "own"]).expect(7);
    answer.tells("is not among the allowed signers").says("status draft, unchecked");
}

#[test]
fn ones_own_lists_accept_and_revoke() {
    let signing = Signing::signed("satisfied");
    signing.issue();
    signing.folder.write("own", signing.list(&["kl", "rt"], "")).write("gone", signing.folder.read("rt.pub"));
    let own = ["verify", "out/b4.html", "--allowed-signers", "own"];
    signing.run(&own).expect(0).says("was judged by your own list").says("status issued");
    let revoked = ["verify", "out/b4.html", "--allowed-signers", "own", "--revoked-keys", "gone"];
    signing.run(&revoked).expect(7).tells("is revoked");
    signing.folder.write("own", "nonsense\n");
    signing.run(&own).expect(5).tells("own:1:");
    signing.run(&["verify", "depot", "--allowed-signers", "own"]).tells("own:1:");
}

#[test]
fn a_clause_in_the_name_of_the_library_is_held_against_it() {
    let clause = "```clause\nuse en-1992-4/hole-in-fixture for each d_f of [14 mm] with d = 12 mm, gap_filled = no\n    \
                  gives is_effective as carry_shear\n```\n";
    let signing = Signing::of("satisfied");
    signing.folder.write("depot/b4.md", crate::run::sheet("4 kN") + "\n" + clause);
    let page = signing.issue();
    signing.run(&["verify", "out/b4.html"]).expect(0);
    let name = "en-1992-4/hole-in-fixture.md";
    let forged = with_sources(&page, |sources| edit(sources, Kind::Shipped, name, "scope = \"", "scope = \"Always. "));
    signing.folder.write("out/forged.html", forged);
    signing.run(&["verify", "out/forged.html"]).expect(4).tells(
        "it carries `en-1992-4/hole-in-fixture.md` in the name of the library, but this program ships another text",
    );
}

#[test]
fn a_page_of_another_version_is_compared_result_by_result() {
    let signing = Signing::signed("satisfied");
    let page = signing.issue();
    let older = with_sources(&page, |sources| "soleplate 0.0.9".clone_into(&mut sources.program));
    signing.folder.write("out/older.html", &older);
    signing
        .run(&["verify", "out/older.html"])
        .expect(0)
        .says("issued by soleplate 0.0.9, run anew by soleplate ")
        .says("all results are the same")
        .says("status issued; satisfied");
    let other = with_sources(&older, |sources| edit(sources, Kind::Results, "b4.md", "ratio 0.40", "ratio 0.41"));
    signing.folder.write("out/other.html", other);
    let answer = signing.run(&["verify", "out/other.html"]).expect(4);
    answer.tells("a result is another").tells("ratio 0.41").tells("ratio 0.40").says("and results differ");
}

#[test]
fn no_text_of_a_sheet_breaks_out_of_the_page() {
    let hostile = "</template></script><!-- <script>alert(1)</script>";
    let signing = Signing::of("satisfied");
    let sheet =
        head(&hostile.replace('\"', "")) + &format!("`{hostile}`\n\n```given\nx = 1 \"{hostile}\" @ {hostile}\n```\n");
    signing.folder.write("depot/b4.md", sheet).write("depot/clauses/own/c.md", hostile);
    signing.run(&["render", "depot/b4.md", "--issue"]).expect(0);
    let page = signing.folder.read("out/b4.html");
    assert_eq!(page.matches("<template").count(), 1);
    assert_eq!(page.matches("</template").count(), 1);
    assert!(!page.contains("<script") && !page.contains("<!--"));
    signing.run(&["verify", "out/b4.html"]).expect(0);
}

#[test]
fn a_report_is_not_passed_over_where_it_cannot_be_made() {
    let signing = Signing::signed("satisfied");
    signing.issue();
    signing
        .run(&["verify", "out/b4.html", "--junit", "report.xml"])
        .expect(2)
        .tells("`--junit` is for packages and sheets, not for issued pages");
}

#[test]
fn the_reader_demands_of_a_page_what_its_package_may_not() {
    let signing = Signing::of("satisfied");
    signing.folder.write("own", signing.list(&["kl", "rt"], ""));
    let demand = |what: &[&str]| {
        let demands = what.iter().flat_map(|what| ["--demand", what]);
        let arguments: Vec<&str> =
            ["verify", "out/b4.html", "--allowed-signers", "own"].into_iter().chain(demands).collect();
        signing.run(&arguments)
    };
    signing.issue();
    demand(&[]).expect(0).says("nobody has signed it");
    demand(&["signed"]).expect(6).says("out/b4.html: not signed: its status is draft, unchecked\n");
    demand(&["checked"]).expect(6).says("not checked: nothing is ticked");
    demand(&["answered"]).expect(0);
    demand(&["different-people"]).expect(6).says("not different-people: fewer than two roles are signed for");
    signing.sign("kl", "creator", &[]).expect(0);
    signing.tick_all();
    signing.sign("rt", "checker", &[]).expect(0);
    signing.issue();
    demand(&["signed", "checked", "creator", "checker", "different-people"]).expect(0).says(
        "out/b4.html: the rules that were signed: creator, checker; different people; every line ticked; in order\n",
    );
    demand(&["creator=kl@*", "checker=*@fellmere.example,!kl@*"]).expect(0);
    demand(&["approver"]).expect(6).says("out/b4.html: not approver: nobody has signed it as approver, as it is\n");
    demand(&["checker=ab@*"]).expect(6).says("not checker=ab@*: it is signed as checker by rt@fellmere.example\n");
    demand(&["chief"])
        .expect(2)
        .tells("checked, answered, usable, signed, creator, checker, approver and different-people");
    demand(&["signed=rt@*"]).expect(2).tells("nobody is named behind `signed`, only behind a role");
    // The same of a package, against an edit of its rules.
    let of_package = ["verify", "depot", "--demand", "creator", "--demand", "checker", "--demand", "different-people"];
    signing.run(&of_package).expect(0);
    signing.folder.write("own", signing.list(&["rt"], ""));
    demand(&["creator"]).expect(7).tells("is not among the allowed signers").says("not creator: nobody has signed it");
}

#[test]
fn one_person_in_two_roles_is_found_where_the_package_lets_them() {
    let signing = Signing::of("satisfied");
    let lenient = MANIFEST.replace("[sign_off.", "[sign_off]\ndifferent_people = false\n[sign_off.");
    signing.folder.write("depot/soleplate.toml", lenient);
    // One key that is listed under two names.
    let list = signing.list(&["kl"], "") + &signing.list(&["kl"], "").replace("kl@", "rt@");
    signing.folder.write("depot/allowed_signers", list);
    signing.tick_all();
    let names = [
        ("kl@fellmere.example", "kl@fellmere.example has signed as creator and as checker"),
        (
            "rt@fellmere.example",
            "kl@fellmere.example, who has signed as creator, and rt@fellmere.example, who has signed as checker, use the same keys",
        ),
    ];
    for (checker, told) in names {
        signing.sign("kl", "creator", &[]).expect(0);
        signing.run(&["sign", "depot/b4.md", "--role", "checker", "--as", checker, "--key", "kl"]).expect(0);
        signing.issue();
        let own = ["--allowed-signers", "depot/allowed_signers"];
        signing.run(&[&["verify", "out/b4.html", "--demand", "signed"], &own[..]].concat()).expect(0);
        // Keys that the page lists itself prove nothing of who holds a role.
        let answer = signing.run(&["verify", "out/b4.html", "--demand", "signed"]).expect(6);
        answer.says(
            "not signed: whose keys these are, only the page says; give your own list with --allowed-signers FILE\n",
        );
        for path in ["out/b4.html", "depot"] {
            let answer = signing.run(&["verify", path, "--demand", "signed", "--demand", "different-people"]).expect(6);
            answer.says(&format!("not different-people: {told}\n"));
        }
        std::fs::remove_dir_all(signing.folder.path("depot/sign-offs")).unwrap();
    }
}

#[test]
fn hostile_sources_end_in_an_error() {
    let signing = Signing::signed("satisfied");
    let page = signing.issue();
    type Change = fn(&mut Sources);
    let cases: [(&str, Change); 3] = [
        ("no-sheet", |sources| sources.files.retain(|source, _| source.name != "b4.md")),
        ("elsewhere", |sources| "../../b4.md".clone_into(&mut sources.sheet)),
        ("broken", |sources| edit(sources, Kind::Package, "b4.md", "```verify", "```nonsense")),
    ];
    for (name, change) in cases {
        signing.folder.write(&format!("out/{name}.html"), with_sources(&page, change));
        signing
            .run(&["verify", &format!("out/{name}.html")])
            .expect(4)
            .tells("is false: what it carries cannot be built");
    }
    signing.folder.write("out/empty.html", "");
    signing.run(&["verify", "out/empty.html"]).expect(4).tells("cannot be verified");
    signing.run(&["verify", "out/missing.html"]).expect(5);
}

#[test]
fn a_page_whose_signature_does_not_count_is_not_issued() {
    let signing = Signing::signed("satisfied");
    let page = signing.issue();
    signing.folder.write("depot/b5.md", head("Other").replace("020", "021") + "```given\nx = 1\n```\n");
    signing.change("depot/b4.md", "4 kN", "5 kN");
    signing
        .run(&["render", "depot", "--issue"])
        .expect(7)
        .says("do not count: what decides the result has changed")
        .tells("error: depot/b4.md was not issued, since what is signed does not count: sign-offs/b4.P01.c")
        .tells("have it signed anew, or take these files out of the package\nan earlier page of it is left in out/b4.html: ")
        .tells("2 sheets: 1 satisfied, 1 not issued; ");
    assert_eq!(signing.folder.read("out/b4.html"), page, "what was issued stays");
    assert!(signing.folder.holds("out/b5.html"), "a draft that nobody has signed is issued as one");
    assert!(!signing.folder.read("out/index.html").contains("href=\"b4.html\""));
    // Signed for another revision in every role, it is issued again; what was signed before is history.
    signing.change("depot/b4.md", "P01", "P02");
    signing.run(&["render", "depot", "--issue"]).expect(0);
    assert!(
        signing.folder.read("out/b4.html").contains("<b>draft, unchecked</b>"),
        "what claims nothing voids nothing"
    );
    signing.sign("kl", "creator", &[]).expect(0);
    signing.tick_all();
    signing.sign("rt", "checker", &[]).expect(0);
    signing.run(&["render", "depot", "--issue"]).expect(0);
    signing
        .run(&["verify", "out/b4.html"])
        .expect(0)
        .says("for revision P01 signed by rt@fellmere.example as checker")
        .says("status issued; satisfied");
    signing.run(&["verify", "depot"]).says("depot/b4.md: status issued\n");
    assert!(signing.folder.read("out/b4.html").contains("of another revision"));
    // A file that is no sign-off is no history.
    signing.folder.write("depot/sign-offs/b4.P02.checker.000000000000.sig", "spoilt");
    signing.run(&["render", "depot", "--issue"]).expect(7).tells("does not count: sign-offs/b4.P02.checker.0000");
    // Without --issue pages are drafts for those at work, and show what does not count.
    signing.run(&["render", "depot"]).expect(0);
}

#[test]
fn a_false_page_and_a_void_signature_end_differently() {
    let signing = Signing::signed("not-satisfied");
    let page = signing.issue();
    signing.folder.write("none", "# nobody\n");
    let by_none = ["verify", "out/b4.html", "--allowed-signers", "none"];
    signing
        .run(&by_none)
        .expect(7)
        .says("every byte is as its sources give it")
        .tells("is not among the allowed signers");
    signing.folder.write("out/b4.html", page.replacen("ratio 1.20", "ratio 0.20", 1));
    signing.run(&by_none).expect(4).says("false: this is not the page that was issued");
}
