//! How a CSV file is cut into rows.

#![no_main]

libfuzzer_sys::fuzz_target!(|data: &[u8]| evencarry::fuzzing::rows(data));
