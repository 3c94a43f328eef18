//! The syntax tree: what was written, with the place of every part.

use crate::text::{Span, Spanned};

/// A name with its place.
pub type Name = Spanned<String>;

/// One statement of a block.
#[derive(Clone, Debug, PartialEq)]
pub struct Statement {
    /// The whole statement.
    pub span: Span,
    /// What it does.
    pub kind: StatementKind,
    /// What stands behind it.
    pub suffix: Suffix,
}

/// The parts that may stand behind any statement.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Suffix {
    /// Words in quotes.
    pub description: Option<Spanned<String>>,
    /// What stands after `@`.
    pub reference: Option<Reference>,
    /// `in UNIT`.
    pub unit: Option<Spanned<String>>,
    /// `to N figures`.
    pub figures: Option<Spanned<usize>>,
    /// `within A to B`.
    pub within: Option<(Expression, Expression)>,
    /// `among a, b, c`.
    pub among: Option<Vec<Name>>,
    /// `giving UNIT with X in UNIT, …`.
    pub giving: Option<Giving>,
    /// `when CONDITION otherwise "reason"`, on a check.
    pub applies: Vec<Applies>,
}

/// Where a line comes from.
#[derive(Clone, Debug, PartialEq)]
pub struct Reference {
    /// The words without the mark.
    pub text: String,
    /// The mark in brackets at the end.
    pub mark: Option<Mark>,
    /// The place.
    pub span: Span,
}

/// How far a source can be trusted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mark {
    /// Which mark.
    pub kind: MarkKind,
    /// Why, if it was said.
    pub reason: String,
}

/// The closed set of marks.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum MarkKind {
    /// Nobody looked it up.
    FromMemory,
    /// Read in a text about the source.
    SecondHand,
    /// Readings differ.
    InDoubt,
}

impl MarkKind {
    /// Every mark.
    pub const ALL: [MarkKind; 3] = [MarkKind::FromMemory, MarkKind::SecondHand, MarkKind::InDoubt];

    /// As written and as shown.
    pub fn words(self) -> &'static str {
        match self {
            MarkKind::FromMemory => "from memory",
            MarkKind::SecondHand => "second-hand",
            MarkKind::InDoubt => "in doubt",
        }
    }
}

/// A check's condition for being applicable.
#[derive(Clone, Debug, PartialEq)]
pub struct Applies {
    /// It applies when this holds.
    pub condition: Expression,
    /// Why it does not otherwise.
    pub reason: Spanned<String>,
}

/// An empirical formula's units.
#[derive(Clone, Debug, PartialEq)]
pub struct Giving {
    /// Unit of the result.
    pub unit: Spanned<String>,
    /// Quantities that are bare numbers inside, with their units.
    pub with: Vec<(Name, Spanned<String>)>,
}

/// What a statement does.
#[derive(Clone, Debug, PartialEq)]
pub enum StatementKind {
    /// `name = value`.
    Define {
        /// The symbol.
        name: Name,
        /// Its value.
        value: Definition,
    },
    /// `require condition`, and perhaps `on name, …`: where a failure is a mistake in what has this name.
    Require {
        /// What has to hold.
        condition: Expression,
        /// What is mistaken where it does not.
        on: Vec<Name>,
    },
    /// `demand <= resistance`.
    Verify(Expression),
    /// `takes name : kind`, and perhaps `otherwise value`.
    Takes {
        /// The symbol.
        name: Name,
        /// Its kind.
        kind: KindText,
        /// What it is where nothing binds it.
        default: Option<Expression>,
    },
    /// `gives name`.
    Gives(Name),
    /// `use path with … gives …`.
    Use(Use),
    /// `plan with …` in a figure block.
    Figure {
        /// Which figure.
        name: Name,
        /// What it is drawn from.
        with: Vec<Binding>,
    },
    /// A statement with a mistake, and the names that it would define, so that their uses are not reported as well.
    Unreadable(Vec<Name>),
}

