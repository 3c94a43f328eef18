//! Which roles the sign-offs of one sheet fill, and which sign-offs are void and why.

use super::day::Day;
use super::field::{Digest, Earlier, Part, Principal, Role};
use super::policy::Policy;
use super::public_key::Fingerprint;
use super::statement::Statement;
use super::verdict::Verdict;
use std::collections::BTreeMap;
use std::fmt;

/// The sheet that is judged, as it is now.
#[derive(Copy, Clone, Debug)]
pub struct Subject<'a> {
    /// Path in the package.
    pub sheet: &'a str,
    /// Number of the calculation.
    pub number: &'a str,
    /// Title of the calculation.
    pub title: &'a str,
    /// Revision of the calculation.
    pub revision: &'a str,
    /// Of all that decides the result.
    pub digest: Digest,
    /// What the digest is made of.
    pub parts: &'a [Part],
    /// The last day that a sign-off may state; nothing where the result must not depend on the clock.
    pub latest: Option<Day>,
}

/// A statement and what came out when its signature was verified.
#[derive(Clone, Debug, Eq, PartialEq)]
pub struct Verified {
    /// What is stated.
    pub statement: Statement,
    /// Whether it was signed so.
    pub verdict: Verdict,
    /// As a sign-off that is made behind it names it.
    pub as_earlier: Earlier,
}

/// What the sign-offs of a sheet come to. Sign-offs are named by their index among those judged.
#[derive(Clone, Debug, Eq, PartialEq)]
pub struct Judgement {
    /// The demanded roles, in order.
    pub roles: Vec<RoleState>,
    /// The sign-offs that do not count, in the order given.
    pub void: Vec<VoidSignOff>,
}

impl Judgement {
    /// Whether one person holds two roles, by name or by key, where the rules do not forbid it: the sign-offs of both, in
    /// the order of roles.
    pub fn held_twice(&self, sign_offs: &[Verified]) -> Option<(usize, usize)> {
        let people = people(sign_offs);
        let held = || self.roles.iter().flat_map(|state| state.held_by.iter().map(|index| (state.role, *index)));
        held().find_map(|(role, index)| {
            let other = held().find(|(other, by)| *other > role && people[*by] == people[index])?;
            Some((index, other.1))
        })
    }

    /// Whether roles are demanded and all of them are filled.
    pub fn is_complete(&self) -> bool {
        !self.roles.is_empty() && self.roles.iter().all(|state| !state.held_by.is_empty())
    }
}

/// A demanded role and the sign-offs that fill it; it is open if there are none.
#[derive(Clone, Debug, Eq, PartialEq)]
pub struct RoleState {
    /// Which.
    pub role: Role,
    /// The sign-offs that stand, by stated day, then by signer.
    pub held_by: Vec<usize>,
}

/// A sign-off that does not count.
#[derive(Clone, Debug, Eq, PartialEq)]
pub struct VoidSignOff {
    /// Which.
    pub index: usize,
    /// Why.
    pub reason: VoidReason,
}

/// Why a sign-off does not count. Its display is a sentence without a full stop.
#[derive(Clone, Debug, Eq, PartialEq)]
pub enum VoidReason {
    /// Its signature does not hold.
    NotVerified(Verdict),
    /// It speaks of another sheet.
    OtherSheet {
        /// Of which.
        signed: String,
    },
    /// The sheet bore another number, title or revision when it was signed.
    OtherIdentity {
        /// `number`, `title` or `revision`.
        key: &'static str,
        /// As signed.
        signed: String,
        /// As it is now.
        now: String,
    },
    /// What decides the result has changed since.
    Changed {
        /// Which parts, by name; none if the statement lists none or something outside them has changed.
        parts: Vec<PartChange>,
    },
    /// The rules of sign-off were others when it was signed.
    OtherRules {
        /// As signed.
        signed: String,
        /// As they are now.
        now: String,
    },
    /// It states a day that has not come.
    DateAhead {
        /// Which.
        stated: Day,
        /// The last day that it may state.
        latest: Day,
    },
    /// It states a day before that of a sign-off which it names, and which was there when it was made.
    DateBehind {
        /// Which day.
        stated: Day,
        /// In which role the other was made.
        role: Role,
        /// The day that the other states.
        named: Day,
    },
    /// The package has no such role.
    RoleNotDemanded(Role),
    /// The signer may not hold this role.
    NotEntitled {
        /// Who.
        principal: Principal,
        /// Which role.
        role: Role,
    },
    /// A role before its own was not signed for when it was made.
    OutOfOrder {
        /// In which role it was made.
        role: Role,
        /// The role before.
        missing: Role,
        /// Whether it names a sign-off of that role, which counts no more.
        was_there: bool,
    },
    /// The same person holds another role of this sheet already.
    SamePerson {
        /// Who signs here.
        principal: Principal,
        /// In which role.
        role: Role,
        /// Under which name the person holds the other role.
        other_principal: Principal,
        /// Which one.
        other_role: Role,
    },
}

