//! From a sheet that was read to a program with notes, or to all that is wrong with it at once.
//!
//! 1. [`statement`] goes through the statements, one line each; [`definition`] and [`record`] define symbols;
//! 2. [`expression`] finds kind and dimension of every expression and adds the program's steps;
//! 3. [`operator`], [`call`] and [`routine`] lower operators and built-in functions, element by element over lists;
//!    where lists do not go together, [`lengths`] says which;
//! 4. [`clause`] compiles a used clause in place, in a scope of its own, with what it takes bound by [`binding`];
//! 5. [`figure`] binds what is drawn;
//! 6. [`as_installed`] holds records against values of the sheet, by running what is compiled so far;
//! 7. [`table_file`] reads the rows of a table out of a file;
//! 8. [`calculation`] makes another calculation again with some of its givens replaced;
//! 9. [`alone`] compiles a clause without a use, for what is wrong in it whoever uses it.
//!
//! Nothing else is computed here. A mistake leaves [`Value::Unknown`], which silences what merely follows from it.

mod alone;
mod as_installed;
mod binding;
mod calculation;
mod call;
mod card;
mod clause;
mod conform;
mod definition;
mod expression;
mod figure;
mod lengths;
mod notes;
mod operator;
mod record;
mod routine;
mod sample;
mod solving;
mod statement;
mod table_file;
#[cfg(test)]
mod tests;
mod value;

pub use alone::check_clause;
pub use calculation::Recalculation;
pub use figure::{FIGURES, FigureKind, reference_table as figure_table};
pub use notes::*;
pub use value::*;

use crate::diagnostic::{Code, Diagnostic, Label, any_error};
use crate::library::{Card, Clause, DataFile, Mode};
use crate::program::{Builder, Program};
use crate::quantity::DisplayUnits;
use crate::syntax::Sheet;
use crate::text::{SourceFile, Span};
use std::collections::{BTreeMap, HashMap, HashSet};
use std::sync::Arc;

/// Where clauses and data come from; a package stands behind it.
pub trait Sources {
    /// The clause of a path.
    fn clause(&self, path: &str) -> Option<Arc<Clause>>;
    /// Paths of all clauses, for suggestions.
    fn clause_paths(&self) -> Vec<String>;
    /// The card of a path.
    fn card(&self, path: &str) -> Option<Arc<Card>>;
    /// Paths of all cards, for suggestions.
    fn card_paths(&self) -> Vec<String>;
    /// The failure modes that clauses show.
    fn modes(&self) -> Arc<[Mode]>;
    /// A data file of the package, or why it cannot be had.
    fn data(&self, path: &str) -> Result<Arc<DataFile>, DataProblem>;
    /// Another calculation of the package, or why it cannot be had.
    fn calculation(&self, path: &str) -> Result<Arc<Clause>, DataProblem>;
    /// The bytes of a file of records of the package, or why they cannot be had.
    fn records(&self, path: &str) -> Result<Vec<u8>, DataProblem>;
}

/// Why a data file cannot be had.
#[derive(Clone, Debug)]
pub enum DataProblem {
    /// The path leads outside the package.
    Outside,
    /// There is no such file, or it cannot be read.
    Unreadable {
        /// The reason.
        why: String,
        /// A file of the package that may have been meant.
        near: Option<String>,
    },
    /// What is wrong in it.
    Findings(Vec<Diagnostic>),
}

/// What a package decides about showing values.
#[derive(Clone, Debug)]
pub struct Settings {
    /// Significant figures.
    pub figures: usize,
    /// Units of results.
    pub display: DisplayUnits,
}

/// A finding about something that is missing shows at most so many places.
const LABEL_LIMIT: usize = 4;

/// A sheet ready to run.
#[derive(Clone, Debug)]
pub struct Compiled {
    /// The steps.
    pub program: Program,
    /// The values that the sheet gives for the inputs.
    pub inputs: Vec<f64>,
    /// Lines, scopes and figures.
    pub notes: Notes,
    /// Significant figures.
    pub figures: usize,
    /// Files that decide the result beside the sheet: clauses by path, data by path.
    pub rests_on: BTreeMap<String, Arc<SourceFile>>,
    /// The failure modes that clauses of the library show.
    pub modes: Arc<[Mode]>,
}