impl StatementKind {
    /// The names that it defines where it stands.
    pub fn defines(&self) -> Vec<&Name> {
        match self {
            StatementKind::Define { name, .. } | StatementKind::Takes { name, .. } => vec![name],
            StatementKind::Use(used) => used.gives.iter().map(|(_, alias)| alias).collect(),
            StatementKind::Unreadable(names) => names.iter().collect(),
            StatementKind::Require { .. }
            | StatementKind::Verify(_)
            | StatementKind::Gives(_)
            | StatementKind::Figure { .. } => Vec::new(),
        }
    }
}

/// A use of a clause.
#[derive(Clone, Debug, PartialEq)]
pub struct Use {
    /// The clause's path.
    pub path: Spanned<String>,
    /// What the clause is used for one by one: the name of each, and the table or list that holds them.
    pub each: Option<(Name, Expression)>,
    /// Data files or rows whose values stand for what it takes and `with` does not name; the first goes first.
    pub from: Vec<Name>,
    /// Values for what it takes.
    pub with: Vec<Binding>,
    /// What it takes that is found from a result.
    pub solving: Option<Box<Solving>>,
    /// Results brought in, with their names here.
    pub gives: Vec<(Name, Name)>,
}

/// `solving name within low to high for result = target`: the value of something taken for which a result comes out.
#[derive(Clone, Debug, PartialEq)]
pub struct Solving {
    /// What is taken and looked for.
    pub name: Name,
    /// The least value looked at.
    pub low: Expression,
    /// The greatest.
    pub high: Expression,
    /// The result.
    pub result: Name,
    /// What it has to come to.
    pub target: Expression,
}

/// A value for something taken.
#[derive(Clone, Debug, PartialEq)]
pub struct Binding {
    /// What is taken.
    pub name: Name,
    /// Its value.
    pub value: Expression,
}

/// The right side of a definition.
#[derive(Clone, Debug, PartialEq)]
pub enum Definition {
    /// A formula or a value.
    Expression(Expression),
    /// Values by condition.
    Cases(Vec<Branch>),
    /// A table of records.
    Table(Table),
    /// A data file.
    Data(Spanned<String>),
    /// As-installed records.
    Records(Box<Records>),
}

/// `records "path" columns … throughout … words … required … reading … works … with …`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Records {
    /// The file.
    pub path: Spanned<String>,
    /// What each column holds, and its header.
    pub columns: Vec<(Name, Spanned<String>)>,
    /// What every record has in a column that the file does not have.
    pub throughout: Vec<(Name, Spanned<String>)>,
    /// Words for what was done, each with what it stands for.
    pub words: Vec<(Name, Spanned<String>)>,
    /// Columns in which every record must hold something.
    pub required: Vec<Name>,
    /// How to read what can be read in two ways.
    pub reading: Vec<(Name, Spanned<String>)>,
    /// The first and the last day of the works.
    pub works: Vec<(Name, Spanned<String>)>,
    /// What the records are held against.
    pub with: Vec<Binding>,
}

/// One line of `cases`.
#[derive(Clone, Debug, PartialEq)]
pub struct Branch {
    /// The value.
    pub value: Expression,
    /// Its condition; absent on the last.
    pub condition: Option<Expression>,
}

/// A table as written.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// Names and units of the columns.
    pub columns: Vec<(Name, Option<Spanned<String>>)>,
    /// Rows with their labels; none where they stand in a file.
    pub rows: Vec<(Name, Vec<Expression>)>,
    /// The file that they stand in.
    pub file: Option<TableFile>,
}

/// `from "path" columns … reading …` behind the columns of a table.
#[derive(Clone, Debug, PartialEq)]
pub struct TableFile {
    /// The file.
    pub path: Spanned<String>,
    /// The header of each column, by its name in the table; `label` is that of the labels.
    pub columns: Vec<(Name, Spanned<String>)>,
    /// How to read what can be read in two ways.
    pub reading: Vec<(Name, Spanned<String>)>,
}

