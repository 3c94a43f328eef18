//! What the sign-offs of a sheet are worth now, and the status of the document that follows.

use super::content::{Content, content};
use super::creator::named_otherwise;
use crate::package::{Built, Package};
use crate::signature::{
    AllowedSigners, Day, Earlier, Judgement, Policy, Principal, RevokedKeys, Role, SignOff, Subject, Verdict, Verified,
    VoidReason, VoidSignOff, verify,
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
    /// Those of the void ones that were made for another revision: they are history, and claim nothing of this one.
    pub former: Vec<usize>,
    /// Which roles they fill.
    pub judgement: Judgement,
    /// Roles for which the sheet names somebody who reads like none of those who hold it.
    pub misnamed: Vec<Role>,
    /// Files under the sheet's name that are no sign-offs, each with why in a few words.
    pub unreadable: Vec<(String, &'static str)>,
    /// The rules of the package, as they are signed.
    pub rules: String,
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
    /// It was made for another revision.
    Former,
}

/// Judges the sign-offs of a sheet by the lists of its package, whatever day it is: a page is the same on every day.
pub fn standing(package: &Package, built: &Built) -> Standing {
    standing_by(package, built, None, None)
}

/// Judges the sign-offs of a sheet by other lists, where some are brought along, and those that state a day behind the
/// latest as void, where one is named.
pub fn standing_by(package: &Package, built: &Built, lists: Option<&SuppliedLists>, latest: Option<Day>) -> Standing {
    let signers = &package.signers;
    let (allowed, revoked) =
        lists.map_or((&signers.allowed, &signers.revoked), |lists| (&lists.allowed, &lists.revoked));
    let policy = &signers.policy;
    let read = built.sign_offs.iter().filter_map(|file| Some((file.path.clone(), file.sign_off.as_ref().ok()?)));
    let verified = |sign_off: &SignOff| verified(sign_off, verify(sign_off, allowed, revoked));
    let (paths, sign_offs): (Vec<String>, Vec<Verified>) =
        read.map(|(path, sign_off)| (path, verified(sign_off))).unzip();
    // The digests are only made where there is something to compare them with.
    let content = if sign_offs.is_empty() { None } else { content(package, built) };
    let judgement = judge(policy, built, content.as_ref(), &sign_offs, latest);
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
            signed.verdict.is_good() && facts.sheet == built.path && facts.revision != revision
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
    let unreadable =
        built.sign_offs.iter().filter_map(|file| Some((file.path.clone(), *file.sign_off.as_ref().err()?)));
    Standing {
        status,
        superseded_by,
        rules: policy.rules(),
        is_checked: filled(Role::Checker),
        unreadable: unreadable.collect(),
        sign_offs,
        paths,
        former,
        misnamed,
        judgement,
    }
}

fn verified(sign_off: &SignOff, verdict: Verdict) -> Verified {
    Verified { statement: sign_off.statement.clone(), verdict, as_earlier: sign_off.as_earlier() }
}

/// Why one sign-off more may not stand beside those that a sheet has, as a sentence; nothing if it may.
///
/// A sign-off of the same key in the same role and revision gives way to it, as its file will.
pub fn judged_with(
    package: &Package,
    built: &Built,
    signed: &SignOff,
    verdict: Verdict,
    latest: Day,
) -> Option<String> {
    let facts = signed.statement.facts();
    let sign_offs = standing(package, built).sign_offs;
    let content = content(package, built);
    let judge = |all: &[Verified]| judge(&package.signers.policy, built, content.as_ref(), all, Some(latest));
    let was_void = |judgement: &Judgement, index: usize| judgement.void.iter().any(|void| void.index == index);
    let before = judge(&sign_offs);
    let gives_way = |other: &Verified| {
        let others = other.statement.facts();
        other.verdict == verdict && others.role == facts.role && others.revision == facts.revision
    };
    let (mut all, mut counted) = (Vec::new(), Vec::new());
    for (index, other) in sign_offs.into_iter().enumerate().filter(|(_, other)| !gives_way(other)) {
        all.push(other);
        counted.push(!was_void(&before, index));
    }
    all.push(verified(signed, verdict));
    let own = counted.len();
    let after = judge(&all);
    if let Some(void) = after.void.iter().find(|void| void.index == own) {
        return Some(format!("the sign-off would not count, so it was not kept: {}", void.reason));
    }
    // It must not take a role away from somebody who signed before, either.
    let taken = after.void.iter().find(|void| counted.get(void.index).is_some_and(|counted| *counted))?;
    let other = all.get(taken.index)?.statement.facts();
    Some(format!(
        "the sign-off was not kept, since that of {} as {} would not count beside it: {}",
        other.signer, other.role, taken.reason
    ))
}

/// Judges sign-offs against what a sheet says now; against nothing, where it has errors, all of them are void.
fn judge(
    policy: &Policy,
    built: &Built,
    content: Option<&Content>,
    sign_offs: &[Verified],
    latest: Option<Day>,
) -> Judgement {
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
        latest,
    };
    policy.judge(&subject, sign_offs)
}

