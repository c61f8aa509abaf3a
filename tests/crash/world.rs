//! Everybody who sends, and one data folder.

use std::collections::BTreeMap;
use std::mem;
use std::ops::AddAssign;
use std::path::{Path, PathBuf};

use tempfile::TempDir;
use tokio::sync::watch;
use tokio::task::JoinSet;
use tokio::time::timeout;

use crate::desk::{self, Desk};
use crate::dice::Dice;
use crate::feeder::{Feeder, Way};
use crate::http::{self, Shot};
use crate::service::PATIENCE;

/// Everybody who sends to one data folder.
pub(crate) struct World {
    folder: TempDir,
    feeders: Vec<Feeder>,
    desk: Option<Desk>,
}

/// What a comparison found of that which was in doubt.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Survivors {
    pub(crate) shots: usize,
    pub(crate) deeds: usize,
}

impl AddAssign for Survivors {
    fn add_assign(&mut self, other: Self) {
        self.shots += other.shots;
        self.deeds += other.deeds;
    }
}

enum Sender {
    Feeder(Feeder),
    Desk(Desk),
}

impl World {
    pub(crate) fn new(dice: &mut Dice) -> Self {
        let mut feeder = |source: &str, way| Feeder::new(source, way, dice.split());
        let feeders = vec![
            feeder("bay-1", Way::One),
            feeder("bay-2", Way::One),
            feeder("range-1", Way::Stream),
            feeder("range-2", Way::Array),
            feeder("range-3", Way::AllOrNothing),
        ];
        let desk = Some(Desk::new(dice.split()));
        Self { folder: TempDir::new().unwrap(), feeders, desk }
    }

    /// The data folder, which is not there before the first start.
    pub(crate) fn data(&self) -> PathBuf {
        self.folder.path().join("data")
    }

    /// A place beside the data folder.
    pub(crate) fn beside(&self) -> &Path {
        self.folder.path()
    }

    /// Shots that were acknowledged, or seen after a restart.
    pub(crate) fn stored(&self) -> usize {
        let desk = self.desk.as_ref().map_or(0, Desk::stored);
        desk + self.feeders.iter().map(Feeder::stored).sum::<usize>()
    }

    /// Deeds of the desk that were acknowledged.
    pub(crate) fn deeds(&self) -> u64 {
        self.desk.as_ref().map_or(0, Desk::deeds)
    }

    /// Lets all send at once, until so many answers came; then does what ends the service, and waits
    /// until all have noticed.
    pub(crate) async fn load(&mut self, address: &str, upto: u64, end: impl FnOnce()) {
        let (answers, mut count) = watch::channel(0);
        let mut senders = JoinSet::new();
        let feeders = mem::take(&mut self.feeders).into_iter().map(Sender::Feeder);
        for mut sender in feeders.chain(self.desk.take().map(Sender::Desk)) {
            let (address, answers) = (address.to_owned(), answers.clone());
            senders.spawn(async move {
                match &mut sender {
                    Sender::Feeder(feeder) => feeder.feed(&address, &answers).await,
                    Sender::Desk(desk) => desk.work(&address, &answers).await,
                }
                sender
            });
        }
        tokio::select! {
            biased;
            reached = timeout(PATIENCE, count.wait_for(|count| *count >= upto)) => {
                reached.expect("the load is answered in time").unwrap();
            }
            gone = senders.join_next() => {
                // A panic of a sender is the better message.
                gone.unwrap().unwrap();
                panic!("a sender got no answer although nobody ended the service");
            }
        }
        end();
        for sender in timeout(PATIENCE, senders.join_all()).await.expect("all senders notice") {
            match sender {
                Sender::Feeder(feeder) => self.feeders.push(feeder),
                Sender::Desk(desk) => self.desk = Some(desk),
            }
        }
        self.feeders.sort_by(|a, b| a.source.cmp(&b.source));
    }

    /// Compares what a restarted service holds with what everybody was told.
    pub(crate) async fn compare(&mut self, address: &str) -> Survivors {
        let client = http::client();
        let mut held = by_source(http::shots(&client, address, "oldest").await.unwrap());
        let mut survivors = Survivors::default();
        for feeder in &mut self.feeders {
            let of_feeder = held.remove(&feeder.source).unwrap_or_default();
            survivors.shots += feeder.compare(&of_feeder);
        }
        let of_desk = held.remove(desk::SOURCE).unwrap_or_default();
        let desk = self.desk.as_mut().unwrap();
        survivors.deeds += usize::from(desk.compare(address, &of_desk).await);
        assert!(held.is_empty(), "nobody sent {held:?}");
        survivors
    }
}

/// Shots by source and id; each must be there once, in the order of their places.
fn by_source(shots: Vec<Shot>) -> BTreeMap<String, BTreeMap<String, Shot>> {
    #[derive(serde::Deserialize)]
    struct Identity {
        source: String,
        id: String,
    }
    assert!(shots.is_sorted_by(|a, b| a.sequence < b.sequence), "places are not in order");
    let mut sources: BTreeMap<String, BTreeMap<String, Shot>> = BTreeMap::new();
    for shot in shots {
        let Identity { source, id } = serde_json::from_str(&shot.event).unwrap();
        let twice = sources.entry(source).or_default().insert(id, shot);
        assert!(twice.is_none(), "a shot is there twice: {twice:?}");
    }
    sources
}
