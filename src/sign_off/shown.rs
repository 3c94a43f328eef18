//! The sign-offs of a sheet in the words of a page and of a terminal.

use super::standing::{SignOffState, Standing};
use crate::document::FrontMatter;
use crate::render::view::{Person, SignOffRow, SignOffView};
use crate::signature::{Role, Verdict, Verified, VoidReason};

/// What a page shows of sign-offs: one row for each role that is open or filled, then those that are void.
pub fn shown(standing: &Standing, front: &FrontMatter) -> SignOffView {
    let mut rows = Vec::new();
    for state in &standing.judgement.roles {
        for index in &state.held_by {
            rows.extend(standing.sign_offs.get(*index).map(|signed| row(signed, SignOffState::Good)));
        }
        if state.held_by.is_empty() {
            rows.push(open(state.role));
        }
    }
    let absent = if standing.judgement.roles.is_empty() { NO_ROLES.to_owned() } else { String::new() };
    let mut void: Vec<SignOffRow> = standing
        .states()
        .into_iter()
        .filter(|(_, state)| !matches!(state, SignOffState::Good))
        .map(|(signed, state)| row(signed, state))
        .collect();
    void.extend(standing.unreadable.iter().map(|(path, why)| SignOffRow {
        role: "–".to_owned(),
        state: "not readable".to_owned(),
        slug: "signature-void".to_owned(),
        reason: format!("{path} {why}"),
        ..SignOffRow::default()
    }));
    SignOffView { people: people(standing, front), rows, absent, void, note: String::new() }
}

/// Who stands in the title block: who has signed, else who is named in the sheet; a checker where one is demanded.
fn people(standing: &Standing, front: &FrontMatter) -> Vec<Person> {
    let roles = [
        (Role::Creator, "Creator", front.creator.as_str()),
        (Role::Checker, "Checker", ""),
        (Role::Approver, "Approver", front.approver.as_str()),
    ];
    let people = roles.into_iter().filter_map(|(role, heading, named)| {
        let demanded = standing.judgement.roles.iter().find(|state| state.role == role);
        let held = demanded.map_or(&[][..], |state| state.held_by.as_slice());
        let facts = held.iter().filter_map(|index| Some(standing.sign_offs.get(*index)?.statement.facts()));
        let (names, days): (Vec<String>, Vec<String>) =
            facts.map(|facts| (facts.signer.to_string(), facts.date.to_string())).unzip();
        let person = |name: &str, remark: &str| Person {
            role: heading.to_owned(),
            name: name.to_owned(),
            remark: remark.to_owned(),
            contradiction: String::new(),
        };
        Some(match (names.is_empty(), named, demanded.is_some()) {
            (false, ..) => Person {
                contradiction: match standing.misnamed.contains(&role) {
                    true => format!("the sheet names {named}"),
                    false => String::new(),
                },
                ..person(&names.join(", "), &format!("signed, date stated {}", days.join(", ")))
            },
            (true, "", true) => person("nobody", "not signed"),
            (true, "", false) if role == Role::Checker => return None,
            (true, "", false) => person("not stated", ""),
            (true, named, true) => person(named, "named, not signed"),
            (true, named, false) => person(named, "named"),
        })
    });
    people.collect()
}

/// What stands in the place of roles.
const NO_ROLES: &str = "The package names no roles, so that nobody signs its calculations: its manifest would name them, \
    and who may hold each, under [sign_off.roles].";

fn open(role: Role) -> SignOffRow {
    SignOffRow {
        role: role.name().to_owned(),
        state: "not signed yet".to_owned(),
        slug: "signature-open".to_owned(),
        ..SignOffRow::default()
    }
}

fn row(signed: &Verified, state: SignOffState<'_>) -> SignOffRow {
    let facts = signed.statement.facts();
    let (words, slug, reason) = match state {
        SignOffState::Good => ("signed", "signature-good", String::new()),
        SignOffState::Void(reason) => (heading(reason), "signature-void", reason.to_string()),
        SignOffState::Former => ("of another revision", "signature-open", format!("signed for {}", facts.revision)),
    };
    SignOffRow {
        role: facts.role.name().to_owned(),
        who: facts.signer.to_string(),
        key: fingerprint(&signed.verdict).unwrap_or_default().to_owned(),
        date: facts.date.to_string(),
        state: words.to_owned(),
        slug: slug.to_owned(),
        reason,
    }
}

/// Why a sign-off does not count, in two words or three.
fn heading(reason: &VoidReason) -> &'static str {
    match reason {
        VoidReason::Changed { .. } | VoidReason::OtherIdentity { .. } => "signature void: changed since",
        VoidReason::OtherRules { .. } => "signature void: rules changed",
        VoidReason::DateAhead { .. } => "date not come yet",
        VoidReason::DateBehind { .. } => "date too early",
        VoidReason::OutOfOrder { .. } => "out of order",
        VoidReason::OtherSheet { .. } => "signature void: another sheet",
        VoidReason::RoleNotDemanded(_) => "no such role",
        VoidReason::NotEntitled { .. } => "not entitled",
        VoidReason::SamePerson { .. } => "same person twice",
        VoidReason::NotVerified(verdict) => match verdict {
            Verdict::UnknownKey { .. } => "unknown key",
            Verdict::KeyOfAnother { .. } => "key of another",
            Verdict::WrongNamespace { .. } | Verdict::NamespaceNotAllowed { .. } => "signed for another purpose",
            Verdict::NotYetValid { .. } => "key not valid yet",
            Verdict::Expired { .. } => "key expired",
            Verdict::Revoked { .. } => "key revoked",
            Verdict::OtherText { .. } => "signature false",
            Verdict::Damaged { .. } => "signature damaged",
            Verdict::UnsupportedKey { .. } => "kind of key not supported",
            Verdict::Good { .. } => "signature void",
        },
    }
}

fn fingerprint(verdict: &Verdict) -> Option<&str> {
    match verdict {
        Verdict::Good { fingerprint, .. }
        | Verdict::UnknownKey { fingerprint }
        | Verdict::KeyOfAnother { fingerprint, .. }
        | Verdict::NamespaceNotAllowed { fingerprint, .. }
        | Verdict::Revoked { fingerprint } => Some(fingerprint.as_str()),
        // Nothing shows that the key which a false signature names has anything to do with it.
        Verdict::OtherText { .. }
        | Verdict::WrongNamespace { .. }
        | Verdict::NotYetValid { .. }
        | Verdict::Expired { .. }
        | Verdict::Damaged { .. }
        | Verdict::UnsupportedKey { .. } => None,
    }
}
