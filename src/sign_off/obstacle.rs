//! Why somebody cannot sign in a role, before any key is touched.

use super::creator::{reviewed, reviewed_beside};
use super::standing::{SignOffState, Standing};
use crate::evaluate::{Trace, Verdict};
use crate::package::{Built, Package};
use crate::review::Review;
use crate::signature::{Policy, Principal, Role};

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
    let Intent { role, signer, .. } = intent;
    let policy = &package.signers.policy;
    if let Some(review) = reviewed(package, built, standing) {
        of_review(policy, trace, &review, intent.role, &mut found);
    }
    // Whoever comes as creator behind the checker must not take away what the checker's signature rests on.
    let takes_away = *role == Role::Creator && standing.is_checked && policy.all_lines_ticked;
    if let Some(review) = reviewed_beside(package, built, standing, Some(signer)).filter(|_| takes_away)
        && let Some(lines) = by_creator_alone(trace, &review)
    {
        found.push(format!("the checker has signed while {signer} alone has ticked {lines}: have another tick first"));
    }
    if !policy.roles.contains_key(role) {
        found.push(format!("this package has no {role}: its manifest names none under `[sign_off.roles]`"));
    } else if !policy.entitles(*role, signer) {
        found.push(format!("{signer} is not among those who may sign as {role}"));
    }
    if policy.in_order {
        let open = standing.judgement.roles.iter().filter(|state| state.role < *role && state.held_by.is_empty());
        found.extend(open.map(|state| {
            format!("the {} has not signed it as it is, and the {role} signs behind the {}", state.role, state.role)
        }));
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

fn of_review(policy: &Policy, trace: &Trace, review: &Review, role: Role, found: &mut Vec<String>) {
    let counts = review.counts;
    if counts.inherited > 0 {
        found.push(format!("inherited values are not confirmed: {}", counts.inherited));
    }
    if role == Role::Creator {
        return;
    }
    let open = review.open_queries();
    if open > 0 {
        found.push(format!("queries are not closed: {open}"));
    }
    if role == Role::Checker && policy.all_lines_ticked && counts.to_check() > 0 {
        found.push(format!("lines are not ticked: {} of {}", counts.to_check(), counts.needed));
        if let Some(lines) = by_creator_alone(trace, review) {
            found.push(format!("of these the creator alone has ticked {lines}, which does not count for the checker"));
        }
    }
}

/// Lines named before the rest is counted.
const NAMED: usize = 12;

/// The lines that the creator alone has ticked, by number; nothing where there are none.
fn by_creator_alone(trace: &Trace, review: &Review) -> Option<String> {
    let lines: Vec<u32> =
        trace.order.iter().filter(|id| review.line(**id).is_by_creator).map(|id| trace.number(*id)).collect();
    let numbers: Vec<String> = lines.iter().take(NAMED).map(ToString::to_string).collect();
    match lines.len() {
        0 => None,
        1 => Some(format!("line {}", numbers.concat())),
        many if many > NAMED => Some(format!("lines {} and {} more", numbers.join(", "), many - NAMED)),
        _ => Some(format!("lines {}", numbers.join(", "))),
    }
}
