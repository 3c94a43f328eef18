//! What a page is made of, in the words of the templates: every string is text or markup that only has to be placed.
//!
//! Fields of type [`Markup`] are set by the templates as they are; strings are escaped by them.

use super::markup::Markup;
use crate::document::Revision;
use serde::{Serialize, Serializer};

impl Serialize for Markup {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.as_str())
    }
}

/// One calculation's page.
#[derive(Clone, Debug, Serialize)]
pub struct PageView {
    /// The title block (ISO 7200).
    pub head: TitleBlock,
    /// What it is to show.
    pub purpose: Markup,
    /// For what it holds.
    pub scope: Markup,
    /// What is not verified, and why.
    pub not_verified: Vec<String>,
    /// How it came out as a whole.
    pub verdict: VerdictView,
    /// What governs each row of a clause that is used for each, such as each load case.
    pub by_row: Vec<RowTable>,
    /// The head of the scale that the ratios are drawn on, an SVG.
    pub scale: Markup,
    /// One sentence about all checks.
    pub tally: String,
    /// Every check that applies, the governing one first.
    pub checks: Vec<CheckRow>,
    /// Calculations that are made again with other values, with every ratio beside what it was.
    pub recalculations: Vec<RecalculationView>,
    /// Every failure mode of the standards in use, and how it was dealt with.
    pub modes: Vec<ModeTable>,
    /// Checks that do not apply and answer no failure mode, with the reason.
    pub not_applicable: Vec<Pointer>,
    /// Lines that are not valid by themselves.
    pub faults: Vec<Pointer>,
    /// Lines whose reference begins with "assumed".
    pub assumptions: Vec<Pointer>,
    /// Values that clauses took as their defaults.
    pub defaults: Vec<Pointer>,
    /// Givens without a source.
    pub unsourced: Vec<Pointer>,
    /// Lines whose source carries a mark (from memory, second-hand, in doubt).
    pub marked: Vec<Pointer>,
    /// Givens copied from another calculation that nobody has confirmed.
    pub inherited: Vec<Pointer>,
    /// Notices of the data files in use.
    pub notices: Vec<String>,
    /// The clauses in use that the package itself brings.
    pub overrides: Vec<ClauseRow>,
    /// The clauses in use.
    pub clauses: Vec<ClauseRow>,
    /// What was checked and asked; nothing for a sheet without marks.
    pub review: Option<ReviewView>,
    /// Who signed.
    pub sign_off: SignOffView,
    /// Prose, blocks, uses of clauses and figures in order.
    #[serde(skip)]
    pub working: Markup,
    /// Footnotes of the prose.
    pub footnotes: Markup,
    /// What decides the result.
    pub provenance: Provenance,
    /// Pages for the site.
    pub cards: Vec<CardView>,
}

/// A page for the site.
#[derive(Clone, Debug, Serialize)]
pub struct CardView {
    /// Its address.
    pub id: String,
    /// What it is for.
    pub title: String,
    /// What kind of card it is.
    pub kind: String,
    /// What its words were taken from.
    pub basis: String,
    /// The path of the card in the library that a card of the package stands in the place of; empty otherwise.
    pub replaces: String,
    /// How the calculation came out, where the card must not be used; empty otherwise.
    pub withheld: String,
    /// Why else it must not be used.
    pub bars: Vec<CardItem>,
    /// What the data behind it are of, each with the notice that the data bear; empty without one.
    pub products: Vec<(String, String)>,
    /// Where the places of the fasteners are from; empty where that is not said.
    pub drawn: String,
    /// What stands in large type.
    pub values: Vec<CardValueView>,
    /// Lists below.
    pub sections: Vec<CardSectionView>,
    /// Where the fasteners stand; empty without a plan.
    pub plan: Markup,
    /// What nothing was found for, in words.
    pub open: Vec<String>,
    /// By when that has to be settled.
    pub settled: String,
    /// Whether it says so much that it has to be set smaller to stay on one leaf.
    pub is_long: bool,
}

/// A value of a card in large type.
#[derive(Clone, Debug, Serialize)]
pub struct CardValueView {
    /// What it is.
    pub label: String,
    /// The value.
    pub item: CardItem,
    /// What has to be known beside it, in smaller type.
    pub note: Option<CardItem>,
}

