//! `evencarry watch`

mod events;
mod names;
mod told;
mod verdict;

use std::{
    io::{self, Write},
    time::Duration,
};

use clap::Args;
use reqwest::Response;
use serde_json::{Value, json};
use tokio::time::sleep;

use self::{
    events::{Event, Events},
    names::Names,
    told::Told,
};
use super::{
    Exit,
    address::{Address, Service, run as run_asking},
    ask::UnitsAsked,
};

/// Follow shots and verdicts as they come, until interrupted.
///
/// A connection that breaks is made again, and nothing is missed or told twice.
#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// Only this player's; with it, drifts and trials are told too.
    #[arg(long)]
    player: Option<String>,
    /// Only shots with this club.
    #[arg(long)]
    club: Option<String>,
    /// Only shots of this source.
    #[arg(long)]
    source: Option<String>,
    /// Tell verdicts on which clubs can take this one's place; needs --player.
    #[arg(long, requires = "player")]
    incumbent: Option<String>,
    /// A club that is tried in its place; all neighbours unless given.
    #[arg(long, requires = "incumbent")]
    candidate: Vec<String>,
    /// Begin behind this sequence; now unless given.
    #[arg(long, value_name = "SEQUENCE")]
    after: Option<u64>,
    /// Print each event as a line of JSON, for scripts.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    address: Address,
    #[command(flatten)]
    units: UnitsAsked,
}

/// Time before a lost service is asked again, doubled up to the longest.
const FIRST_PAUSE: Duration = Duration::from_millis(250);
const LONGEST_PAUSE: Duration = Duration::from_secs(5);

pub(super) fn run(arguments: &Arguments) -> Result<(), Exit> {
    let service = Service::at(&arguments.address)?;
    run_asking(async {
        let place = match arguments.after {
            Some(after) => after,
            // From here on nothing is missed, also if the connection breaks before the first event.
            None => last(&service).await?,
        };
        let (told, names) = (Told::default(), Names::default());
        let mut watch = Watch { service, arguments, place, told, names };
        watch.run().await
    })
}

/// The last sequence that there is.
async fn last(service: &Service) -> Result<u64, Exit> {
    let page = service.answer(&["v1", "shots"], &[("limit", "1"), ("order", "newest")]).await?;
    let page: Value = serde_json::from_slice(&page).unwrap_or_default();
    page["as_of"].as_u64().ok_or_else(|| {
        let sentence = format!("{} does not say where it stands", service.base());
        Exit::new(Exit::OTHER_RELEASE, sentence)
    })
}

struct Watch<'a> {
    service: Service,
    arguments: &'a Arguments,
    /// All that is followed up to here was told.
    place: u64,
    told: Told,
    names: Names,
}

/// How a connection ended.
enum End {
    /// It broke, or the service ended it: another is made.
    Lost,
    /// Whoever reads what is printed is gone.
    NobodyReads,
}

impl Watch<'_> {
    async fn run(&mut self) -> Result<(), Exit> {
        let mut stream = self.connect().await?;
        let mut pause = FIRST_PAUSE;
        loop {
            let before = self.place;
            match self.follow(stream).await {
                End::NobodyReads => return Ok(()),
                End::Lost => {
                    // Where nothing more can be told, it is not asked for at once again and again.
                    let came_on = self.place > before;
                    pause = if came_on { FIRST_PAUSE } else { (pause * 2).min(LONGEST_PAUSE) };
                    stream = self.connect_again(pause).await?;
                }
            }
        }
    }

    async fn connect(&self) -> Result<Response, Exit> {
        let Arguments { player, club, source, incumbent, candidate, units, .. } = self.arguments;
        let mut query = vec![("units", units.as_str())];
        let named =
            [("player", player), ("club", club), ("source", source), ("incumbent", incumbent)];
        query.extend(named.iter().filter_map(|(name, value)| Some((*name, value.as_deref()?))));
        query.extend(candidate.iter().map(|club| ("candidate", club.as_str())));
        let request = self.service.get(&["v1", "live"], &query);
        self.service.send(request.header("Last-Event-ID", self.place)).await
    }

    /// Connects when the service is there again; what it refuses is an end.
    async fn connect_again(&self, mut pause: Duration) -> Result<Response, Exit> {
        let mut said = false;
        loop {
            sleep(pause).await;
            match self.connect().await {
                Err(exit) if exit.may_pass() => {
                    if !said {
                        said = true;
                        note(&format!("{} is gone; waiting for it", self.service.base()));
                    }
                    pause = (pause * 2).min(LONGEST_PAUSE);
                }
                connected => return connected,
            }
        }
    }

    async fn follow(&mut self, mut stream: Response) -> End {
        let mut events = Events::default();
        while let Ok(Some(bytes)) = stream.chunk().await {
            for event in events.feed(&bytes) {
                if !self.arguments.json {
                    self.names.learn(&self.service, &event).await;
                }
                if self.show(&event).is_err() {
                    return End::NobodyReads;
                }
            }
            self.place = events.place().unwrap_or(self.place);
        }
        End::Lost
    }

    fn show(&mut self, event: &Event) -> io::Result<()> {
        let mut out = io::stdout().lock();
        if self.arguments.json {
            let Event { kind, id, data } = event;
            writeln!(out, "{}", json!({"event": kind, "id": id, "data": data}))?;
        } else {
            for line in self.told.lines(event, self.arguments.units.as_str(), &self.names) {
                writeln!(out, "{line}")?;
            }
        }
        out.flush()
    }
}

fn note(sentence: &str) {
    // A reader that is gone needs no words.
    drop(writeln!(io::stderr(), "evencarry: {sentence}"));
}
