use crate::run::{Folder, Run};

const CLAUSE: &str = "+++
kind = \"clause\"
title = \"Steel in tension\"
standard = \"Office rules\"
clause = \"3.1\"
version = \"2\"
scope = \"Static tension.\"
basis = \"common practice, no source\"
+++

```clause
takes N_Ed : force  \"tension\"
takes N_Rk_s : force  \"resistance\"  within 0 kN to 500 kN
gives N_Rd_s  \"design resistance\"
```

Prose is for readers of the sheet.

```derive
N_Rd_s = N_Rk_s / 1.4 in kN  @ common practice, no source
```

```verify
N_Ed <= N_Rd_s  \"steel\"
```
";

fn with_clause() -> Folder {
    let folder = Run::beside_package("satisfied");
    folder.write("depot/clauses/office/steel.md", CLAUSE);
    folder
}

#[test]
fn clauses_are_listed_by_standard() {
    with_clause()
        .arguments(["clauses", "--package", "depot"])
        .says("Office rules\n")
        .says("  office/steel ")
        .says("Steel in tension (the package's own)\n")
        .stderr("")
        .exit(0)
        .arguments(["clauses"])
        .stderr("")
        .exit(0);
}

#[test]
fn a_clause_is_shown_as_it_is_written() {
    with_clause()
        .arguments(["clauses", "office/steel", "--package", "depot"])
        .stdout(
            "office/steel (the package's own)
  title     Steel in tension
  standard  Office rules, 3.1
  version   2
  scope     Static tension.
  basis     common practice, no source

takes
  N_Ed : force \"tension\"
  N_Rk_s : force within 0 kN to 500 kN \"resistance\"

gives
  N_Rd_s \"design resistance\"

derive
  N_Rd_s = N_Rk_s / 1.4 in kN @ common practice, no source

verify
  N_Ed <= N_Rd_s \"steel\"
",
        )
        .exit(0)
        .arguments(["clauses", "steel", "--package", "depot"])
        .says("office/steel")
        .exit(0);
}

#[test]
fn unknown_clauses_are_answered_with_near_ones() {
    with_clause()
        .arguments(["clauses", "office/steal", "--package", "depot"])
        .stderr("error: there is no clause `office/steal`\nhelp: did you mean `office/steel`?\n")
        .exit(2)
        .arguments(["clauses", "steeel", "--package", "depot"])
        .tells("help: did you mean `steel`?")
        .exit(2)
        .arguments(["clauses", "no-such-thing-at-all"])
        .tells("help: `soleplate clauses` lists them all")
        .exit(2)
        .arguments(["clauses", "--package", "dept"])
        .tells("help: did you mean `depot`?")
        .exit(5);
}

#[test]
fn a_name_that_two_clauses_end_in_is_asked_back() {
    let folder = with_clause();
    folder.write("depot/clauses/yard/steel.md", CLAUSE);
    folder
        .arguments(["clauses", "steel", "--package", "depot"])
        .tells("help: name one of `office/steel`, `yard/steel`")
        .exit(2);
}

#[test]
fn mistakes_in_a_clause_are_told_when_it_is_shown() {
    let folder = with_clause();
    folder.write("depot/clauses/office/steel.md", CLAUSE.replace("/ 1.4", "/ (1.4"));
    folder
        .arguments(["clauses", "steel", "--package", "depot"])
        .tells("error[syntax]")
        .tells("--> depot/clauses/office/steel.md:")
        .exit(4);
}