/// Compiles a sheet; `None` where there was an error.
pub fn compile(sheet: &Sheet, sources: &dyn Sources, settings: &Settings) -> (Option<Compiled>, Vec<Diagnostic>) {
    compile_within(sheet, sources, settings, vec![sheet.document.source.name.clone()])
}

/// Compiles a sheet that others are making again, the innermost last, which is the sheet itself.
fn compile_within(
    sheet: &Sheet,
    sources: &dyn Sources,
    settings: &Settings,
    calculations: Vec<String>,
) -> (Option<Compiled>, Vec<Diagnostic>) {
    let mut compiler = Compiler { calculations, ..Compiler::new(sources, settings) };
    compiler.sheet(sheet);
    let mut findings = compiler.findings;
    remove_repeated(&mut findings);
    let figures = sheet.document.front.figures.unwrap_or(settings.figures);
    let compiled = (!any_error(&findings)).then(|| Compiled {
        program: compiler.builder.finish(),
        inputs: compiler.inputs,
        notes: compiler.notes,
        figures,
        rests_on: compiler.rests_on,
        modes: sources.modes(),
    });
    (compiled, findings)
}

/// A clause used twice reports its mistakes twice; once is enough.
fn remove_repeated(findings: &mut Vec<Diagnostic>) {
    let mut seen: HashSet<(Code, String, Span, String)> = HashSet::new();
    findings.retain(|finding| {
        let Some(place) = finding.labels.first() else {
            return true;
        };
        seen.insert((finding.code, place.source.name.clone(), place.span, finding.message.clone()))
    });
}

struct Compiler<'a> {
    sources: &'a dyn Sources,
    settings: &'a Settings,
    builder: Builder,
    inputs: Vec<f64>,
    notes: Notes,
    findings: Vec<Diagnostic>,
    clause_stack: Vec<String>,
    /// The calculations that are being made, the outermost first.
    calculations: Vec<String>,
    /// Whether a clause is compiled without a use, so that lengths of lists and rows of tables are not known.
    is_alone: bool,
    /// Values of data files in use: the line that names the file, and the symbol.
    data_lines: HashMap<(LineId, String), LineId>,
    /// What is missing and was told of, with the number of the finding.
    told: HashMap<String, usize>,
    rests_on: BTreeMap<String, Arc<SourceFile>>,
}

/// The names of one scope while it is compiled.
struct Frame {
    scope: ScopeId,
    source: Arc<SourceFile>,
    symbols: HashMap<String, Symbol>,
    /// Where each name of the sheet is defined, for uses that come too early.
    places: HashMap<String, Span>,
    /// What a clause says it gives.
    gives: Vec<crate::syntax::Name>,
    /// Where the clause was used, to be told with every mistake in it.
    used_at: Option<(Arc<SourceFile>, Span)>,
    /// Whether it is a clause's.
    is_clause: bool,
    /// Givens of a calculation that is made again with other values.
    replaced: HashMap<String, calculation::Replacement>,
    /// The reference of its use: where values come from that `with` states itself.
    stated: Origin,
}

#[derive(Clone)]
struct Symbol {
    value: Value,
    line: Option<LineId>,
    /// Where it was defined.
    source: Arc<SourceFile>,
    span: Span,
}

impl Frame {
    fn new(scope: ScopeId, sheet: &Sheet, used_at: Option<(Arc<SourceFile>, Span)>) -> Self {
        let mut places = HashMap::new();
        for statement in sheet.statements() {
            for name in statement.kind.defines() {
                places.entry(name.node.clone()).or_insert(name.span);
            }
        }
        Self {
            scope,
            source: sheet.document.source.clone(),
            symbols: HashMap::new(),
            places,
            gives: Vec::new(),
            is_clause: used_at.is_some(),
            replaced: HashMap::new(),
            stated: Origin::default(),
            used_at,
        }
    }