/// What became of a part since it was signed.
#[derive(Clone, Debug, Eq, PartialEq)]
pub enum PartChange {
    /// Its content differs.
    Altered(String),
    /// It has come in since.
    Added(String),
    /// It is no longer there.
    Removed(String),
}

impl Policy {
    /// Judges the sign-offs of one sheet.
    ///
    /// The result does not depend on the order of the sign-offs, but for the indices. Under `different_people` a
    /// person keeps the first role, in the order creator, checker, approver. Two sign-offs are by one person if they
    /// bear the same principal or key, or if others of this sheet connect them so. Under `in_order` a sign-off counts only
    /// behind one that it names in every role before its own.
    pub fn judge(&self, subject: &Subject, sign_offs: &[Verified]) -> Judgement {
        let people = people(sign_offs);
        let mut void = Vec::new();
        let mut standing = Vec::new();
        for (index, sign_off) in sign_offs.iter().enumerate() {
            match self.objection(subject, sign_off).or_else(|| date_behind(sign_off, sign_offs)) {
                Some(reason) => void.push(VoidSignOff { index, reason }),
                None => standing.push(index),
            }
        }
        let facts = |index: usize| sign_offs[index].statement.facts();
        standing.sort_by_key(|&index| (facts(index).role, facts(index).date, facts(index).signer.clone(), index));
        let mut roles: Vec<RoleState> =
            self.roles.keys().map(|role| RoleState { role: *role, held_by: Vec::new() }).collect();
        // The first sign-off that stands of each person.
        let mut first: BTreeMap<usize, usize> = BTreeMap::new();
        for index in standing {
            let (role, principal) = (facts(index).role, facts(index).signer.clone());
            if self.in_order
                && let Some(reason) = out_of_order(index, &roles, sign_offs)
            {
                void.push(VoidSignOff { index, reason });
                continue;
            }
            let other = facts(*first.entry(people[index]).or_insert(index));
            if self.different_people && other.role != role {
                let (other_principal, other_role) = (other.signer.clone(), other.role);
                let reason = VoidReason::SamePerson { principal, role, other_principal, other_role };
                void.push(VoidSignOff { index, reason });
            } else if let Some(state) = roles.iter_mut().find(|state| state.role == role) {
                state.held_by.push(index);
            }
        }
        void.sort_by_key(|void| void.index);
        Judgement { roles, void }
    }

    /// Why one sign-off by itself does not count.
    fn objection(&self, subject: &Subject, sign_off: &Verified) -> Option<VoidReason> {
        if !sign_off.verdict.is_good() {
            return Some(VoidReason::NotVerified(sign_off.verdict.clone()));
        }
        let facts = sign_off.statement.facts();
        if facts.sheet != subject.sheet {
            return Some(VoidReason::OtherSheet { signed: facts.sheet.clone() });
        }
        let identity = [
            ("number", &facts.number, subject.number),
            ("title", &facts.title, subject.title),
            ("revision", &facts.revision, subject.revision),
        ];
        for (key, signed, now) in identity {
            if signed != now {
                return Some(VoidReason::OtherIdentity { key, signed: signed.clone(), now: now.to_owned() });
            }
        }
        if facts.digest != subject.digest {
            return Some(VoidReason::Changed { parts: changes(&facts.parts, subject.parts) });
        }
        let now = self.rules();
        if facts.rules != now {
            return Some(VoidReason::OtherRules { signed: facts.rules.clone(), now });
        }
        if let Some(latest) = subject.latest.filter(|latest| facts.date > *latest) {
            return Some(VoidReason::DateAhead { stated: facts.date, latest });
        }
        let (role, principal) = (facts.role, &facts.signer);
        if !self.roles.contains_key(&role) {
            return Some(VoidReason::RoleNotDemanded(role));
        }
        let is_entitled = self.entitles(role, principal);
        (!is_entitled).then(|| VoidReason::NotEntitled { principal: principal.clone(), role })
    }
}

/// Whether a sign-off states an earlier day than one that it names. One day is let pass: people sign in different zones.
fn date_behind(sign_off: &Verified, sign_offs: &[Verified]) -> Option<VoidReason> {
    let facts = sign_off.statement.facts();
    let named = sign_offs.iter().filter(|other| facts.after.contains(&other.as_earlier));
    let latest = named.map(|other| other.statement.facts()).max_by_key(|other| other.date)?;
    (facts.date.next() < latest.date).then_some(VoidReason::DateBehind {
        stated: facts.date,
        role: latest.role,
        named: latest.date,
    })
}

