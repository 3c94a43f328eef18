//! The equation of a line: symbol, formula, substitution and result.
//!
//! An equation is a flow of parts, each beginning with its sign; a line breaks between parts first,
//! then between the pieces of a part.

use super::chunk::{Flow, SMALL, joins_next};
use super::formula::{Formula, is_lone_symbol, relation};
use super::node::{Kind, Node};
use super::quantity::{quantity_text, result_text, write_value};
use super::sign::Sign;
use super::symbol::Symbol;
use super::table::write_table;
use super::text::text;
use super::write::math;
use crate::compile::{Check, Line, LineId, Value, Work};
use crate::evaluate::Trace;
use crate::program::Register;
use crate::quantity::Unit;
use crate::render::address::Addresses;
use crate::render::markup::{Markup, escape};
use crate::syntax::{Branch, Definition, Expression, ExpressionKind, StatementKind};
use std::fmt::Write;

/// Values of branches up to this width leave their conditions aligned, in thousandths of an em.
const ALIGNED: u32 = 9_000;
/// A side of a check up to this width stands in front like a symbol.
const NARROW: u32 = 6_000;

/// The brace before the values of cases, stretched to their height.
const BRACE: &str = "<svg class=\"brace\" viewBox=\"0 0 10 100\" preserveAspectRatio=\"none\" aria-hidden=\"true\">\
    <path d=\"M9 1C4 1 5.5 8 5.5 20V36C5.5 45 5 49 1 50C5 51 5.5 55 5.5 64V80C5.5 92 4 99 9 99\"/></svg>";

/// Writes the equation of a line; nothing for the use of a clause and for a figure.
pub fn equation(out: &mut Markup, trace: &Trace, line: LineId, addresses: &Addresses) {
    write(out.raw(), None, trace, line, addresses);
}

/// The equation of a line as plain text.
pub fn equation_text(trace: &Trace, line: LineId, addresses: &Addresses) -> String {
    let mut words = String::new();
    write(&mut String::new(), Some(&mut words), trace, line, addresses);
    words.trim().to_owned()
}

/// A comparison of quantities with its values as plain text; nothing for any other condition.
pub fn compared_text(trace: &Trace, line: LineId, addresses: &Addresses, condition: &Expression) -> Option<String> {
    let ExpressionKind::Binary(operator, ..) = &condition.kind else { return None };
    let mentions = &trace.compiled.notes.line(line).mentions;
    let has_unit = mentions.iter().any(|mention| {
        let is_inside = condition.span.start <= mention.span.start && mention.span.end <= condition.span.end;
        is_inside && matches!(&mention.value, Value::Number(number) if !number.dimension.is_none())
    });
    (operator.is_comparison() && has_unit).then(|| words_of(&Formula::new(trace, line, addresses).values(condition)))
}

fn write(out: &mut String, words: Option<&mut String>, trace: &Trace, line: LineId, addresses: &Addresses) {
    let formula = Formula::new(trace, line, addresses);
    Writer { trace, line: trace.compiled.notes.line(line), formula, out, words }.line();
}

struct Writer<'a> {
    trace: &'a Trace,
    line: &'a Line,
    formula: Formula<'a>,
    /// What is set.
    out: &'a mut String,
    /// The same as plain text, where that is asked for.
    words: Option<&'a mut String>,
}

impl<'a> Writer<'a> {
    fn line(&mut self) {
        let line = self.line;
        if matches!(line.work, Work::Use(_) | Work::Figure) {
            return;
        }
        let is_by_case = matches!(line.work, Work::Cases(_));
        self.out.push_str(if is_by_case { "<div class=\"eq by-case\">" } else { "<div class=\"eq\">" });
        match (&line.work, &line.statement.kind) {
            (Work::Given, _) => match &line.value {
                Value::Table(table) => {
                    self.left(None);
                    self.out.push_str("<div class=\"rhs\">");
                    write_table(self.out, self.trace, table);
                    self.out.push_str("</div>");
                }
                value => {
                    self.left(None);
                    self.right(|writer| writer.result(value));
                }
            },
            (Work::FromData(_), _) => {
                self.left(None);
                self.right(|writer| writer.result(&line.value));
            }
            (Work::Takes(binding), _) => self.taken(binding),
            (Work::Cases(taken), StatementKind::Define { value: Definition::Cases(branches), .. }) => {
                self.cases(branches, taken);
            }
            (_, StatementKind::Define { value: Definition::Expression(formula), .. }) => {
                self.left(None);
                self.right(|writer| writer.derived(formula));
            }
            (Work::Check(check), StatementKind::Verify(expression)) => self.check(check, expression),
            (_, StatementKind::Require { condition, .. }) => self.requirement(condition),
            _ => {
                self.left(None);
                self.right(|writer| writer.result(&line.value));
            }
        }
        self.out.push_str("</div>");
    }