impl Standing {
    /// Whether somebody has signed in a role in which nobody signs while a query is open.
    pub fn is_reviewed(&self) -> bool {
        self.judgement.roles.iter().any(|state| state.role != Role::Creator && !state.held_by.is_empty())
    }

    /// The status in words, with what must not be overlooked: values that are inherited and not confirmed, and queries
    /// that were asked since it was checked or approved.
    pub fn words(&self, inherited: usize, asked_since: usize) -> String {
        let mut words = self.status.words().to_owned();
        if !self.superseded_by.is_empty() {
            words += &format!(" by {}", self.superseded_by);
        }
        if !self.is_checked {
            words += ", unchecked";
        }
        let is_changed = |reason: &VoidReason| {
            matches!(
                reason,
                VoidReason::Changed { .. } | VoidReason::OtherIdentity { .. } | VoidReason::OtherRules { .. }
            )
        };
        if self.void().any(|void| is_changed(&void.reason)) {
            words += ", signature void";
        }
        let counts = [(asked_since, "query open", "queries open"), (inherited, "value inherited", "values inherited")];
        for (count, one, many) in counts.into_iter().filter(|(count, ..)| *count > 0) {
            words += &format!(", {count} {}", if count == 1 { one } else { many });
        }
        words
    }

    /// Who holds which role, in the order of roles.
    pub fn held(&self) -> impl Iterator<Item = (Role, &Principal)> {
        let held = self.judgement.roles.iter().flat_map(|state| state.held_by.iter().map(|index| (state.role, *index)));
        held.filter_map(|(role, index)| Some((role, &self.sign_offs.get(index)?.statement.facts().signer)))
    }

    /// The sign-offs that one in a role is made behind: those that fill the roles before it.
    pub fn before(&self, role: Role) -> Vec<Earlier> {
        let states = self.judgement.roles.iter().filter(|state| state.role < role);
        let held = states.flat_map(|state| state.held_by.iter().filter_map(|index| self.sign_offs.get(*index)));
        let mut before: Vec<Earlier> = held.map(|signed| signed.as_earlier.clone()).collect();
        before.sort();
        before.dedup();
        before
    }

    /// Two sign-offs by one person in two roles, by name or by key, in words; nothing where all roles are held by others.
    pub fn held_twice(&self) -> Option<String> {
        let (one, other) = self.judgement.held_twice(&self.sign_offs)?;
        let facts = |index: usize| self.sign_offs.get(index).map(|signed| signed.statement.facts());
        let (one, other) = (facts(one)?, facts(other)?);
        Some(match one.signer.is_same_person(&other.signer) {
            true => format!("{} has signed as {} and as {}", one.signer, one.role, other.role),
            false => format!(
                "{}, who has signed as {}, and {}, who has signed as {}, use the same keys",
                one.signer, one.role, other.signer, other.role
            ),
        })
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

    /// The sign-offs that do not count, history aside.
    fn void(&self) -> impl Iterator<Item = &VoidSignOff> {
        self.judgement.void.iter().filter(|void| !self.former.contains(&void.index))
    }

    /// The files of what does not count; a page that bears one of them is not issued.
    pub fn void_files(&self) -> Vec<&str> {
        let void = self.void().filter_map(|void| self.paths.get(void.index));
        void.chain(self.unreadable.iter().map(|(path, _)| path)).map(String::as_str).collect()
    }

    /// Which sign-offs do not count and why, each reason once, in the order of roles.
    pub fn void_in_words(&self) -> Vec<String> {
        let facts = |void: &VoidSignOff| Some(self.sign_offs.get(void.index)?.statement.facts());
        let mut void: Vec<_> = self.void().filter_map(|void| Some((facts(void)?, void))).collect();
        void.sort_by_key(|(facts, void)| (facts.role, void.index));
        let mut reasons: Vec<(String, Vec<String>)> = Vec::new();
        for (facts, void) in void {
            let (whose, why) = (format!("of {} as {}", facts.signer, facts.role), void.reason.to_string());
            match reasons.iter_mut().find(|(known, _)| *known == why) {
                Some((_, all)) => all.push(whose),
                None => reasons.push((why, vec![whose])),
            }
        }
        let told = reasons.iter().map(|(why, whose)| match whose.as_slice() {
            [one] => format!("the sign-off {one} does not count: {why}"),
            all => format!("the sign-offs {} do not count: {why}", all.join(" and ")),
        });
        told.collect()
    }
}
