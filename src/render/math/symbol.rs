//! Symbols: from a name such as `N0_Rk_c` to a letter with subscript and superscript.

use crate::render::markup::{Markup, escape};
use std::borrow::Cow;

/// A name taken apart.
#[derive(Clone, Debug)]
pub(super) struct Symbol<'a> {
    /// The letter, or words that stay upright.
    pub(super) base: Cow<'a, str>,
    /// The subscript, its parts joined by commas; empty if there is none.
    pub(super) subscript: String,
    /// Whether the standards' superscript 0 stands on it.
    pub(super) has_zero: bool,
    /// Whether it is a primed one.
    pub(super) has_prime: bool,
}

impl<'a> Symbol<'a> {
    /// Takes a name apart.
    pub(super) fn new(name: &'a str) -> Self {
        let (base, rest) = match name.split_once('_') {
            Some((base, rest)) if !base.is_empty() => (base, rest),
            _ => (name, ""),
        };
        if is_phrase(base, rest) {
            let words: Vec<&str> = name.split('_').map(|part| greek(part).unwrap_or(part)).collect();
            return Self {
                base: words.join("\u{a0}").into(),
                subscript: String::new(),
                has_zero: false,
                has_prime: false,
            };
        }
        let (rest, has_prime) = match rest.strip_suffix("prime") {
            Some("") => ("", true),
            Some(before) if before.ends_with('_') => (before, true),
            _ => (rest, false),
        };
        let (base, has_zero) = match base.strip_suffix('0') {
            Some(letter) if is_letter(letter) => (letter, true),
            _ => (base, false),
        };
        let mut subscript = String::new();
        for part in rest.split('_').filter(|part| !part.is_empty()) {
            if !subscript.is_empty() {
                subscript.push(',');
            }
            subscript.push_str(greek(part).unwrap_or(part));
        }
        Self { base: greek(base).unwrap_or(base).into(), subscript, has_zero, has_prime }
    }

    /// The base is one letter, which is set in italics.
    pub(super) fn is_italic(&self) -> bool {
        let mut characters = self.base.chars();
        characters.next().is_some_and(char::is_alphabetic) && characters.next().is_none()
    }

    /// A superscript of its own leaves no place for an exponent.
    pub(super) fn has_superscript(&self) -> bool {
        self.has_zero || self.has_prime
    }

    /// Writes it; an exponent goes above the subscript.
    pub(super) fn write(&self, out: &mut String, exponent: Option<&dyn Fn(&mut String)>) {
        let has_superscript = self.has_superscript() || exponent.is_some();
        let tag = match (self.subscript.is_empty(), has_superscript) {
            (true, false) => "",
            (true, true) => "msup",
            (false, false) => "msub",
            (false, true) => "msubsup",
        };
        if !tag.is_empty() {
            out.push('<');
            out.push_str(tag);
            out.push('>');
        }
        out.push_str("<mi>");
        escape(out, &self.base);
        out.push_str("</mi>");
        if !self.subscript.is_empty() {
            out.push_str("<mtext>");
            escape(out, &self.subscript);
            out.push_str("</mtext>");
        }
        match exponent {
            Some(write) => write(out),
            None if self.has_zero && self.has_prime => out.push_str("<mrow><mn>0</mn><mo>′</mo></mrow>"),
            None if self.has_zero => out.push_str("<mn>0</mn>"),
            None if self.has_prime => out.push_str("<mo>′</mo>"),
            None => {}
        }
        if !tag.is_empty() {
            out.push_str("</");
            out.push_str(tag);
            out.push('>');
        }
    }

    /// Writes it as plain text.
    pub(super) fn write_text(&self, out: &mut String) {
        out.push_str(&self.base);
        if self.has_zero {
            out.push('0');
        }
        if !self.subscript.is_empty() {
            out.push('_');
            out.push_str(&self.subscript);
        }
        if self.has_prime {
            out.push('′');
        }
    }
}

/// A symbol as MathML content.
#[cfg(test)]
pub(super) fn symbol(name: &str) -> Markup {
    let mut out = String::new();
    Symbol::new(name).write(&mut out, None);
    Markup::trusted(out)
}

