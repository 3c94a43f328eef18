//! Why somebody cannot sign in a role, before any key is touched.

use super::standing::{SignOffState, Standing};
use crate::evaluate::Verdict;
use crate::package::{Built, Package};
use crate::review::{MarkKind, Review, state};
use crate::signature::{Principal, Role};

/// What somebody wants to sign.
#[derive(Clone, Debug)]
pub struct Intent {
    /// In which role.
    pub role: Role,
    /// Who.
    pub signer: Principal,
    /// Whether it is signed although a check is not satisfied.
    pub although_not_satisfied: bool,
}

/// All that stands in the way, each as a sentence without a full stop; a sheet with errors is not asked about.
///
/// Everybody answers for the values; who checks or approves answers for the review as well. A creator may sign while
/// queries are open: the answer to a query can be another calculation, which the creator then signs first.
pub fn obstacles(package: &Package, built: &Built, standing: &Standing, intent: &Intent) -> Vec<String> {
    let Some(trace) = &built.trace else {
        return vec!["the sheet has errors".to_owned()];
    };
    let mut found = Vec::new();
    match trace.verdict_of_sheet() {
        Verdict::NotValid => found.push("the calculation is not valid: nothing follows from it".to_owned()),
        Verdict::NotSatisfied if !intent.although_not_satisfied => {
            found.push("a check is not satisfied; `--although-not-satisfied` signs it as such".to_owned());
        }
        Verdict::NotSatisfied | Verdict::Satisfied | Verdict::NotApplicable => {}
    }
    if let Some(by) = package.manifest.superseded.get(&built.path) {
        found.push(format!("the calculation is superseded by {by}"));
    }
    let review = state(trace, &built.marks.clone().unwrap_or_default());
    of_review(package, &review, intent.role, &mut found);
    let Intent { role, signer, .. } = intent;
    let policy = &package.signers.policy;
    if !policy.roles.contains_key(role) {
        found.push(format!("this package has no {role}: its manifest names none under `[sign_off.roles]`"));
    } else if !policy.entitles(*role, signer) {
        found.push(format!("{signer} is not among those who may sign as {role}"));
    }
    for (other, state) in standing.states() {
        let facts = other.statement.facts();
        let is_another_role = facts.signer.is_same_person(signer) && facts.role != *role;
        if policy.different_people && is_another_role && matches!(state, SignOffState::Good) {
            found.push(format!("{signer} has signed as {} already, and the {role} must be another person", facts.role));
        }
    }
    found
}

fn of_review(package: &Package, review: &Review, role: Role, found: &mut Vec<String>) {
    let counts = review.counts;
    if counts.inherited > 0 {
        found.push(format!("inherited values are not confirmed: {}", counts.inherited));
    }
    if role == Role::Creator {
        return;
    }
    let open = counts.open + counts.answered + open_orphans(review);
    if open > 0 {
        found.push(format!("queries are not closed: {open}"));
    }
    if role == Role::Checker && package.manifest.sign_off.all_lines_ticked && counts.to_check() > 0 {
        found.push(format!("lines are not ticked: {} of {}", counts.to_check(), counts.needed));
    }
}

/// Queries whose line is gone and that nobody closed: what was asked does not go away with the line.
fn open_orphans(review: &Review) -> usize {
    let of_kind = |kind| review.orphans.iter().filter(move |mark| mark.kind == kind);
    let is_closed = |address: &str, number| {
        of_kind(MarkKind::Closed).any(|closed| closed.address == address && closed.number > number)
    };
    of_kind(MarkKind::Queried).filter(|query| !is_closed(&query.address, query.number)).count()
}