/// A list of a card.
#[derive(Clone, Debug, Serialize)]
pub struct CardSectionView {
    /// Its heading.
    pub title: String,
    /// Whether its items are steps.
    pub numbered: bool,
    /// Whether it warns.
    pub warning: bool,
    /// Whether each item is signed for.
    pub signed: bool,
    /// Whether its items are the rows of a table, each a line to write on.
    pub by_row: bool,
    /// What is written where it is signed.
    pub fields: Vec<String>,
    /// The items.
    pub items: Vec<CardItem>,
}

/// Words of a card with the values in them.
#[derive(Clone, Debug, Serialize)]
pub struct CardItem {
    /// The words.
    pub html: Markup,
    /// Whether a value is open.
    pub is_open: bool,
}

/// The title block.
#[derive(Clone, Debug, Serialize)]
pub struct TitleBlock {
    /// Legal owner.
    pub owner: String,
    /// Title of the package.
    pub package: String,
    /// Title.
    pub title: String,
    /// Identification number.
    pub number: String,
    /// Revision.
    pub revision: String,
    /// Date of issue; empty if not said.
    pub date: String,
    /// Creator, checker where one is demanded, and approver.
    pub people: Vec<Person>,
    /// What each revision changed; empty where the sheet keeps no history.
    pub revisions: Vec<Revision>,
    /// Document status as it follows from the sign-offs; "unchecked" until a checker signs, with the count of inherited
    /// values that nobody has confirmed.
    pub status: String,
}

/// Who holds a role.
#[derive(Clone, Debug, Serialize)]
pub struct Person {
    /// The role, as a heading.
    pub role: String,
    /// Who has signed; where nobody has, who is named in the sheet; else that nobody is.
    pub name: String,
    /// Whether that is signed, and on which stated day, or only named.
    pub remark: String,
    /// What the sheet says against the signature; empty where it says nothing.
    pub contradiction: String,
}

/// A verdict in words and as a name for styles: `satisfied`, `not-satisfied`, `not-valid`, `not-applicable`.
#[derive(Clone, Debug, Serialize)]
pub struct VerdictView {
    /// As read.
    pub words: String,
    /// As a class.
    pub slug: String,
}

/// One row of the summary.
#[derive(Clone, Debug, Serialize)]
pub struct CheckRow {
    /// The line's address on the page, without `#`.
    pub id: String,
    /// The line's number.
    pub number: u32,
    /// What is checked.
    pub description: Markup,
    /// Demand with its unit.
    pub demand: Markup,
    /// Resistance with its unit.
    pub resistance: Markup,
    /// Demand over resistance, as shown; a dash where there is none.
    pub ratio: String,
    /// The ratio drawn on one scale, an SVG; empty where there is none.
    pub bar: Markup,
    /// How it came out.
    pub verdict: VerdictView,
    /// Clause or other reference.
    pub reference: String,
    /// Whether it governs.
    pub governs: bool,
}

/// What governs each row of a clause that is used for each.
#[derive(Clone, Debug, Serialize)]
pub struct RowTable {
    /// What a row is, in the sheet's word: a case, an edge.
    pub each: String,
    /// Its rows, in the order of the sheet's table; those to which no check applies are left out.
    pub rows: Vec<RowResult>,
}

/// What governs one row.
#[derive(Clone, Debug, Serialize)]
pub struct RowResult {
    /// The row's label.
    pub label: String,
    /// The address of the check that governs, without `#`.
    pub id: String,
    /// What it checks.
    pub description: Markup,
    /// Its ratio, as shown; a dash where there is none.
    pub ratio: String,
    /// How the row came out.
    pub verdict: VerdictView,
}

