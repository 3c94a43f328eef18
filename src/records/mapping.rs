//! Which column of the file is what.

use super::deviation::Deviation;
use super::layout::Delimiter;
use super::mistake::Mistake;
use super::number::DecimalMark;
use super::specification::Specification;
use super::time::DayOrder;
use crate::diagnostic::Code;
use crate::quantity::{Dimension, Unit};
use std::collections::BTreeMap;
use std::fmt;

/// What a column holds.
#[derive(Copy, Clone, Debug, Eq, PartialEq, Ord, PartialOrd)]
pub enum Field {
    /// The anchor's mark on its base.
    Anchor,
    /// The base that the anchor belongs to.
    Base,
    /// When the torque was applied.
    Time,
    /// When the anchor was set in its hole: curing starts then.
    Set,
    /// Who applied the torque.
    Operative,
    /// The serial number of the torque tool.
    Tool,
    /// The last day on which the tool's calibration is valid.
    CalibratedUntil,
    /// The torque reached: a number, or `click` where the tool tells nothing else.
    Torque,
    /// The embedment depth as measured.
    Embedment,
    /// The batch of the anchor or of its mortar.
    Batch,
    /// What was done at the anchor beside installing it: [`Mapping::words`] says which words stand for what.
    Done,
    /// Anything else.
    Remark,
    /// What a row of a table is called; not of an as-installed record.
    Label,
    /// A number of a table; not of an as-installed record.
    Cell,
}

impl Field {
    /// Every field of an as-installed record, in the order of its number.
    pub const ALL: [Field; 12] = [
        Field::Anchor,
        Field::Base,
        Field::Time,
        Field::Set,
        Field::Operative,
        Field::Tool,
        Field::CalibratedUntil,
        Field::Torque,
        Field::Embedment,
        Field::Batch,
        Field::Done,
        Field::Remark,
    ];

    /// What it is called where a sheet maps it.
    pub fn name(self) -> &'static str {
        match self {
            Field::Anchor => "anchor",
            Field::Base => "base",
            Field::Time => "time",
            Field::Set => "set",
            Field::Operative => "operative",
            Field::Tool => "tool",
            Field::CalibratedUntil => "calibrated",
            Field::Torque => "torque",
            Field::Embedment => "embedment",
            Field::Batch => "batch",
            Field::Done => "done",
            Field::Remark => "remark",
            Field::Label => "label",
            Field::Cell => "number",
        }
    }

    /// What is measured in it, if it holds a quantity, and a unit that it may be given in.
    pub(super) fn quantity(self) -> Option<(Dimension, &'static str)> {
        match self {
            Field::Torque => Some((Dimension::MOMENT, "N·m")),
            Field::Embedment => Some((Dimension::LENGTH, "mm")),
            _ => None,
        }
    }

    /// Whether it may be the same for every record of a file, and then needs no column.
    pub fn can_be_throughout(self) -> bool {
        matches!(self, Field::Base | Field::Operative | Field::Tool | Field::CalibratedUntil | Field::Batch)
    }

    /// Whether it holds numbers.
    pub(super) fn is_number(self) -> bool {
        self == Field::Cell || self.quantity().is_some()
    }

    /// Whether it holds a day, with or without a time of day.
    pub(super) fn is_time(self) -> bool {
        matches!(self, Field::Time | Field::Set | Field::CalibratedUntil)
    }
}

/// What the field is called in a sentence: "the torque".
impl fmt::Display for Field {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Field::Anchor => "the anchor",
            Field::Base => "the base",
            Field::Time => "the time",
            Field::Set => "the time of setting",
            Field::Operative => "the operative",
            Field::Tool => "the tool",
            Field::CalibratedUntil => "the end of calibration",
            Field::Torque => "the torque",
            Field::Embedment => "the embedment",
            Field::Batch => "the batch",
            Field::Done => "what was done",
            Field::Remark => "the remark",
            Field::Label => "the label",
            Field::Cell => "the number",
        })
    }
}

