//! Text of one block to tokens, statement by statement.

use super::token::{KEYWORDS, Token, TokenKind};
use crate::diagnostic::{Code, Diagnostic};
use crate::document::BlockText;
use crate::text::{SourceFile, Span};
use std::sync::Arc;

/// The tokens of one statement, ending in [`TokenKind::End`].
pub(super) type StatementTokens = Vec<Token>;

/// Cuts a block into statements: a line without indentation starts one, indented lines continue it.
pub(super) fn lex(block: &BlockText, source: &Arc<SourceFile>, findings: &mut Vec<Diagnostic>) -> Vec<StatementTokens> {
    let mut lexer = Lexer { block, source, text: &block.text, at: 0, tokens: Vec::new(), findings };
    let mut statements = Vec::new();
    while lexer.at < lexer.text.len() {
        let line_start = lexer.at;
        lexer.skip_blanks();
        if lexer.skip_line_end() {
            continue;
        }
        if lexer.at == line_start {
            lexer.close_statement(&mut statements);
        } else if !lexer.tokens.is_empty() {
            let place = lexer.span(line_start, line_start);
            lexer.push(TokenKind::LineBreak, place);
        } else if statements.is_empty() {
            let place = lexer.span(line_start, lexer.at);
            lexer.report(place, "this line is indented, but no statement stands above that it could continue", |d| {
                d.help("start a statement at the left margin of its block")
            });
        }
        lexer.line();
    }
    lexer.close_statement(&mut statements);
    statements
}

struct Lexer<'a> {
    block: &'a BlockText,
    source: &'a Arc<SourceFile>,
    text: &'a str,
    at: usize,
    tokens: Vec<Token>,
    findings: &'a mut Vec<Diagnostic>,
}

/// Marks of more than one spelling, longest first.
const MARKS: &[(&str, &str)] = &[
    ("<=", "<="),
    (">=", ">="),
    ("≤", "<="),
    ("≥", ">="),
    ("<", "<"),
    (">", ">"),
    ("=", "="),
    ("+", "+"),
    ("-", "-"),
    ("−", "-"),
    ("*", "*"),
    ("·", "*"),
    ("⋅", "*"),
    ("×", "*"),
    ("/", "/"),
    ("^", "^"),
    ("(", "("),
    (")", ")"),
    ("[", "["),
    ("]", "]"),
    (",", ","),
    (":", ":"),
    (".", "."),
];

