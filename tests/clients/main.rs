//! Clients that others write: a fuzzer of descriptions, a client generated from the published
//! description. All run against the built program, with packages from an index of Python packages.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod generated;
mod python;
mod schemathesis;
mod service;
