//! Parts that go over several lines or have a small grammar of their own: cases, tables, kinds.

use super::cursor::Parser;
use super::token::{KEYWORDS, TokenKind};
use super::tree::*;
use crate::diagnostic::{Code, Diagnostic};

impl Parser<'_> {
    /// The head of `cases` may carry suffixes; then one branch a line.
    pub(super) fn cases(&mut self, suffix: &mut Suffix) -> Vec<Branch> {
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

    pub(super) fn table(&mut self, suffix: &mut Suffix) -> Table {
        self.joins_lines = false;
        let mut columns = Vec::new();
        while let Some(name) = self.expect_name("the name of a column") {
            let unit = if self.take_word("in") { self.expect_unit() } else { None };
            columns.push((name, unit));
            if !self.take_mark(",") {
                break;
            }
        }
        let mut rows = Vec::new();
        self.joins_lines = true;
        if self.take_word("from") {
            let file = self.table_file();
            return Table { columns, rows, file };
        }
        self.joins_lines = false;
        self.suffix(suffix, false);
        while self.at_line_break() && !self.failed {
            self.next();
            if self.at_line_break() || self.peek().kind == TokenKind::End {
                continue;
            }
            if !self.at_quoted_label() && self.suffix(suffix, false) {
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
                    format!(
                        "row `{}` has {}, the table has {}",
                        label.node,
                        counted(cells.len(), "value"),
                        counted(columns.len(), "column")
                    ),
                )
                .help("separate the values by commas, one for each column");
                self.fail(finding);
            }
            rows.push((label, cells));
        }
        Table { columns, rows, file: None }
    }

    /// What stands behind `from`.
    fn table_file(&mut self) -> Option<TableFile> {
        let Some(path) = self.parse_text() else {
            self.expected("the path of a file in CSV, in quotes");
            return None;
        };
        let columns =
            if self.take_word("columns") { self.named_texts("the header of a column in quotes") } else { Vec::new() };
        let reading =
            if self.take_word("reading") { self.named_texts("how it is read, in quotes") } else { Vec::new() };
        Some(TableFile { path, columns, reading })
    }

    pub(super) fn takes(&mut self, suffix: &mut Suffix) -> Option<StatementKind> {
        self.next();
        let name = self.expect_name("the name of what the clause takes")?;
        self.expect_mark(":");
        let kind = self.kind()?;
        if kind == KindText::Word && !self.at_word("among") {
            self.expected("`among` and the words to choose from");
        }
        self.suffix(suffix, false);
        let default = if self.take_word("otherwise") { Some(self.expect_expression()) } else { None };
        Some(StatementKind::Takes { name, kind, default })
    }

    pub(super) fn kind(&mut self) -> Option<KindText> {
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
            "a kind: a dimension such as `force`, `yes/no`, `word`, `list of …`, `table of …`, `filled list of …`, `filled table of …`, `row of …` or `data`",
        )?;
        match name.node.as_str() {
            "word" => return Some(KindText::Word),
            "filled" => return self.filled(),
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

    /// What stands behind `filled`.
    fn filled(&mut self) -> Option<KindText> {
        let kind = if self.take_word("table") {
            KindText::Table(self.columns()?)
        } else if self.take_word("list") {
            self.expect_of();
            KindText::List(Box::new(self.kind()?))
        } else {
            self.expected("`list` or `table`");
            return None;
        };
        Some(KindText::Filled(Box::new(kind)))
    }

    /// `of x length, y length`.
    pub(super) fn columns(&mut self) -> Option<Vec<(Name, KindText)>> {
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

    pub(super) fn expect_of(&mut self) {
        if !self.take_word("of") {
            self.expected("`of`");
        }
    }
}

fn counted(count: usize, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}
