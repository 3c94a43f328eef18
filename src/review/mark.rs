//! A mark on a line, and the marks of a sheet as text.

use super::day::Day;
use super::digest::LineDigest;
use std::fmt;

/// What a mark says.
#[derive(Copy, Clone, Debug, Eq, PartialEq, Ord, PartialOrd, Hash)]
pub enum MarkKind {
    /// The value was copied from another calculation, and nobody has confirmed it for this one.
    Inherited,
    /// The inherited value holds here as well.
    Accepted,
    /// The line was checked and found right.
    Ticked,
    /// The query is settled.
    Closed,
    /// Something is asked about the line.
    Queried,
    /// The query has an answer.
    Answered,
}

impl MarkKind {
    /// Every kind; of marks with one number the earlier kind comes first: a query that was made while another was being
    /// closed must not be closed with it.
    pub const ALL: [MarkKind; 6] = [
        MarkKind::Inherited,
        MarkKind::Accepted,
        MarkKind::Ticked,
        MarkKind::Closed,
        MarkKind::Queried,
        MarkKind::Answered,
    ];

    /// As written and as shown.
    pub fn words(self) -> &'static str {
        match self {
            MarkKind::Inherited => "inherited",
            MarkKind::Accepted => "accepted",
            MarkKind::Ticked => "ticked",
            MarkKind::Queried => "queried",
            MarkKind::Answered => "answered",
            MarkKind::Closed => "closed",
        }
    }
}

/// One mark; the order is that of the file.
#[derive(Clone, Debug, Eq, PartialEq, Ord, PartialOrd)]
pub struct Mark {
    /// The line's address on the page.
    pub address: String,
    /// Its number among the marks of its line, from 1: a mark follows those that its writer knew of.
    ///
    /// Two who mark one line at the same time give the same number; the order of the file's lines means nothing.
    pub number: u32,
    /// What it says.
    pub kind: MarkKind,
    /// The day, as its writer states it.
    pub date: Day,
    /// Initials or another name.
    pub who: String,
    /// The line as it was, formula and result in short.
    pub was: String,
    /// In the writer's words; may be empty.
    pub remark: String,
    /// What the line said.
    pub digest: LineDigest,
}

/// The marks of a sheet, in order and each once.
#[derive(Clone, Debug, Default, Eq, PartialEq)]
pub struct Marks {
    marks: Vec<Mark>,
}

/// The first line of every marks file.
pub const HEADER: &str = "# soleplate marks 2: what was checked and asked, line by line";

impl Marks {
    /// Puts marks in order.
    pub fn new(mut marks: Vec<Mark>) -> Self {
        marks.sort();
        marks.dedup();
        Self { marks }
    }

    /// All marks, those of one line together.
    pub fn all(&self) -> &[Mark] {
        &self.marks
    }

    /// The same marks and one more.
    #[must_use]
    pub fn with(mut self, mark: Mark) -> Self {
        if let Err(at) = self.marks.binary_search(&mark) {
            self.marks.insert(at, mark);
        }
        self
    }

    /// These marks, made of some, put together with what others made of the same meanwhile: what either added is there,
    /// and what either took away is not.
    ///
    /// The numbers of marks say which their writers knew of, so that nothing more is needed than with a merge of files.
    #[must_use]
    pub fn merged(&self, base: &Self, others: &Self) -> Self {
        let holds = |marks: &Self, mark: &Mark| marks.marks.binary_search(mark).is_ok();
        let stays = |mark: &&Mark| !holds(base, mark) || holds(self, mark) && holds(others, mark);
        Self::new(self.marks.iter().chain(&others.marks).filter(stays).cloned().collect())
    }

    /// The file's text: the header, then one mark a line.
    pub fn write(&self) -> String {
        let mut out = format!("{HEADER}\n");
        for mark in &self.marks {
            out += &format!("{mark}\n");
        }
        out
    }
}

/// The path of the marks of a sheet: `a/b.md` has `a/b.marks`.
pub fn marks_path(sheet: &str) -> String {
    format!("{}.marks", sheet.strip_suffix(".md").unwrap_or(sheet))
}

/// `N_Ed 2 queried 2026-11-20 R.T. "38 kN" "which load case?" 9c1f…:3f2a91-…`.
impl fmt::Display for Mark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write_bare(f, &self.address)?;
        write!(f, " {} {} {} ", self.number, self.kind.words(), self.date)?;
        write_bare(f, &self.who)?;
        f.write_str(" ")?;
        write_quoted(f, &self.was)?;
        if !self.remark.is_empty() {
            f.write_str(" ")?;
            write_quoted(f, &self.remark)?;
        }
        write!(f, " {}", self.digest)
    }
}

/// Whether a text can stand without quotes.
pub(super) fn is_bare(text: &str) -> bool {
    let is_plain = |c: char| !c.is_whitespace() && !c.is_control() && c != '"';
    // What a merge leaves behind, and the header, must not be taken for an address.
    !text.is_empty() && !text.starts_with(['#', '<', '=', '>', '|']) && text.chars().all(is_plain)
}

fn write_bare(f: &mut fmt::Formatter<'_>, text: &str) -> fmt::Result {
    if is_bare(text) { f.write_str(text) } else { write_quoted(f, text) }
}

fn write_quoted(f: &mut fmt::Formatter<'_>, text: &str) -> fmt::Result {
    f.write_str("\"")?;
    for c in text.chars() {
        match c {
            '"' => f.write_str("\\\"")?,
            '\\' => f.write_str("\\\\")?,
            '\n' => f.write_str("\\n")?,
            c => write!(f, "{c}")?,
        }
    }
    f.write_str("\"")
}

/// Text as a mark can hold it: lines stay, other characters that steer a terminal become spaces.
pub(super) fn clean(text: &str) -> String {
    let text = text.trim().replace("\r\n", "\n");
    text.chars().map(|c| if c.is_control() && c != '\n' { ' ' } else { c }).collect()
}
