//! CSV rows by a mapping.

#![no_main]

#[path = "../checks/table.rs"]
mod check;

libfuzzer_sys::fuzz_target!(|data: &[u8]| check::table(data));
