//! Two clubs in weather: the whole block of a comparison over 200 shots each, against what its flights
//! alone cost.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]
#![allow(missing_docs)]

mod report;

fn main() {}
