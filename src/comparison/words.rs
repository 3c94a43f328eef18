//! What changed of the words around the lines: front matter, prose, and the clauses in use.

use crate::compile::Scope;
use crate::document::{BlockKind, Document, FrontMatter, Part, SheetKind};
use crate::evaluate::Trace;
use crate::library::Origin;
use pulldown_cmark::{Event, Tag};
use serde::Serialize;
use std::collections::BTreeMap;

/// A key of a front matter that says something else.
#[derive(Clone, Debug, Eq, PartialEq, Serialize)]
pub struct FieldChange {
    /// The key.
    pub key: &'static str,
    /// What it said; empty if nothing.
    pub old: String,
    /// What it says; empty if nothing.
    pub new: String,
}

/// Paragraphs, headings and entries of lists and tables that are gone or new.
#[derive(Clone, Debug, Default, Eq, PartialEq, Serialize)]
pub struct ProseChange {
    /// Those that are gone.
    pub removed: Vec<String>,
    /// Those that are new.
    pub added: Vec<String>,
}

impl ProseChange {
    /// Whether none is.
    pub fn is_empty(&self) -> bool {
        self.removed.is_empty() && self.added.is_empty()
    }
}

/// A clause that is used in one calculation only, or whose sheet says something else.
#[derive(Clone, Debug, Eq, PartialEq, Serialize)]
pub struct ClauseChange {
    /// Its path in the library.
    pub path: String,
    /// Its title.
    pub title: String,
    /// The version of its sheet; nothing where it was not used.
    pub old: Option<String>,
    /// The version of its sheet; nothing where it is not used.
    pub new: Option<String>,
    /// What its front matter says else.
    pub fields: Vec<FieldChange>,
    /// What its prose says else.
    pub prose: ProseChange,
}

/// The keys of two front matters that differ in more than spaces.
pub(super) fn fields(old: &FrontMatter, new: &FrontMatter) -> Vec<FieldChange> {
    let pairs = all_fields(old).into_iter().zip(all_fields(new));
    let changes = pairs.map(|((key, old), (_, new))| FieldChange { key, old: words(&old), new: words(&new) });
    changes.filter(|change| change.old != change.new).collect()
}

