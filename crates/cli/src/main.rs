//! The tapemeasure command.
fn main() {}
