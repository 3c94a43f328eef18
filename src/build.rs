//! Embeds the clause library.
fn main() {}
