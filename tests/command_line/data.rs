use crate::run::{Folder, Run};

const FAMILY: &str = "title = \"Plate anchor\"
standard = \"Office rules\"
basis = \"invented\"

[values]
h_ef = { range = \"40 mm to 500 mm\", description = \"effective embedment\", reference = \"Office rules, 3\", required = true }
head = { among = [\"round\", \"square\"], description = \"shape of the head\" }
ductile = { kind = \"yes/no\", description = \"steel that yields before it breaks\" }
";

fn with_family() -> Folder {
    let folder = Run::beside_package("satisfied");
    folder.write("depot/clauses/office/plate.toml", FAMILY);
    folder
}

#[test]
fn families_are_listed_by_standard() {
    with_family()
        .arguments(["data", "--package", "depot"])
        .says("EN 1992-4:2018\n  en-1992-4/bonded-anchor ")
        .says("Office rules\n  office/plate ")
        .says("Plate anchor (the package's own)\n")
        .stderr("")
        .exit(0)
        .arguments(["data"])
        .stderr("")
        .exit(0);
}

#[test]
fn the_values_of_a_family_are_a_table() {
    with_family()
        .arguments(["data", "plate", "--package", "depot"])
        .stdout(
            "office/plate (the package's own)
  title     Plate anchor
  standard  Office rules
  basis     invented

value    kind    range            required  description                         reference
h_ef     length  40 mm to 500 mm  required  effective embedment                 Office rules, 3
head     word    round, square              shape of the head
ductile  yes/no                             steel that yields before it breaks
",
        )
        .stderr("")
        .exit(0)
        .arguments(["data", "en-1992-4/bonded-anchor"])
        .says("tau_Rk_ucr_C20 ")
        .exit(0);
}

#[test]
fn the_schema_for_editors_is_json() {
    let (_, stdout, _) = with_family().arguments(["data", "plate", "--schema", "--package", "depot"]).finish(0);
    let schema: serde_json::Value = serde_json::from_str(&stdout).unwrap();
    assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
    assert_eq!(schema["properties"]["family"]["const"], "office/plate");
    Folder::empty().arguments(["data", "--schema"]).tells("<NAME>").exit(2);
}

#[test]
fn unknown_families_are_answered_with_near_ones() {
    Folder::empty()
        .arguments(["data", "en-1992-4/headed-blot"])
        .stderr("error: there is no family `en-1992-4/headed-blot`\nhelp: did you mean `en-1992-4/headed-bolt`?\n")
        .exit(2)
        .arguments(["data", "glue"])
        .tells("help: `soleplate data` lists them all")
        .exit(2);
}

#[test]
fn mistakes_in_a_family_are_told_when_it_is_shown() {
    let folder = with_family();
    folder.write("depot/clauses/office/plate.toml", FAMILY.replace("500 mm", "500 kN"));
    folder
        .arguments(["data", "plate", "--package", "depot"])
        .tells("error[bad-data]: the range of `h_ef` does not lead from less to more")
        .tells("--> depot/clauses/office/plate.toml:6:")
        .exit(4);
}
