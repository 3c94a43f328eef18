//! What a page sends when its reader clicks.

use crate::review::Action;
use serde::Deserialize;

/// Something to be done to a line.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Order {
    /// The version of the page on which it was ordered.
    pub version: String,
    /// What is to be done.
    pub action: Wish,
    /// The line's address.
    pub line: String,
    /// The words of a query or an answer, or a remark.
    pub words: String,
}

/// What can be ordered on a page.
#[derive(Copy, Clone, Debug, Eq, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum Wish {
    Tick,
    Untick,
    Query,
    Answer,
    Close,
    Accept,
    /// The end of marking.
    End,
}

impl Wish {
    /// What is done to the line; nothing for the end.
    pub fn action(self) -> Option<Action> {
        match self {
            Wish::Tick => Some(Action::Tick),
            Wish::Untick => Some(Action::Untick),
            Wish::Query => Some(Action::Query),
            Wish::Answer => Some(Action::Answer),
            Wish::Close => Some(Action::Close),
            Wish::Accept => Some(Action::Accept),
            Wish::End => None,
        }
    }

    /// What was done, when it was.
    pub fn done(self) -> &'static str {
        match self {
            Wish::Tick => "ticked",
            Wish::Untick => "tick taken back",
            Wish::Query => "query made",
            Wish::Answer => "answered",
            Wish::Close => "query closed",
            Wish::Accept => "inherited value accepted",
            Wish::End => "ended",
        }
    }
}
