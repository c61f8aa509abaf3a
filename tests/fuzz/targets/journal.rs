//! Recovery of the journal.

#![no_main]

libfuzzer_sys::fuzz_target!(|data: &[u8]| evencarry::fuzzing::journal(data));
