//! Statements: `parse_` may find nothing, `expect_` must find, `at_` looks without taking.

use super::lexer::{StatementTokens, lex};
use super::token::{KEYWORDS, Token, TokenKind};
use super::tree::*;
use crate::diagnostic::{Code, Diagnostic};
use crate::document::{BlockKind, BlockText};
use crate::text::{SourceFile, Span, Spanned};
use std::sync::Arc;

/// Reads the statements of a block; a mistake costs its statement only.
pub fn parse_block(kind: BlockKind, block: &BlockText, source: &Arc<SourceFile>) -> (Vec<Statement>, Vec<Diagnostic>) {
    let mut findings = Vec::new();
    let mut statements = Vec::new();
    for tokens in lex(block, source, &mut findings) {
        let mut parser = Parser::new(tokens, source);
        if let Some(statement) = parser.statement(kind) {
            statements.push(statement);
        }
        findings.append(&mut parser.findings);
    }
    (statements, findings)
}

/// Reads one value, as a data file holds it.
pub fn parse_literal(text: &BlockText, source: &Arc<SourceFile>) -> (Option<Expression>, Vec<Diagnostic>) {
    let mut findings = Vec::new();
    let mut lines = lex(text, source, &mut findings);
    if lines.len() != 1 || !findings.is_empty() {
        if findings.is_empty() {
            let place = text.span(0, text.text.len());
            findings.push(Diagnostic::error(Code::Syntax, source, place, "one value is expected here"));
        }
        return (None, findings);
    }
    let mut parser = Parser::new(lines.remove(0), source);
    let expression = parser.expect_expression();
    parser.expect_end();
    let failed = parser.failed;
    findings.append(&mut parser.findings);
    ((!failed).then_some(expression), findings)
}

/// A cursor over the tokens of one statement; after the first mistake it stays silent.
pub(super) struct Parser<'a> {
    tokens: StatementTokens,
    at: usize,
    pub(super) source: &'a Arc<SourceFile>,
    pub(super) findings: Vec<Diagnostic>,
    pub(super) failed: bool,
    pub(super) depth: usize,
    /// Whether line ends are passed over; not so in tables and cases, where they separate rows.
    joins_lines: bool,
}

impl<'a> Parser<'a> {
    fn new(tokens: StatementTokens, source: &'a Arc<SourceFile>) -> Self {
        Self { tokens, at: 0, source, findings: Vec::new(), failed: false, depth: 0, joins_lines: true }
    }

    fn index(&self, ahead: usize) -> usize {
        let mut at = self.at;
        let mut left = ahead;
        loop {
            while self.joins_lines && self.tokens.get(at).is_some_and(|t| t.kind == TokenKind::LineBreak) {
                at += 1;
            }
            if left == 0 {
                return at.min(self.tokens.len() - 1);
            }
            left -= 1;
            at += 1;
        }
    }

    pub(super) fn peek(&self) -> &Token {
        &self.tokens[self.index(0)]
    }

    pub(super) fn next(&mut self) -> Token {
        let at = self.index(0);
        self.at = (at + 1).min(self.tokens.len() - 1);
        self.tokens[at].clone()
    }

    pub(super) fn at_mark(&self, mark: &str) -> bool {
        matches!(self.peek().kind, TokenKind::Mark(m) if m == mark)
    }

    fn at_word(&self, word: &str) -> bool {
        matches!(&self.peek().kind, TokenKind::Name(name) if name == word)
    }

    pub(super) fn word_after_next(&self, word: &str) -> bool {
        matches!(&self.tokens[self.index(1)].kind, TokenKind::Name(name) if name == word)
    }

    pub(super) fn take_mark(&mut self, mark: &str) -> bool {
        let there = self.at_mark(mark);
        if there {
            self.next();
        }
        there
    }

    fn take_word(&mut self, word: &str) -> bool {
        let there = self.at_word(word);
        if there {
            self.next();
        }
        there
    }

    pub(super) fn fail(&mut self, finding: Diagnostic) {
        if !self.failed {
            self.findings.push(finding);
        }
        self.failed = true;
    }

    pub(super) fn skip_statement(&mut self) {
        self.at = self.tokens.len() - 1;
    }

    pub(super) fn expected(&mut self, what: &str) {
        let token = self.peek().clone();
        let found = token.kind.describe();
        let mut finding =
            Diagnostic::error(Code::Syntax, self.source, token.span, format!("expected {what}, found {found}"))
                .here(format!("expected {what}"));
        if let TokenKind::Mark("=") = token.kind {
            finding = finding.help("`=` defines a symbol; to compare, write `is`, `<=` or `>=`");
        }
        self.fail(finding);
    }