/// A symbol as an element of its own, for prose and tables.
pub fn symbol_html(name: &str) -> Markup {
    let mut out = String::from("<math>");
    Symbol::new(name).write(&mut out, None);
    out.push_str("</math>");
    Markup::trusted(out)
}

/// Words in which symbols are set as symbols, whether written `c_cr_N` or as the standards do, `c_cr,N`.
pub fn described(out: &mut Markup, words: &str) {
    if !words.contains('_') {
        out.say(words);
        return;
    }
    let mut rest = words;
    while let Some(start) = rest.find(char::is_alphabetic) {
        let (before, after) = rest.split_at(start);
        out.say(before);
        let end = end_of_word(after);
        let (word, next) = after.split_at(end);
        match word.split_once('_') {
            Some((base, subscript)) if is_letter(base.trim_end_matches('0')) && !subscript.is_empty() => {
                out.push(symbol_html(&word.replace(',', "_")));
            }
            _ => out.say(word),
        }
        rest = next;
    }
    out.say(rest);
}

/// Where a word ends; a comma belongs to it if a letter or digit follows at once.
fn end_of_word(text: &str) -> usize {
    let mut characters = text.char_indices().peekable();
    while let Some((at, c)) = characters.next() {
        let goes_on = c.is_alphanumeric()
            || c == '_'
            || c == ','
                && text[..at].contains('_')
                && characters.peek().is_some_and(|(_, next)| next.is_alphanumeric());
        if !goes_on {
            return at;
        }
    }
    text.len()
}

/// A symbol as plain text: `N_Rd,c`.
pub fn symbol_text(name: &str) -> String {
    let mut out = String::new();
    Symbol::new(name).write_text(&mut out);
    out
}

/// Words such as `dense_reinforcement`, which are read as a phrase; `plate_x` is one word with a subscript.
fn is_phrase(base: &str, rest: &str) -> bool {
    let is_word = |part: &str, least: usize| {
        part.len() >= least && part.bytes().all(|byte| byte.is_ascii_lowercase()) && greek(part).is_none()
    };
    // Two letters before two others are more likely a symbol: `dx_ef`.
    let least = if base.len() > 2 { 2 } else { 3 };
    is_word(base, 2) && rest != "prime" && rest.split('_').any(|part| is_word(part, least))
}

fn is_letter(text: &str) -> bool {
    let mut characters = text.chars();
    let is_one = characters.next().is_some_and(char::is_alphabetic) && characters.next().is_none();
    is_one || greek(text).is_some()
}

/// The letter of a Greek name; names of capitals begin with one.
fn greek(name: &str) -> Option<&'static str> {
    Some(match name {
        "alpha" => "α",
        "beta" => "β",
        "gamma" => "γ",
        "delta" => "δ",
        "epsilon" => "ε",
        "zeta" => "ζ",
        "eta" => "η",
        "theta" => "θ",
        "iota" => "ι",
        "kappa" => "κ",
        "lambda" => "λ",
        "mu" => "μ",
        "nu" => "ν",
        "xi" => "ξ",
        "omicron" => "ο",
        "pi" => "π",
        "rho" => "ρ",
        "sigma" => "σ",
        "tau" => "τ",
        "upsilon" => "υ",
        "phi" => "φ",
        "chi" => "χ",
        "psi" => "ψ",
        "omega" => "ω",
        "Alpha" => "Α",
        "Beta" => "Β",
        "Gamma" => "Γ",
        "Delta" => "Δ",
        "Epsilon" => "Ε",
        "Zeta" => "Ζ",
        "Eta" => "Η",
        "Theta" => "Θ",
        "Iota" => "Ι",
        "Kappa" => "Κ",
        "Lambda" => "Λ",
        "Mu" => "Μ",
        "Nu" => "Ν",
        "Xi" => "Ξ",
        "Omicron" => "Ο",
        "Pi" => "Π",
        "Rho" => "Ρ",
        "Sigma" => "Σ",
        "Tau" => "Τ",
        "Upsilon" => "Υ",
        "Phi" => "Φ",
        "Chi" => "Χ",
        "Psi" => "Ψ",
        "Omega" => "Ω",
        _ => return None,
    })
}
