//! The event: the parser, its schema, and what the same content is.

#![no_main]

#[path = "../checks/event.rs"]
mod check;

libfuzzer_sys::fuzz_target!(|data: &[u8]| check::event(data));
