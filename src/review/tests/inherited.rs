//! Values that came with a copy.

use super::*;

const SHEET: &str = "```given\nN_Ed = 4 kN \"tension\" @ LS-03\nf_ck = 25 N/mm² \"C25/30\" @ Table 3.1\n\
    bolt = data \"data/bolt.toml\" @ schedule\n```\n\n```derive\nn = N_Ed / bolt.N_Rk\n```\n";

fn open(trace: &Trace, marks: &Marks) -> Vec<String> {
    let addresses = Addresses::new(trace);
    let review = state(trace, marks);
    let open = trace.order.iter().filter(|id| review.line(**id).inherited.is_some());
    let open: Vec<String> = open.map(|id| addresses.line(*id).to_owned()).collect();
    assert_eq!(review.counts.inherited, open.len());
    open
}

#[test]
fn every_given_is_inherited_until_it_is_changed_or_accepted() {
    let original = trace(SHEET);
    let marks = inherit(&original, &saying("R.T.", "from FTD-1, P01"));
    assert_eq!(open(&original, &marks), ["N_Ed", "f_ck", "bolt"]);
    let changed = trace(&SHEET.replace("4 kN", "5 kN"));
    assert_eq!(open(&changed, &marks), ["f_ck", "bolt"]);
    let accepted = marked(&changed, &marks, "f_ck", Action::Accept, &by("R.T."));
    assert_eq!(open(&changed, &accepted), ["bolt"]);
    let refused = mark(&changed, &accepted, &[line(&changed, "f_ck")], Action::Accept, &by("R.T.")).unwrap_err();
    assert_eq!(refused.reason, Reason::NotInherited);
    // What was accepted is as it was; what was changed back is inherited again.
    assert_eq!(open(&original, &accepted), ["N_Ed", "bolt"]);
    assert_eq!(
        left(&original, &accepted),
        "N_Ed to check, f_ck to check, bolt to check, bolt.N_Rk to check, n to check"
    );
}

#[test]
fn a_tick_confirms_no_inherited_value() {
    let trace = trace(SHEET);
    let marks = inherit(&trace, &by("R.T."));
    let marks = marked(&trace, &marks, "f_ck", Action::Tick, &by("K.L."));
    assert_eq!(open(&trace, &marks), ["N_Ed", "f_ck", "bolt"]);
}
