//! What a page is made of, as one text with one way to write it.
//!
//! ```text
//! soleplate issue 2
//! program: soleplate 0.1.0
//! sheet: b4.md
//! package 412 b4.md
//! …412 bytes…
//! shipped 2210 en-1992-4/concrete-cone.md
//! …2210 bytes…
//! ```
//!
//! Kind, length in bytes and name stand in a line before the bytes of each file, and a line feed behind them; files are
//! sorted by kind, then by name.

use crate::diagnostic::Diagnostic;
use crate::library::Library;
use crate::package::{Memory, Package};
use crate::text::SourceFile;
use std::collections::BTreeMap;
use std::io;

const HEADER: &str = "soleplate issue 2";

/// What a file is.
#[derive(Copy, Clone, Debug, Eq, PartialEq, Ord, PartialOrd)]
pub enum Kind {
    /// A file of the package.
    Package,
    /// What came out, line by line.
    Results,
    /// A file of the library in the binary, named as [`Library::replace_shipped`] takes it.
    Shipped,
}

const KINDS: [(Kind, &str); 3] = [(Kind::Package, "package"), (Kind::Results, "results"), (Kind::Shipped, "shipped")];

impl Kind {
    fn word(self) -> &'static str {
        KINDS.iter().find(|(kind, _)| *kind == self).map_or("", |(_, word)| word)
    }
}

/// One file.
#[derive(Clone, Debug, Eq, PartialEq, Ord, PartialOrd)]
pub struct Source {
    /// What it is.
    pub kind: Kind,
    /// Its name.
    pub name: String,
}

/// What a page is made of.
#[derive(Clone, Debug, Eq, PartialEq)]
pub struct Sources {
    /// Name and version of the program that made the page.
    pub program: String,
    /// Path of the sheet.
    pub sheet: String,
    /// Every file with its bytes.
    pub files: BTreeMap<Source, Vec<u8>>,
}

impl Sources {
    /// All in one text.
    pub fn write(&self) -> Vec<u8> {
        let mut out = format!("{HEADER}\nprogram: {}\nsheet: {}\n", self.program, self.sheet).into_bytes();
        for (source, bytes) in &self.files {
            out.extend_from_slice(format!("{} {} {}\n", source.kind.word(), bytes.len(), source.name).as_bytes());
            out.extend_from_slice(bytes);
            out.push(b'\n');
        }
        out
    }

    /// Reads what [`Sources::write`] writes, byte for byte, or says what is wrong.
    pub fn read(bytes: &[u8]) -> Result<Self, String> {
        let mut rest = bytes;
        let header = line(&mut rest)?;
        if header != HEADER {
            return Err(match header.starts_with("soleplate issue ") {
                true => "it was issued in another layout than this program reads".to_owned(),
                false => "what it carries does not begin as it should".to_owned(),
            });
        }
        let program = line(&mut rest)?.strip_prefix("program: ").map(str::to_owned);
        let sheet = line(&mut rest)?.strip_prefix("sheet: ").map(str::to_owned);
        let (Some(program), Some(sheet)) = (program, sheet) else {
            return Err("what it carries does not name program and sheet".to_owned());
        };
        let mut files = BTreeMap::new();
        while !rest.is_empty() {
            let head = line(&mut rest)?;
            let wrong = || format!("what it carries is damaged at `{}`", head.escape_debug());
            let mut words = head.splitn(3, ' ');
            let (Some(word), Some(length), Some(name)) = (words.next(), words.next(), words.next()) else {
                return Err(wrong());
            };
            let kind = KINDS.iter().find(|(_, known)| *known == word).map(|(kind, _)| *kind).ok_or_else(wrong)?;
            let length: usize = length.parse().map_err(|_| wrong())?;
            let (content, behind) = rest.split_at_checked(length).ok_or_else(wrong)?;
            rest = behind.strip_prefix(b"\n").ok_or_else(wrong)?;
            files.insert(Source { kind, name: name.to_owned() }, content.to_vec());
        }
        let read = Self { program, sheet, files };
        // Files out of order, files that stand twice and lengths such as `012` say the same in other bytes.
        if read.write() != bytes {
            return Err("what it carries is not written as this program writes it".to_owned());
        }
        Ok(read)
    }

    /// The package in memory, over a library with the clauses that are carried; findings are about the package itself.
    pub fn open(&self) -> io::Result<(Package, Vec<Diagnostic>)> {
        let mut library = Library::shipped();
        let mut memory = Memory::default();
        for (source, bytes) in &self.files {
            match source.kind {
                Kind::Package => memory = memory.with(&source.name, bytes.clone()),
                Kind::Shipped => {
                    let text = String::from_utf8_lossy(bytes).into_owned();
                    // As the library names it, in findings and on the page.
                    let path = source.name.strip_prefix("data ").or_else(|| source.name.strip_prefix("card "));
                    let name = path.map_or_else(|| source.name.clone(), |path| format!("{path}.toml"));
                    library.replace_shipped(&source.name, SourceFile::new(name, text));
                }
                Kind::Results => {}
            }
        }
        Package::open_with(Box::new(memory), library)
    }

    /// The carried files of the library that this program does not ship so.
    pub fn not_as_shipped(&self) -> Vec<&str> {
        let library = Library::shipped();
        let text = |name: &str| {
            if let Some(path) = name.strip_prefix("data ") {
                return Library::shipped_data(path);
            }
            if let Some(path) = name.strip_prefix("card ") {
                return library.card(path).map(|card| card.source.clone());
            }
            let clause = name.strip_suffix(".md").and_then(|path| library.clause(path)).map(|clause| &clause.source);
            let family = name.strip_suffix(".toml").and_then(|path| library.family(path)).map(|family| &family.source);
            clause.or(family).cloned()
        };
        let files = self.files.iter().filter(|(source, _)| source.kind == Kind::Shipped);
        let differs = |name: &str, bytes: &[u8]| text(name).is_none_or(|source| source.text.as_bytes() != bytes);
        files.filter(|(source, bytes)| differs(&source.name, bytes)).map(|(source, _)| source.name.as_str()).collect()
    }

    /// What came out, line by line, as the page was issued.
    pub fn results(&self) -> &[u8] {
        let found = self.files.iter().find(|(source, _)| source.kind == Kind::Results);
        found.map_or(&[], |(_, bytes)| bytes.as_slice())
    }
}

/// Takes the first line off, without its line feed.
fn line<'a>(rest: &mut &'a [u8]) -> Result<&'a str, String> {
    let cut = || "what it carries is cut off".to_owned();
    let end = rest.iter().position(|byte| *byte == b'\n').ok_or_else(cut)?;
    let line = std::str::from_utf8(&rest[..end]).map_err(|_| "what it carries is no text".to_owned())?;
    *rest = &rest[end + 1..];
    Ok(line)
}
