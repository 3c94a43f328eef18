use crate::run::{Folder, Run, head, sheet};

/// `review depot/b4.md` with arguments, by R.T. on a certain day.
fn review<const N: usize>(folder: Folder, arguments: [&str; N]) -> Run {
    let by = ["--by", "R.T.", "--date", "2026-11-20"];
    folder.arguments(["review", "depot/b4.md"].into_iter().chain(arguments).chain(by))
}

#[test]
fn what_is_left_to_check_is_listed_and_nothing_is_written() {
    let folder = Run::beside_package("satisfied")
        .arguments(["review", "depot/b4.md"])
        .stdout(
            "depot/b4.md: Nothing is ticked: 3 lines are to check.\n\n\
             To check\n     1  N_Ed   4 kN\n     2  N_Rd   10 kN\n     \
             3  check  N_Ed <= N_Rd: 4 kN, 10 kN, satisfied, ratio 0.40\n",
        )
        .stderr("")
        .exit(0);
    assert!(!folder.holds("depot/b4.marks"));
}

#[test]
fn ticks_are_written_beside_the_sheet_and_survive_what_does_not_concern_them() {
    let folder = review(Run::beside_package("satisfied"), ["--tick", "1-3"])
        .stdout("ticked: 1 N_Ed, 2 N_Rd, 3 check\ndepot/b4.md: All 3 lines that need it are ticked.\n")
        .exit(0);
    let marks = folder.read("depot/b4.marks");
    let lines: Vec<&str> = marks.lines().collect();
    assert_eq!(lines[0], "# soleplate marks 2: what was checked and asked, line by line");
    assert!(lines[1].starts_with("N_Ed 1 ticked 2026-11-20 R.T. \"4 kN\" "), "{marks}");
    assert_eq!(lines.len(), 4);
    folder.write(
        "depot/b4.md",
        sheet("4 kN").replace("```verify", "Prose.\n\n\n```verify").replace("  \"pull", " \"pull"),
    );
    let folder = folder.arguments(["review", "depot/b4.md"]).says("All 3 lines that need it are ticked.").exit(0);
    folder.write("depot/b4.md", sheet("5 kN"));
    let folder = folder
        .arguments(["review", "depot/b4.md"])
        .stdout(
            "depot/b4.md: 1 of the 3 lines that need a tick is ticked, 2 lines are to check. 2 lines have changed since the tick.\n\n\
             Changed since ticked\n     1  N_Ed   formula, value (R.T., 2026-11-20)\n               was 4 kN\n               is  5 kN\n     \
             3  check  value (R.T., 2026-11-20)\n               was N_Ed <= N_Rd: 4 kN, 10 kN, satisfied, ratio 0.40\n               \
             is  N_Ed <= N_Rd: 5 kN, 10 kN, satisfied, ratio 0.50\n",
        )
        .exit(0);
    // Ticks that hold are taken back by whoever made them, and not by others.
    let folder = review(folder, ["--untick", "N_Rd"]).says("Nothing is ticked").exit(0);
    review(folder, ["--untick", "N_Rd"]).tells("line 2 (`N_Rd`) has no tick of R.T. that holds").exit(2);
}

#[test]
fn what_is_ticked_already_or_needs_no_tick_is_told_apart() {
    let folder = Run::beside_package("satisfied");
    let folder = review(folder, ["--tick", "1"]).exit(0);
    let folder = review(folder, ["--tick", "1-3"])
        .stdout(
            "ticked: 2 N_Rd, 3 check\nticked already by the same name: 1 N_Ed\n\
             depot/b4.md: All 3 lines that need it are ticked.\n",
        )
        .exit(0);
    let folder = review(folder, ["--tick", "3"]).says("ticked already by the same name: 3 check\n").exit(0);
    let clause =
        "```clause\nuse en-1992-4/hole-in-fixture for each d_f of [14 mm] with d = 12 mm, gap_filled = no\n```\n";
    folder.write("depot/b4.md", sheet("4 kN") + "\n" + clause);
    review(folder, ["--tick", "4"]).says("ticked, although no tick is needed: 4 use-").exit(0);
}

#[test]
fn a_line_is_listed_as_the_page_shows_it() {
    let folder = Run::beside_package("satisfied");
    let cases =
        "k = cases  in kN \"share\" @ common practice\n    0.5 * N_Ed  when N_Rd < 2 kN\n    2 * N_Ed    otherwise\n";
    folder.write("depot/b4.md", sheet("4 kN") + &format!("\n```derive\n{cases}M = k * 3 m in kN*m \"moment\"\n```\n"));
    let folder = folder
        .arguments(["review", "depot/b4.md"])
        .says("k = 0.5 · N_Ed when N_Rd < 2 kN; 2 · N_Ed otherwise (taken) = 2 · 4 kN = 8.00 kN @ common practice\n")
        .says("M = k · 3 m = 8.00 kN · 3 m = 24.0 kN·m\n")
        .exit(0);
    let folder = review(folder, ["--tick", "k"]).exit(0);
    let text = folder.read("depot/b4.md");
    folder.write("depot/b4.md", text.replace("2 * N_Ed", "3 * N_Ed"));
    folder
        .arguments(["review", "depot/b4.md"])
        .says("was case 2, otherwise: 2 * N_Ed = 8.00 kN\n")
        .says("is  case 2, otherwise: 3 * N_Ed = 12.0 kN\n")
        .exit(0);
}