/// A calculation that is made again with other values.
#[derive(Clone, Debug, Serialize)]
pub struct RecalculationView {
    /// The address of its working.
    pub id: String,
    /// The number of the line that uses it.
    pub line: u32,
    /// What it is made again for.
    pub description: Markup,
    /// Its identification number.
    pub number: String,
    /// Its title.
    pub title: String,
    /// Its revision.
    pub revision: String,
    /// Its path in the package.
    pub path: String,
    /// How it comes out as it stands.
    pub was: VerdictView,
    /// How it comes out with the other values.
    pub is: VerdictView,
    /// Whether every one of these values is what it is there already.
    pub is_unchanged: bool,
    /// The givens that have other values.
    pub replaced: Vec<ReplacedRow>,
    /// Products in the place of others, with every value of both.
    pub products: Vec<ProductView>,
    /// Every check, those that came out in another way first.
    pub ratios: Vec<RatioRow>,
}

/// A given with another value, or one row of a table.
#[derive(Clone, Debug, Serialize)]
pub struct ReplacedRow {
    /// The line's address.
    pub id: String,
    /// Its number.
    pub number: u32,
    /// Its symbol.
    pub symbol: Markup,
    /// What it is; of a table the row.
    pub description: Markup,
    /// Its value as the calculation stands.
    pub was: String,
    /// Its value here.
    pub is: String,
    /// The change in per cent; empty where that cannot be said.
    pub change: String,
}

/// A product in the place of another.
#[derive(Clone, Debug, Serialize)]
pub struct ProductView {
    /// What the calculation stands on.
    pub was: String,
    /// What stands in its place.
    pub is: String,
    /// The family of the one in its place, where it is another; empty otherwise.
    pub other_family: String,
    /// How many values differ.
    pub different: usize,
    /// Every value of both, those that differ first, in the order of their symbols.
    pub rows: Vec<ProductRow>,
}

/// One value of two products.
#[derive(Clone, Debug, Serialize)]
pub struct ProductRow {
    /// Its symbol.
    pub symbol: Markup,
    /// What it is.
    pub description: Markup,
    /// Of the product that the calculation stands on.
    pub was: String,
    /// Of the product in its place.
    pub is: String,
    /// The change in per cent; empty where that cannot be said.
    pub change: String,
    /// Whether the two differ.
    pub differs: bool,
}

/// A check of a calculation that is made again.
#[derive(Clone, Debug, Serialize)]
pub struct RatioRow {
    /// The check's address; empty where it is gone.
    pub id: String,
    /// Its number; zero where it is gone.
    pub number: u32,
    /// What is checked.
    pub description: Markup,
    /// The ratio as the calculation stands; empty where there is none.
    pub was: String,
    /// The ratio here; empty where there is none.
    pub is: String,
    /// The change in per cent.
    pub change: String,
    /// How it comes out as the calculation stands; nothing where there is no such check.
    pub verdict_was: Option<VerdictView>,
    /// How it comes out here; nothing where it is gone.
    pub verdict: Option<VerdictView>,
    /// Whether it comes out in another way.
    pub is_flipped: bool,
}

/// The failure modes of one standard.
#[derive(Clone, Debug, Serialize)]
pub struct ModeTable {
    /// The standard.
    pub standard: String,
    /// Its modes in the order of its clauses.
    pub rows: Vec<ModeRow>,
}

/// A failure mode of a standard.
#[derive(Clone, Debug, Serialize)]
pub struct ModeRow {
    /// The mode.
    pub mode: String,
    /// Its clause in the standard.
    pub clause: String,
    /// *Verified*, *not applicable*, *not verified* or *unanswered*.
    pub answer: String,
    /// Whether it was not verified, so that it stands out.
    pub is_open: bool,
    /// Whether nothing was said of it at all.
    pub is_unanswered: bool,
    /// Who says so where no check does; empty where one does.
    pub stated: String,
    /// How it came out; nothing for one that was not verified.
    pub verdict: Option<VerdictView>,
    /// The line that decides; empty where there is none.
    pub id: String,
    /// The line's number; zero where there is none.
    pub number: u32,
    /// Ratio as shown; empty where there is none.
    pub ratio: String,
    /// Why it does not apply or was not verified.
    pub reason: String,
}

/// A line pointed at from the first page.
#[derive(Clone, Debug, Serialize)]
pub struct Pointer {
    /// The line's address.
    pub id: String,
    /// The line's number.
    pub number: u32,
    /// The symbol, as MathML; empty for a line without one.
    pub symbol: Markup,
    /// What it is.
    pub description: Markup,
    /// Reason, reference or mark.
    pub remark: String,
}