    pub(super) fn expect_mark(&mut self, mark: &'static str) -> Span {
        if self.at_mark(mark) {
            return self.next().span;
        }
        self.expected(&format!("`{mark}`"));
        self.peek().span
    }

    pub(super) fn expect_name(&mut self, what: &str) -> Option<Name> {
        let token = self.peek().clone();
        match token.kind {
            TokenKind::Name(name) if !KEYWORDS.contains(&name.as_str()) => {
                self.next();
                Some(Spanned::new(name, token.span))
            }
            _ => {
                self.expected(what);
                None
            }
        }
    }

    /// A row may be labelled with a number, `1: …`.
    fn expect_label(&mut self) -> Option<Name> {
        let token = self.peek().clone();
        if let TokenKind::Number(digits) = token.kind {
            self.next();
            return Some(Spanned::new(digits, token.span));
        }
        self.expect_name("the row's label")
    }

    pub(super) fn parse_unit(&mut self) -> Option<Spanned<String>> {
        let token = self.peek().clone();
        let TokenKind::Unit(text) = token.kind else { return None };
        self.next();
        Some(Spanned::new(text, token.span))
    }

    fn expect_unit(&mut self) -> Option<Spanned<String>> {
        let unit = self.parse_unit();
        if unit.is_none() {
            self.expected("a unit");
        }
        unit
    }

    fn parse_text(&mut self) -> Option<Spanned<String>> {
        let token = self.peek().clone();
        let TokenKind::Text(text) = token.kind else { return None };
        self.next();
        Some(Spanned::new(text, token.span))
    }

    pub(super) fn expect_end(&mut self) {
        if !self.failed && self.peek().kind != TokenKind::End {
            let token = self.peek().clone();
            let mut finding = Diagnostic::error(
                Code::Syntax,
                self.source,
                token.span,
                format!("{} does not belong here", token.kind.describe()),
            )
            .here("the statement could end before this");
            if matches!(token.kind, TokenKind::Name(_) | TokenKind::Number(_) | TokenKind::Mark("(")) {
                finding = finding.help("a product is written with `*`, and each statement starts on a line of its own");
            }
            self.fail(finding);
        }
    }

    fn statement(&mut self, block: BlockKind) -> Option<Statement> {
        let start = self.peek().span;
        let word = match &self.peek().kind {
            TokenKind::Name(name) => name.clone(),
            _ => String::new(),
        };
        let mut suffix = Suffix::default();
        let kind = match word.as_str() {
            "require" => {
                self.next();
                let condition = self.expect_expression();
                StatementKind::Require(condition)
            }
            "takes" => self.takes(&mut suffix)?,
            "gives" => {
                self.next();
                StatementKind::Gives(self.expect_name("the name of a result")?)
            }
            "use" => self.use_clause()?,
            _ if block == BlockKind::Figure => self.figure(&mut suffix)?,
            _ if block == BlockKind::Verify => StatementKind::Verify(self.check()),
            _ => self.define(&mut suffix)?,
        };
        self.joins_lines = true;
        let is_check = matches!(kind, StatementKind::Verify(_));
        self.suffix(&mut suffix, is_check);
        self.expect_end();
        let end = self.tokens.last().map_or(start, |token| token.span);
        let statement = Statement { span: start.to(end), kind, suffix };
        self.refuse_misplaced(block, &statement);
        Some(statement)
    }

    /// Says so where a statement stands in a block of another kind.
    fn refuse_misplaced(&mut self, block: BlockKind, statement: &Statement) {
        let (what, belongs): (&str, &[BlockKind]) = match &statement.kind {
            StatementKind::Define { value, .. } => match value {
                Definition::Table(_) | Definition::Data(_) => ("a table or data file", &[BlockKind::Given]),
                Definition::Expression(_) => ("a definition", &[BlockKind::Given, BlockKind::Derive]),
                Definition::Cases(_) => ("`cases`", &[BlockKind::Derive]),
            },
            StatementKind::Require(_) => ("`require`", &[BlockKind::Derive, BlockKind::Verify]),
            StatementKind::Verify(_) => ("a check", &[BlockKind::Verify]),
            StatementKind::Takes { .. } => ("`takes`", &[BlockKind::Clause]),
            StatementKind::Gives(_) => ("`gives`", &[BlockKind::Clause]),
            StatementKind::Use(_) => ("`use`", &[BlockKind::Clause]),
            StatementKind::Figure { .. } => ("a figure", &[BlockKind::Figure]),
        };
        if self.failed || belongs.contains(&block) {
            return;
        }
        let names: Vec<String> = belongs.iter().map(|kind| format!("`{}`", kind.name())).collect();
        let finding = Diagnostic::error(
            Code::MisplacedStatement,
            self.source,
            statement.span,
            format!("{what} does not stand in a `{}` block", block.name()),
        )
        .help(format!("move it to a {} block", names.join(" or ")));
        self.fail(finding);
    }

