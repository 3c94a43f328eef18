//! Expressions by binding power (Pratt): one loop, the powers stand on the operators.

use super::cursor::Parser;
use super::token::{KEYWORDS, TokenKind};
use super::tree::*;
use crate::diagnostic::{Code, Diagnostic};
use crate::text::Spanned;

/// Parentheses, signs and powers nested deeper than this are refused rather than followed down the stack.
const DEPTH_LIMIT: usize = 64;

impl Parser<'_> {
    /// An expression that must be there; says what is missing otherwise.
    pub(super) fn expect_expression(&mut self) -> Expression {
        self.expression(0)
    }

    fn expression(&mut self, least_power: u8) -> Expression {
        self.depth += 1;
        let parsed = if self.depth > DEPTH_LIMIT {
            self.too_deep()
        } else {
            let left = self.operand();
            self.operators(left, least_power)
        };
        self.depth -= 1;
        parsed
    }

    fn too_deep(&mut self) -> Expression {
        let span = self.peek().span;
        if !self.failed {
            let finding = Diagnostic::error(
                Code::TooLarge,
                self.source,
                span,
                format!("this expression is nested deeper than {DEPTH_LIMIT} levels"),
            );
            self.fail(finding.help("define parts of it on lines of their own"));
        }
        self.skip_statement();
        Expression::new(ExpressionKind::Unreadable, span)
    }

    /// Operators behind an operand, as long as they bind at least as strongly as asked.
    fn operators(&mut self, mut left: Expression, least_power: u8) -> Expression {
        let mut compared = false;
        loop {
            if let TokenKind::Raised(digits) = &self.peek().kind {
                // `a²` binds like a power.
                let digits = digits.clone();
                let (power, _) = BinaryOperator::Power.binding_power();
                if power < least_power {
                    return left;
                }
                let span = self.next().span;
                let exponent = match digits.strip_prefix('-') {
                    Some(positive) => ExpressionKind::Unary(
                        UnaryOperator::Minus,
                        Box::new(Expression::new(ExpressionKind::Number(positive.to_owned(), None), span)),
                    ),
                    None => ExpressionKind::Number(digits, None),
                };
                left = binary(BinaryOperator::Power, left, Expression::new(exponent, span));
                continue;
            }
            let Some((operator, length)) = self.at_operator() else {
                return left;
            };
            let (left_power, right_power) = operator.binding_power();
            if left_power < least_power {
                return left;
            }
            if operator.is_comparison() {
                if compared {
                    let finding =
                        Diagnostic::error(Code::Syntax, self.source, self.peek().span, "comparisons do not chain")
                            .help("write `a <= b and b <= c`");
                    self.fail(finding);
                }
                compared = true;
            }
            for _ in 0..length {
                self.next();
            }
            let right = self.expression(right_power);
            left = binary(operator, left, right);
        }
    }

    /// The operator that comes next, with the number of its tokens.
    fn at_operator(&self) -> Option<(BinaryOperator, usize)> {
        use BinaryOperator as B;
        let one = |operator| Some((operator, 1));
        match &self.peek().kind {
            TokenKind::Mark("+") => one(B::Plus),
            TokenKind::Mark("-") => one(B::Minus),
            TokenKind::Mark("*") => one(B::Times),
            TokenKind::Mark("/") => one(B::Over),
            TokenKind::Mark("^") => one(B::Power),
            TokenKind::Mark("<=") => one(B::LessOrEqual),
            TokenKind::Mark(">=") => one(B::GreaterOrEqual),
            TokenKind::Mark("<") => one(B::Less),
            TokenKind::Mark(">") => one(B::Greater),
            TokenKind::Name(word) => match word.as_str() {
                "and" => one(B::And),
                "or" => one(B::Or),
                "is" if self.word_after_next("not") => Some((B::IsNot, 2)),
                "is" => one(B::Is),
                _ => None,
            },
            _ => None,
        }
    }

    fn operand(&mut self) -> Expression {
        let token = self.peek().clone();
        match token.kind {
            TokenKind::Mark("-") => {
                self.next();
                self.unary(UnaryOperator::Minus, UNARY_MINUS_POWER, token.span)
            }
            TokenKind::Mark("+") => {
                self.next();
                self.expression(UNARY_MINUS_POWER)
            }
            TokenKind::Name(word) if word == "not" => {
                self.next();
                self.unary(UnaryOperator::Not, NOT_POWER, token.span)
            }
            TokenKind::Number(digits) => {
                self.next();
                let mut span = token.span;
                let unit = self.parse_unit();
                if let Some(unit) = &unit {
                    span = span.to(unit.span);
                }
                Expression::new(ExpressionKind::Number(digits, unit), span)
            }
            TokenKind::Name(word) if word == "yes" || word == "no" => {
                self.next();
                Expression::new(ExpressionKind::Truth(word == "yes"), token.span)
            }
            TokenKind::Name(word) if !KEYWORDS.contains(&word.as_str()) => {
                self.next();
                if self.at_mark("(") {
                    return self.call(Spanned::new(word, token.span));
                }
                self.postfix(Expression::new(ExpressionKind::Name(word), token.span))
            }
            TokenKind::Mark("(") => {
                self.next();
                let inner = self.expression(0);
                let close = self.expect_mark(")");
                self.postfix(Expression::new(inner.kind, token.span.to(close)))
            }
            TokenKind::Mark("[") => {
                self.next();
                let items = self.items("]");
                let close = self.expect_mark("]");
                self.postfix(Expression::new(ExpressionKind::List(items), token.span.to(close)))
            }
            _ => {
                self.expected("a value, a symbol or an opening parenthesis");
                Expression::new(ExpressionKind::Unreadable, token.span)
            }
        }
    }

    fn unary(&mut self, operator: UnaryOperator, power: u8, start: crate::text::Span) -> Expression {
        let operand = self.expression(power);
        let span = start.to(operand.span);
        Expression::new(ExpressionKind::Unary(operator, Box::new(operand)), span)
    }

    fn call(&mut self, name: Name) -> Expression {
        self.next();
        let arguments = self.items(")");
        let close = self.expect_mark(")");
        let span = name.span.to(close);
        self.postfix(Expression::new(ExpressionKind::Call(name, arguments), span))
    }

    fn items(&mut self, close: &'static str) -> Vec<Expression> {
        let mut items = Vec::new();
        while !self.at_mark(close) && !self.failed {
            items.push(self.expression(0));
            if !self.take_mark(",") {
                break;
            }
        }
        items
    }

    /// `.field` and `[n]` behind an operand.
    fn postfix(&mut self, mut operand: Expression) -> Expression {
        loop {
            if self.at_mark(".") {
                self.next();
                // A label with a hyphen would read as a difference, so that it stands in quotes.
                let quoted = self.parse_text();
                let Some(field) = quoted.or_else(|| self.expect_name("the name of a column, row or value")) else {
                    return operand;
                };
                let span = operand.span.to(field.span);
                operand = Expression::new(ExpressionKind::Field(Box::new(operand), field), span);
            } else if self.at_mark("[") {
                self.next();
                let place = self.peek().span;
                let index = match &self.peek().kind {
                    TokenKind::Number(digits) => digits.parse::<usize>().ok().filter(|&n| n > 0),
                    _ => None,
                };
                let Some(index) = index else {
                    self.expected("the number of an element, counted from 1");
                    return operand;
                };
                self.next();
                let close = self.expect_mark("]");
                let span = operand.span.to(close);
                operand = Expression::new(ExpressionKind::Index(Box::new(operand), Spanned::new(index, place)), span);
            } else {
                return operand;
            }
        }
    }
}

fn binary(operator: BinaryOperator, left: Expression, right: Expression) -> Expression {
    let span = left.span.to(right.span);
    Expression::new(ExpressionKind::Binary(operator, Box::new(left), Box::new(right)), span)
}
