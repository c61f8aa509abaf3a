//! Logs: one event a fact, on standard error.

use std::io::{self, IsTerminal};

use clap::{Args, ValueEnum};
use tracing_subscriber::EnvFilter;

use super::Exit;

/// How the log looks and how much it says.
#[derive(Debug, Args)]
pub(super) struct Logs {
    /// How log lines look.
    #[arg(long, env = "EVENCARRY_LOG_FORMAT", value_enum, default_value_t = Format::Text, value_name = "FORMAT")]
    log_format: Format,

    /// How much is logged: off, error, warn, info, debug or trace, also by room
    /// (`info,evencarry::api=debug`).
    #[arg(
        long,
        env = "EVENCARRY_LOG",
        default_value = "info,actix_server=warn",
        value_name = "FILTER"
    )]
    log: String,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Format {
    /// For people.
    Text,
    /// One JSON object a line.
    Json,
}

impl Logs {
    /// Begins to log.
    pub(super) fn begin(&self) -> Result<(), Exit> {
        let filter = EnvFilter::try_new(&self.log).map_err(|error| {
            Exit::new(
                Exit::USAGE,
                format!("--log {}: {error}: give a level, such as info", self.log),
            )
        })?;
        let lines = tracing_subscriber::fmt()
            .with_env_filter(filter)
            .with_writer(io::stderr)
            .with_ansi(io::stderr().is_terminal());
        let begun = match self.log_format {
            Format::Text => lines.try_init(),
            Format::Json => lines.json().try_init(),
        };
        begun
            .map_err(|error| Exit::new(Exit::UNAVAILABLE, format!("the log cannot begin: {error}")))
    }
}