/// The state of review.
#[derive(Clone, Debug, Serialize)]
pub struct ReviewView {
    /// How much is done and open, in a sentence or two.
    pub tally: String,
    /// Lines that changed since they were ticked.
    pub changed: Vec<Pointer>,
    /// Queries that are not closed.
    pub queries: Vec<Pointer>,
    /// Marks whose line is gone.
    pub orphans: Vec<OrphanRow>,
}

/// A mark whose line is gone.
#[derive(Clone, Debug, Serialize)]
pub struct OrphanRow {
    /// Where the line stood.
    pub address: String,
    /// The line as it was.
    pub was: String,
    /// What the mark said, whose it is, and its words.
    pub remark: String,
}

/// Who signed, and what it is worth.
#[derive(Clone, Debug, Default, Serialize)]
pub struct SignOffView {
    /// Roles, signed for or open.
    pub rows: Vec<SignOffRow>,
    /// Who holds which role, for the title block.
    pub people: Vec<Person>,
    /// Why there are no roles; empty where there are.
    pub absent: String,
    /// Sign-offs that do not count.
    pub void: Vec<SignOffRow>,
    /// How the page proves itself; empty for a page that does not carry what it was made of.
    pub note: String,
}

/// A role, or a sign-off that does not count.
#[derive(Clone, Debug, Default, Serialize)]
pub struct SignOffRow {
    /// The role.
    pub role: String,
    /// Who signed; empty if nobody did.
    pub who: String,
    /// The fingerprint of the key; empty if it is not known.
    pub key: String,
    /// The day that the signer states.
    pub date: String,
    /// What it is worth, in words.
    pub state: String,
    /// The same as a class: `signature-good`, `signature-open`, `signature-void`.
    pub slug: String,
    /// Why it does not count.
    pub reason: String,
}

/// A clause in use.
#[derive(Clone, Debug, Serialize)]
pub struct ClauseRow {
    /// Address of its working.
    pub id: String,
    /// Number of the line that uses it first.
    pub number: u32,
    /// Path in the library.
    pub path: String,
    /// Title.
    pub title: String,
    /// Standard and clause.
    pub reference: String,
    /// Version of its sheet.
    pub version: String,
    /// For what it holds.
    pub scope: Markup,
    /// What its formulas were read from.
    pub basis: Markup,
    /// Empty if shipped; otherwise that the package adds or overrides it.
    pub origin: String,
}

/// What decides the result.
#[derive(Clone, Debug, Serialize)]
pub struct Provenance {
    /// Digest over everything that decides the result.
    pub digest: String,
    /// Version of the program.
    pub program: String,
    /// Files with their digests: the sheet, clauses, data.
    pub files: Vec<ProvenanceRow>,
}

/// One file that decides the result.
#[derive(Clone, Debug, Serialize)]
pub struct ProvenanceRow {
    /// What it is: sheet, clause or data.
    pub what: String,
    /// Its path.
    pub path: String,
    /// Its digest, shortened.
    pub digest: String,
}

/// The index page of a package.
#[derive(Clone, Debug, Serialize)]
pub struct IndexView {
    /// Title of the package.
    pub title: String,
    /// Legal owner.
    pub owner: String,
    /// One row a sheet, in the order of their paths.
    pub sheets: Vec<IndexRow>,
    /// Version of the program.
    pub program: String,
}

/// One sheet in the index.
#[derive(Clone, Debug, Serialize)]
pub struct IndexRow {
    /// Address of its page, relative to the index; empty if it has none.
    pub href: String,
    /// Path of the sheet.
    pub path: String,
    /// Identification number.
    pub number: String,
    /// Title.
    pub title: String,
    /// Revision.
    pub revision: String,
    /// Status.
    pub status: String,
    /// How it came out; "has errors" where it could not be built.
    pub verdict: VerdictView,
    /// The governing check.
    pub governs: String,
    /// Its ratio as shown.
    pub ratio: String,
    /// What is left to do and to know, each in a few words.
    pub remarks: Vec<String>,
}
