//! The settings of the service: flags over environment over a file over what is usual. All faults are
//! told at once. Only here is the file read, and only by this room the environment; the rooms below
//! get typed values.

mod fault;
mod file;
mod flags;
mod given;
mod reader;
mod setting;

pub(super) use self::{
    fault::Fault,
    flags::{Flags, keys},
    reader::{Reading, Settings},
    setting::PREFIX,
};
