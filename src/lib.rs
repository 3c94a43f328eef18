//! Soleplate: Markdown calculation sheets in, auditable HTML calculations out.
pub mod cli;
pub mod compile;
pub mod diagnostic;
pub mod document;
pub mod evaluate;
pub mod function;
pub mod library;
pub mod live;
pub mod numerics;
pub mod package;
pub mod program;
pub mod quantity;
pub mod render;
pub mod review;
pub mod signature;
pub mod syntax;
pub mod text;