fn all_fields(front: &FrontMatter) -> [(&'static str, String); 20] {
    let kind = match front.kind {
        SheetKind::Calculation => "calculation",
        SheetKind::Clause => "clause",
    };
    let joined = |list: &[String]| list.join("; ");
    let revisions = front.revisions.iter().map(|entry| format!("{} {} {}", entry.revision, entry.date, entry.text));
    [
        ("kind", kind.to_owned()),
        ("title", front.title.clone()),
        ("number", front.number.clone()),
        ("revision", front.revision.clone()),
        ("date", front.date.clone()),
        ("creator", front.creator.clone()),
        ("approver", front.approver.clone()),
        ("status", front.status.clone()),
        ("owner", front.owner.clone()),
        ("revisions", revisions.collect::<Vec<_>>().join("; ")),
        ("purpose", front.purpose.clone()),
        ("scope", front.scope.clone()),
        ("not_verified", joined(&front.not_verified)),
        ("not_applicable", joined(&front.not_applicable)),
        ("figures", front.figures.map_or_else(String::new, |figures| figures.to_string())),
        ("standard", front.standard.clone()),
        ("clause", front.clause.clone()),
        ("basis", front.basis.clone()),
        ("families", joined(&front.families)),
        ("shows", joined(&front.shows)),
    ]
}

/// What two documents say in prose, block of text by block of text.
pub(super) fn prose(old: &Document, new: &Document) -> ProseChange {
    let (old, new) = (paragraphs(old), paragraphs(new));
    ProseChange { removed: without(&old, &new), added: without(&new, &old) }
}

/// The entries of a list that another does not hold as often.
fn without(list: &[String], other: &[String]) -> Vec<String> {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for entry in other {
        *counts.entry(entry).or_default() += 1;
    }
    let is_left = |entry: &&String| match counts.get_mut(entry.as_str()).filter(|count| **count > 0) {
        Some(count) => {
            *count -= 1;
            false
        }
        None => true,
    };
    list.iter().filter(is_left).cloned().collect()
}

/// The words of a document's prose, with where links lead, without how they are set.
fn paragraphs(document: &Document) -> Vec<String> {
    let (mut all, mut text) = (Vec::new(), String::new());
    let mut close = |text: &mut String| {
        let said = words(text);
        text.clear();
        if !said.is_empty() {
            all.push(said);
        }
    };
    for part in &document.parts {
        let events = match part {
            Part::Prose(events) => events,
            // A card is words for the site; its values are those of lines.
            Part::Block(block) if block.kind == BlockKind::Card => {
                text.push_str(&block.text.text);
                close(&mut text);
                continue;
            }
            Part::Block(_) => continue,
        };
        for event in events {
            match event {
                Event::Text(said) | Event::Code(said) | Event::FootnoteReference(said) => text.push_str(said),
                Event::SoftBreak | Event::HardBreak => text.push(' '),
                Event::Start(Tag::Link { dest_url, .. } | Tag::Image { dest_url, .. }) => {
                    text.push_str(&format!("({dest_url}) "));
                }
                Event::Start(Tag::Emphasis | Tag::Strong | Tag::Strikethrough) => {}
                Event::End(
                    pulldown_cmark::TagEnd::Emphasis
                    | pulldown_cmark::TagEnd::Strong
                    | pulldown_cmark::TagEnd::Strikethrough
                    | pulldown_cmark::TagEnd::Link
                    | pulldown_cmark::TagEnd::Image,
                ) => {}
                // Whatever else begins or ends is a block of text.
                _ => close(&mut text),
            }
        }
        close(&mut text);
    }
    all
}

/// The clauses of two calculations that differ, in the order of their paths.
pub(super) fn clauses(old: &Trace, new: &Trace) -> Vec<ClauseChange> {
    let (old, new) = (in_use(old), in_use(new));
    let mut paths: Vec<&str> = old.keys().chain(new.keys()).copied().collect();
    paths.sort_unstable();
    paths.dedup();
    paths.into_iter().filter_map(|path| clause(path, old.get(path).copied(), new.get(path).copied())).collect()
}

fn in_use(trace: &Trace) -> BTreeMap<&str, &Scope> {
    let scopes = trace.compiled.notes.scopes.iter();
    scopes.filter_map(|scope| Some((scope.clause.as_ref()?.path.as_str(), scope))).collect()
}

fn clause(path: &str, old: Option<&Scope>, new: Option<&Scope>) -> Option<ClauseChange> {
    let version = |scope: Option<&Scope>| scope.map(|scope| scope.document.front.version.clone());
    let title = new.or(old)?.document.front.title.clone();
    let mut change = ClauseChange {
        path: path.to_owned(),
        title,
        old: version(old),
        new: version(new),
        fields: Vec::new(),
        prose: ProseChange::default(),
    };
    if let (Some(old), Some(new)) = (old, new) {
        change.fields = fields(&old.document.front, &new.document.front);
        let (was, is) = (origin(old), origin(new));
        if was != is {
            change.fields.push(FieldChange { key: "origin", old: was.to_owned(), new: is.to_owned() });
        }
        change.prose = prose(&old.document, &new.document);
        if change.old == change.new && change.fields.is_empty() && change.prose.is_empty() {
            return None;
        }
    }
    Some(change)
}

fn origin(scope: &Scope) -> &'static str {
    match scope.clause.as_ref().map(|clause| clause.origin) {
        Some(Origin::Package) => "of the package",
        Some(Origin::Override) => "overridden by the package",
        Some(Origin::Shipped) | None => "of the library",
    }
}

/// Text without what editors and people do to spaces.
fn words(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}