/// A kind as written behind `takes`.
#[derive(Clone, Debug, PartialEq)]
pub enum KindText {
    /// A dimension by name, such as `force`.
    Dimension(Name),
    /// A dimension by unit, `in N/mm²`.
    Unit(Spanned<String>),
    /// `yes/no`.
    Truth,
    /// `word among …`, the set being in the suffix.
    Word,
    /// `list of KIND`.
    List(Box<KindText>),
    /// `table of x length, y length`.
    Table(Vec<(Name, KindText)>),
    /// `filled table of x length, y length` or `filled list of KIND`, with at least one row or element.
    Filled(Box<KindText>),
    /// `row of normal angle, distance length`.
    Row(Vec<(Name, KindText)>),
    /// `data`.
    Data,
}

/// An expression with its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Expression {
    /// What it is.
    pub kind: ExpressionKind,
    /// Where it stands.
    pub span: Span,
}

/// What an expression is.
#[derive(Clone, Debug, PartialEq)]
pub enum ExpressionKind {
    /// A number, with its unit's text.
    Number(String, Option<Spanned<String>>),
    /// `yes` or `no`.
    Truth(bool),
    /// A symbol, or a word of a closed set.
    Name(String),
    /// A column, row or value by name.
    Field(Box<Expression>, Name),
    /// An element, from 1.
    Index(Box<Expression>, Spanned<usize>),
    /// `[a, b]`.
    List(Vec<Expression>),
    /// One operand.
    Unary(UnaryOperator, Box<Expression>),
    /// Two operands.
    Binary(BinaryOperator, Box<Expression>, Box<Expression>),
    /// A function.
    Call(Name, Vec<Expression>),
    /// What could not be read; said already.
    Unreadable,
}

/// Operators with one operand.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Hash)]
pub enum UnaryOperator {
    /// `-`
    Minus,
    /// `not`
    Not,
}

/// Operators with two operands.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Hash)]
pub enum BinaryOperator {
    /// `or`
    Or,
    /// `and`
    And,
    /// `<=`
    LessOrEqual,
    /// `>=`
    GreaterOrEqual,
    /// `<`
    Less,
    /// `>`
    Greater,
    /// `is`
    Is,
    /// `is not`
    IsNot,
    /// `+`
    Plus,
    /// `-`
    Minus,
    /// `*`
    Times,
    /// `/`
    Over,
    /// `^`
    Power,
}

/// Binding power of `-a`: above a product, below a power, so that `-a^2` is `-(a^2)`.
pub const UNARY_MINUS_POWER: u8 = 12;
/// Binding power of `not a`: below a comparison.
pub const NOT_POWER: u8 = 5;

impl BinaryOperator {
    /// Left and right binding power; the higher side binds first.
    pub fn binding_power(self) -> (u8, u8) {
        use BinaryOperator as B;
        match self {
            B::Or => (1, 2),
            B::And => (3, 4),
            B::LessOrEqual | B::GreaterOrEqual | B::Less | B::Greater | B::Is | B::IsNot => (6, 7),
            B::Plus | B::Minus => (8, 9),
            B::Times | B::Over => (10, 11),
            B::Power => (15, 14),
        }
    }

    /// Whether it yields yes or no from two values.
    pub fn is_comparison(self) -> bool {
        self.binding_power().0 == 6
    }

    /// Whether it is one of the four that a check may use.
    pub fn is_order(self) -> bool {
        self.is_comparison() && !matches!(self, BinaryOperator::Is | BinaryOperator::IsNot)
    }

    /// As written.
    pub fn text(self) -> &'static str {
        use BinaryOperator as B;
        match self {
            B::Or => "or",
            B::And => "and",
            B::LessOrEqual => "<=",
            B::GreaterOrEqual => ">=",
            B::Less => "<",
            B::Greater => ">",
            B::Is => "is",
            B::IsNot => "is not",
            B::Plus => "+",
            B::Minus => "-",
            B::Times => "*",
            B::Over => "/",
            B::Power => "^",
        }
    }
}

impl Expression {
    /// Joins kind and place.
    pub fn new(kind: ExpressionKind, span: Span) -> Self {
        Self { kind, span }
    }

    /// The plain name, where it is one.
    pub fn as_name(&self) -> Option<&str> {
        match &self.kind {
            ExpressionKind::Name(name) => Some(name),
            _ => None,
        }
    }
}
