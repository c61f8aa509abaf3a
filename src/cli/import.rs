//! `evencarry import`

use std::{
    fs::File,
    io::{self, Read, Write},
    path::{Path, PathBuf},
    sync::{Arc, OnceLock},
};

use bytes::Bytes;
use clap::Args;
use futures_util::{Stream, stream};
use reqwest::Body;
use serde_json::Value;

use super::{
    Exit,
    address::{Address, Service, run as run_asking},
    progress::{Progress, Waiting},
};

/// Bytes that are read and sent at once.
const PIECE: usize = 64 * 1024;

/// Put a backup back: give a service that holds nothing what `export` fetched, all of it or nothing.
///
/// It waits for as long as the service works. The answers of the service are then those of the one that was
/// backed up, to the byte.
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
    let service = Service::at_work(address)?;
    let waiting = Arc::new(OnceLock::new());
    let answer = run_asking(async {
        let progress = Progress::of_bytes("import", bytes);
        let body = Body::wrap_stream(pieces((opened, progress), Arc::clone(&waiting)));
        let request = service.post(&["v1", "import"]).body(body);
        let response = service.send(request.header("Content-Type", "application/x-ndjson")).await?;
        response.bytes().await.map_err(|error| service.unreachable(&error))
    });
    drop(waiting);
    let answer = answer?;
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

/// A file piece by piece, then the wait for the service. One that cannot be read to its end breaks the
/// request off.
fn pieces(
    of: (File, Progress),
    waiting: Arc<OnceLock<Waiting>>,
) -> impl Stream<Item = io::Result<Bytes>> {
    stream::try_unfold((of, waiting), |((mut file, mut progress), waiting)| async move {
        let mut piece = vec![0; PIECE];
        let read = file.read(&mut piece)?;
        if read == 0 {
            progress.end();
            waiting.get_or_init(|| Waiting::begin("import: the service verifies and stores it"));
            return Ok(None);
        }
        piece.truncate(read);
        progress.advance(read as u64);
        Ok(Some((Bytes::from(piece), ((file, progress), waiting))))
    })
}

fn cannot_read(file: &Path, error: &io::Error) -> Exit {
    Exit::new(Exit::NO_INPUT, format!("{} cannot be read: {error}", file.display()))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use std::{
        net::{TcpListener, TcpStream},
        thread,
    };

    use super::*;

    /// Reads a request whose body comes in chunks to its end (RFC 9112, 7.1).
    fn read_whole(stream: &mut TcpStream) {
        let mut request = Vec::new();
        let mut piece = [0; 1024];
        while !request.ends_with(b"\r\n0\r\n\r\n") {
            let read = stream.read(&mut piece).unwrap();
            assert!(read > 0, "the request is cut off");
            request.extend_from_slice(&piece[..read]);
        }
    }

    #[test]
    fn an_import_waits_for_longer_than_a_question_does() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("all.ndjson");
        std::fs::write(&file, "{}\n").unwrap();
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let address = Address { url: format!("http://{}", listener.local_addr().unwrap()) };
        let arguments = Arguments { file, address: address.clone() };
        let import =
            thread::spawn(move || run(&arguments).map_err(|exit| exit.sentences().to_vec()));
        let (mut working, _) = listener.accept().unwrap();
        read_whole(&mut working);
        // Who asks the silent service now gives up, and began later than the import.
        let asked = run_asking(async { Service::at(&address)?.answer(&["readyz"], &[]).await });
        assert!(asked.is_err());
        let answer = r#"{"frames":1,"shots":1,"left_out":0,"as_of":1}"#;
        let head = format!("HTTP/1.1 200 OK\r\nContent-Length: {}\r\n\r\n", answer.len());
        working.write_all(format!("{head}{answer}").as_bytes()).unwrap();
        assert_eq!(import.join().unwrap(), Ok(()));
    }

    #[test]
    fn an_import_does_not_wait_for_a_service_that_is_gone() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("all.ndjson");
        std::fs::write(&file, "{}\n").unwrap();
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let address = Address { url: format!("http://{}", listener.local_addr().unwrap()) };
        let import = thread::spawn(move || run(&Arguments { file, address }).is_err());
        let (mut working, _) = listener.accept().unwrap();
        read_whole(&mut working);
        drop(working);
        assert!(import.join().unwrap());
    }
}
