//! Views to HTML: the templates, loaded once, and what is the same for all pages.
//!
//! [`style`] gives the style sheet with the fonts in it, and the margins of the printed page; [`desk`] what a page has
//! while it is served to be marked. The templates place text and markup: they escape every string; only fields of type
//! [`Markup`](super::markup::Markup) pass as they are.
//!
//! Nothing here knows a trace: [`super::present`] made the view. The same view gives the same bytes.

pub mod desk;
mod style;
#[cfg(test)]
mod tests;

use super::comparison::ComparisonView;
use super::view::{IndexView, PageView};
use desk::Desk;
use serde::Serialize;
use std::{error, fmt};
use tera::{Context, Tera, Value};

/// The pages of a calculation and of a package; one serves all threads.
#[derive(Debug)]
pub struct Pages {
    tera: Tera,
    style: String,
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
    (COMPARISON, include_str!("../../../templates/comparison.html")),
    ("parts/basis.html", include_str!("../../../templates/parts/basis.html")),
    ("parts/card.html", include_str!("../../../templates/parts/card.html")),
    ("parts/cautions.html", include_str!("../../../templates/parts/cautions.html")),
    ("parts/changes.html", include_str!("../../../templates/parts/changes.html")),
    ("parts/clauses.html", include_str!("../../../templates/parts/clauses.html")),
    ("parts/desk.html", include_str!("../../../templates/parts/desk.html")),
    ("parts/modes.html", include_str!("../../../templates/parts/modes.html")),
    ("parts/opening.html", include_str!("../../../templates/parts/opening.html")),
    ("parts/pointers.html", include_str!("../../../templates/parts/pointers.html")),
    ("parts/provenance.html", include_str!("../../../templates/parts/provenance.html")),
    ("parts/recalculations.html", include_str!("../../../templates/parts/recalculations.html")),
    ("parts/review.html", include_str!("../../../templates/parts/review.html")),
    ("parts/revisions.html", include_str!("../../../templates/parts/revisions.html")),
    ("parts/sign-off-row.html", include_str!("../../../templates/parts/sign-off-row.html")),
    ("parts/sign-off.html", include_str!("../../../templates/parts/sign-off.html")),
    ("parts/summary.html", include_str!("../../../templates/parts/summary.html")),
    ("parts/title-block.html", include_str!("../../../templates/parts/title-block.html")),
    ("parts/verdict.html", include_str!("../../../templates/parts/verdict.html")),
];

const PAGE: &str = "page.html";
const INDEX: &str = "index.html";
const COMPARISON: &str = "comparison.html";

impl Pages {
    /// Loads the templates and prepares the style sheet.
    pub fn new() -> Result<Self, RenderError> {
        let mut tera = Tera::new();
        tera.add_raw_templates(TEMPLATES.iter().copied()).map_err(while_doing("loading the templates"))?;
        tera.global_context().insert_value("style", Value::safe_string(STYLE));
        tera.global_context().insert_value("working", Value::safe_string(WORKING));
        tera.global_context().insert_value("desk_style", Value::safe_string(desk::STYLE));
        tera.global_context().insert_value("desk_script", Value::safe_string(desk::SCRIPT));
        Ok(Self { tera, style: style::sheet() })
    }

    /// The page of a calculation, complete in itself.
    pub fn page(&self, view: &PageView) -> Result<String, RenderError> {
        self.sheet(view, None)
    }

    /// The same page with a desk on which it is marked; what it may do is said by [`desk::policy`].
    pub fn page_with_desk(&self, view: &PageView, desk: &Desk) -> Result<String, RenderError> {
        self.sheet(view, Some(desk))
    }

    fn sheet(&self, view: &PageView, desk: Option<&Desk>) -> Result<String, RenderError> {
        let doing = "rendering a calculation";
        let name = style::joined(&[&view.head.number, &view.head.revision, &view.head.title]);
        let mut context = Context::from_serialize(&Sheet { name, view, desk }).map_err(while_doing(doing))?;
        context.insert_value("margins", Value::safe_string(&style::margins(view)));
        let frame = self.tera.render(PAGE, &context).map_err(while_doing(doing))?;
        Ok(placed(&frame, &[(STYLE, &self.style), (WORKING, view.working.as_str())]))
    }

    /// The page of a package: its calculations with how they came out.
    pub fn index(&self, view: &IndexView) -> Result<String, RenderError> {
        self.framed("rendering the index", INDEX, view, &style::index_margins(&view.title))
    }

    /// The page of a comparison.
    pub fn comparison(&self, view: &ComparisonView) -> Result<String, RenderError> {
        let own = format!("{}{}", style::COMPARISON, style::index_margins(&view.title));
        self.framed("rendering a comparison", COMPARISON, view, &own)
    }

    /// A page without a working, with a style of its own behind the common one.
    fn framed(
        &self,
        doing: &'static str,
        template: &str,
        view: &impl Serialize,
        style: &str,
    ) -> Result<String, RenderError> {
        let mut context = Context::from_serialize(view).map_err(while_doing(doing))?;
        context.insert_value("margins", Value::safe_string(style));
        let frame = self.tera.render(template, &context).map_err(while_doing(doing))?;
        Ok(placed(&frame, &[(STYLE, &self.style)]))
    }
}

/// What stands in a template for the style sheet and for the working, which are long and go into the page uncopied.
///
/// No text can hold these, since every `<` of a text is escaped.
const STYLE: &str = "<!--style-->";
const WORKING: &str = "<!--working-->";

/// The page with its long parts, each in its place; the places stand in the order of the parts.
fn placed(frame: &str, parts: &[(&str, &str)]) -> String {
    let length = frame.len() + parts.iter().map(|(_, part)| part.len()).sum::<usize>();
    let mut page = String::with_capacity(length);
    let mut rest = frame;
    for (place, part) in parts {
        if let Some((before, after)) = rest.split_once(place) {
            page.push_str(before);
            page.push_str(part);
            rest = after;
        }
    }
    page.push_str(rest);
    page
}

/// What the templates of a calculation see: its view, its name, and the desk where it has one.
#[derive(Serialize)]
struct Sheet<'a> {
    /// What a browser shows as the page's name.
    name: String,
    desk: Option<&'a Desk>,
    #[serde(flatten)]
    view: &'a PageView,
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
