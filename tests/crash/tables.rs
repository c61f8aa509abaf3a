//! The table behind the journal may be lost or damaged at any time: the answers stay.

use std::fs::{self, OpenOptions};
use std::os::unix::fs::FileExt;
use std::path::{Path, PathBuf};

use reqwest::Method;

use crate::answers::{self, Answers};
use crate::dice::Dice;
use crate::http::{self, Failure};
use crate::service::Service;
use crate::world::World;

/// Rounds unless the environment names another number: one of each damage.
const ROUNDS: usize = DAMAGES.len();
/// The variable that names a number of rounds.
const ROUNDS_VARIABLE: &str = "CRASH_TABLE_ROUNDS";

/// What can happen to the table's folder while no service holds it.
#[derive(Debug, Clone, Copy)]
enum Damage {
    FolderGone,
    FileInItsPlace,
    DataGone,
    DataEmpty,
    DataCutOff,
    ConfigurationGone,
    SnapshotsGone,
    SnapshotHalfWritten,
    BytesChanged,
    StretchOfZeros,
    OlderCopy,
}

const DAMAGES: [Damage; 11] = [
    Damage::FolderGone,
    Damage::FileInItsPlace,
    Damage::DataGone,
    Damage::DataEmpty,
    Damage::DataCutOff,
    Damage::ConfigurationGone,
    Damage::SnapshotsGone,
    Damage::SnapshotHalfWritten,
    Damage::BytesChanged,
    Damage::StretchOfZeros,
    Damage::OlderCopy,
];

impl Damage {
    fn happen(self, table: &Path, older: &Path, dice: &mut Dice) {
        let data = table.join("db");
        match self {
            Self::FolderGone => fs::remove_dir_all(table).unwrap(),
            Self::FileInItsPlace => {
                fs::remove_dir_all(table).unwrap();
                fs::write(table, "not a table").unwrap();
            }
            Self::DataGone => fs::remove_file(data).unwrap(),
            Self::DataEmpty => cut(&data, 0),
            Self::DataCutOff => cut(&data, dice.below(length(&data))),
            Self::ConfigurationGone => fs::remove_file(table.join("conf")).unwrap(),
            Self::SnapshotsGone => {
                for file in snapshots(table) {
                    fs::remove_file(file).unwrap();
                }
            }
            Self::SnapshotHalfWritten => {
                fs::write(table.join("snap.0000000000000000.generating"), [7; 99]).unwrap();
            }
            Self::BytesChanged => {
                for _ in 0..=dice.below(40) {
                    let byte = u8::try_from(dice.below(256)).unwrap();
                    overwrite(&data, dice.below(length(&data)), &[byte]);
                }
            }
            Self::StretchOfZeros => {
                overwrite(&data, dice.below(length(&data)), &vec![0; dice.place(60_000)]);
            }
            Self::OlderCopy => {
                fs::remove_dir_all(table).unwrap();
                copy(older, table);
            }
        }
    }
}

fn rounds() -> usize {
    let named = std::env::var(ROUNDS_VARIABLE).ok();
    named.map_or(ROUNDS, |text| text.parse().expect("CRASH_TABLE_ROUNDS is a number"))
}

fn length(file: &Path) -> u64 {
    fs::metadata(file).unwrap().len().max(1)
}

fn cut(file: &Path, length: u64) {
    OpenOptions::new().write(true).open(file).unwrap().set_len(length).unwrap();
}

fn overwrite(file: &Path, at: u64, bytes: &[u8]) {
    OpenOptions::new().write(true).open(file).unwrap().write_all_at(bytes, at).unwrap();
}

fn snapshots(table: &Path) -> Vec<PathBuf> {
    let files = fs::read_dir(table).unwrap().map(|entry| entry.unwrap().path());
    files.filter(|file| file.file_name().unwrap().to_string_lossy().starts_with("snap.")).collect()
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let target = to.join(entry.file_name());
        if entry.file_type().unwrap().is_dir() {
            copy(&entry.path(), &target);
        } else {
            fs::copy(entry.path(), target).unwrap();
        }
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_lost_or_damaged_table_changes_no_answer() {
    let mut dice = Dice::of_this_run();
    let mut world = World::new(&mut dice);
    let (table, older) = (world.data().join("sled"), world.beside().join("older"));
    let mut damages = DAMAGES.to_vec();
    dice.shuffle(&mut damages);
    let (mut service, mut address) = Service::serving(&world.data());
    for (round, damage) in damages.into_iter().cycle().take(rounds()).enumerate() {
        eprintln!("{damage:?}");
        world.load(&address, 1 + dice.below(30), || drop(service.kill())).await;
        let before = answers_of_a_start(&mut world).await;
        if round == 0 {
            copy(&table, &older);
        }
        damage.happen(&table, &older, &mut dice);
        (service, address) = Service::serving(&world.data());
        if let Err(failure) = try_everything(&address, &before).await {
            // Damage that shows only when it is read: a failure says so, and the next start mends it.
            eprintln!("{failure}");
            service.terminate();
            service.end();
            (service, address) = Service::serving(&world.data());
            try_everything(&address, &before).await.expect("a restart mends the table");
        }
        world.compare(&address).await;
    }
    assert!(world.stored() > 0, "nothing was sent");
}

/// Starts a service, compares what it holds with what was acknowledged, asks it everything, and
/// stops it.
async fn answers_of_a_start(world: &mut World) -> Answers {
    let (service, address) = Service::serving(&world.data());
    world.compare(&address).await;
    let answers = answers::of_service(&address).await.unwrap();
    service.stop();
    answers
}

/// Asks a service everything, which must be as before, and sends it every shot again, of which none
/// may be new.
async fn try_everything(address: &str, before: &Answers) -> Result<(), Failure> {
    answers::of_service(address).await?.assert_same(before, "the service");
    let events = before.events();
    let target = (Method::POST, format!("{address}/v1/shots"));
    let sent = http::send_json(&http::client(), target, format!("[{}]", events.join(","))).await;
    let answer = sent.unwrap();
    if answer.status.is_server_error() {
        return Err(Failure(format!("{answer:?}")));
    }
    assert_eq!(answer.body.unwrap()["duplicates"], events.len());
    Ok(())
}
