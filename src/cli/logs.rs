//! Logs: one event a fact, on standard error.

use std::io::{self, IsTerminal};

use tracing_subscriber::EnvFilter;

use super::Exit;

/// How much a log may say, from nothing to everything.
const LEVELS: [&str; 6] = ["off", "error", "warn", "info", "debug", "trace"];

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
    /// Reads how much is logged. A word that is no level would be taken for the name of a room, and
    /// everything else be silent: so a level has to stand alone or behind each `=`.
    pub(super) fn filter(text: &str) -> Result<EnvFilter, String> {
        for part in text.split(',') {
            let level = part.rsplit_once('=').map_or(part, |(_, level)| level);
            if !LEVELS.iter().any(|known| known.eq_ignore_ascii_case(level)) {
                let levels = LEVELS.join(", ");
                return Err(format!(
                    "`{level}` is no level of a log: give one of {levels}, alone or behind the name \
                     of a room, as in info,evencarry::api=debug"
                ));
            }
        }
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_level_stands_alone_or_behind_a_room() {
        for text in ["off", "WARN", "info,actix_server=warn", "info,evencarry::api=debug"] {
            assert!(Logs::filter(text).is_ok(), "{text}");
        }
        for (text, word) in [
            ("warning", "`warning`"),
            ("info,evencarry", "`evencarry`"),
            ("evencarry=verbose", "`verbose`"),
            ("info,", "``"),
            ("", "``"),
        ] {
            let told = Logs::filter(text).err().unwrap_or_default();
            assert!(told.contains(word), "{text}: {told}");
            assert!(LEVELS.iter().all(|level| told.contains(level)), "{text}: {told}");
        }
    }
}
