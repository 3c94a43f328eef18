//! Statements: what each block may hold.

use super::cursor::Parser;
use super::lexer::lex;
use super::token::TokenKind;
use super::tree::*;
use crate::diagnostic::{Code, Diagnostic};
use crate::document::{BlockKind, BlockText};
use crate::text::{SourceFile, Spanned};
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
            let finding = Diagnostic::error(Code::Syntax, source, place, "one value is expected here");
            findings.push(finding.help("write it as in a `given` block, such as `70 mm`, on one line"));
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

impl Parser<'_> {
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
                StatementKind::Require { condition: self.expect_expression(), on: self.names_after_on() }
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
        if matches!(kind, StatementKind::Use(_)) {
            self.refuse_behind_words(&suffix);
        }
        self.expect_end();
        let end = self.tokens.last().map_or(start, |token| token.span);
        let mut statement = Statement { span: start.to(end), kind, suffix };
        self.refuse_misplaced(block, &statement);
        if self.failed {
            // What follows from half a statement would only hide what is wrong with it.
            let names = statement.kind.defines().into_iter().cloned().collect();
            statement = Statement { kind: StatementKind::Unreadable(names), suffix: Suffix::default(), ..statement };
        }
        Some(statement)
    }

    /// Says so where words or the reference of a use stand before the rest of it.
    fn refuse_behind_words(&mut self, suffix: &Suffix) {
        let Some(word) = ["for", "from", "with", "solving", "gives"].into_iter().find(|word| self.at_word(word)) else {
            return;
        };
        let (what, place) = match (&suffix.description, &suffix.reference) {
            (Some(words), _) => ("the words in quotes", words.span),
            (None, Some(reference)) => ("the reference", reference.span),
            (None, None) => return,
        };
        let message = format!("`{word}` belongs before {what}");
        let finding = Diagnostic::error(Code::Syntax, self.source, self.peek().span, message);
        let finding = finding.also(self.source, place, "what stands here ends a `use`");
        self.fail(finding.help(format!("put {what} at the end, behind `{word} …`")));
    }

    /// `on a, b` behind a condition of validity.
    fn names_after_on(&mut self) -> Vec<Name> {
        let mut names = Vec::new();
        if self.take_word("on") {
            while let Some(name) = self.expect_name("the name of what is mistaken where the condition fails") {
                names.push(name);
                if !self.take_mark(",") {
                    break;
                }
            }
        }
        names
    }

    /// Says so where a statement stands in a block of another kind.
    fn refuse_misplaced(&mut self, block: BlockKind, statement: &Statement) {
        let (what, belongs): (&str, &[BlockKind]) = match &statement.kind {
            StatementKind::Define { value, .. } => match value {
                Definition::Table(_) | Definition::Data(_) => ("a table or data file", &[BlockKind::Given]),
                Definition::Records(_) => ("`records`", &[BlockKind::Given]),
                Definition::Expression(_) => ("a definition", &[BlockKind::Given, BlockKind::Derive]),
                Definition::Cases(_) => ("`cases`", &[BlockKind::Derive]),
            },
            StatementKind::Require { .. } => ("`require`", &[BlockKind::Derive, BlockKind::Verify]),
            StatementKind::Verify(_) => ("a check", &[BlockKind::Verify]),
            StatementKind::Takes { .. } => ("`takes`", &[BlockKind::Clause]),
            StatementKind::Gives(_) => ("`gives`", &[BlockKind::Clause]),
            StatementKind::Use(_) => ("`use`", &[BlockKind::Clause, BlockKind::Card]),
            StatementKind::Figure { .. } => ("a figure", &[BlockKind::Figure]),
            StatementKind::Unreadable(_) => return,
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
            );
            let finding = match self.at_mark("=") {
                true => finding.help("a definition stands in a `given` or `derive` block"),
                false => finding.help("write `N_Ed <= N_Rd`; a condition of validity is written `require …`"),
            };
            self.fail(finding);
        }
        expression
    }

    fn define(&mut self, suffix: &mut Suffix) -> Option<StatementKind> {
        let name = self.expect_name("the name of a symbol")?;
        if !self.take_mark("=") {
            self.expected("`=`");
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
            // Without a path behind it the word is a symbol like any other.
            "records" if self.text_after_next() => {
                self.next();
                Definition::Records(Box::new(self.records()?))
            }
            _ => Definition::Expression(self.expect_expression()),
        };
        Some(StatementKind::Define { name, value })
    }

    /// What stands behind `records`: its parts in any order, `with` last.
    fn records(&mut self) -> Option<Records> {
        let mut records = Records { path: self.parse_text()?, ..Records::default() };
        loop {
            if self.take_word("columns") {
                records.columns.extend(self.named_texts("the header of a column in quotes"));
            } else if self.take_word("throughout") {
                records.throughout.extend(self.named_texts("what every record has in that column, in quotes"));
            } else if self.take_word("words") {
                records.words.extend(self.named_texts("a word of the logbook in quotes"));
            } else if self.take_word("required") {
                while let Some(name) = self.expect_name("the name of a column") {
                    records.required.push(name);
                    if !self.take_mark(",") {
                        break;
                    }
                }
            } else if self.take_word("reading") {
                records.reading.extend(self.named_texts("how it is read, in quotes"));
            } else if self.take_word("works") {
                records.works.extend(self.named_texts("a day in quotes"));
            } else {
                break;
            }
        }
        records.with = self.bindings();
        Some(records)
    }

    /// `name = "text", …`.
    pub(super) fn named_texts(&mut self, what: &str) -> Vec<(Name, Spanned<String>)> {
        let mut texts = Vec::new();
        while let Some(name) =
            self.expect_name("the name of a column, of what a word stands for, of a way of reading or of a day")
        {
            self.expect_mark("=");
            match self.parse_text() {
                Some(text) => texts.push((name, text)),
                None => self.expected(what),
            }
            if !self.take_mark(",") {
                break;
            }
        }
        texts
    }

    fn use_clause(&mut self) -> Option<StatementKind> {
        self.next();
        let Some(path) = self.parse_text() else {
            self.expected("the path of a clause, such as `en-1992-4/concrete-cone`");
            return None;
        };
        let mut each = None;
        if self.take_word("for") {
            if !self.take_word("each") {
                self.expected("`each`");
            }
            let name = self.expect_name("a name for each row")?;
            if !self.take_word("of") {
                self.expected("`of` and a table or list");
            }
            each = Some((name, self.expect_expression()));
        }
        let mut from = Vec::new();
        if self.take_word("from") {
            loop {
                from.push(self.expect_name("the name of a data file")?);
                if !self.take_mark(",") {
                    break;
                }
            }
        }
        let with = self.bindings();
        let solving = if self.take_word("solving") { Some(Box::new(self.solving()?)) } else { None };
        let mut gives = Vec::new();
        if self.take_word("gives") {
            while let Some(name) = self.expect_name("the name of a result") {
                let alias = if self.take_word("as") { self.expect_name("the name it has here") } else { None };
                let alias = alias.unwrap_or_else(|| name.clone());
                gives.push((name, alias));
                if !self.take_mark(",") {
                    break;
                }
            }
        }
        Some(StatementKind::Use(Use { path, each, from, with, solving, gives }))
    }

    fn solving(&mut self) -> Option<Solving> {
        let name = self.expect_name("the name of what is looked for")?;
        if !self.take_word("within") {
            self.expected("`within` and the limits between which it is looked for");
        }
        let low = self.expect_expression();
        if !self.take_word("to") {
            self.expected("`to` and the upper limit");
        }
        let high = self.expect_expression();
        if !self.take_word("for") {
            self.expected("`for` and the result that is wanted, such as `for lambda = 0.4`");
        }
        let result = self.expect_name("the name of a result")?;
        self.expect_mark("=");
        let target = self.expect_expression();
        Some(Solving { name, low, high, result, target })
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
}
