//! Soleplate.
pub mod diagnostic;
pub mod document;
pub mod syntax;
pub mod text;
