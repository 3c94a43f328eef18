//! The `soleplate` command.
fn main() {}
