//! Clients that others write: a fuzzer of descriptions, a client generated from the published
//! description, an SDK of CloudEvents; and parsers for the examples that nothing runs here. All run
//! against the built program, with packages from an index of Python packages.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod generated;
mod python;
mod schemathesis;
mod scripts;
mod service;