    fn check(&mut self) -> Expression {
        let expression = self.expect_expression();
        let is_check = matches!(&expression.kind, ExpressionKind::Binary(operator, ..) if operator.is_order());
        if !is_check && !self.failed {
            let finding = Diagnostic::error(
                Code::Syntax,
                self.source,
                expression.span,
                "a check compares a demand with a resistance",
            )
            .help("write `N_Ed <= N_Rd`; a condition of validity is written `require …`");
            self.fail(finding);
        }
        expression
    }

    fn define(&mut self, suffix: &mut Suffix) -> Option<StatementKind> {
        let name = self.expect_name("the name of a symbol")?;
        if !self.take_mark("=") {
            self.expected("`=`");
            // The name is known all the same, so that its uses are not reported as well.
            return Some(StatementKind::Define {
                value: Definition::Expression(Expression::new(ExpressionKind::Unreadable, name.span)),
                name,
            });
        }
        let word = match &self.peek().kind {
            TokenKind::Name(word) => word.clone(),
            _ => String::new(),
        };
        let value = match word.as_str() {
            "cases" => {
                self.next();
                Definition::Cases(self.cases(suffix))
            }
            "table" => {
                self.next();
                Definition::Table(self.table(suffix))
            }
            "data" => {
                self.next();
                match self.parse_text() {
                    Some(path) => Definition::Data(path),
                    None => {
                        self.expected("the path of a data file in quotes");
                        Definition::Expression(Expression::new(ExpressionKind::Unreadable, name.span))
                    }
                }
            }
            _ => Definition::Expression(self.expect_expression()),
        };
        Some(StatementKind::Define { name, value })
    }

    /// The head of `cases` may carry suffixes; then one branch a line.
    fn cases(&mut self, suffix: &mut Suffix) -> Vec<Branch> {
        self.joins_lines = false;
        self.suffix(suffix, false);
        let mut branches: Vec<Branch> = Vec::new();
        while self.at_line_break() && !self.failed {
            self.next();
            if self.at_line_break() || self.peek().kind == TokenKind::End {
                continue;
            }
            // A line that opens with a suffix belongs to the statement.
            if self.suffix(suffix, false) {
                continue;
            }
            let place = self.peek().span;
            let value = self.expect_expression();
            let closed = branches.last().is_some_and(|branch| branch.condition.is_none());
            if closed {
                let finding = Diagnostic::error(Code::Syntax, self.source, place, "no branch follows `otherwise`");
                self.fail(finding.help("move the `otherwise` line to the end"));
            }
            let condition = if self.take_word("when") {
                Some(self.expect_expression())
            } else if self.take_word("otherwise") {
                None
            } else {
                self.expected("`when` and a condition, or `otherwise`");
                None
            };
            self.suffix(suffix, false);
            branches.push(Branch { value, condition });
        }
        let open = branches.last().is_none_or(|branch| branch.condition.is_some());
        if open && !self.failed {
            let place = self.peek().span;
            let finding = Diagnostic::error(Code::Syntax, self.source, place, "`cases` must end with `otherwise`")
                .help("add a last line `value otherwise`: every case has to be covered");
            self.fail(finding);
        }
        branches
    }

    fn at_line_break(&self) -> bool {
        self.peek().kind == TokenKind::LineBreak
    }