/// Why a sign-off does not stand behind those of the roles before its own, which were judged already.
fn out_of_order(index: usize, roles: &[RoleState], sign_offs: &[Verified]) -> Option<VoidReason> {
    let facts = sign_offs[index].statement.facts();
    let is_behind =
        |state: &RoleState| state.held_by.iter().any(|earlier| facts.after.contains(&sign_offs[*earlier].as_earlier));
    let state = roles.iter().find(|state| state.role < facts.role && !is_behind(state))?;
    let was_there = facts.after.iter().any(|earlier| earlier.role == state.role);
    Some(VoidReason::OutOfOrder { role: facts.role, missing: state.role, was_there })
}

/// A number for each sign-off, the same for those by one person; sign-offs that were not verified show nothing.
///
/// One key may be listed for several principals, by a pattern for instance: whoever has it is one person under all of
/// those names, and so are they with their other keys.
fn people(sign_offs: &[Verified]) -> Vec<usize> {
    let mut people: Vec<usize> = (0..sign_offs.len()).collect();
    let who = |sign_off: &Verified| match &sign_off.verdict {
        Verdict::Good { principal, fingerprint } => Some((principal.clone(), fingerprint.clone())),
        _ => None,
    };
    let known: Vec<Option<(Principal, Fingerprint)>> = sign_offs.iter().map(who).collect();
    for (i, one) in known.iter().enumerate() {
        for (j, other) in known.iter().enumerate().skip(i + 1) {
            let (Some((name, key)), Some((other_name, other_key))) = (one, other) else { continue };
            if name.is_same_person(other_name) || key == other_key {
                let (from, to) = (people[j], people[i]);
                people.iter_mut().filter(|person| **person == from).for_each(|person| *person = to);
            }
        }
    }
    people
}

/// What differs between the parts as signed and as they are now, by name.
fn changes(signed: &[Part], now: &[Part]) -> Vec<PartChange> {
    let index = |parts: &[Part]| -> BTreeMap<String, Digest> {
        parts.iter().map(|part| (part.name.clone(), part.digest)).collect()
    };
    if signed.is_empty() {
        return Vec::new();
    }
    let (signed, now) = (index(signed), index(now));
    let mut names: Vec<&String> = signed.keys().chain(now.keys()).collect();
    names.sort();
    names.dedup();
    let change = |name: &String| match (signed.get(name), now.get(name)) {
        (Some(before), Some(after)) if before == after => None,
        (Some(_), Some(_)) => Some(PartChange::Altered(name.clone())),
        (None, _) => Some(PartChange::Added(name.clone())),
        (Some(_), None) => Some(PartChange::Removed(name.clone())),
    };
    names.into_iter().filter_map(change).collect()
}

impl fmt::Display for PartChange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Altered(name) => write!(f, "{name} is another"),
            Self::Added(name) => write!(f, "{name} has come in"),
            Self::Removed(name) => write!(f, "{name} is gone"),
        }
    }
}

impl fmt::Display for VoidReason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotVerified(verdict) => verdict.fmt(f),
            Self::OtherSheet { signed } => write!(f, "it was signed for another sheet, {signed}"),
            Self::OtherIdentity { key, signed, now } => {
                write!(f, "it was signed when the {key} was `{signed}`; now it is `{now}`")
            }
            Self::Changed { parts } if parts.is_empty() => {
                write!(f, "what decides the result has changed since it was signed")
            }
            Self::Changed { parts } => {
                let parts: Vec<String> = parts.iter().map(PartChange::to_string).collect();
                write!(f, "what decides the result has changed since it was signed: {}", parts.join(", "))
            }
            Self::OtherRules { signed, now } => {
                write!(f, "the rules of sign-off changed: it was signed under `{signed}`; now they are `{now}`")
            }
            Self::DateAhead { stated, latest } => {
                write!(
                    f,
                    "it states that it was signed on {stated}, which has come nowhere yet: the latest day is {latest}"
                )
            }
            Self::DateBehind { stated, role, named } => {
                write!(
                    f,
                    "it states that it was signed on {stated}, but was made on top of the {role}'s sign-off of {named}"
                )
            }
            Self::OutOfOrder { role, missing, was_there: false } => {
                write!(f, "the {missing} had not signed when it was made, and the {role} signs behind the {missing}")
            }
            Self::OutOfOrder { missing, was_there: true, .. } => {
                write!(f, "what the {missing} had signed when it was made counts no more, or was signed anew")
            }
            Self::RoleNotDemanded(role) => write!(f, "this package has no {role}"),
            Self::NotEntitled { principal, role } => write!(f, "{principal} is not among those who may sign as {role}"),
            Self::SamePerson { principal, role, other_principal, other_role } if principal == other_principal => {
                write!(f, "{principal} has signed as {other_role} already, and the {role} must be another person")
            }
            Self::SamePerson { principal, role, other_principal, other_role } => write!(
                f,
                "{principal} and {other_principal}, who has signed as {other_role} already, use the same keys, and the \
                 {role} must be another person"
            ),
        }
    }
}
