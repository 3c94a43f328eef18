use super::symbol_text;
use crate::package::{Memory, Package};
use crate::render::address::Addresses;

const HEAD: &str = "+++\ntitle = \"T\"\nnumber = \"1\"\nrevision = \"A\"\npurpose = \"p\"\nscope = \"s\"\n+++\n";

#[test]
fn a_symbol_reads_as_in_the_standard() {
    assert_eq!(symbol_text("N_Rd_c"), "N_Rd,c");
}

#[test]
fn every_named_symbol_of_a_formula_is_a_link_to_its_line() {
    let blocks = "```given\nh_ef = 70 mm @ s\nk_1 = 7.7 @ s\n```\n```derive\nx = k_1 * h_ef^1.5\n```\n";
    let files = Memory::default().with("a.md", format!("{HEAD}\n{blocks}"));
    let (package, _) = Package::open(Box::new(files)).expect("memory can be read");
    let trace = package.build("a.md").trace.expect("the sheet builds");
    let addresses = Addresses::new(&trace);
    let last = *trace.order.last().expect("there are lines");
    let equation = super::equation(&trace, last, &addresses);
    for address in ["h_ef", "k_1"] {
        assert!(equation.as_str().contains(&format!("href=\"#{address}\"")), "{}", equation.as_str());
    }
}