    fn table(&mut self, suffix: &mut Suffix) -> Table {
        self.joins_lines = false;
        let mut columns = Vec::new();
        while let Some(name) = self.expect_name("the name of a column") {
            let unit = if self.take_word("in") { self.expect_unit() } else { None };
            columns.push((name, unit));
            if !self.take_mark(",") {
                break;
            }
        }
        self.suffix(suffix, false);
        let mut rows = Vec::new();
        while self.at_line_break() && !self.failed {
            self.next();
            if self.at_line_break() || self.peek().kind == TokenKind::End {
                continue;
            }
            if self.suffix(suffix, false) {
                continue;
            }
            let Some(label) = self.expect_label() else { break };
            self.expect_mark(":");
            let mut cells = vec![self.expect_expression()];
            while self.take_mark(",") {
                cells.push(self.expect_expression());
            }
            if cells.len() != columns.len() && !self.failed {
                let finding = Diagnostic::error(
                    Code::Syntax,
                    self.source,
                    label.span,
                    format!("row `{}` has {} values, the table has {} columns", label.node, cells.len(), columns.len()),
                )
                .help("separate the values by commas, one for each column");
                self.fail(finding);
            }
            rows.push((label, cells));
        }
        Table { columns, rows }
    }

    fn takes(&mut self, suffix: &mut Suffix) -> Option<StatementKind> {
        self.next();
        let name = self.expect_name("the name of what the clause takes")?;
        self.expect_mark(":");
        let kind = self.kind()?;
        if kind == KindText::Word && !self.at_word("among") {
            self.expected("`among` and the words to choose from");
        }
        self.suffix(suffix, false);
        Some(StatementKind::Takes { name, kind })
    }

    fn kind(&mut self) -> Option<KindText> {
        if self.take_word("in") {
            return self.expect_unit().map(KindText::Unit);
        }
        if self.take_word("data") {
            return Some(KindText::Data);
        }
        if self.take_word("yes") {
            self.expect_mark("/");
            if !self.take_word("no") {
                self.expected("`no`");
            }
            return Some(KindText::Truth);
        }
        if self.take_word("table") {
            return self.columns().map(KindText::Table);
        }
        let mut name = self.expect_name(
            "a kind: a dimension such as `force`, `yes/no`, `word`, `list of …`, `table of …`, `row of …` or `data`",
        )?;
        match name.node.as_str() {
            "word" => return Some(KindText::Word),
            "row" => return self.columns().map(KindText::Row),
            "list" => {
                self.expect_of();
                return Some(KindText::List(Box::new(self.kind()?)));
            }
            _ => {}
        }
        // Some dimensions have names of several words.
        while let TokenKind::Name(word) = self.peek().kind.clone() {
            if KEYWORDS.contains(&word.as_str()) {
                break;
            }
            let span = self.next().span;
            name.node = format!("{} {word}", name.node);
            name.span = name.span.to(span);
        }
        Some(KindText::Dimension(name))
    }

    /// `of x length, y length`.
    fn columns(&mut self) -> Option<Vec<(Name, KindText)>> {
        self.expect_of();
        let mut columns = Vec::new();
        loop {
            let name = self.expect_name("the name of a column")?;
            columns.push((name, self.kind()?));
            if !self.take_mark(",") {
                return Some(columns);
            }
        }
    }

    fn expect_of(&mut self) {
        if !self.take_word("of") {
            self.expected("`of`");
        }
    }

    fn use_clause(&mut self) -> Option<StatementKind> {
        self.next();
        let Some(path) = self.parse_text() else {
            self.expected("the path of a clause, such as `en-1992-4/concrete-cone`");
            return None;
        };
        let with = self.bindings();
        let mut gives = Vec::new();
        if self.take_word("gives") {
            loop {
                let name = self.expect_name("the name of a result")?;
                let alias = if self.take_word("as") { self.expect_name("the name it has here")? } else { name.clone() };
                gives.push((name, alias));
                if !self.take_mark(",") {
                    break;
                }
            }
        }
        Some(StatementKind::Use(Use { path, with, gives }))
    }

    fn figure(&mut self, suffix: &mut Suffix) -> Option<StatementKind> {
        let name = self.expect_name("the name of a figure")?;
        suffix.description = self.parse_text();
        let with = self.bindings();
        Some(StatementKind::Figure { name, with })
    }

    fn bindings(&mut self) -> Vec<Binding> {
        let mut with = Vec::new();
        if self.take_word("with") {
            while let Some(name) = self.expect_name("the name of what is taken") {
                self.expect_mark("=");
                let value = self.expect_expression();
                with.push(Binding { name, value });
                if !self.take_mark(",") {
                    break;
                }
            }
        }
        with
    }

