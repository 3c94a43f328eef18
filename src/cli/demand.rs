//! What can be demanded of a sheet or of an issued page beside that it is satisfied.

use super::row::Row;
use crate::signature::{PatternList, Role};
use std::fmt;
use std::str::FromStr;

/// What is demanded.
#[derive(Clone, Debug, Eq, PartialEq)]
pub enum Demand {
    /// Every line that needs it is ticked as it is, every query closed, every inherited value confirmed.
    Checked,
    /// Every failure mode of the standards in use has an answer, and so has every query.
    Answered,
    /// Every card can be used: nothing on it is open, and nothing stands against it.
    Usable,
    /// Every role that the package demands is signed for, on what the sheet says now; nothing replaces it, and no query
    /// has been left open since it was checked.
    Signed,
    /// A role is signed for, whatever the package demands, by one of certain people where some are named.
    Role(Role, Option<PatternList>),
    /// Two roles or three are signed for, by people with different names and keys.
    DifferentPeople,
}

/// What can be typed behind `--demand`.
pub(super) const HELP: &str = "\
WHAT can be demanded of a sheet or an issued page, several times:
  checked           every line that needs it is ticked as it is, every query closed, every inherited value confirmed
  answered          every failure mode of the standards in use has an answer, and so has every query
  usable            every card for the site can be used: nothing on it is open, and nothing stands against it
  signed            every role that the package demands is signed for, and no query has been left open since
  checker           somebody has signed as checker, whatever the package demands; creator and approver alike
  checker=NAME      and that by one with this name; patterns are rt@*, or several with commas between them
  different-people  the roles that are signed for are held by different people, by name and by key";

impl FromStr for Demand {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let (what, who) = text.split_once('=').map_or((text, None), |(what, who)| (what, Some(who)));
        let who = who.map(|who| who.parse::<PatternList>()).transpose()?;
        let found = match what {
            "checked" => Some(Demand::Checked),
            "answered" => Some(Demand::Answered),
            "usable" => Some(Demand::Usable),
            "signed" => Some(Demand::Signed),
            "different-people" => Some(Demand::DifferentPeople),
            _ => None,
        };
        match (found, who) {
            (Some(demand), None) => Ok(demand),
            (Some(_), Some(_)) => Err(format!("nobody is named behind `{what}`, only behind a role")),
            (None, who) => what.parse().map(|role| Demand::Role(role, who)).map_err(|_| {
                "checked, answered, usable, signed, creator, checker, approver and different-people can be demanded"
                    .to_owned()
            }),
        }
    }
}

/// As it is typed, and its name on a report.
impl fmt::Display for Demand {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Demand::Checked => f.write_str("checked"),
            Demand::Answered => f.write_str("answered"),
            Demand::Usable => f.write_str("usable"),
            Demand::Signed => f.write_str("signed"),
            Demand::Role(role, None) => role.fmt(f),
            Demand::Role(role, Some(who)) => write!(f, "{role}={who}"),
            Demand::DifferentPeople => f.write_str("different-people"),
        }
    }
}

impl Demand {
    /// What a sheet lacks; nothing where it is what is demanded. Of a sheet with errors nothing can be said.
    pub(super) fn lacks(&self, row: &Row) -> Option<String> {
        row.verdict?;
        let told = |left: Vec<String>| Some(left.join(", ")).filter(|left| !left.is_empty());
        match (self, row.counts) {
            (Demand::Checked, None) => Some("nothing is ticked".to_owned()),
            (Demand::Checked, Some(_)) => told(row.left()),
            (Demand::Usable, _) => Some(row.card_faults.join("; ")).filter(|left| !left.is_empty()),
            (Demand::Answered, counts) => {
                let open = match counts.map_or(0, |counts| counts.open) {
                    0 => None,
                    1 => Some("1 query open".to_owned()),
                    many => Some(format!("{many} queries open")),
                };
                told(row.unanswered.iter().cloned().chain(open).collect())
            }
            (Demand::Signed, _) if row.is_issued && row.asked_since == 0 => None,
            (Demand::Signed, _) => Some(format!("its status is {}", row.status)),
            (Demand::Role(role, who), _) => role_lacks(row, *role, who.as_ref()),
            (Demand::DifferentPeople, _) => match (&row.held_twice, row.held.len()) {
                (Some(twice), _) => Some(twice.clone()),
                (None, 0 | 1) => Some("fewer than two roles are signed for".to_owned()),
                (None, _) => None,
            },
        }
    }
}

fn role_lacks(row: &Row, role: Role, who: Option<&PatternList>) -> Option<String> {
    let holders: Vec<&str> =
        row.held.iter().filter(|(held, _)| *held == role).map(|(_, signer)| signer.as_str()).collect();
    match who {
        _ if holders.is_empty() => Some(format!("nobody has signed it as {role}, as it is")),
        Some(who) if !holders.iter().any(|holder| who.matches(holder)) => {
            Some(format!("it is signed as {role} by {}", holders.join(", ")))
        }
        _ => None,
    }
}