#[test]
fn a_query_is_answered_and_closed() {
    let folder = review(Run::beside_package("satisfied"), ["--query", "N_Ed", "which \"case\"?"])
        .stdout(
            "queried: 1 N_Ed\ndepot/b4.md: Nothing is ticked: 3 lines are to check. 1 query waits for an answer.\n\
             `soleplate review depot/b4.md` lists what is left.\n",
        )
        .exit(0)
        .arguments(["review", "depot/b4.md"])
        .says("     1  N_Ed   queried (R.T., 2026-11-20): which \"case\"?\n")
        .exit(0);
    let folder = review(folder, ["--answer", "1", "case 7"])
        .says("answered: 1 N_Ed\n")
        .says("1 query waits to be closed.")
        .exit(0)
        .arguments(["review", "depot/b4.md"])
        .says("               answered (R.T., 2026-11-20): case 7\n")
        .exit(0);
    let by_another = ["review", "depot/b4.md", "--by", "K.L.", "--date", "2026-11-20", "--close", "1"];
    let folder = folder
        .arguments(by_another)
        .tells("the query about line 1 (`N_Ed`) was asked by R.T.: who closes it for them says why")
        .tells("help: add words, such as --remark")
        .exit(2);
    let copy = folder.read("depot/b4.marks");
    let folder = folder
        .arguments(by_another.into_iter().chain(["--remark", "R.T. agrees"]))
        .says("closed for those who asked: 1 N_Ed\n")
        .exit(0);
    let folder = folder.arguments(["render", "depot"]).exit(0);
    assert!(folder.read("out/b4.html").contains("K.L., 2026-11-20, for R.T."));
    folder.write("depot/b4.marks", copy);
    let folder = review(folder, ["--close", "#N_Ed", "--remark", "seen"]).says("closed: 1 N_Ed\n").exit(0);
    assert!(folder.read("depot/b4.marks").contains("N_Ed 3 closed 2026-11-20 R.T. \"4 kN\" \"seen\" "));
    let folder = folder.arguments(["render", "depot"]).exit(0);
    let page = folder.read("out/b4.html");
    assert!(page.contains("query closed</span>") && page.contains("which &quot;case&quot;?"));
    let folder =
        review(folder, ["--close", "1"]).tells("nothing is asked about line 1 (`N_Ed`) that is not closed").exit(2);
    review(folder, ["--query", "1", " "]).tells("needs words").exit(2);
}

#[test]
fn pages_show_marks_and_are_as_ever_without_them() {
    let folder = Run::beside_package("satisfied").arguments(["render", "depot"]).exit(0);
    let before = folder.read("out/b4.html");
    assert!(!before.contains("<section class=\"review\"") && !before.contains("class=\"reviewed"));
    assert!(!folder.read("out/b4.json").contains("review"));
    let folder = review(folder, ["--tick", "N_Ed", "N_Rd"]).exit(0);
    folder.write("depot/b4.md", sheet("5 kN"));
    let folder = folder.arguments(["render", "depot"]).exit(0);
    let page = folder.read("out/b4.html");
    for part in [
        "<p class=\"tally\">1 of the 3 lines that need a tick is ticked, 2 lines are to check. 1 line has changed since the tick.</p>",
        "<h3>Changed since ticked</h3>",
        "formula, value changed: was 4 kN, is 5 kN",
        "</i>changed since ticked <span class=\"by\">R.T.</span>",
        "was <del>4 kN</del>, is <ins>5 kN</ins>",
        "</i>ticked <span class=\"by\">R.T.</span>",
    ] {
        assert!(page.contains(part), "{part}");
    }
    let json = folder.read("out/b4.json");
    for part in [
        "\"review\":{\"needed\":3,\"ticked\":1,\"changed\":1,\"open\":0,\"answered\":0,\"inherited\":0,\"orphans\":0}",
        "\"review\":\"changed\"",
        "\"review\":\"ticked\"",
        "\"review\":\"to check\"",
    ] {
        assert!(json.contains(part), "{part} in {json}");
    }
    std::fs::remove_file(folder.path("depot/b4.marks")).unwrap();
    folder.write("depot/b4.md", sheet("4 kN"));
    let folder = folder.arguments(["render", "depot"]).exit(0);
    assert_eq!(folder.read("out/b4.html"), before);
}

