//! The evencarry daemon.
fn main() {}
