//! The language of the blocks: text to syntax tree and diagnostics, never failing.
//!
//! 1. [`lexer`] cuts a block's text into tokens with places in the file;
//! 2. [`statement`] reads statements and carries on behind a mistake, with a [`cursor`] over the tokens;
//! 3. [`expression`] reads expressions by binding power;
//! 4. [`print`] writes a tree back as text, which reads again as the same tree.
//!
//! Nothing here knows units, kinds or values: `25 N/mm²` is a number and some text.

mod cursor;
mod expression;
mod lexer;
mod print;
mod sheet;
mod statement;
mod suffix;
mod table;
#[cfg(test)]
mod tests;
mod token;
mod tree;

pub use print::{print_expression, print_giving, print_reference, print_solving, print_statement};
pub use sheet::{Sheet, SheetPart, read_sheet};
pub use statement::{parse_block, parse_literal};
pub use token::KEYWORDS;
pub use tree::*;
