//! `evencarry check`

use std::{
    env,
    fmt::Display,
    io::{self, Write},
    net::{SocketAddr, TcpListener},
    path::Path,
};

use clap::Args;
use rustix::fs::{Access, access};

use super::{
    Exit,
    settings::{Flags, PREFIX, Reading, keys},
};
use crate::shot::units::nearest;

/// Judge the settings as `serve` would, with the same flags, environment and file, and serve nothing.
///
/// Prints each setting as it would hold, with where it comes from, in the form of a settings file;
/// then every fault at once, on standard error. Judges also whether this user can make or write the
/// data folder and whether the address is one of this machine. Whether the port is free and what the
/// folder holds is left to `serve`, so that a service that runs need not be stopped.
#[derive(Debug, Args)]
pub(super) struct Arguments {
    #[command(flatten)]
    flags: Flags,
}

pub(super) fn run(arguments: Arguments) -> Result<(), Exit> {
    let reading = arguments.flags.read();
    // A reader that is gone needs no words.
    drop(io::stdout().write_all(shown(&reading).as_bytes()));
    let variables = env::vars_os().filter_map(|(name, _)| name.into_string().ok());
    for note in variables.filter_map(|name| misspelt(&name)) {
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

/// Tells of a variable that looks like one of ours and that nothing reads. It is no fault: whoever
/// runs containers may set such variables for purposes of their own.
fn misspelt(name: &str) -> Option<String> {
    let rest = name.strip_prefix(PREFIX)?;
    let known: Vec<String> = keys().chain(["url"]).map(str::to_owned).collect();
    if known.iter().any(|key| key.to_ascii_uppercase() == rest) {
        return None;
    }
    let near = nearest(rest, known.iter().map(String::as_str))?.to_ascii_uppercase();
    Some(format!("nothing reads {name}: did you mean {PREFIX}{near}?"))
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_variable_that_nothing_reads_is_told_when_it_looks_like_ours() {
        for (name, near) in [
            ("EVENCARRY_LISTN", Some("EVENCARRY_LISTEN")),
            ("EVENCARRY_HOST", Some("EVENCARRY_HOSTS")),
            ("EVENCARRY_ALLOW_ORIGIN", Some("EVENCARRY_ALLOW_ORIGINS")),
            ("EVENCARRY_LISTEN", None),
            ("EVENCARRY_CONFIG", None),
            ("EVENCARRY_URL", None),
            ("EVENCARRY_SERVICE_PORT_HTTP", None),
            ("LISTN", None),
        ] {
            let told = misspelt(name);
            assert_eq!(told.is_some(), near.is_some(), "{name}: {told:?}");
            assert!(told.unwrap_or_default().contains(near.unwrap_or_default()), "{name}");
        }
    }
}