    /// Says words in the plain text.
    fn say(&mut self, words: &str) {
        if let Some(all) = &mut self.words {
            all.push_str(words);
        }
    }

    /// Says a formula in the plain text.
    fn say_node(&mut self, node: &Node<'_>) {
        if let Some(all) = &mut self.words {
            text(all, node);
        }
    }

    /// The symbol that the line defines.
    fn left(&mut self, address: Option<&'a str>) {
        if let Some(name) = &self.line.symbol {
            self.left_node(&Node::symbol(Symbol::new(name), address));
        }
    }

    fn left_node(&mut self, node: &Node<'_>) {
        self.say_node(node);
        self.out.push_str("<span class=\"lhs\">");
        math(self.out, node);
        self.out.push_str("</span> ");
    }

    fn right(&mut self, write: impl FnOnce(&mut Self)) {
        self.out.push_str("<span class=\"rhs\">");
        write(self);
        self.out.push_str("</span>");
    }

    /// A part that begins with a sign.
    fn part(&mut self, sign: Option<Sign>, node: Node<'_>) {
        self.out.push_str("<span class=\"part\">");
        self.pieces(sign, node);
        self.out.push_str("</span> ");
    }

    /// The pieces of a part, with spaces at which a line may break.
    fn pieces(&mut self, sign: Option<Sign>, node: Node<'_>) {
        let mut flow = Flow::default();
        if let Some(sign) = sign {
            self.say(sign.text());
            flow.push(Node::sign(sign));
        }
        self.say_node(&node);
        flow.set(node, SMALL);
        let mut is_joined = true;
        for piece in &flow.finish() {
            if !is_joined {
                self.out.push(' ');
            }
            is_joined = joins_next(piece);
            math(self.out, piece);
        }
    }

    /// What the line comes to; as text, which copies and prints better than MathML.
    fn result(&mut self, value: &Value) {
        if let Value::Unknown = value {
            return;
        }
        // A table is no part of a formula, so that it is what the line came to.
        let rows = matches!(value, Value::Table(_)).then(|| result_text(self.trace, self.line));
        if self.words.is_some() {
            self.say(" = ");
            self.say(&rows.clone().unwrap_or_else(|| quantity_text(self.trace, value)));
        }
        self.out.push_str("<span class=\"part\">=\u{a0}<span class=\"r\">");
        match rows {
            Some(rows) => escape(self.out, &rows),
            None => write_value(self.out, self.trace, value),
        }
        self.out.push_str("</span></span>");
    }

    /// Formula, substitution and result, without what would only repeat another.
    fn derived(&mut self, formula: &'a Expression) {
        self.side(Some(Sign::Infix("=")), formula, &self.line.value);
    }

    /// A formula behind a sign, its substitution and its value.
    fn side(&mut self, sign: Option<Sign>, formula: &'a Expression, value: &Value) {
        let symbols = self.formula.symbols(formula);
        // A number in the unit of the result is the result, which may have other figures.
        if self.says(&symbols, value) || sign == Some(Sign::Infix("=")) && is_in_unit_of(&symbols, value) {
            match sign {
                // A value alone is the result; a name that says the same still leads to its definition.
                Some(Sign::Infix("=")) if !is_lone_symbol(&symbols) => self.result(value),
                _ => self.part(sign, symbols),
            }
            return;
        }
        let is_lone = is_lone_symbol(&symbols);
        self.part(sign, symbols);
        if !is_lone {
            self.substitution(formula, value);
        }
        self.result(value);
    }

    /// The formula with its values, unless it has no symbol or says no more than the result.
    fn substitution(&mut self, formula: &'a Expression, result: &Value) {
        if !self.formula.has_symbols(formula) {
            return;
        }
        let values = self.formula.values(formula);
        // Of tables and rows there is no value to put in.
        let is_repeated = words_of(&values) == words_of(&self.formula.symbols(formula));
        if !is_repeated && !self.says(&values, result) {
            self.part(Some(Sign::Infix("=")), values);
        }
    }

    /// Whether a formula reads like a value.
    fn says(&self, formula: &Node<'_>, value: &Value) -> bool {
        let may = matches!(formula.kind, Kind::Quantity(..) | Kind::Word(_) | Kind::List(..) | Kind::Negative(_));
        may && words_of(formula) == quantity_text(self.trace, value)
    }

    /// A value that a clause takes: what it is bound to, unless that has the same name.
    fn taken(&mut self, binding: &'a Expression) {
        let line = self.line;
        let name = match &binding.kind {
            ExpressionKind::Field(_, field) => Some(field.node.as_str()),
            _ => binding.as_name(),
        };
        if name.is_some() && name == line.symbol.as_deref() {
            self.left(self.formula.address(binding));
            self.right(|writer| writer.result(&line.value));
        } else {
            self.left(None);
            self.right(|writer| writer.derived(binding));
        }
    }