    /// Takes all suffixes that come next; whether there was one.
    fn suffix(&mut self, suffix: &mut Suffix, is_check: bool) -> bool {
        let mut any = false;
        while !self.failed {
            let place = self.peek().span;
            let twice = match self.peek().kind.clone() {
                TokenKind::Text(words) => {
                    self.next();
                    suffix.description.replace(Spanned::new(words, place)).is_some()
                }
                TokenKind::Reference(words) => {
                    self.next();
                    let reference = self.reference(&words, place);
                    suffix.reference.replace(reference).is_some()
                }
                TokenKind::Name(word) => match word.as_str() {
                    "in" => {
                        self.next();
                        let Some(unit) = self.expect_unit() else { return any };
                        suffix.unit.replace(unit).is_some()
                    }
                    "to" => {
                        self.next();
                        let Some(figures) = self.figures() else { return any };
                        suffix.figures.replace(figures).is_some()
                    }
                    "within" => {
                        self.next();
                        let low = self.expect_expression();
                        if !self.take_word("to") {
                            self.expected("`to` and the upper limit");
                        }
                        let high = self.expect_expression();
                        suffix.within.replace((low, high)).is_some()
                    }
                    "among" => {
                        self.next();
                        let mut words = Vec::new();
                        while let Some(word) = self.expect_name("a word to choose from") {
                            words.push(word);
                            if !self.take_mark(",") {
                                break;
                            }
                        }
                        suffix.among.replace(words).is_some()
                    }
                    "giving" => {
                        self.next();
                        let Some(giving) = self.giving() else { return any };
                        suffix.giving.replace(giving).is_some()
                    }
                    "when" if is_check => {
                        self.next();
                        let condition = self.expect_expression();
                        if !self.take_word("otherwise") {
                            self.expected("`otherwise` and the reason in quotes");
                        }
                        let Some(reason) = self.parse_text() else {
                            self.expected("the reason in quotes");
                            return any;
                        };
                        suffix.applies.replace(Applies { condition, reason }).is_some()
                    }
                    _ => return any,
                },
                _ => return any,
            };
            any = true;
            if twice {
                let finding =
                    Diagnostic::error(Code::Syntax, self.source, place, "this part stands twice on one statement");
                self.fail(finding);
            }
        }
        any
    }

    fn figures(&mut self) -> Option<Spanned<usize>> {
        let token = self.peek().clone();
        let count = match &token.kind {
            TokenKind::Number(digits) => digits.parse::<usize>().ok().filter(|n| (1..=15).contains(n)),
            _ => None,
        };
        let Some(count) = count else {
            self.expected("a number of figures from 1 to 15");
            return None;
        };
        self.next();
        if !self.take_word("figures") && !self.take_word("figure") {
            self.expected("`figures`");
        }
        Some(Spanned::new(count, token.span))
    }

    fn giving(&mut self) -> Option<Giving> {
        let unit = self.expect_unit()?;
        let mut with = Vec::new();
        if self.take_word("with") {
            loop {
                let name = self.expect_name("the name of a quantity in the formula")?;
                if !self.take_word("in") {
                    self.expected("`in` and a unit");
                }
                with.push((name, self.expect_unit()?));
                // `…, in mm` cannot follow: a comma always leads to the next quantity.
                if !self.take_mark(",") {
                    break;
                }
            }
        } else {
            self.expected("`with` and the quantities that are bare numbers in the formula");
        }
        Some(Giving { unit, with })
    }

    /// Splits a mark in brackets off the end of a reference.
    fn reference(&mut self, words: &str, span: Span) -> Reference {
        let mut text = words.to_owned();
        let mut mark = None;
        if let Some(open) = words.rfind('[')
            && let Some(inside) = words[open + 1..].strip_suffix(']')
        {
            let (name, reason) = inside.split_once(':').unwrap_or((inside, ""));
            match MarkKind::ALL.into_iter().find(|kind| kind.words() == name.trim()) {
                Some(kind) => {
                    mark = Some(Mark { kind, reason: reason.trim().to_owned() });
                    text = words[..open].trim_end().to_owned();
                }
                None => {
                    let known: Vec<String> = MarkKind::ALL.iter().map(|kind| format!("`[{}]`", kind.words())).collect();
                    let finding = Diagnostic::error(
                        Code::Syntax,
                        self.source,
                        span,
                        format!("`[{inside}]` is not a mark of a source"),
                    )
                    .help(format!("marks are {}", known.join(", ")));
                    self.fail(finding);
                }
            }
        }
        Reference { text, mark, span }
    }
}
