//! What the sign-offs of a sheet are worth now, and the status of the document that follows.

use super::content::{Content, content};
use super::creator::named_otherwise;
use crate::package::{Built, Package};
use crate::signature::{
    AllowedSigners, Judgement, Policy, RevokedKeys, Role, SignOff, Subject, Verdict, Verified, VoidReason, VoidSignOff,
    verify,
};

/// The status of a document (ISO 7200); it follows from the sign-offs and is never typed.
#[derive(Copy, Clone, Debug, Eq, PartialEq, Ord, PartialOrd)]
pub enum Status {
    /// Nobody has signed what it says now.
    Draft,
    /// Some have signed, not all that must.
    ForReview,
    /// All roles that the package demands are signed for.
    Issued,
    /// The manifest names what replaces it.
    Superseded,
}

impl Status {
    /// As shown.
    pub fn words(self) -> &'static str {
        match self {
            Status::Draft => "draft",
            Status::ForReview => "for review",
            Status::Issued => "issued",
            Status::Superseded => "superseded",
        }
    }
}

/// What the sign-offs of a sheet come to.
#[derive(Clone, Debug)]
pub struct Standing {
    /// The status of the document.
    pub status: Status,
    /// What replaces it; empty if nothing does.
    pub superseded_by: String,
    /// What was judged; the judgement names them by index.
    pub sign_offs: Vec<Verified>,
    /// The files of these, in the same order.
    pub paths: Vec<String>,
    /// Those of the void ones that were made for an earlier revision, in a role that is signed for anew: they are history.
    pub former: Vec<usize>,
    /// Which roles they fill.
    pub judgement: Judgement,
    /// Roles for which the sheet names somebody who reads like none of those who hold it.
    pub misnamed: Vec<Role>,
    /// Files under the sheet's name that are no sign-offs.
    pub unreadable: Vec<String>,
    /// Whether a checker is among the roles that are filled.
    pub is_checked: bool,
}

/// Lists of keys that somebody brings along, in the place of those of the package.
#[derive(Clone, Debug)]
pub struct SuppliedLists {
    /// Whose keys count.
    pub allowed: AllowedSigners,
    /// Which count no more.
    pub revoked: RevokedKeys,
}

/// One sign-off as it is told.
#[derive(Copy, Clone, Debug)]
pub enum SignOffState<'a> {
    /// It fills its role.
    Good,
    /// It does not count.
    Void(&'a VoidReason),
    /// It was made for an earlier revision, and the role is signed for anew.
    Former,
}

/// Judges the sign-offs of a sheet by the lists of its package.
pub fn standing(package: &Package, built: &Built) -> Standing {
    let signers = &package.signers;
    judged(package, built, &signers.policy, &signers.allowed, &signers.revoked)
}

/// Judges the sign-offs of a sheet by other lists.
pub fn standing_by(package: &Package, built: &Built, lists: &SuppliedLists) -> Standing {
    judged(package, built, &package.signers.policy, &lists.allowed, &lists.revoked)
}

fn judged(
    package: &Package,
    built: &Built,
    policy: &Policy,
    allowed: &AllowedSigners,
    revoked: &RevokedKeys,
) -> Standing {
    let read = built.sign_offs.iter().filter_map(|file| Some((file.path.clone(), file.sign_off.as_ref()?)));
    let verified = |sign_off: &SignOff| Verified {
        statement: sign_off.statement.clone(),
        verdict: verify(sign_off, allowed, revoked),
    };
    let (paths, sign_offs): (Vec<String>, Vec<Verified>) =
        read.map(|(path, sign_off)| (path, verified(sign_off))).unzip();
    // The digests are only made where there is something to compare them with.
    let content = if sign_offs.is_empty() { None } else { content(package, built) };
    let judgement = judge(policy, built, content.as_ref(), &sign_offs);
    let superseded_by = package.manifest.superseded.get(&built.path).cloned().unwrap_or_default();
    let filled = |role| judgement.roles.iter().any(|state| state.role == role && !state.held_by.is_empty());
    let status = match judgement.roles.iter().any(|state| !state.held_by.is_empty()) {
        _ if !superseded_by.is_empty() => Status::Superseded,
        true if judgement.is_complete() => Status::Issued,
        true => Status::ForReview,
        false => Status::Draft,
    };
    let revision = built.sheet.as_ref().map_or("", |sheet| sheet.document.front.revision.as_str());
    let is_former = |index: &usize| {
        sign_offs.get(*index).is_some_and(|signed| {
            let facts = signed.statement.facts();
            signed.verdict.is_good() && facts.sheet == built.path && facts.revision != revision && filled(facts.role)
        })
    };
    let former: Vec<usize> = judgement.void.iter().map(|void| void.index).filter(is_former).collect();
    let is_misnamed = |role: &Role| {
        let holders = judgement.roles.iter().filter(|state| state.role == *role).flat_map(|state| &state.held_by);
        let signers = holders.filter_map(|index| Some(&sign_offs.get(*index)?.statement.facts().signer));
        let named_otherwise: Vec<bool> =
            signers.map(|signer| named_otherwise(package, built, *role, signer).is_some()).collect();
        !named_otherwise.is_empty() && named_otherwise.iter().all(|otherwise| *otherwise)
    };
    let misnamed: Vec<Role> = Role::ALL.into_iter().filter(is_misnamed).collect();
    let unreadable = built.sign_offs.iter().filter(|file| file.sign_off.is_none());
    Standing {
        status,
        superseded_by,
        is_checked: filled(Role::Checker),
        unreadable: unreadable.map(|file| file.path.clone()).collect(),
        sign_offs,
        paths,
        former,
        misnamed,
        judgement,
    }
}

