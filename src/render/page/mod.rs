//! Views to HTML: the templates, loaded once, and what is the same for all pages.
//!
//! A calculation's page takes three steps:
//!
//! 1. [`piece`] lays the body out flat, since clauses may use clauses to any depth and components nest twenty deep.
//! 2. [`style`] gives the style sheet with the fonts in it, and the margins of the printed page.
//! 3. The templates place text and markup. They escape every string; only fields of type
//!    [`Markup`](super::markup::Markup) pass as they are.
//!
//! Nothing here knows a trace: [`super::present`] made the view. The same view gives the same bytes.

mod piece;
mod style;
#[cfg(test)]
mod tests;

use super::markup::Markup;
use super::view::{CheckRow, ClauseRow, IndexRow, IndexView, PageView, Pointer, Provenance, TitleBlock, VerdictView};
use piece::Piece;
use serde::Serialize;
use std::{error, fmt};
use tera::{Context, Tera, Value};

/// The pages of a calculation and of a package; one serves all threads.
#[derive(Debug)]
pub struct Pages {
    tera: Tera,
}

/// A template that cannot be loaded or does not fit its view.
#[derive(Debug)]
pub struct RenderError {
    doing: &'static str,
    cause: tera::Error,
}

/// Every template by its name; the names of parts are those of their files.
const TEMPLATES: &[(&str, &str)] = &[
    (PAGE, include_str!("../../../templates/page.html")),
    (INDEX, include_str!("../../../templates/index.html")),
    ("parts/basis.html", include_str!("../../../templates/parts/basis.html")),
    ("parts/cautions.html", include_str!("../../../templates/parts/cautions.html")),
    ("parts/figures.html", include_str!("../../../templates/parts/figures.html")),
    ("parts/line.html", include_str!("../../../templates/parts/line.html")),
    ("parts/opening.html", include_str!("../../../templates/parts/opening.html")),
    ("parts/pointers.html", include_str!("../../../templates/parts/pointers.html")),
    ("parts/provenance.html", include_str!("../../../templates/parts/provenance.html")),
    ("parts/sign-off.html", include_str!("../../../templates/parts/sign-off.html")),
    ("parts/summary.html", include_str!("../../../templates/parts/summary.html")),
    ("parts/title-block.html", include_str!("../../../templates/parts/title-block.html")),
    ("parts/use.html", include_str!("../../../templates/parts/use.html")),
    ("parts/verdict.html", include_str!("../../../templates/parts/verdict.html")),
];

const PAGE: &str = "page.html";
const INDEX: &str = "index.html";

impl Pages {
    /// Loads the templates and prepares the style sheet.
    pub fn new() -> Result<Self, RenderError> {
        let mut tera = Tera::new();
        tera.add_raw_templates(TEMPLATES.iter().copied()).map_err(while_doing("loading the templates"))?;
        // The style sheet is ours and must not be escaped.
        tera.global_context().insert_value("style", Value::safe_string(&style::sheet()));
        Ok(Self { tera })
    }

    /// The page of a calculation, complete in itself.
    pub fn page(&self, view: &PageView) -> Result<String, RenderError> {
        let doing = "rendering a calculation";
        let mut context = Context::from_serialize(&Sheet::new(view)).map_err(while_doing(doing))?;
        context.insert_value("margins", Value::safe_string(&style::margins(&view.head)));
        self.tera.render(PAGE, &context).map_err(while_doing(doing))
    }

    /// The page of a package: its calculations with how they came out.
    pub fn index(&self, view: &IndexView) -> Result<String, RenderError> {
        let doing = "rendering the index";
        let mut context = Context::from_serialize(&Index::new(view)).map_err(while_doing(doing))?;
        context.insert_value("margins", Value::safe_string(&style::index_margins(&view.title)));
        self.tera.render(INDEX, &context).map_err(while_doing(doing))
    }
}

/// What the templates of a calculation see: its view, with the body laid out flat.
#[derive(Serialize)]
struct Sheet<'a> {
    /// What a browser shows as the page's name.
    name: String,
    head: &'a TitleBlock,
    purpose: &'a str,
    scope: &'a str,
    not_verified: &'a [String],
    verdict: &'a VerdictView,
    tally: &'a str,
    checks: &'a [CheckRow],
    not_applicable: &'a [Pointer],
    faults: &'a [Pointer],
    assumptions: &'a [Pointer],
    unsourced: &'a [Pointer],
    marked: &'a [Pointer],
    notices: &'a [String],
    clauses: Vec<NumberedClause<'a>>,
    pieces: Vec<Piece<'a>>,
    footnotes: &'a Markup,
    provenance: &'a Provenance,
}

impl<'a> Sheet<'a> {
    fn new(view: &'a PageView) -> Self {
        // Every field is named, so that a new one cannot be forgotten.
        let PageView {
            head,
            purpose,
            scope,
            not_verified,
            verdict,
            tally,
            checks,
            not_applicable,
            faults,
            assumptions,
            unsourced,
            marked,
            notices,
            clauses,
            body,
            footnotes,
            provenance,
        } = view;
        let pieces = piece::flat(body);
        Self {
            name: style::joined(&[&head.number, &head.revision, &head.title]),
            head,
            purpose,
            scope,
            not_verified,
            verdict,
            tally,
            checks,
            not_applicable,
            faults,
            assumptions,
            unsourced,
            marked,
            notices,
            clauses: numbered(clauses, &pieces),
            pieces,
            footnotes,
            provenance,
        }
    }
}

/// A clause with the number of the line that uses it first.
#[derive(Serialize)]
struct NumberedClause<'a> {
    number: Option<u32>,
    clause: &'a ClauseRow,
}

fn numbered<'a>(clauses: &'a [ClauseRow], pieces: &[Piece<'_>]) -> Vec<NumberedClause<'a>> {
    let number = |id: &str| {
        pieces.iter().find_map(|piece| match piece {
            Piece::UseStart { line, clause, .. } if clause.id == id => Some(line.number),
            _ => None,
        })
    };
    clauses.iter().map(|clause| NumberedClause { number: number(&clause.id), clause }).collect()
}

/// What the template of the index sees.
#[derive(Serialize)]
struct Index<'a> {
    title: &'a str,
    owner: &'a str,
    sheets: &'a [IndexRow],
    program: &'a str,
}

impl<'a> Index<'a> {
    fn new(view: &'a IndexView) -> Self {
        let IndexView { title, owner, sheets, program } = view;
        Self { title, owner, sheets, program }
    }
}

fn while_doing(doing: &'static str) -> impl Fn(tera::Error) -> RenderError {
    move |cause| RenderError { doing, cause }
}

impl fmt::Display for RenderError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.doing)
    }
}

impl error::Error for RenderError {
    fn source(&self) -> Option<&(dyn error::Error + 'static)> {
        Some(&self.cause)
    }
}
