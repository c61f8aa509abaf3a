//! How a stream is cut into lines.

#![no_main]

libfuzzer_sys::fuzz_target!(|data: &[u8]| evencarry::fuzzing::lines(data));
