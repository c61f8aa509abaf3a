//! Plays an invented season of practice into an evencarry service over HTTP.
fn main() {}
