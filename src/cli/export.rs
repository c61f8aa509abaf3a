//! `evencarry export`

use std::{
    fs::{self, File},
    io::{self, BufWriter, Write},
    path::{Path, PathBuf},
};

use clap::Args;
use reqwest::Response;
use serde_json::Value;

use super::{
    Exit,
    address::{Address, Service, run as run_asking},
    progress::Progress,
};

/// Back a service up while it runs: fetch everything that it holds, or one player's, into a file for `import`.
///
/// The file appears under its name only when it is whole.
#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The file to write.
    file: PathBuf,
    /// Only what concerns this player.
    #[arg(long)]
    player: Option<String>,
    #[command(flatten)]
    address: Address,
}

pub(super) fn run(arguments: &Arguments) -> Result<(), Exit> {
    let Arguments { file, player, address } = arguments;
    let service = Service::at(address)?;
    run_asking(async {
        let query: Vec<(&str, &str)> =
            player.iter().map(|player| ("player", player.as_str())).collect();
        let response = service.send(service.get(&["v1", "export"], &query)).await?;
        let part = partial(file);
        let fetched = fetch(response, &part).await;
        let end = match fetched {
            Ok(end) => end,
            Err(exit) => {
                // What is not whole is of no use.
                drop(fs::remove_file(&part));
                return Err(exit);
            }
        };
        fs::rename(&part, file).map_err(|error| cannot_write(file, &error))?;
        // A reader that is gone needs no words.
        drop(writeln!(io::stdout(), "{}: {}", file.display(), told(&end)));
        Ok(())
    })
}

/// The file while it is not whole.
fn partial(file: &Path) -> PathBuf {
    let mut name = file.as_os_str().to_owned();
    name.push(".part");
    name.into()
}

/// Writes an answer to its end, which is what is given back.
async fn fetch(mut response: Response, part: &Path) -> Result<Value, Exit> {
    let failed = |error: io::Error| cannot_write(part, &error);
    let mut out = BufWriter::new(File::create(part).map_err(failed)?);
    let mut line: Vec<u8> = Vec::new();
    let mut progress: Option<Progress> = None;
    // Those that another follows: the head is the first of them.
    let mut lines: u64 = 0;
    while let Some(bytes) = response.chunk().await.map_err(|_| broken_off())? {
        out.write_all(&bytes).map_err(failed)?;
        for piece in bytes.split_inclusive(|byte| *byte == b'\n') {
            if line.last() == Some(&b'\n') {
                lines += 1;
                line.clear();
            }
            line.extend_from_slice(piece);
            if progress.is_none() && line.ends_with(b"\n") {
                progress = Some(Progress::of_frames("export", upto(&line)));
            }
        }
        if let Some(progress) = &mut progress {
            progress.reach(lines.saturating_sub(1));
        }
    }
    if let Some(progress) = progress {
        progress.end();
    }
    out.into_inner().map_err(|error| failed(error.into_error()))?.sync_all().map_err(failed)?;
    let last: Value = serde_json::from_slice(&line).unwrap_or_default();
    match &last["end"] {
        Value::Object(_) => Ok(last["end"].clone()),
        _ => Err(broken_off()),
    }
}

fn broken_off() -> Exit {
    let sentence = "the export broke off: something was erased meanwhile, or the service stopped; \
                    try again";
    Exit::new(Exit::IN_USE, sentence)
}

/// The last frame that an export tells of, as its head says.
fn upto(head: &[u8]) -> u64 {
    let head: Value = serde_json::from_slice(head).unwrap_or_default();
    head["head"]["last_sequence"].as_u64().unwrap_or_default()
}

fn told(end: &Value) -> String {
    format!("{} frames, {} shots", end["frames"], end["shots"])
}

fn cannot_write(file: &Path, error: &io::Error) -> Exit {
    Exit::new(Exit::CANNOT_CREATE, format!("{} cannot be written: {error}", file.display()))
}
