//! `evencarry check`

use std::{
    fmt::Display,
    io::{self, Write},
    net::{SocketAddr, TcpListener},
    path::Path,
};

use clap::Args;
use rustix::fs::{Access, access};

use super::{
    Exit,
    settings::{Flags, Reading, variables_that_nothing_reads},
};

/// Judge the settings as `serve` would, with the same flags, environment and file, and serve nothing.
///
/// Prints each setting as it would hold, with where it comes from, in the form of a settings file;
/// then every fault at once, on standard error. Judges also whether this user can make or write the
/// data folder and whether the address is one of this machine. Whether the port can be had and
/// what the folder holds is left to `serve`, so that a service that runs need not be stopped.
#[derive(Debug, Args)]
pub(super) struct Arguments {
    #[command(flatten)]
    flags: Flags,
}

pub(super) fn run(arguments: Arguments) -> Result<(), Exit> {
    let reading = arguments.flags.read();
    // A reader that is gone needs no words.
    drop(io::stdout().write_all(shown(&reading).as_bytes()));
    for note in variables_that_nothing_reads() {
        drop(writeln!(io::stderr(), "evencarry: {note}"));
    }
    let settings = reading.outcome.map_err(|faults| Exit::of_settings(&faults))?;
    judge_folder(&settings.data)?;
    judge_address(settings.listen)
}

/// The settings in the form of a settings file.
fn shown(reading: &Reading) -> String {
    let settings = reading.settings.iter().map(|setting| match &setting.value {
        Some(value) => noted(&format!("{} = {value}", setting.key), &setting.place),
        None => format!("# {} is not set\n", setting.key),
    });
    let limits = reading.limits.iter().map(|(row, place)| {
        noted(&format!("{} = {}", row.key, row.number), &format!("{}, {place}", row.value))
    });
    settings.chain([String::from("\n[limits]\n")]).chain(limits).collect()
}

fn noted(setting: &str, note: &impl Display) -> String {
    format!("{setting:<40} # {note}\n")
}

/// Whether the data folder is there or can be made, and written by this user.
fn judge_folder(folder: &Path) -> Result<(), Exit> {
    let cannot = |what: &Path, why: &str| {
        Exit::new(Exit::CANNOT_CREATE, format!("{}: {why}", what.display()))
    };
    let there = folder.ancestors().find(|folder| folder.exists()).unwrap_or(folder);
    if !there.is_dir() {
        return Err(cannot(there, "this is not a folder: name another for the data"));
    }
    access(there, Access::READ_OK | Access::WRITE_OK | Access::EXEC_OK).map_err(|error| {
        let mend = "give this user the right to write there, or name another folder for the data";
        cannot(there, &format!("the data cannot be written: {error}: {mend}"))
    })
}

/// Whether the address is one of this machine: another port of it can be listened on.
fn judge_address(listen: SocketAddr) -> Result<(), Exit> {
    match TcpListener::bind(SocketAddr::new(listen.ip(), 0)) {
        Ok(_) => Ok(()),
        Err(error) => Err(Exit::of_address(&listen.to_string(), &error)),
    }
}