#[test]
fn a_copy_has_its_givens_inherited_until_they_are_changed_or_accepted() {
    let folder = Run::beside_package("satisfied")
        .arguments(["new", "--from", "depot/b4.md", "depot/b5.md", "--by", "R.T.", "--date", "2026-11-20"])
        .says("depot/b5.md is a copy of depot/b4.md; 2 given values are inherited, not confirmed.")
        .exit(0);
    assert_eq!(folder.read("depot/b5.md"), folder.read("depot/b4.md"));
    assert!(
        folder
            .read("depot/b5.marks")
            .contains("N_Ed 1 inherited 2026-11-20 R.T. \"4 kN\" \"from FTD-ST-CALC-020, P01\" ")
    );
    let folder = folder
        .arguments(["verify", "depot"])
        .says("satisfied        0.40  depot/b5.md")
        .says("depot/b5.md: inherited, not confirmed: N_Ed, N_Rd; change them, or confirm them with `soleplate review depot/b5.md --accept LINE --by NAME`")
        .exit(0)
        .arguments(["render", "depot"])
        .exit(0);
    let page = folder.read("out/b5.html");
    for part in [
        "<b>draft, unchecked, 2 values inherited</b>",
        "Inherited from another calculation, not confirmed: 2",
        "<span class=\"mark\">inherited, not confirmed</span>",
        "<span class=\"remark\">from FTD-ST-CALC-020, P01</span>",
    ] {
        assert!(page.contains(part), "{part}");
    }
    assert!(folder.read("out/b5.json").contains("\"inherited\":true"));
    assert!(folder.read("out/index.html").contains("unchecked, 2 values inherited"));
    folder.write("depot/b5.md", sheet("5 kN"));
    folder
        .arguments(["review", "depot/b5.md", "--accept", "1-2", "--by", "K.L."])
        .stdout(
            "accepted: 2 N_Rd\ndepot/b5.md: Nothing is ticked: 3 lines are to check.\n\
             `soleplate review depot/b5.md` lists what is left.\n",
        )
        .exit(0)
        .arguments(["review", "depot/b5.md", "--accept", "N_Ed", "--by", "K.L."])
        .tells("the value of line 1 (`N_Ed`) is not inherited, or is confirmed already")
        .exit(2);
}

#[test]
fn a_copy_replaces_nothing_and_needs_a_sheet_without_errors() {
    let folder = Run::beside_package("satisfied");
    folder.write("depot/b5.md", "mine").write("depot/b6.marks", "mine");
    let copy = |folder: Folder, from: &str, to: &str| folder.arguments(["new", "--from", from, to]);
    let folder = copy(folder, "depot/b4.md", "depot/b5.md").tells("`depot/b5.md` is there already").exit(5);
    let folder = copy(folder, "depot/b4.md", "depot/b6.md").tells("`depot/b6.marks` is there already").exit(5);
    let folder = copy(folder, "depot/b4.md", "depot/B7.md").tells("cannot be the name of a sheet").exit(2);
    let folder = copy(folder, "depot/b4.md", "depot/b7").tells("names of sheets end in `.md`").exit(2);
    let folder = copy(folder, "depot", "depot/b7.md").tells("`depot` is a folder").exit(2);
    let folder = copy(folder, "depot/b3.md", "depot/b7.md").tells("did you mean `depot/b4.md`?").exit(5);
    folder.write("depot/b4.md", sheet("4 kN").replace("N_Ed <= N_Rd ", "N_Ed <= N_Rt "));
    let folder =
        copy(folder, "depot/b4.md", "depot/b7.md").tells("has errors, so that nothing can be inherited").exit(4);
    assert!(!folder.holds("depot/b7.md") && !folder.holds("depot/b7.marks"));
    folder.arguments(["new", "x", "--by", "R.T."]).tells("--from").exit(2);
}

#[test]
fn lines_that_are_not_there_and_marks_without_a_name_are_explained() {
    let folder = Run::beside_package("satisfied");
    let folder =
        review(folder, ["--tick", "N_Edd"]).tells("there is no line `N_Edd`").tells("did you mean `N_Ed`?").exit(2);
    let folder = review(folder, ["--tick", "2-9"]).tells("there is no line 9").tells("from 1 to 3").exit(2);
    let folder = review(folder, ["--tick", "0"]).tells("there is no line 0").exit(2);
    let folder =
        review(folder, ["--close", "1-3"]).tells("in `1-3` there is no line with a query that is not closed").exit(2);
    let folder = review(folder, ["--query", "1-3", "why?"]).tells("`1-3` is more than one line").exit(2);
    let folder =
        folder.arguments(["review", "depot/b4.md", "--tick", "1"]).tells("who marks?").tells("--by R.T.").exit(2);
    let folder = folder.arguments(["review", "depot/b4.md", "--by", "R.T."]).tells("which line is marked?").exit(2);
    let folder = folder
        .arguments(["review", "depot/b4.md", "--tick", "1", "--by", "R.T.", "--date", "2026-11-31"])
        .tells("`2026-11-31` is no day of the calendar")
        .exit(2);
    let folder = folder.arguments(["review", "depot"]).tells("sheets are reviewed one by one").exit(2);
    assert!(!folder.holds("depot/b4.marks"), "nothing was marked");
}

