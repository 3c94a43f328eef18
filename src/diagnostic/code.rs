//! The table of all codes: each names what is wrong, and explains it at length.

macro_rules! codes {
    ($($variant:ident = $name:literal, $explanation:literal;)*) => {
        /// The kind of a finding.
        #[derive(Copy, Clone, Debug, Eq, PartialEq, Ord, PartialOrd, Hash)]
        pub enum Code { $(#[doc = $explanation] $variant,)* }

        impl Code {
            /// Every code, in the order of the table.
            pub const ALL: &'static [Code] = &[$(Code::$variant,)*];

            /// Its name, as shown in brackets.
            pub fn name(self) -> &'static str {
                match self { $(Code::$variant => $name,)* }
            }

            /// What it means, in a sentence or two.
            pub fn explanation(self) -> &'static str {
                match self { $(Code::$variant => $explanation,)* }
            }
        }
    };
}

codes! {
    NotUtf8 = "not-utf8", "The file is not text in UTF-8, so no character of it can be trusted.";
    TooLarge = "too-large", "A file is over the size limit, or a structure in it is nested or repeated beyond the limit.";
    FrontMatter = "front-matter", "The TOML between the +++ lines is missing, broken, or holds a key that is unknown or of the wrong kind.";
    MissingStatement = "missing-statement", "A calculation must say what it is for and what it covers: `purpose` and `scope` in its front matter.";
    RawHtml = "raw-html", "A sheet holds no HTML: what a page shows comes from Markdown and from the numbers.";
    UnsafeLink = "unsafe-link", "Links go to http, https, mailto or into the package; images lie inside the package.";
    UnknownBlock = "unknown-block", "A fenced block has a kind that is not known.";
    UnclosedBlock = "unclosed-block", "A fenced block has no closing fence of the same marker and length, so that it runs on over what follows.";
    MisplacedStatement = "misplaced-statement", "A statement stands in a block of another kind.";
    Syntax = "syntax", "The text does not follow the grammar of statements and expressions.";
    BadNumber = "bad-number", "A number cannot be read, or is too large or too small to be computed with.";
    UnknownUnit = "unknown-unit", "A unit is not in the table.";
    MissingUnit = "missing-unit", "A value stands without a unit where a unit belongs.";
    UnitMismatch = "unit-mismatch", "Two quantities of different dimension meet where only equal ones can, or a value has another dimension than asked for.";
    KindMismatch = "kind-mismatch", "A value is of another kind than asked for: a list where a number is wanted, a word where yes or no is wanted.";
    UnknownSymbol = "unknown-symbol", "A name is used that nothing defines.";
    UsedBeforeDefinition = "used-before-definition", "A name is used above the line that defines it.";
    Redefined = "redefined", "A name is defined twice: a symbol has one value in a sheet; or a file of the package stands in the place of a shipped one.";
    UnknownFunction = "unknown-function", "A function is not in the table, or has another number of arguments.";
    UnknownWord = "unknown-word", "A word is not in the closed set that it is compared with or chosen from.";
    UnknownField = "unknown-field", "A table has no such column or row, or a list no such element.";
    MissingValue = "missing-value", "A data file does not give a value that is needed.";
    UnknownFamily = "unknown-family", "A data file names a family of product data that is neither in the package nor in the library.";
    WrongFamily = "wrong-family", "A clause is for product data of another family than that of the data file.";
    UnknownValue = "unknown-value", "A data file gives a value that its family does not have.";
    OutsideRange = "outside-range", "A value of a data file lies outside the range that its family has for it.";
    BadData = "bad-data", "A data file cannot be read or holds an entry of the wrong form.";
    UnknownClause = "unknown-clause", "A clause is neither in the package nor in the library.";
    ClauseCycle = "clause-cycle", "A clause uses itself, directly or through others.";
    UnboundTake = "unbound-take", "A clause or figure takes a value that the sheet neither names in `with` nor defines under the same name.";
    UnknownFigure = "unknown-figure", "A figure of this name cannot be drawn.";
    MistakenValue = "mistaken-value", "A value cannot be as it stands, whatever is computed from it: two anchors in one place, an edge on the wrong side.";
    BadExponent = "bad-exponent", "The exponent of a quantity with a unit must be a constant number.";
    OutsidePackage = "outside-package", "A path leads outside the package.";
    ReservedName = "reserved-name", "A sheet has the name of a page that every package has.";
    Unreadable = "unreadable", "A file could not be read.";
    BadSignOff = "bad-sign-off", "A sign-off is not a statement of the fixed layout with one SSH signature behind it; it counts for nothing.";
    BadSigners = "bad-signers", "A line of the allowed signers or of the revoked keys cannot be read or asks for what is not supported, so that nobody can say who may sign.";
    MergeConflict = "merge-conflict", "A file still holds the marks that a version control system leaves where it could not merge two changes.";
    BadMark = "bad-mark", "A line of a marks file cannot be read, so that a mark would be lost.";
    UnorderedMarks = "unordered-marks", "The lines of a marks file do not stand in the order of their addresses and numbers.";
    ShownUnit = "shown-unit", "The unit after `in` has another dimension than the value.";
}

#[cfg(test)]
mod tests {
    use super::Code;

    #[test]
    fn names_are_distinct_and_say_what_is_wrong() {
        let mut names: Vec<_> = Code::ALL.iter().map(|code| code.name()).collect();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), Code::ALL.len());
        assert!(Code::ALL.iter().all(|code| code.explanation().ends_with('.')));
    }
}
