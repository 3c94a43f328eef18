//! Patterns of names, as ssh_config(5), PATTERNS, has them.

use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

/// A name with `*` for any characters and `?` for any one; with `!` before it, whoever fits is left out.
#[derive(Clone, Debug, Eq, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Pattern {
    is_negated: bool,
    glob: String,
}

impl Pattern {
    /// Whether a name has the form of the pattern, negated or not.
    fn fits(&self, name: &str) -> bool {
        let (glob, name) = (self.glob.as_bytes(), name.as_bytes());
        let (mut g, mut n) = (0, 0);
        // Where to go on if the last `*` has to take one character more.
        let mut retry = None;
        while n < name.len() {
            match glob.get(g) {
                Some(b'*') => {
                    g += 1;
                    retry = Some((g, n));
                }
                Some(&c) if c == b'?' || c == name[n] => {
                    g += 1;
                    n += 1;
                }
                _ => {
                    let Some((behind, taken)) = retry else { return false };
                    g = behind;
                    n = taken + 1;
                    retry = Some((behind, n));
                }
            }
        }
        glob[g..].iter().all(|c| *c == b'*')
    }
}

impl fmt::Display for Pattern {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", if self.is_negated { "!" } else { "" }, self.glob)
    }
}

impl FromStr for Pattern {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let (is_negated, glob) = text.strip_prefix('!').map_or((false, text), |glob| (true, glob));
        if glob.is_empty() {
            return Err("a pattern is empty".to_owned());
        }
        match glob.chars().find(|c| c.is_whitespace() || c.is_control() || ",!\"".contains(*c)) {
            Some(wrong) => Err(format!("{} cannot stand in a pattern", super::field::in_words(wrong))),
            None => Ok(Self { is_negated, glob: glob.to_owned() }),
        }
    }
}

impl TryFrom<String> for Pattern {
    type Error = String;

    fn try_from(text: String) -> Result<Self, String> {
        text.parse()
    }
}

impl From<Pattern> for String {
    fn from(pattern: Pattern) -> Self {
        pattern.to_string()
    }
}

/// Patterns of which one must fit and no negated one may, whatever their order.
#[derive(Clone, Debug, Eq, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "Vec<Pattern>", into = "Vec<Pattern>")]
pub struct PatternList(Vec<Pattern>);

impl PatternList {
    /// Whether a name is among those meant; upper and lower case differ.
    pub fn matches(&self, name: &str) -> bool {
        let fits = |is_negated| self.0.iter().any(|pattern| pattern.is_negated == is_negated && pattern.fits(name));
        fits(false) && !fits(true)
    }
}

impl fmt::Display for PatternList {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (at, pattern) in self.0.iter().enumerate() {
            write!(f, "{}{pattern}", if at == 0 { "" } else { "," })?;
        }
        Ok(())
    }
}

/// A list that names nobody is a slip of the pen.
impl TryFrom<Vec<Pattern>> for PatternList {
    type Error = String;

    fn try_from(patterns: Vec<Pattern>) -> Result<Self, String> {
        match patterns.iter().any(|pattern| !pattern.is_negated) {
            true => Ok(Self(patterns)),
            false => Err("no pattern here says who is meant: `*` stands for everybody".to_owned()),
        }
    }
}

impl From<PatternList> for Vec<Pattern> {
    fn from(list: PatternList) -> Self {
        list.0
    }
}

/// Reads patterns with commas between them.
impl FromStr for PatternList {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        text.split(',').map(str::parse).collect::<Result<Vec<Pattern>, _>>()?.try_into()
    }
}
