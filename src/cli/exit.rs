//! How a run ends.

use crate::diagnostic::any_error;
use crate::evaluate::Verdict;
use crate::package::{Built, Nowhere};
use std::fmt;
use std::process::ExitCode;

/// How a run ends, from good to bad: of several sheets the worst counts.
#[derive(Copy, Clone, Debug, Eq, PartialEq, Ord, PartialOrd)]
pub enum Outcome {
    /// Every check is satisfied or does not apply.
    Satisfied,
    /// What is compared differs.
    Different,
    /// A sheet or a page is not checked as far as it was demanded, or a query is open on what is to be issued as signed.
    NotChecked,
    /// A check is not satisfied.
    NotSatisfied,
    /// A sheet is not valid.
    NotValid,
    /// A signature does not count: of a sheet or a page that is verified, or of a page that is to be issued.
    SignatureVoid,
    /// A sheet has errors, or an issued page is false.
    Errors,
    /// What was typed cannot be meant.
    Usage,
    /// Something could not be read or written.
    Unreadable,
}

impl Outcome {
    /// The exit code.
    pub fn code(self) -> u8 {
        match self {
            Outcome::Satisfied => 0,
            Outcome::NotSatisfied | Outcome::Different => 1,
            Outcome::NotChecked => 6,
            Outcome::Usage => 2,
            Outcome::NotValid => 3,
            Outcome::SignatureVoid => 7,
            Outcome::Errors => 4,
            Outcome::Unreadable => 5,
        }
    }

    /// How a sheet came out.
    pub fn of(built: &Built) -> Self {
        if built.is_unreadable {
            return Outcome::Unreadable;
        }
        if any_error(&built.findings) {
            return Outcome::Errors;
        }
        match built.trace.as_ref().map(|trace| trace.verdict_of_sheet()) {
            Some(Verdict::NotValid) => Outcome::NotValid,
            Some(Verdict::NotSatisfied) => Outcome::NotSatisfied,
            Some(Verdict::Satisfied | Verdict::NotApplicable) | None => Outcome::Satisfied,
        }
    }
}

impl From<Outcome> for ExitCode {
    fn from(outcome: Outcome) -> Self {
        ExitCode::from(outcome.code())
    }
}

/// What stops a verb before it has a result.
#[derive(Debug)]
pub struct Failure {
    /// How the run ends.
    pub outcome: Outcome,
    /// What is the matter.
    pub message: String,
    /// What stands in the way, where there may be more than one thing.
    pub because: Vec<String>,
    /// What can be done.
    pub help: Vec<String>,
}

impl Failure {
    /// Something typed that cannot be meant.
    pub fn usage(message: impl Into<String>) -> Self {
        Self { outcome: Outcome::Usage, message: message.into(), because: Vec::new(), help: Vec::new() }
    }

    /// Something that could not be read or written.
    pub fn unreadable(message: impl Into<String>) -> Self {
        Self { outcome: Outcome::Unreadable, ..Self::usage(message) }
    }

    /// One thing that stands in the way.
    #[must_use]
    pub fn because(mut self, text: impl Into<String>) -> Self {
        self.because.push(text.into());
        self
    }

    /// Advice.
    #[must_use]
    pub fn help(mut self, text: impl Into<String>) -> Self {
        self.help.push(text.into());
        self
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for Failure {}

impl From<Nowhere> for Failure {
    fn from(nowhere: Nowhere) -> Self {
        let message = nowhere.to_string();
        match nowhere {
            Nowhere::Missing { near: Some(near), .. } => {
                Failure::unreadable(message).help(format!("did you mean `{}`?", near.display()))
            }
            Nowhere::Missing { near: None, .. } | Nowhere::Io(..) => Failure::unreadable(message),
            Nowhere::NoManifest(_) => Failure::usage(message)
                .help("`soleplate new PATH` lays out a package; a single sheet is named by its file"),
            Nowhere::NotASheet(..) => Failure::usage(message),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Outcome;

    #[test]
    fn every_outcome_has_its_code_and_the_worst_counts() {
        let from_good_to_bad = [
            (Outcome::Satisfied, 0),
            (Outcome::Different, 1),
            (Outcome::NotChecked, 6),
            (Outcome::NotSatisfied, 1),
            (Outcome::NotValid, 3),
            (Outcome::SignatureVoid, 7),
            (Outcome::Errors, 4),
            (Outcome::Usage, 2),
            (Outcome::Unreadable, 5),
        ];
        assert!(from_good_to_bad.is_sorted());
        for (outcome, code) in from_good_to_bad {
            assert_eq!(outcome.code(), code);
        }
    }
}
