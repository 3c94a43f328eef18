//! Which line the marks of an address belong to, also where lines moved.
//!
//! Marks stay where a line still says what they were made on. Otherwise they follow it, by three rules:
//!
//! 1. All marks in one use of a clause stay together: where uses are inserted, removed or change places, their numbers
//!    shift, and the marks go with the use in which most of them hold.
//! 2. A line without a name of its own (`check-2`) may have got another number among its like.
//! 3. A line whose address is gone may stand under another.
//!
//! By the second and third rule marks follow only to a line that says the same, alone, and has no such marks itself.

use super::digest::{LineDigest, digest};
use super::mark::{Mark, Marks};
use crate::compile::{LineId, Work};
use crate::evaluate::Trace;
use crate::render::address::Addresses;
use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

/// The lines of a trace by address and digest.
pub(super) struct Lines {
    /// Where they stand on the page.
    pub addresses: Addresses,
    /// What they say, by line.
    pub digests: Vec<LineDigest>,
    by_address: BTreeMap<String, LineId>,
    by_digest: BTreeMap<LineDigest, Vec<LineId>>,
}

impl Lines {
    /// Looks at every line; figures have none of their own.
    pub fn new(trace: &Trace) -> Self {
        let notes = &trace.compiled.notes;
        let addresses = Addresses::new(trace);
        let digests: Vec<LineDigest> = (0..notes.lines.len() as u32).map(|id| digest(trace, LineId(id))).collect();
        let (mut by_address, mut by_digest) = (BTreeMap::new(), BTreeMap::<_, Vec<_>>::new());
        for id in trace.order.iter().filter(|id| !matches!(notes.line(**id).work, Work::Figure)) {
            by_address.insert(addresses.line(*id).to_owned(), *id);
            by_digest.entry(digests[id.0 as usize]).or_default().push(*id);
        }
        Self { addresses, digests, by_address, by_digest }
    }

    /// The line at an address.
    pub fn at(&self, address: &str) -> Option<LineId> {
        self.by_address.get(address).copied()
    }

    /// The line at an address, where it says what one of the marks was made on.
    fn holding(&self, address: &str, group: &[Mark]) -> Option<LineId> {
        self.at(address).filter(|id| group.iter().any(|mark| mark.digest == self.digests[id.0 as usize]))
    }
}

/// The marks of each address with the line that they belong to; none where it is gone.
pub(super) fn place<'m>(lines: &Lines, marks: &'m Marks) -> Vec<(&'m [Mark], Option<LineId>)> {
    let groups: Vec<&[Mark]> = marks.all().chunk_by(|a, b| a.address == b.address).collect();
    let homes = homes(lines, &groups);
    // The address under which each group's line is expected now; none where its use of a clause is gone.
    let expected: Vec<Option<String>> = groups
        .iter()
        .map(|group| {
            let (head, tail) = split(address_of(group));
            homes
                .get(head)
                .map_or_else(|| Some(address_of(group).to_owned()), |home| Some(joined(home.as_deref()?, tail)))
        })
        .collect();
    let at_home: Vec<Option<LineId>> =
        groups.iter().zip(&expected).map(|(group, address)| lines.holding(address.as_deref()?, group)).collect();
    let held: BTreeSet<LineId> = at_home.iter().flatten().copied().collect();
    let followed: Vec<Option<LineId>> = groups
        .iter()
        .zip(&expected)
        .zip(&at_home)
        .map(|((group, expected), at_home)| match at_home {
            Some(_) => None,
            None => follow(lines, group, expected.as_deref(), &held),
        })
        .collect();
    let is_wanted_once = |line: &LineId| followed.iter().filter(|other| **other == Some(*line)).count() == 1;
    let sure: Vec<Option<LineId>> =
        at_home.iter().zip(&followed).map(|(home, followed)| home.or(followed.filter(is_wanted_once))).collect();
    let taken: BTreeSet<LineId> = sure.iter().flatten().copied().collect();
    let mut placed = Vec::with_capacity(groups.len());
    for ((group, expected), sure) in groups.into_iter().zip(&expected).zip(&sure) {
        // Where other marks hold, these were made on a line that stood here before.
        let changed = || lines.at(expected.as_deref()?).filter(|line| !taken.contains(line));
        placed.push((group, sure.or_else(changed)));
    }
    placed
}

/// The one line that says what the newest mark was made on and that the marks may follow to.
fn follow(lines: &Lines, group: &[Mark], expected: Option<&str>, held: &BTreeSet<LineId>) -> Option<LineId> {
    let newest = group.last()?;
    let is_gone = expected.is_none_or(|address| lines.at(address).is_none());
    let is_like = |address: &str| {
        let (head, tail) = split(address);
        expected.map(split).is_some_and(|(home, old)| home == head && without_numbers(old) == without_numbers(tail))
    };
    let may_follow = |id: &&LineId| !held.contains(*id) && (is_gone || is_like(lines.addresses.line(**id)));
    let mut candidates = lines.by_digest.get(&newest.digest)?.iter().filter(may_follow);
    let first = candidates.next()?;
    candidates.next().is_none().then_some(*first)
}

/// For each use of a clause that has marks the use that they belong to now; none where it is gone.
///
/// The pair with most marks that hold goes first, one that stays in its place before others.
fn homes<'m>(lines: &Lines, groups: &[&'m [Mark]]) -> BTreeMap<&'m str, Option<String>> {
    let mut tails: BTreeMap<&str, Vec<(&str, &[Mark])>> = BTreeMap::new();
    for group in groups {
        let (head, tail) = split(address_of(group));
        if !head.is_empty() {
            tails.entry(head).or_default().push((tail, group));
        }
    }
    let present: BTreeSet<&str> = lines.by_address.keys().map(|address| split(address).0).collect();
    let mut pairs = Vec::new();
    for (head, groups) in &tails {
        let like = without_numbers(head);
        for other in present.iter().filter(|other| !other.is_empty() && without_numbers(other) == like) {
            let holding = groups.iter().filter(|(tail, group)| lines.holding(&joined(other, tail), group).is_some());
            pairs.push((Reverse(holding.count()), other != head, *head, *other));
        }
    }
    pairs.sort();
    let mut homes: BTreeMap<&str, Option<String>> = BTreeMap::new();
    let mut taken = BTreeSet::new();
    for (Reverse(holding), is_other, head, other) in pairs {
        // Without a mark that holds there is no reason to leave the old place.
        if (holding > 0 || !is_other) && !homes.contains_key(head) && taken.insert(other) {
            homes.insert(head, Some(other.to_owned()));
        }
    }
    for head in tails.keys() {
        homes.entry(head).or_insert(None);
    }
    homes
}

fn address_of(group: &[Mark]) -> &str {
    group.first().map_or("", |mark| mark.address.as_str())
}

/// What stands before the first point of an address, and what behind it; a line of the sheet has nothing before it.
fn split(address: &str) -> (&str, &str) {
    address.split_once('.').unwrap_or(("", address))
}

fn joined(head: &str, tail: &str) -> String {
    if head.is_empty() { tail.to_owned() } else { format!("{head}.{tail}") }
}

/// `cone-2.check-3` without its numbers, as `cone.check`.
fn without_numbers(address: &str) -> String {
    let steps = address.split('.').map(|step| match step.rsplit_once('-') {
        Some((name, number)) if !number.is_empty() && number.bytes().all(|byte| byte.is_ascii_digit()) => name,
        _ => step,
    });
    steps.collect::<Vec<_>>().join(".")
}