/// Which header means which field, and how to read what can be read in two ways.
///
/// A header is found whatever its case and blanks, with or without a unit behind it: `Torque` finds `TORQUE (Nm)`,
/// `Torque [N·m]`, `torque_Nm` and `Torque/Nm`.
#[derive(Clone, Debug, Default)]
pub struct Mapping {
    /// Fields and their headers, each field once; [`Field::Anchor`] must be among them.
    pub columns: Vec<(Field, String)>,
    /// What every record has in a field without a column: a log of one tool names it once, if at all.
    pub throughout: Vec<(Field, String)>,
    /// Words of [`Field::Done`] and what each stands for, none for installed as specified; case does not count.
    pub words: Vec<(Option<Deviation>, String)>,
    /// The unit of torques where the header names none.
    pub torque_unit: Option<Unit>,
    /// The unit of embedments where the header names none.
    pub embedment_unit: Option<Unit>,
    /// The decimal mark of all columns; unless stated, the cells of each column decide.
    pub decimal_mark: Option<DecimalMark>,
    /// The mark that parts thousands, where one does; the other is then the decimal mark.
    pub groups: Option<DecimalMark>,
    /// The order of day and month in dates like `02/11/2026`; unless stated, dates must have one reading each.
    pub day_order: Option<DayOrder>,
    /// Minutes east of UTC of times without a zone; needed only where some have one and some have none.
    pub utc_offset: Option<i16>,
    /// What stands between fields; unless stated, the header decides.
    pub delimiter: Option<Delimiter>,
    /// The units of [`Field::Cell`]s by their place in `columns`: what their headers name must be of the same dimension.
    pub cells: BTreeMap<usize, Unit>,
}

impl Mapping {
    /// Adds a column by its header.
    #[must_use]
    pub fn column(mut self, field: Field, header: impl Into<String>) -> Self {
        self.columns.push((field, header.into()));
        self
    }

    /// Adds a column of numbers by its header, in a unit unless the header names another of its dimension.
    #[must_use]
    pub fn cell(mut self, header: impl Into<String>, unit: Unit) -> Self {
        self.cells.insert(self.columns.len(), unit);
        self.column(Field::Cell, header)
    }

    /// Whether records have a field, in a column or throughout.
    pub fn has(&self, field: Field) -> bool {
        self.fields().any(|mapped| mapped == field)
    }

    /// Every field that records have: those of columns first, in their order, then those that are the same throughout.
    pub(super) fn fields(&self) -> impl Iterator<Item = Field> {
        self.columns.iter().chain(&self.throughout).map(|(field, _)| *field)
    }

    /// The decimal mark as far as it is stated.
    pub(super) fn stated_mark(&self) -> Option<DecimalMark> {
        self.decimal_mark.or(self.groups.map(DecimalMark::other))
    }

    /// The unit stated for a field.
    pub(super) fn unit(&self, field: Field) -> Option<&Unit> {
        match field {
            Field::Torque => self.torque_unit.as_ref(),
            Field::Embedment => self.embedment_unit.as_ref(),
            _ => None,
        }
    }

    /// What is wrong with the mapping itself, and which fields the specification needs that it does not name.
    pub(super) fn mistakes(&self, specification: &Specification) -> Vec<Mistake> {
        let mut mistakes = Vec::new();
        for field in Field::ALL {
            let count = self.fields().filter(|mapped| *mapped == field).count();
            if count > 1 {
                let found = format!("two headers for {field}, or one and a value throughout");
                mistakes.push(Mistake::new(Code::Redefined, found, "one header a field"));
            }
            if count > 0 && matches!(field, Field::Embedment | Field::Set) && !specification.needs(field) {
                let found = format!("a header for {field} and nothing that it is held against");
                let mistake = Mistake::new(Code::MissingValue, found, "what it has to be");
                mistakes.push(mistake.help(match field {
                    Field::Set => "write `t_cure = …` behind `with`, or leave the column away",
                    _ => "write `h_ef = …, h_over = …` behind `with`, or leave the column away",
                }));
            }
            if count == 0 && specification.needs(field) {
                let found = format!("no header for {field}");
                let mistake = Mistake::new(Code::MissingValue, found, "one, since the specification asks for it");
                mistakes.push(if field.can_be_throughout() {
                    mistake.help(format!("where the file has no such column, say what {field} of every record is"))
                } else {
                    mistake
                });
            }
        }
        for (field, _) in self.columns.iter().filter(|(_, header)| header.trim().is_empty()) {
            let found = format!("an empty header for {field}");
            mistakes.push(Mistake::new(Code::MissingValue, found, "the header of a column"));
        }
        for (field, unit) in [(Field::Torque, &self.torque_unit), (Field::Embedment, &self.embedment_unit)] {
            let Some((unit, (dimension, _))) = unit.as_ref().zip(field.quantity()) else { continue };
            if unit.dimension() != dimension {
                let found = format!("the unit `{unit}` for {field}");
                mistakes.push(Mistake::new(Code::UnitMismatch, found, format!("a unit of {}", dimension.describe())));
            }
        }
        mistakes.extend(self.mistaken_words());
        if self.groups.is_some() && self.groups == self.decimal_mark {
            let found = "one mark for decimals and for parting thousands";
            mistakes.push(Mistake::new(Code::MistakenValue, found, "two marks"));
        }
        let is_offset_sound = self.utc_offset.is_none_or(|minutes| minutes.abs() < 24 * 60);
        if !is_offset_sound {
            mistakes.push(Mistake::new(Code::OutsideRange, "an offset of a day or more", "minutes east of UTC"));
        }
        mistakes
    }
}
