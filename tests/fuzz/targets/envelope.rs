//! The event in an envelope of CloudEvents.

#![no_main]

#[path = "../checks/envelope.rs"]
mod check;

libfuzzer_sys::fuzz_target!(|data: &[u8]| check::envelope(data));