/// Why one sign-off more would not count beside those that a sheet has; nothing if it counts.
///
/// A sign-off of the same key in the same role gives way to it, as its file will.
pub fn judged_with(package: &Package, built: &Built, signed: &SignOff, verdict: Verdict) -> Option<VoidReason> {
    let facts = signed.statement.facts();
    let mut sign_offs = standing(package, built).sign_offs;
    sign_offs.retain(|other| other.verdict != verdict || other.statement.facts().role != facts.role);
    let content = content(package, built);
    let policy = &package.signers.policy;
    let before = judge(policy, built, content.as_ref(), &sign_offs);
    sign_offs.push(Verified { statement: signed.statement.clone(), verdict });
    let after = judge(policy, built, content.as_ref(), &sign_offs);
    // It must not take a role away from somebody who signed before, either.
    let was_void = |index: usize| before.void.iter().any(|void| void.index == index);
    after.void.into_iter().find(|void| !was_void(void.index)).map(|void| void.reason)
}

/// Judges sign-offs against what a sheet says now; against nothing, where it has errors, all of them are void.
fn judge(policy: &Policy, built: &Built, content: Option<&Content>, sign_offs: &[Verified]) -> Judgement {
    let front = built.sheet.as_ref().map(|sheet| &sheet.document.front);
    let text = |of: fn(&crate::document::FrontMatter) -> &String| front.map_or("", |front| of(front).as_str());
    let nothing = crate::signature::Digest([0; 32]);
    let subject = Subject {
        sheet: &built.path,
        number: text(|front| &front.number),
        title: text(|front| &front.title),
        revision: text(|front| &front.revision),
        digest: content.map_or(nothing, |content| content.digest),
        parts: content.map_or(&[], |content| content.parts.as_slice()),
    };
    policy.judge(&subject, sign_offs)
}

impl Standing {
    /// The status in words, with what must not be overlooked.
    pub fn words(&self, inherited: usize) -> String {
        let mut words = self.status.words().to_owned();
        if !self.superseded_by.is_empty() {
            words += &format!(" by {}", self.superseded_by);
        }
        if !self.is_checked {
            words += ", unchecked";
        }
        let is_changed =
            |reason: &VoidReason| matches!(reason, VoidReason::Changed { .. } | VoidReason::OtherIdentity { .. });
        let is_former = |void: &&VoidSignOff| self.former.contains(&void.index);
        if self.judgement.void.iter().filter(|void| !is_former(void)).any(|void| is_changed(&void.reason)) {
            words += ", signature void";
        }
        match inherited {
            0 => words,
            1 => format!("{words}, 1 value inherited"),
            many => format!("{words}, {many} values inherited"),
        }
    }

    /// Every sign-off with its state: those that fill roles first, in the order of roles.
    pub fn states(&self) -> Vec<(&Verified, SignOffState<'_>)> {
        let good = self.judgement.roles.iter().flat_map(|state| &state.held_by);
        let good = good.filter_map(|index| Some((self.sign_offs.get(*index)?, SignOffState::Good)));
        let void = self.judgement.void.iter();
        let void = void.filter_map(|void| {
            let is_former = self.former.contains(&void.index);
            let state = if is_former { SignOffState::Former } else { SignOffState::Void(&void.reason) };
            Some((self.sign_offs.get(void.index)?, state))
        });
        good.chain(void).collect()
    }

    /// What is the matter with sign-offs that do not count, each with its file; a page that bears one is not issued.
    pub fn objections(&self) -> Vec<(String, String)> {
        let void = self.judgement.void.iter().filter(|void| !self.former.contains(&void.index));
        let void = void.filter_map(|void| {
            let facts = self.sign_offs.get(void.index)?.statement.facts();
            let words = format!("the sign-off of {} as {} does not count: {}", facts.signer, facts.role, void.reason);
            Some((self.paths.get(void.index)?.clone(), words))
        });
        let unreadable = self.unreadable.iter();
        void.chain(unreadable.map(|path| (path.clone(), format!("{path} is no sign-off and counts for nothing"))))
            .collect()
    }
}
