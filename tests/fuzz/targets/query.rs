//! Queries against the table of every endpoint.

#![no_main]

libfuzzer_sys::fuzz_target!(|data: &[u8]| evencarry::fuzzing::query(data));
