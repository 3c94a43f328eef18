//! A tree written back as text, which reads again as the same tree.

use super::token::KEYWORDS;
use super::tree::*;
use crate::text::Spanned;
use std::fmt::Write;

/// An expression in the language, with no more parentheses than its structure needs.
pub fn print_expression(expression: &Expression) -> String {
    let mut out = String::new();
    write_expression(&mut out, expression, 0);
    out
}

fn write_expression(out: &mut String, expression: &Expression, least_power: u8) {
    match &expression.kind {
        ExpressionKind::Number(digits, None) => {
            in_parentheses(out, least_power == u8::MAX, |out| out.push_str(digits));
        }
        // A power or a field behind a unit would be read as part of it.
        ExpressionKind::Number(digits, Some(unit)) => {
            in_parentheses(out, least_power >= u8::MAX - 1, |out| {
                let _ = write!(out, "{digits} {}", unit.node);
            });
        }
        ExpressionKind::Truth(value) => {
            in_parentheses(out, least_power == u8::MAX, |out| out.push_str(if *value { "yes" } else { "no" }));
        }
        ExpressionKind::Name(name) => out.push_str(name),
        ExpressionKind::Field(of, field) => {
            write_expression(out, of, u8::MAX);
            let _ = match is_name(&field.node) {
                true => write!(out, ".{}", field.node),
                false => write!(out, ".\"{}\"", field.node),
            };
        }
        ExpressionKind::Index(of, index) => {
            write_expression(out, of, u8::MAX);
            let _ = write!(out, "[{}]", index.node);
        }
        ExpressionKind::List(items) => write_items(out, "[", items, "]"),
        ExpressionKind::Call(name, arguments) => {
            out.push_str(&name.node);
            write_items(out, "(", arguments, ")");
        }
        ExpressionKind::Unary(operator, operand) => {
            let (text, power) = match operator {
                UnaryOperator::Minus => ("-", UNARY_MINUS_POWER),
                UnaryOperator::Not => ("not ", NOT_POWER),
            };
            in_parentheses(out, power < least_power, |out| {
                out.push_str(text);
                write_expression(out, operand, power);
            });
        }
        ExpressionKind::Binary(operator, left, right) => {
            let (left_power, right_power) = operator.binding_power();
            in_parentheses(out, left_power.min(right_power) < least_power, |out| {
                // A sign before the base of a power would be read as outside it, and comparisons do not chain.
                let left_least = if *operator == BinaryOperator::Power {
                    u8::MAX - 1
                } else if operator.is_comparison() {
                    left_power + 1
                } else {
                    left_power
                };
                write_expression(out, left, left_least);
                match operator {
                    BinaryOperator::Power => out.push('^'),
                    other => {
                        let _ = write!(out, " {} ", other.text());
                    }
                }
                write_expression(out, right, right_power);
            });
        }
        ExpressionKind::Unreadable => out.push('?'),
    }
}

/// Whether a text reads as one name.
fn is_name(text: &str) -> bool {
    text.starts_with(|c: char| c.is_alphabetic() || c == '_')
        && text.chars().all(|c| c.is_alphabetic() || c.is_ascii_digit() || c == '_')
        && !KEYWORDS.contains(&text)
}

fn in_parentheses(out: &mut String, needed: bool, inner: impl FnOnce(&mut String)) {
    if needed {
        out.push('(');
    }
    inner(out);
    if needed {
        out.push(')');
    }
}

fn write_items(out: &mut String, open: &str, items: &[Expression], close: &str) {
    out.push_str(open);
    for (at, item) in items.iter().enumerate() {
        if at > 0 {
            out.push_str(", ");
        }
        write_expression(out, item, 0);
    }
    out.push_str(close);
}

