//! Logs: one event a fact, on standard error.

use std::io::{self, IsTerminal};

use tracing_subscriber::EnvFilter;

use super::Exit;

/// How the log looks and how much it says.
#[derive(Debug)]
pub(super) struct Logs {
    /// How much it says.
    pub filter: EnvFilter,
    /// How it looks.
    pub format: Format,
}

/// How log lines look.
#[derive(Debug, Clone, Copy)]
pub(super) enum Format {
    /// For people.
    Text,
    /// One JSON object a line.
    Json,
}

impl Logs {
    /// Reads how much is logged.
    pub(super) fn filter(text: &str) -> Result<EnvFilter, String> {
        EnvFilter::try_new(text)
            .map_err(|error| format!("`{text}`: {error}: give a level, such as info"))
    }

    /// Reads how lines look.
    pub(super) fn format(text: &str) -> Result<Format, String> {
        match text {
            "text" => Ok(Format::Text),
            "json" => Ok(Format::Json),
            _ => Err(format!("`{text}` is no form of a log: give text or json")),
        }
    }

    /// Begins to log.
    pub(super) fn begin(self) -> Result<(), Exit> {
        let lines = tracing_subscriber::fmt()
            .with_env_filter(self.filter)
            .with_writer(io::stderr)
            .with_ansi(io::stderr().is_terminal());
        let begun = match self.format {
            Format::Text => lines.try_init(),
            Format::Json => lines.json().try_init(),
        };
        begun
            .map_err(|error| Exit::new(Exit::UNAVAILABLE, format!("the log cannot begin: {error}")))
    }
}