impl Lexer<'_> {
    fn rest(&self) -> &str {
        self.text.get(self.at..).unwrap_or("")
    }

    fn peek(&self) -> Option<char> {
        self.rest().chars().next()
    }

    fn span(&self, start: usize, end: usize) -> Span {
        self.block.span(start, end)
    }

    fn push(&mut self, kind: TokenKind, span: Span) {
        self.tokens.push(Token { kind, span });
    }

    fn report(&mut self, span: Span, message: impl Into<String>, more: impl FnOnce(Diagnostic) -> Diagnostic) {
        let finding = Diagnostic::error(Code::Syntax, self.source, span, message);
        self.findings.push(more(finding));
    }

    fn close_statement(&mut self, statements: &mut Vec<StatementTokens>) {
        let Some(last) = self.tokens.last() else { return };
        let end = Span { start: last.span.end, end: last.span.end };
        self.push(TokenKind::End, end);
        statements.push(std::mem::take(&mut self.tokens));
    }

    fn skip_blanks(&mut self) {
        while self.peek().is_some_and(|c| c != '\n' && c != '\r' && c.is_whitespace()) {
            self.at += self.peek().map_or(0, char::len_utf8);
        }
    }

    fn skip_line_end(&mut self) -> bool {
        let rest = self.rest();
        if rest.is_empty() {
            return true;
        }
        for end in ["\r\n", "\n", "\r"] {
            if rest.starts_with(end) {
                self.at += end.len();
                return true;
            }
        }
        false
    }

    fn take_while(&mut self, keep: impl Fn(char) -> bool) -> String {
        let taken: String = self.rest().chars().take_while(|&c| keep(c)).collect();
        self.at += taken.len();
        taken
    }

    /// The tokens up to the end of the line.
    fn line(&mut self) {
        loop {
            self.skip_blanks();
            if self.skip_line_end() {
                return;
            }
            let Some(next) = self.peek() else { return };
            match next {
                '0'..='9' => self.number(),
                '"' => self.quoted(),
                '@' => self.reference(),
                c if is_raised(c) => {
                    let start = self.at;
                    let digits = self.take_while(is_raised);
                    let span = self.span(start, self.at);
                    self.push(TokenKind::Raised(lower_raised(&digits)), span);
                }
                c if c.is_alphabetic() || c == '_' => {
                    let start = self.at;
                    let name = self.take_while(|c| (c.is_alphanumeric() && !is_raised(c)) || c == '_');
                    let span = self.span(start, self.at);
                    // A path of a clause holds `/` and `-`, which are no operators there.
                    if name == "use" && self.tokens.is_empty() {
                        self.push(TokenKind::Name(name), span);
                        self.path();
                        continue;
                    }
                    let unit_follows = name == "in" || name == "giving";
                    self.push(TokenKind::Name(name), span);
                    if unit_follows {
                        self.unit(false);
                    }
                }
                c => self.mark(c),
            }
        }
    }

    fn mark(&mut self, c: char) {
        let start = self.at;
        if let Some((spelling, plain)) = MARKS.iter().find(|(spelling, _)| self.rest().starts_with(spelling)) {
            self.at += spelling.len();
            let span = self.span(start, self.at);
            self.push(TokenKind::Mark(plain), span);
            return;
        }
        self.at += c.len_utf8();
        let span = self.span(start, self.at);
        let advice = match c {
            '#' => "remarks are prose between the blocks, or a description in quotes",
            '%' | '°' => "a unit stands behind a number, after one space: `5 %`",
            '“' | '”' | '\'' | '‘' | '’' => "descriptions stand in plain double quotes",
            ';' => "one statement a line",
            '≠' => "write `is not`",
            '√' => "write `sqrt(…)`",
            _ => "",
        };
        self.push(TokenKind::Unreadable, span);
        self.report(span, format!("`{c}` has no meaning here"), |d| if advice.is_empty() { d } else { d.help(advice) });
    }

    fn path(&mut self) {
        self.skip_blanks();
        let start = self.at;
        let path = self.take_while(|c| c.is_alphanumeric() || matches!(c, '/' | '-' | '_' | '.'));
        if !path.is_empty() {
            let span = self.span(start, self.at);
            self.push(TokenKind::Text(path), span);
        }
    }

    fn quoted(&mut self) {
        let start = self.at;
        self.at += 1;
        let words = self.take_while(|c| c != '"' && c != '\n' && c != '\r');
        if self.peek() == Some('"') {
            self.at += 1;
        } else {
            let place = self.span(start, self.at);
            self.report(place, "these words have no closing quote on their line", |d| {
                d.help("close the quote with `\"` before the line ends")
            });
        }
        let span = self.span(start, self.at);
        self.push(TokenKind::Text(words), span);
    }

    fn reference(&mut self) {
        let start = self.at;
        self.at += 1;
        let words = self.take_while(|c| c != '\n' && c != '\r');
        let span = self.span(start, start + 1 + words.trim_end().len());
        self.push(TokenKind::Reference(words.trim().to_owned()), span);
    }

    fn number(&mut self) {
        let start = self.at;
        let mut digits = self.take_while(|c| c.is_ascii_digit());
        // Thin and no-break spaces group digits; a plain space does not, since a lost comma would read as one number.
        while self.peek().is_some_and(is_group_space) {
            let after: String = self.rest().chars().skip(1).take_while(char::is_ascii_digit).collect();
            if after.len() != 3 {
                break;
            }
            self.at += self.peek().map_or(0, char::len_utf8) + 3;
            digits.push_str(&after);
        }
        if self.rest().starts_with('.') && self.rest()[1..].starts_with(|c: char| c.is_ascii_digit()) {
            self.at += 1;
            digits.push('.');
            digits += &self.take_while(|c| c.is_ascii_digit());
        }
        let rest = self.rest().as_bytes();
        if matches!(rest.first(), Some(b'e' | b'E')) {
            let sign = usize::from(matches!(rest.get(1), Some(b'+' | b'-')));
            if rest.get(1 + sign).is_some_and(u8::is_ascii_digit) {
                digits.push_str(&self.text[self.at..=self.at + sign].to_lowercase());
                self.at += 1 + sign;
                digits += &self.take_while(|c| c.is_ascii_digit());
            }
        }
        let span = self.span(start, self.at);
        if self.rest().starts_with([' ', '\u{a0}'])
            && digits.len() <= 3
            && self.rest().chars().skip(1).take_while(char::is_ascii_digit).count() == 3
            && self.rest().starts_with(' ')
        {
            let joined: String = self.rest().chars().skip(1).take(3).collect();
            self.at += 4;
            let place = self.span(start, self.at);
            self.report(place, format!("`{digits} {joined}` may be one number or two"), |d| {
                d.help(format!("write `{digits}{joined}` (a thin or no-break space may group digits; a plain one would hide a lost comma)"))
            });
            digits += &joined;
        }
        self.push(TokenKind::Number(digits), span);
        self.unit(true);
    }

    /// Reads the unit behind a number (`after_number`) or behind `in` and `giving`.
    fn unit(&mut self, after_number: bool) {
        let before = self.at;
        self.skip_blanks();
        let start = self.at;
        let text = unit_text(self.rest()).to_owned();
        let is_word = KEYWORDS.contains(&text.as_str());
        // `2 in kN` shows in kN, `2 in within …` is two inches: `in` is the inch unless a unit follows it.
        let is_inch = text == "in" && {
            let after = self.rest()[2..].trim_start_matches(' ');
            match unit_text(after) {
                "in" => !unit_text(after[2..].trim_start_matches(' ')).is_empty(),
                next => next.is_empty() || KEYWORDS.contains(&next),
            }
        };
        if text.is_empty() || (is_word && !is_inch && (after_number || text != "in")) {
            self.at = before;
            return;
        }
        self.at += text.len();
        let span = self.span(start, self.at);
        self.push(TokenKind::Unit(text), span);
    }
}

