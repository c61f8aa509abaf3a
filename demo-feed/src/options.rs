//! The command line.

use clap::Parser;
use std::net::SocketAddr;
use std::path::PathBuf;
use std::str::FromStr;

/// Plays an invented season of practice into an evencarry service, and says in words what the
/// service made of it.
///
/// Without options it starts a service of its own on a throw-away store, feeds it, and leaves it up
/// to be tried until Ctrl-C.
#[derive(Debug, Parser)]
#[command(version, after_help = EXAMPLES)]
pub(crate) struct Options {
    /// Feed a service that is already running instead of starting one, e.g. `http://127.0.0.1:8417`
    #[arg(long, value_name = "URL", value_parser = base_url, conflicts_with = "listen")]
    pub(crate) to: Option<String>,

    /// Where the started service listens [default: 127.0.0.1:8417, or any free port]
    #[arg(long, value_name = "ADDR:PORT")]
    pub(crate) listen: Option<SocketAddr>,

    /// Shots per second, or `max`
    #[arg(long, value_name = "RATE", default_value = "25")]
    pub(crate) speed: Speed,

    /// Seed of the invented shots: the same seed gives the same shots
    #[arg(long, value_name = "N", default_value_t = crate::flights::TYPICAL_SEED)]
    pub(crate) seed: u64,

    /// Write the shots to FILE as NDJSON, each complete in itself, and start or feed nothing
    #[arg(long, value_name = "FILE", conflicts_with_all = ["to", "listen", "speed", "exit", "expect_story"])]
    pub(crate) write: Option<PathBuf>,

    /// End after the last verdict instead of leaving the service up
    #[arg(long)]
    pub(crate) exit: bool,

    /// Exit with status 3 where the service's answers are not those the shots were made for
    #[arg(long)]
    pub(crate) expect_story: bool,
}

const EXAMPLES: &str = "\
Examples:
  demo-feed                              start a service, play the season in half a minute
  demo-feed --speed 5                    slowly, to ask between the shots
  demo-feed --to http://127.0.0.1:8417   feed a service that is already running
  demo-feed --write shots.ndjson         only write the shots, one JSON event a line
  demo-feed --speed max --exit --expect-story   a smoke test

Exit status: 0 done, 1 failed, 2 wrong options, 3 the story came out otherwise, 130 interrupted.";

/// How fast the shots are posted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Speed {
    /// So many shots a second.
    PerSecond(f64),
    /// As fast as the service takes them.
    Max,
}

/// Why a speed is none.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("a speed is `max` or a number of shots per second from 0.1 to 10000")]
pub(crate) struct SpeedError;

impl FromStr for Speed {
    type Err = SpeedError;

    fn from_str(text: &str) -> Result<Self, SpeedError> {
        if text == "max" {
            return Ok(Self::Max);
        }
        let rate: f64 = text.parse().map_err(|_| SpeedError)?;
        (0.1..=10_000.0).contains(&rate).then_some(Self::PerSecond(rate)).ok_or(SpeedError)
    }
}

/// Why an address to feed is none.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the address of a service looks like http://127.0.0.1:8417")]
pub(crate) struct BaseUrlError;

fn base_url(text: &str) -> Result<String, BaseUrlError> {
    let url = reqwest::Url::parse(text).map_err(|_| BaseUrlError)?;
    let plain = url.scheme() == "http" && url.query().is_none() && url.fragment().is_none();
    plain.then(|| url.as_str().trim_end_matches('/').to_owned()).ok_or(BaseUrlError)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_command_line_is_consistent() {
        Options::command().debug_assert();
    }

    #[test]
    fn a_speed_is_max_or_a_sensible_rate() {
        assert_eq!("max".parse(), Ok(Speed::Max));
        assert_eq!("12.5".parse(), Ok(Speed::PerSecond(12.5)));
        for wrong in ["", "0", "-3", "nan", "inf", "1e9", "fast"] {
            assert_eq!(wrong.parse::<Speed>(), Err(SpeedError), "{wrong}");
        }
    }

    #[test]
    fn an_address_loses_its_last_slash_and_must_be_plain_http() {
        assert_eq!(base_url("http://127.0.0.1:8417/").unwrap(), "http://127.0.0.1:8417");
        assert_eq!(base_url("http://hub.example/golf/").unwrap(), "http://hub.example/golf");
        for wrong in ["127.0.0.1:8417", "https://hub.example", "http://a/?b=c", ""] {
            assert_eq!(base_url(wrong), Err(BaseUrlError), "{wrong}");
        }
    }

    #[test]
    fn writing_to_a_file_excludes_feeding() {
        let both = ["demo-feed", "--write", "a.ndjson", "--to", "http://127.0.0.1:1"];
        assert!(Options::try_parse_from(both).is_err());
    }
}
