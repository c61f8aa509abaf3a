//! The settings of the service: flags over environment over a file over what is usual. All faults are
//! told at once. Only here is the file read, and only by this room the environment; the rooms below
//! get typed values.

mod fault;
mod file;
mod flags;
mod given;
mod reader;
mod setting;
mod variables;

pub(super) use self::{
    fault::Fault,
    flags::Flags,
    reader::{Reading, Settings},
    variables::variables_that_nothing_reads,
};
