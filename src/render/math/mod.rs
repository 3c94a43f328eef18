//! Equations as MathML, straight from the syntax tree and the trace.
//!
//! 1. [`formula`] turns an expression into a tree of [`node`]s, joined by [`sign`]s, with symbols or with their values;
//! 2. every node knows its estimated size ([`advance`]), so that
//! 3. [`chunk`] can cut it where a line may break;
//! 4. [`write`](mod@write) and [`text`] set it as MathML and as plain text, and
//! 5. [`equation`](mod@equation) puts symbol, formula, substitution and result of a line together.
//!
//! [`symbol`](mod@symbol) and [`quantity`](mod@quantity) set what stands outside equations too: in prose and in tables.
//! Browsers do not break a formula into lines, so an equation is a flow of small `math` elements.
//! Nothing is computed here: numbers come from the trace and are only printed.

mod advance;
mod chunk;
mod equation;
mod formula;
mod node;
mod quantity;
mod sign;
mod symbol;
mod table;
#[cfg(test)]
mod tests;
mod text;
mod write;

pub use equation::{compared_text, equation, equation_text};
pub use quantity::{quantity_html, quantity_text, result_text, rows_text, unit_of};
pub use symbol::{described, symbol_html, symbol_text};