fn is_raised(c: char) -> bool {
    matches!(c, '⁰' | '¹' | '²' | '³' | '⁴'..='⁹' | '⁻')
}

fn lower_raised(raised: &str) -> String {
    raised
        .chars()
        .map(|c| match c {
            '⁻' => '-',
            '¹' => '1',
            '²' => '2',
            '³' => '3',
            '⁰' => '0',
            other => char::from_digit(other as u32 - '⁴' as u32 + 4, 10).unwrap_or('0'),
        })
        .collect()
}

fn is_group_space(c: char) -> bool {
    matches!(c, '\u{2009}' | '\u{202f}' | '\u{a0}')
}

/// The longest start of a text that is written like a unit, without any space.
fn unit_text(text: &str) -> &str {
    let starts_unit = |c: char| c.is_alphabetic() || matches!(c, '°' | '%' | '‰');
    let mut end = 0;
    let mut chars = text.char_indices().peekable();
    let mut depth = 0usize;
    while let Some((at, c)) = chars.next() {
        let next = chars.peek().map(|&(_, c)| c);
        let joins = |c: Option<char>| c.is_some_and(|c| starts_unit(c) || c == '(');
        let keep = match c {
            '1' if at == 0 => next == Some('/') && text.get(at + 2..).is_some_and(|t| t.starts_with(starts_unit)),
            c if at == 0 => starts_unit(c),
            c if starts_unit(c) || is_raised(c) || c.is_ascii_digit() || c == '_' => true,
            '/' if depth > 0 => next.is_some_and(|c| c.is_ascii_digit()) || joins(next),
            '/' | '·' | '*' | '⋅' => joins(next),
            '^' => next.is_some_and(|c| c.is_ascii_digit() || matches!(c, '-' | '(')),
            '-' => text[..at].ends_with('^'),
            '.' => {
                depth > 0
                    || (text[..at].ends_with(|c: char| c.is_ascii_digit()) && next.is_some_and(|c| c.is_ascii_digit()))
            }
            '(' if text[..at].ends_with(['/', '^', '·', '*']) => {
                depth += 1;
                true
            }
            ')' if depth > 0 => {
                depth -= 1;
                true
            }
            _ => false,
        };
        if !keep {
            break;
        }
        end = at + c.len_utf8();
    }
    &text[..end]
}

#[cfg(test)]
mod tests {
    use super::unit_text;

    #[test]
    fn a_unit_ends_where_a_space_or_an_operator_ends_it() {
        for (text, unit) in [
            ("N/mm² * 3", "N/mm²"),
            ("kN·m) + 1", "kN·m"),
            ("N^0.5/mm^0.5, x", "N^0.5/mm^0.5"),
            ("N^(1/2) / 3", "N^(1/2)"),
            ("mm/3", "mm"),
            ("1/s", "1/s"),
            ("% of", "%"),
            ("mm^2", "mm^2"),
            ("mm, 3 mm", "mm"),
            (") + 3", ""),
            ("kN/(m·s) x", "kN/(m·s)"),
            ("s^-1", "s^-1"),
        ] {
            assert_eq!(unit_text(text), unit, "{text}");
        }
    }
}