/// A statement in the language.
pub fn print_statement(statement: &Statement) -> String {
    let mut out = String::new();
    let suffix = &statement.suffix;
    // Tables and cases are followed by lines of their own, so that their suffixes stand before those.
    let mut rows = String::new();
    match &statement.kind {
        StatementKind::Define { name, value } => {
            let _ = write!(out, "{} = ", name.node);
            write_definition(&mut out, &mut rows, value);
        }
        StatementKind::Require { condition, on } => {
            let _ = write!(out, "require {}", print_expression(condition));
            for (at, name) in on.iter().enumerate() {
                let _ = write!(out, "{}{}", if at == 0 { " on " } else { ", " }, name.node);
            }
        }
        StatementKind::Verify(check) => out.push_str(&print_expression(check)),
        StatementKind::Takes { name, kind, .. } => {
            let _ = write!(out, "takes {} : {}", name.node, print_kind(kind));
        }
        StatementKind::Gives(name) => {
            let _ = write!(out, "gives {}", name.node);
        }
        StatementKind::Use(used) => {
            let _ = write!(out, "use {}", used.path.node);
            if let Some((name, of)) = &used.each {
                let _ = write!(out, " for each {} of {}", name.node, print_expression(of));
            }
            for (at, from) in used.from.iter().enumerate() {
                let _ = write!(out, "{}{}", if at == 0 { " from " } else { ", " }, from.node);
            }
            write_bindings(&mut out, &used.with);
            if let Some(solving) = &used.solving {
                let _ = write!(out, " {}", print_solving(solving));
            }
            for (at, (name, alias)) in used.gives.iter().enumerate() {
                out.push_str(if at == 0 { " gives " } else { ", " });
                out.push_str(&name.node);
                if alias.node != name.node {
                    let _ = write!(out, " as {}", alias.node);
                }
            }
        }
        StatementKind::Figure { name, with } => {
            out.push_str(&name.node);
            if let Some(words) = &suffix.description {
                let _ = write!(out, " \"{}\"", words.node);
            }
            write_bindings(&mut out, with);
        }
        StatementKind::Unreadable(names) => {
            let names: Vec<&str> = names.iter().map(|name| name.node.as_str()).collect();
            let _ = write!(out, "{}…", names.join(", "));
        }
    }
    write_suffix(&mut out, suffix, matches!(statement.kind, StatementKind::Figure { .. }));
    if let StatementKind::Takes { default: Some(default), .. } = &statement.kind {
        let _ = write!(out, " otherwise {}", print_expression(default));
    }
    if let Some(reference) = &suffix.reference {
        let _ = write!(out, " @ {}", print_reference(&reference.text, reference.mark.as_ref()));
    }
    out.push_str(&rows);
    out
}

/// A reference with its mark.
pub fn print_reference(text: &str, mark: Option<&Mark>) -> String {
    match mark {
        None => text.to_owned(),
        Some(mark) if mark.reason.is_empty() => format!("{text} [{}]", mark.kind.words()),
        Some(mark) => format!("{text} [{}: {}]", mark.kind.words(), mark.reason),
    }
}

fn write_definition(out: &mut String, rows: &mut String, value: &Definition) {
    match value {
        Definition::Expression(expression) => write_expression(out, expression, 0),
        Definition::Data(path) => {
            let _ = write!(out, "data \"{}\"", path.node);
        }
        Definition::Records(records) => {
            let _ = write!(out, "records \"{}\"", records.path.node);
            write_texts(out, "columns", &records.columns);
            write_texts(out, "throughout", &records.throughout);
            write_texts(out, "words", &records.words);
            for (at, name) in records.required.iter().enumerate() {
                let _ = write!(out, "{}{}", if at == 0 { " required " } else { ", " }, name.node);
            }
            write_texts(out, "reading", &records.reading);
            write_texts(out, "works", &records.works);
            write_bindings(out, &records.with);
        }
        Definition::Cases(branches) => {
            out.push_str("cases");
            for branch in branches {
                let _ = match &branch.condition {
                    Some(condition) => {
                        write!(rows, "\n    {} when {}", print_expression(&branch.value), print_expression(condition))
                    }
                    None => write!(rows, "\n    {} otherwise", print_expression(&branch.value)),
                };
            }
        }
        Definition::Table(table) => {
            out.push_str("table ");
            for (at, (name, unit)) in table.columns.iter().enumerate() {
                if at > 0 {
                    out.push_str(", ");
                }
                out.push_str(&name.node);
                if let Some(unit) = unit {
                    let _ = write!(out, " in {}", unit.node);
                }
            }
            if let Some(file) = &table.file {
                let _ = write!(out, " from \"{}\"", file.path.node);
                write_texts(out, "columns", &file.columns);
                write_texts(out, "reading", &file.reading);
            }
            for (label, cells) in &table.rows {
                let cells: Vec<String> = cells.iter().map(print_expression).collect();
                let quote = if label.node.contains(' ') { "\"" } else { "" };
                let _ = write!(rows, "\n    {quote}{}{quote}: {}", label.node, cells.join(", "));
            }
        }
    }
}

