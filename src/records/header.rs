//! Headers of columns: which field each one is, and the unit written in it.

use super::mapping::{Field, Mapping};
use super::mistake::{Mistake, quote};
use super::rows::Row;
use crate::diagnostic::Code;
use crate::quantity::Unit;

/// A mapped column of the file.
#[derive(Clone, Debug)]
pub(super) struct Column {
    pub(super) field: Field,
    /// Its place among the fields of a row, from 0.
    pub(super) index: usize,
    /// The header as written.
    pub(super) header: String,
    /// The unit of its numbers; the unit of plain numbers where it holds none.
    pub(super) unit: Unit,
}

impl Column {
    /// Whether a cell is its header, with any unit behind it.
    pub(super) fn is_called(&self, cell: &str) -> bool {
        let bare = |header: &str| with_units(header).next().map_or_else(|| plain(header), |(name, _)| plain(name));
        bare(&self.header) == bare(cell)
    }
}

/// How far a line is the header that a mapping asks for.
#[derive(Debug, Default)]
pub(super) struct HeaderMatch {
    /// Mapped columns that are there, whether or not their units are in order.
    pub(super) found: usize,
    pub(super) columns: Vec<Column>,
    /// The names of those that are not.
    pub(super) missing: Vec<String>,
    /// Columns that are there twice, and units that do not fit.
    pub(super) mistakes: Vec<Mistake>,
}

/// Looks for every mapped column among the headers of a line.
pub(super) fn match_header(
    row: &Row<'_>,
    headers: &[String],
    text: &str,
    delimiter: u8,
    mapping: &Mapping,
) -> HeaderMatch {
    let mut matched = HeaderMatch::default();
    for (at, (field, wanted)) in mapping.columns.iter().enumerate() {
        let places = places(*field, wanted, headers);
        let Some(&index) = places.first() else {
            matched.missing.push(wanted.clone());
            continue;
        };
        matched.found += 1;
        let header = &headers[index];
        let mistake = |mistake: Mistake| mistake.at(row.line, row.span(index, text, delimiter)).in_column(header);
        if let Some(&second) = places.get(1) {
            let twice = Mistake::new(Code::Redefined, "the column twice", format!("one column for {field}"));
            let place = row.span(second, text, delimiter);
            matched.mistakes.push(mistake(twice).also(place, "again here"));
            continue;
        }
        match unit_of(*field, wanted, header, mapping, at) {
            Ok(unit) => matched.columns.push(Column { field: *field, index, header: header.clone(), unit }),
            Err(wrong) => matched.mistakes.push(mistake(wrong)),
        }
    }
    matched
}

/// The headers that a name means: those that equal it, or else those that do but for a unit behind it.
fn places(field: Field, wanted: &str, headers: &[String]) -> Vec<usize> {
    let wanted = plain(wanted);
    let all = |fits: &dyn Fn(&String) -> bool| (0..headers.len()).filter(|&at| fits(&headers[at])).collect::<Vec<_>>();
    let equal = all(&|header| plain(header) == wanted);
    if !equal.is_empty() || !field.is_number() {
        return equal;
    }
    all(&|header| with_units(header).any(|(name, _)| plain(name) == wanted))
}

/// A header without case and blanks.
fn plain(header: &str) -> String {
    header.chars().filter(|c| !c.is_whitespace()).flat_map(char::to_lowercase).collect()
}

/// Every way to take a header apart into a name and a unit: `Torque (Nm)`, `Torque [Nm]`, `torque_Nm`, `Torque/Nm`.
fn with_units(header: &str) -> impl Iterator<Item = (&str, &str)> {
    let bracketed = [('(', ')'), ('[', ']')].into_iter().filter_map(move |(open, close)| {
        let (name, unit) = header.trim_end().strip_suffix(close)?.split_once(open)?;
        Some((name, unit.trim()))
    });
    let marked =
        header.match_indices(['_', '/']).map(move |(at, mark)| (&header[..at], header[at + mark.len()..].trim()));
    bracketed.chain(marked)
}

/// The unit of a column: from its header, from the mapping, or one from both if they agree.
fn unit_of(field: Field, wanted: &str, header: &str, mapping: &Mapping, at: usize) -> Result<Unit, Mistake> {
    let of_table = mapping.cells.get(&at);
    let (dimension, example) = match (field.quantity(), of_table) {
        (Some(quantity), _) => quantity,
        (None, Some(unit)) => (unit.dimension(), ""),
        (None, None) => return Ok(Unit::one()),
    };
    let is_whole = plain(header) == plain(wanted);
    let mut written = None;
    for (name, unit) in with_units(header) {
        match read_unit(unit) {
            Ok(unit) => written = Some(unit),
            // A name may hold what looks like a unit and is none, unless the name ends where the unit starts.
            Err(_) if is_whole => {}
            Err(mistake) if plain(name) == plain(wanted) => return Err(mistake),
            Err(_) => {}
        }
    }
    if let Some(unit) = written.as_ref().filter(|unit| unit.dimension() != dimension) {
        let found = format!("the unit `{unit}`, {}", unit.dimension().describe());
        return Err(Mistake::new(Code::UnitMismatch, found, format!("a unit of {}", dimension.describe())));
    }
    match (written, mapping.unit(field).cloned()) {
        (Some(written), Some(stated)) if written != stated => {
            let expected = format!("`{stated}`, as the mapping says");
            Err(Mistake::new(Code::UnitMismatch, format!("the unit `{written}`"), expected))
        }
        (Some(unit), _) | (None, Some(unit)) => Ok(unit),
        // What the sheet says of a table is said of its values; a header that names no unit leaves it at that.
        (None, None) if of_table.is_some() => Ok(of_table.cloned().unwrap_or_else(Unit::one)),
        (None, None) => {
            let expected = format!("a unit, as in `{header} ({example})`");
            Err(Mistake::new(Code::MissingUnit, "a header without a unit", expected)
                .help("say which unit the column has"))
        }
    }
}

/// Reads a unit as headers write it: `Nm`, `N m`, `N.m`, `N-m` and `N⋅m` for `N·m`.
fn read_unit(text: &str) -> Result<Unit, Mistake> {
    let dotted = text.replace([' ', '\u{a0}', '.', '-', '⋅', '∙', '•'], "·");
    let parsed = Unit::parse(&dotted).or_else(|error| {
        // A moment written as one word; the table of units has none, so that nothing else can be meant.
        let parts = ["m", "mm", "cm"].iter().find_map(|length| {
            let force = dotted.strip_suffix(length)?;
            force.ends_with('N').then(|| Unit::parse(&format!("{force}·{length}")))
        });
        parts.unwrap_or(Err(error))
    });
    parsed.map_err(|error| {
        let mistake = Mistake::new(Code::UnknownUnit, format!("{} for a unit", quote(text)), "a unit");
        error.advice().into_iter().fold(mistake, Mistake::help)
    })
}
