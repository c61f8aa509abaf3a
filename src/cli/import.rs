//! `evencarry import`

use std::{
    fs::File,
    io::{self, Read, Write},
    path::{Path, PathBuf},
};

use bytes::Bytes;
use clap::Args;
use futures_util::{Stream, stream};
use reqwest::Body;
use serde_json::Value;

use super::{
    Exit,
    address::{Address, Service, run as run_asking},
    progress::Progress,
};

/// Bytes that are read and sent at once.
const PIECE: usize = 64 * 1024;

/// Give a service that holds nothing what `export` fetched: all of it, or nothing.
#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The file that `export` wrote.
    file: PathBuf,
    #[command(flatten)]
    address: Address,
}

pub(super) fn run(arguments: &Arguments) -> Result<(), Exit> {
    let Arguments { file, address } = arguments;
    let cannot = |error: io::Error| cannot_read(file, &error);
    let opened = File::open(file).map_err(cannot)?;
    let bytes = opened.metadata().map_err(cannot)?.len();
    let service = Service::at(address)?;
    let answer = run_asking(async {
        let body = Body::wrap_stream(pieces(opened, Progress::of_bytes("import", bytes)));
        let request = service.post(&["v1", "import"]).body(body);
        let response = service.send(request.header("Content-Type", "application/x-ndjson")).await?;
        response.bytes().await.map_err(|error| service.unreachable(&error))
    })?;
    let stored: Value = serde_json::from_slice(&answer).unwrap_or_default();
    // A reader that is gone needs no words.
    drop(writeln!(
        io::stdout(),
        "{}: {} frames, {} shots, {} left out",
        file.display(),
        stored["frames"],
        stored["shots"],
        stored["left_out"],
    ));
    Ok(())
}

/// A file piece by piece. One that cannot be read to its end breaks the request off.
fn pieces(file: File, progress: Progress) -> impl Stream<Item = io::Result<Bytes>> {
    stream::try_unfold((file, progress), |(mut file, mut progress)| async move {
        let mut piece = vec![0; PIECE];
        let read = file.read(&mut piece)?;
        if read == 0 {
            progress.end();
            return Ok(None);
        }
        piece.truncate(read);
        progress.advance(read as u64);
        Ok(Some((Bytes::from(piece), (file, progress))))
    })
}

fn cannot_read(file: &Path, error: &io::Error) -> Exit {
    Exit::new(Exit::NO_INPUT, format!("{} cannot be read: {error}", file.display()))
}