/// What is looked for, and the result that is wanted.
pub fn print_solving(solving: &Solving) -> String {
    let Solving { name, low, high, result, target } = solving;
    let [low, high, target] = [low, high, target].map(print_expression);
    format!("solving {} within {low} to {high} for {} = {target}", name.node, result.node)
}

fn write_texts(out: &mut String, word: &str, texts: &[(Name, Spanned<String>)]) {
    for (at, (name, text)) in texts.iter().enumerate() {
        let _ = match at {
            0 => write!(out, " {word} {} = \"{}\"", name.node, text.node),
            _ => write!(out, ", {} = \"{}\"", name.node, text.node),
        };
    }
}

fn write_bindings(out: &mut String, with: &[Binding]) {
    for (at, binding) in with.iter().enumerate() {
        out.push_str(if at == 0 { " with " } else { ", " });
        let _ = write!(out, "{} = {}", binding.name.node, print_expression(&binding.value));
    }
}

fn write_suffix(out: &mut String, suffix: &Suffix, described: bool) {
    if let Some(giving) = &suffix.giving {
        let _ = write!(out, " {}", print_giving(giving));
    }
    if let Some(unit) = &suffix.unit {
        let _ = write!(out, " in {}", unit.node);
    }
    if let Some(figures) = &suffix.figures {
        let _ = write!(out, " to {} figures", figures.node);
    }
    if let Some(words) = suffix.among.as_ref() {
        let words: Vec<&str> = words.iter().map(|word| word.node.as_str()).collect();
        let _ = write!(out, " among {}", words.join(", "));
    }
    if let Some((low, high)) = &suffix.within {
        let _ = write!(out, " within {} to {}", print_expression(low), print_expression(high));
    }
    if let Some(words) = suffix.description.as_ref().filter(|_| !described) {
        let _ = write!(out, " \"{}\"", words.node);
    }
    for applies in &suffix.applies {
        let _ = write!(out, " when {} otherwise \"{}\"", print_expression(&applies.condition), applies.reason.node);
    }
}

/// `giving N with f_ck in N/mm², h_ef in mm`.
pub fn print_giving(giving: &Giving) -> String {
    let with: Vec<String> = giving.with.iter().map(|(name, unit)| format!("{} in {}", name.node, unit.node)).collect();
    format!("giving {} with {}", giving.unit.node, with.join(", "))
}

fn print_kind(kind: &KindText) -> String {
    match kind {
        KindText::Dimension(name) => name.node.clone(),
        KindText::Unit(unit) => format!("in {}", unit.node),
        KindText::Truth => "yes/no".to_owned(),
        KindText::Word => "word".to_owned(),
        KindText::List(of) => format!("list of {}", print_kind(of)),
        KindText::Table(columns) => format!("table of {}", print_columns(columns)),
        KindText::Filled(kind) => format!("filled {}", print_kind(kind)),
        KindText::Row(fields) => format!("row of {}", print_columns(fields)),
        KindText::Data => "data".to_owned(),
    }
}

fn print_columns(columns: &[(Name, KindText)]) -> String {
    let columns: Vec<String> =
        columns.iter().map(|(name, kind)| format!("{} {}", name.node, print_kind(kind))).collect();
    columns.join(", ")
}
