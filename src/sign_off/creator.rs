//! The creator's own ticks: where the package demands different people, they do not count for the checker.
//!
//! A mark bears a name that its writer types, and nobody signs it: whoever ticks under another name is not found out.
//! What is known is who has signed as creator, or who is named as creator in the sheet as long as nobody has. A name
//! under a tick is taken for theirs if the manifest says so in `[sign_off.initials]`, and where it says nothing of that
//! name if the two read alike.

use super::standing::Standing;
use crate::package::{Built, Package};
use crate::review::{Review, state};
use crate::signature::{Principal, Role};
use std::collections::BTreeMap;

/// The review of a sheet, in which lines that the creator alone has ticked wait for another; nothing for one with errors.
pub fn reviewed(package: &Package, built: &Built, standing: &Standing) -> Option<Review> {
    reviewed_beside(package, built, standing, None)
}

/// The same, as it would be with another creator beside those that there are.
pub(super) fn reviewed_beside(
    package: &Package,
    built: &Built,
    standing: &Standing,
    creator: Option<&Principal>,
) -> Option<Review> {
    let mut review = state(built.trace.as_ref()?, &built.marks.clone().unwrap_or_default());
    let policy = &package.signers.policy;
    if policy.different_people && policy.roles.contains_key(&Role::Checker) {
        let mut creators = creators(built, standing);
        creators.extend(creator.map(|principal| principal.as_str().to_owned()));
        let initials = &package.manifest.sign_off.initials;
        review.discount(|who| creators.iter().any(|creator| is_same(initials, who, creator)));
    }
    Some(review)
}

/// Whom the sheet names for a role, where that does not read like the one who signs in it.
pub fn named_otherwise<'a>(package: &Package, built: &'a Built, role: Role, signer: &Principal) -> Option<&'a str> {
    let front = &built.sheet.as_ref()?.document.front;
    let named = match role {
        Role::Creator => &front.creator,
        Role::Approver => &front.approver,
        // No key of the front matter names a checker.
        Role::Checker => return None,
    };
    let is_another = !named.is_empty() && !is_same(&package.manifest.sign_off.initials, named, signer.as_str());
    is_another.then_some(named.as_str())
}

/// Who the creators are: those who hold the role; where nobody does, those who have held it, and the one the sheet names.
fn creators(built: &Built, standing: &Standing) -> Vec<String> {
    let facts = standing.sign_offs.iter().enumerate().filter(|(_, signed)| signed.verdict.is_good());
    let signed: Vec<(usize, &Principal)> = facts
        .map(|(index, signed)| (index, signed.statement.facts()))
        .filter(|(_, facts)| facts.role == Role::Creator)
        .map(|(index, facts)| (index, &facts.signer))
        .collect();
    let roles = standing.judgement.roles.iter().filter(|state| state.role == Role::Creator);
    let held: Vec<usize> = roles.flat_map(|state| state.held_by.iter().copied()).collect();
    if !held.is_empty() {
        return signed.iter().filter(|(index, _)| held.contains(index)).map(|(_, who)| who.to_string()).collect();
    }
    let named = built.sheet.as_ref().map(|sheet| sheet.document.front.creator.clone()).filter(|name| !name.is_empty());
    signed.iter().map(|(_, who)| who.to_string()).chain(named).collect()
}

/// Whether two names are one person's, by what the manifest says of them, else by how they read.
pub(super) fn is_same(initials: &BTreeMap<String, String>, one: &str, other: &str) -> bool {
    let known = |name: &str| initials.get(name.trim()).map_or(name.trim(), String::as_str).to_owned();
    let (one, other) = (known(one), known(other));
    let are_principals = one.contains('@') && other.contains('@');
    if are_principals { one.eq_ignore_ascii_case(&other) } else { are_alike(&one, &other) }
}

/// Whether two names read alike: `R.T.`, `rt@fellmere.example`, `Robin Tarn` and `r.tarn@fellmere.example` do.
fn are_alike(one: &str, other: &str) -> bool {
    let (one, other) = (words(one), words(other));
    let initials = |words: &[String]| words.iter().filter_map(|word| word.chars().next()).collect::<String>();
    let (all, others) = (one.concat(), other.concat());
    if all.is_empty() || others.is_empty() {
        return false;
    }
    let shortens = |short: &[String], long: &[String]| long.len() > 1 && short.concat() == initials(long);
    let pairs = || one.iter().zip(&other);
    let word_by_word =
        one.len() == other.len() && pairs().all(|(a, b)| a.starts_with(b.as_str()) || b.starts_with(a.as_str()));
    all == others || shortens(&one, &other) || shortens(&other, &one) || one.len() > 1 && word_by_word
}

/// The words of a name in small letters; of an address those before the `@`.
fn words(name: &str) -> Vec<String> {
    let name = name.split('@').next().unwrap_or_default();
    let words = name.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    words.map(str::to_lowercase).collect()
}

#[cfg(test)]
mod tests {
    use super::is_same;
    use std::collections::BTreeMap;

    #[test]
    fn names_that_read_alike_are_one_person() {
        let alike = ["R.T.", "rt@fellmere.example", "Robin Tarn", "r.tarn@fellmere.example", "RT", "R. Tarn"];
        let none = BTreeMap::new();
        for one in alike {
            for other in alike {
                // Two addresses are two people, however they read.
                let expected = one == other || !(one.contains('@') && other.contains('@'));
                assert_eq!(is_same(&none, one, other), expected, "{one} {other}");
            }
            for other in ["K.L.", "kl@fellmere.example", "Robin Tully Kern", "", "T.R.", "R.", "Rowan"] {
                assert!(!is_same(&none, one, other), "{one} {other}");
            }
        }
    }

    #[test]
    fn the_manifest_says_who_is_meant() {
        let pair = |who: &str, principal: &str| (who.to_owned(), principal.to_owned());
        let said = BTreeMap::from([pair("R.T.", "tully@fellmere.example"), pair("site", "rt@fellmere.example")]);
        assert!(!is_same(&said, "R.T.", "rt@fellmere.example"));
        assert!(is_same(&said, "R.T.", "Tully@fellmere.example"));
        assert!(is_same(&said, " site ", "rt@fellmere.example"));
    }
}
