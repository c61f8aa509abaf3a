//! The command line: one file a subcommand. Arguments and the environment come in; an exit code
//! goes out. This room alone reads the environment, the clock and the signals of the system.

mod address;
mod ask;
mod check;
mod exit;
mod export;
mod healthcheck;
mod import;
mod logs;
mod open_files;
mod progress;
mod serve;
mod settings;
mod watch;

use std::{
    ffi::OsString,
    io::{self, Write},
    process::ExitCode,
};

use clap::{Parser, Subcommand};

pub use exit::Exit;

const EXAMPLES: &str = "\
Examples:
  evencarry serve --data ./shots
      keep shots in ./shots and answer on http://127.0.0.1:8417

  evencarry check --config evencarry.toml
      say what the settings are and where from, and all that is wrong with them

  curl http://127.0.0.1:8417/v1/shots -H 'Content-Type: application/json' -d '{
    \"id\": \"1\", \"source\": \"bay-3\", \"time\": \"2026-04-11T10:15:04Z\",
    \"player\": \"rowan\", \"club\": \"5h\", \"flight\": {\"carry_yd\": 173}}'
      send a shot

  evencarry watch --player rowan --incumbent 5h
      follow rowan's shots, and which clubs can take the 5h's place

  evencarry compare rowan 5h 4u
      whether the 4u can take the 5h's place, and how they differ

  evencarry compare rowan 5h 4u --weather
      the same, and what wind, cold and soaked ground make of both, computed

  evencarry export backup.ndjson
      back up all that a running service holds; it goes on meanwhile

  evencarry import backup.ndjson
      put the backup back, into a service that was started on an empty folder

  evencarry profile rowan 5h --json
      what the club does, as the service answers, in SI units (metres, m/s, degrees, rpm)

Exit codes: 0 all well, 1 not ready (healthcheck), 64 wrong usage or a question that the service
refuses, 65 damaged data, 66 a file that cannot be read, 69 cannot serve or cannot be reached, 73
cannot make the data folder or the file, 74 the disk failed, 75 in use, or try again later, 76 data of
another release, 77 not allowed, 78 a faulty settings file.";

/// Takes golf shots from launch monitors, keeps them, and says which club can take another's place.
#[derive(Debug, Parser)]
#[command(name = "evencarry", version, about, after_help = EXAMPLES, max_term_width = 100)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    Serve(serve::Arguments),
    Check(check::Arguments),
    Healthcheck(healthcheck::Arguments),
    Watch(watch::Arguments),
    Compare(ask::Compare),
    Ladder(ask::Ladder),
    Profile(ask::Profile),
    Export(export::Arguments),
    Import(import::Arguments),
}

/// Runs the program with the arguments given, the program's name first.
pub fn run<I, T>(arguments: I) -> ExitCode
where
    I: IntoIterator<Item = T>,
    T: Into<OsString> + Clone,
{
    let outcome = match Arguments::try_parse_from(arguments) {
        Ok(arguments) => match arguments.command {
            Command::Serve(arguments) => serve::run(arguments),
            Command::Check(arguments) => check::run(arguments),
            Command::Healthcheck(arguments) => healthcheck::run(&arguments),
            Command::Watch(arguments) => watch::run(&arguments),
            Command::Compare(arguments) => ask::compare(&arguments),
            Command::Ladder(arguments) => ask::ladder(&arguments),
            Command::Profile(arguments) => ask::profile(&arguments),
            Command::Export(arguments) => export::run(&arguments),
            Command::Import(arguments) => import::run(&arguments),
        },
        Err(error) => said(&error),
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(exit) => {
            for sentence in exit.sentences() {
                // A reader that is gone needs no words.
                drop(writeln!(io::stderr(), "evencarry: {sentence}"));
            }
            exit.code()
        }
    }
}

/// Prints help and version to standard output, faults of usage to standard error.
fn said(error: &clap::Error) -> Result<(), Exit> {
    // A reader that is gone needs no words.
    drop(error.print());
    if error.use_stderr() { Err(Exit::usage()) } else { Ok(()) }
}