#[test]
fn a_mark_bears_the_day_on_which_it_is_made() {
    let folder =
        Run::beside_package("satisfied").arguments(["review", "depot/b4.md", "--tick", "1", "--by", "R.T."]).exit(0);
    let marks = folder.read("depot/b4.marks");
    let day = marks.lines().nth(1).and_then(|line| line.split(' ').nth(3)).unwrap();
    assert!(day.len() == 10 && day > "2026-01-01" && day < "2100-01-01", "{day}");
}

#[test]
fn marks_that_cannot_be_read_stop_the_sheet_and_are_not_written_over() {
    let folder =
        review(Run::beside_package("satisfied"), ["--tick", "1-3"]).exit(0).arguments(["render", "depot"]).exit(0);
    let page = folder.read("out/b4.html");
    let marks = folder.read("depot/b4.marks");
    let spoilt = marks.replace("ticked", "tickd");
    folder.write("depot/b4.marks", &spoilt);
    let folder = folder.arguments(["render", "depot"]).tells("error[bad-mark]: there is no mark `tickd`").exit(4);
    assert_eq!(folder.read("out/b4.html"), page, "the page with the ticks stays");
    let folder = review(folder, ["--tick", "1"]).tells("error[bad-mark]").exit(4);
    assert_eq!(folder.read("depot/b4.marks"), spoilt);
    folder.write("depot/b4.marks", marks.replace('\n', "\r\n"));
    folder.arguments(["review", "depot/b4.md"]).says("All 3 lines that need it are ticked.").exit(0);
}

#[test]
fn lines_of_two_people_merge_line_by_line() {
    let folder = review(Run::beside_package("satisfied"), ["--tick", "1"]).exit(0);
    let first = folder.read("depot/b4.marks");
    std::fs::remove_file(folder.path("depot/b4.marks")).unwrap();
    let folder = review(folder, ["--tick", "3"]).exit(0);
    let second = folder.read("depot/b4.marks");
    let merged: Vec<&str> = first.lines().chain(second.lines().skip(1)).collect();
    folder.write("depot/b4.marks", merged.join("\n") + "\n");
    let folder = folder
        .arguments(["review", "depot/b4.md"])
        .says("2 of the 3 lines that need a tick are ticked")
        .stderr("")
        .exit(0);
    let turned = [merged[0], merged[2], merged[1], ""].join("\n");
    folder.write("depot/b4.marks", turned);
    let folder = folder
        .arguments(["review", "depot/b4.md"])
        .says("2 of the 3 lines that need a tick are ticked")
        .tells("warning[unordered-marks]: the marks from here on are out of order")
        .exit(0);
    let folder = review(folder, ["--tick", "2"]).exit(0);
    folder.arguments(["review", "depot/b4.md"]).stderr("").exit(0);
}

#[test]
fn a_lone_sheet_is_reviewed_too() {
    let folder = Folder::empty();
    folder.write("b4.md", sheet("4 kN"));
    let folder = folder.arguments(["review", "b4.md", "--tick", "1-3", "--by", "R.T."]).says("All 3 lines").exit(0);
    assert!(folder.holds("b4.marks"));
    folder.arguments(["review", "b4.md"]).says("b4.md: All 3 lines that need it are ticked.").exit(0);
}

#[test]
fn what_was_ticked_is_named_and_what_is_left_is_counted() {
    let folder = review(Run::beside_package("satisfied"), ["--tick", "N_Ed", "3"])
        .stdout(
            "ticked: 1 N_Ed, 3 check\ndepot/b4.md: 2 of the 3 lines that need a tick are ticked, 1 line is to check.\n\
             `soleplate review depot/b4.md` lists what is left.\n",
        )
        .exit(0);
    // Of many lines the first are named.
    let givens: String = (1..=20).map(|at| format!("x_{at} = {at} kN \"load\"\n")).collect();
    folder.write("depot/b4.md", head("Many lines") + &format!("```given\n{givens}```\n"));
    review(folder, ["--tick", "1-20"]).says(", 12 x_12 and 8 more\n").says("All 20 lines").exit(0);
}
