//! The store through its public face: what is acknowledged stays, whatever the disk does.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, missing_docs, unreachable_pub)]

mod damage;
mod fault_disk;
mod fold_version;
mod folder;
mod gone;
mod history;
mod import;
mod refusal;
mod support;
mod writing;
