//! Plays an invented season of practice into an evencarry service over HTTP, and says in words what
//! the service made of it. It knows the public API alone.
//!
//! `scenario` is the story, `flights` makes its shots and `ball` flies them, `play` sends them through `client` and tells
//! what `answers` come back, in the words of `story` and against the `expectation`; `service` runs a service of our own.

mod answers;
mod ball;
mod client;
mod event;
mod expectation;
mod flights;
mod options;
mod play;
mod scenario;
mod screen;
mod service;
mod story;

use crate::client::{Client, ClientError};
use crate::flights::Season;
use crate::options::Options;
use crate::play::{Play, PlayError};
use crate::screen::Screen;
use crate::service::{Program, Service, ServiceError};
use clap::Parser;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use tokio::signal::unix::{SignalKind, signal};

/// Exit status where the answers depart from the story.
const DEPARTED: u8 = 3;
/// Exit status of an interrupted play, as a shell gives it for Ctrl-C.
const INTERRUPTED: u8 = 130;

/// Why the feed failed.
#[derive(Debug, thiserror::Error)]
enum FeedError {
    #[error(transparent)]
    Client(#[from] ClientError),
    #[error(transparent)]
    Play(#[from] PlayError),
    #[error(transparent)]
    Service(#[from] ServiceError),
    #[error("standard output is closed: {0}")]
    Output(#[from] io::Error),
    #[error("{path} cannot be written: {source}")]
    Write { path: PathBuf, source: io::Error },
    #[error("signals cannot be caught: {0}")]
    Signals(#[source] io::Error),
}

#[tokio::main]
async fn main() -> ExitCode {
    let options = Options::parse();
    match run(&options).await {
        Ok(code) => code,
        Err(error) => {
            // With standard error closed there is nowhere left to say it.
            let _ = writeln!(io::stderr(), "demo-feed: {error}");
            ExitCode::FAILURE
        }
    }
}

async fn run(options: &Options) -> Result<ExitCode, FeedError> {
    let season = Season::new(options.seed);
    if let Some(path) = &options.write {
        return write(&season, path).map(|()| ExitCode::SUCCESS);
    }
    let mut signals = Signals::new().map_err(FeedError::Signals)?;
    let mut own = None;
    let ended = tokio::select! {
        biased;
        () = signals.interrupted() => Ok(None),
        played = feed(options, &season, &mut own) => played.map(Some),
    };
    let ended = match (&ended, &mut own) {
        (Ok(Some(_)), Some(service)) if !options.exit => {
            tokio::select! {
                biased;
                () = signals.interrupted() => ended,
                error = service.ended() => Err(error.into()),
            }
        }
        // A service that has died explains a broken connection better than the connection does.
        (Err(_), Some(service)) => match service.has_ended() {
            Some(error) => Err(error.into()),
            None => ended,
        },
        _ => ended,
    };
    if let Some(service) = own {
        service.stop().await?;
        writeln!(io::stdout(), "The service is stopped, and its store is gone.")?;
    }
    Ok(match ended? {
        None => ExitCode::from(INTERRUPTED),
        Some(departures) if departures > 0 && options.expect_story => ExitCode::from(DEPARTED),
        Some(_) => ExitCode::SUCCESS,
    })
}

/// Plays the season into a service, its own or a given one, and gives back how often the answers
/// depart from the story. A service of its own is left running in `own`.
async fn feed(
    options: &Options,
    season: &Season,
    own: &mut Option<Service>,
) -> Result<usize, FeedError> {
    let screen = Screen::new(season.shots());
    let url = if let Some(url) = &options.to {
        url.clone()
    } else {
        let service = start(options, &screen).await?;
        let url = service.url().to_owned();
        *own = Some(service);
        url
    };
    let client = Client::new(url)?;
    screen.say(&format!("Feeding {} ({} shots).", client.url(), season.shots()))?;
    let play = Play { season, client: &client, screen: &screen };
    let departures = play.run(options.speed).await?;
    if own.is_none() || !options.exit {
        screen.say("\nTo see, in a browser:")?;
        for place in play::to_see(client.url()) {
            screen.say(&format!("  {place}"))?;
        }
        screen.say("\nTo try:")?;
        for line in play::to_try(client.url()) {
            screen.say(&format!("  {line}"))?;
        }
    }
    if own.is_some() && !options.exit {
        screen.say(&format!("\nThe service stays up at {}. Ctrl-C ends it.", client.url()))?;
    }
    Ok(departures.len())
}

async fn start(options: &Options, screen: &Screen) -> Result<Service, FeedError> {
    let program = Program::beside_ours(std::env::var_os("CARGO"))?;
    if let Some(arguments) = program.missing() {
        let command = arguments.join(" ");
        screen.say(&format!("Building the service: `cargo {command}`."))?;
        program.build(&arguments).await?;
    }
    screen.say("Starting a service on a throw-away store.")?;
    Ok(Service::start(&program, options.listen).await?)
}

fn write(season: &Season, path: &Path) -> Result<(), FeedError> {
    let text = client::ndjson(&season.visits.concat()).map_err(ClientError::Encode)?;
    std::fs::write(path, text)
        .map_err(|source| FeedError::Write { path: path.to_owned(), source })?;
    let shots = season.shots();
    writeln!(io::stdout(), "{shots} shots are written to {}.", path.display())?;
    Ok(())
}

/// The signals that end the feed: Ctrl-C, a polite kill, a closed terminal.
struct Signals {
    interrupt: tokio::signal::unix::Signal,
    terminate: tokio::signal::unix::Signal,
    hang_up: tokio::signal::unix::Signal,
}

impl Signals {
    fn new() -> io::Result<Self> {
        Ok(Self {
            interrupt: signal(SignalKind::interrupt())?,
            terminate: signal(SignalKind::terminate())?,
            hang_up: signal(SignalKind::hangup())?,
        })
    }

    async fn interrupted(&mut self) {
        tokio::select! {
            _ = self.interrupt.recv() => {}
            _ = self.terminate.recv() => {}
            _ = self.hang_up.recv() => {}
        }
    }
}