    fn check(&mut self, check: &Check, expression: &'a Expression) {
        let ExpressionKind::Binary(operator, left, right) = &expression.kind else {
            return;
        };
        let (left_value, right_value) =
            if check.demand_first { (&check.demand, &check.resistance) } else { (&check.resistance, &check.demand) };
        let symbols = self.formula.symbols(left);
        let is_value = self.says(&symbols, left_value);
        let is_lone = is_lone_symbol(&symbols);
        let is_narrow = symbols.width <= NARROW;
        if is_narrow {
            self.left_node(&symbols);
        }
        self.right(|writer| {
            if !is_narrow {
                writer.part(None, symbols);
            }
            if !is_value {
                if !is_lone {
                    writer.substitution(left, left_value);
                }
                writer.result(left_value);
                writer.out.push(' ');
            }
            writer.side(Some(relation(*operator)), right, right_value);
        });
    }

    /// A condition, and what it says with the values.
    fn requirement(&mut self, condition: &'a Expression) {
        let symbols = self.formula.symbols(condition);
        let values = self.formula.values(condition);
        let is_repeated = !self.formula.has_symbols(condition);
        self.right(|writer| {
            writer.out.push_str("<span class=\"part\">");
            writer.pieces(None, symbols);
            if is_repeated {
                writer.out.push_str("</span>");
                return;
            }
            writer.say(": ");
            writer.out.push_str(":</span> <span class=\"part\">");
            writer.pieces(None, values);
            writer.out.push_str("</span>");
        });
    }

    /// Values by condition behind a brace, the one that was taken marked.
    fn cases(&mut self, branches: &'a [Branch], taken: &[Register]) {
        let is_taken = |at: usize| taken.get(at).is_some_and(|register| self.trace.register(*register) == 1.0);
        let is_decided = (0..branches.len()).any(is_taken);
        let values: Vec<Node<'a>> = branches.iter().map(|branch| self.formula.symbols(&branch.value)).collect();
        let widest = values.iter().map(|value| value.width).max().unwrap_or(0);
        let taken_at = (0..branches.len()).find(|at| is_taken(*at));

        self.out.push_str("<span class=\"rhs\"><span class=\"part\"><span class=\"lead\">");
        let mut lead = Flow::default();
        if let Some(name) = &self.line.symbol {
            lead.push(Node::symbol(Symbol::new(name), None));
        }
        lead.push(Node::sign(Sign::Infix("=")));
        for piece in lead.finish() {
            self.say_node(&piece);
            math(self.out, &piece);
        }
        self.out.push_str("</span> ");
        if widest <= ALIGNED {
            // Scripts and signs are estimated; a tenth in hand keeps the conditions aligned.
            let width = f64::from(widest * 11 / 100) / 100.0;
            let _ = write!(self.out, "<span class=\"cases\" style=\"--value:{width}em\">");
        } else {
            self.out.push_str("<span class=\"cases\">");
        }
        self.out.push_str(BRACE);
        for (at, (branch, value)) in branches.iter().zip(values).enumerate() {
            let class = match (is_decided, taken_at == Some(at)) {
                (_, true) => "branch taken",
                (true, false) => "branch left",
                (false, false) => "branch",
            };
            if at > 0 {
                self.say("; ");
            }
            let _ = write!(self.out, "<span class=\"{class}\"><span class=\"value\">");
            self.pieces(None, value);
            self.out.push_str("</span> <span class=\"when\">");
            match &branch.condition {
                Some(condition) => {
                    self.say(" when ");
                    self.out.push_str("when ");
                    let condition = self.formula.symbols(condition);
                    self.pieces(None, condition);
                }
                None => {
                    self.say(" otherwise");
                    self.out.push_str("otherwise");
                }
            }
            if taken_at == Some(at) {
                self.say(" (taken)");
            }
            self.out.push_str("</span></span> ");
        }
        self.out.push_str("</span></span> ");
        let value = &self.line.value;
        if let Some(at) = taken_at {
            let formula = &branches[at].value;
            let symbols = self.formula.symbols(formula);
            if !is_lone_symbol(&symbols) {
                self.substitution(formula, value);
            }
        }
        self.result(value);
        self.out.push_str("</span>");
    }
}

/// Whether a formula is but a number, written in the unit in which the value is shown.
fn is_in_unit_of(formula: &Node<'_>, value: &Value) -> bool {
    let Value::Number(number) = value else { return false };
    let shown = number.shown.as_deref().map(|shown| &shown.unit);
    match &formula.kind {
        Kind::Quantity(_, Some(unit)) => shown == Some(unit.as_ref()),
        Kind::Quantity(_, None) => shown.is_none_or(Unit::is_one),
        Kind::Negative(inner) => is_in_unit_of(inner, value),
        _ => false,
    }
}

fn words_of(node: &Node<'_>) -> String {
    let mut words = String::new();
    text(&mut words, node);
    words
}