    /// For values that stand in a file beside the sheet, so that places in them are places in the file.
    fn of_file(scope: ScopeId, source: &Arc<SourceFile>) -> Self {
        Self {
            scope,
            source: source.clone(),
            symbols: HashMap::new(),
            places: HashMap::new(),
            gives: Vec::new(),
            used_at: None,
            is_clause: false,
            replaced: HashMap::new(),
            stated: Origin::default(),
        }
    }

    /// An error in this scope's file, with the place of use where it is a clause.
    fn error(&self, code: Code, span: Span, message: impl Into<String>) -> Diagnostic {
        let finding = Diagnostic::error(code, &self.source, span, message);
        match &self.used_at {
            Some((source, span)) => finding.also(source, *span, "the clause is used here"),
            None => finding,
        }
    }

    /// Whether it is another calculation's, which is made again here.
    fn is_recalculation(&self) -> bool {
        self.used_at.is_some() && !self.is_clause
    }

    /// Names that are defined so far, sorted.
    fn names(&self) -> Vec<&str> {
        let mut names: Vec<&str> = self.symbols.keys().map(String::as_str).collect();
        names.sort_unstable();
        names
    }
}

impl<'a> Compiler<'a> {
    fn new(sources: &'a dyn Sources, settings: &'a Settings) -> Self {
        Self {
            sources,
            settings,
            builder: Builder::default(),
            inputs: Vec::new(),
            notes: Notes::default(),
            findings: Vec::new(),
            clause_stack: Vec::new(),
            calculations: Vec::new(),
            is_alone: false,
            data_lines: HashMap::new(),
            told: HashMap::new(),
            rests_on: BTreeMap::new(),
        }
    }

    fn report(&mut self, finding: Diagnostic) -> Value {
        self.findings.push(finding);
        Value::Unknown
    }

    /// One finding for something that is missing, however often it is used: later uses are added to it.
    fn report_once(&mut self, missing: String, finding: Diagnostic) -> Value {
        let known = self.told.get(&missing).and_then(|at| self.findings.get_mut(*at));
        let Some(known) = known else {
            self.told.insert(missing, self.findings.len());
            return self.report(finding);
        };
        if let Some(place) = finding.labels.into_iter().next() {
            let is_known = known.labels.iter().any(|label| label.source == place.source && label.span == place.span);
            if !is_known && known.labels.len() < LABEL_LIMIT {
                known.labels.push(Label { text: "used here as well".to_owned(), ..place });
            }
        }
        Value::Unknown
    }

    /// The sheet itself.
    fn sheet(&mut self, sheet: &Sheet) {
        let scope = self.scope(String::new(), None, None, sheet);
        let mut frame = Frame::new(scope, sheet, None);
        self.parts(&mut frame, sheet);
    }

    fn scope(&mut self, path: String, parent: Option<ScopeId>, clause: Option<Arc<Clause>>, sheet: &Sheet) -> ScopeId {
        let id = ScopeId(self.notes.scopes.len() as u32);
        self.notes.scopes.push(Scope {
            path,
            parent,
            clause,
            recalculation: None,
            document: sheet.document.clone(),
            parts: Vec::new(),
        });
        id
    }

    fn add_line(&mut self, line: Line) -> LineId {
        let id = LineId(self.notes.lines.len() as u32);
        self.notes.lines.push(line);
        id
    }

    fn scope_mut(&mut self, id: ScopeId) -> &mut Scope {
        &mut self.notes.scopes[id.0 as usize]
    }

    /// Defines a symbol once; a second definition is refused and the first one stays.
    fn define(&mut self, frame: &mut Frame, name: &str, span: Span, symbol: Symbol) {
        if let Some(first) = frame.symbols.get(name) {
            let finding = frame
                .error(Code::Redefined, span, format!("`{name}` is defined twice"))
                .here("second definition")
                .also(&first.source, first.span, "first definition")
                .help("give one of them another name: a symbol has one value in a sheet");
            self.report(finding);
            return;
        }
        if name == "pi" || name == "π" {
            let finding = frame.error(Code::Redefined, span, "`pi` is the circle's constant and cannot be defined");
            self.report(finding.help("give the symbol another name"));
            return;
        }
        frame.symbols.insert(name.to_owned(), symbol);
    }
}
