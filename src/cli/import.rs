//! `evencarry import`

use std::{
    fs::File,
    future::{Future, pending},
    io::{self, Read, Write},
    path::{Path, PathBuf},
};

use bytes::Bytes;
use clap::Args;
use futures_util::{Stream, stream};
use reqwest::Body;
use serde_json::Value;
use tokio::sync::oneshot;

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
    let answer = run_asking(async {
        let progress = Progress::of_bytes("import", bytes);
        let (all_is_sent, is_sent) = oneshot::channel();
        let body = Body::wrap_stream(pieces((opened, progress), all_is_sent));
        let request = service.post(&["v1", "import"]).body(body);
        let answer = async {
            let request = request.header("Content-Type", "application/x-ndjson");
            let response = service.send(request).await?;
            response.bytes().await.map_err(|error| service.unreachable(&error))
        };
        let begin = || Waiting::begin("import: the service verifies and stores it");
        shown_to_wait(answer, is_sent, begin).await
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

/// Waits for an answer, and shows so from when all is sent until it is there: whoever still holds the
/// request's body by then keeps nothing on the terminal.
async fn shown_to_wait<T, W>(
    answer: impl Future<Output = T>,
    is_sent: oneshot::Receiver<()>,
    begin: impl FnOnce() -> W,
) -> T {
    let waiting = async {
        let _shown = is_sent.await.ok().map(|()| begin());
        pending::<T>().await
    };
    tokio::select! {
        answer = answer => answer,
        never = waiting => never,
    }
}

/// A file piece by piece, then word that all is sent. One that cannot be read to its end breaks the
/// request off.
fn pieces(
    of: (File, Progress),
    all_is_sent: oneshot::Sender<()>,
) -> impl Stream<Item = io::Result<Bytes>> {
    stream::try_unfold((of, all_is_sent), |((mut file, mut progress), all_is_sent)| async move {
        let mut piece = vec![0; PIECE];
        let read = file.read(&mut piece)?;
        if read == 0 {
            progress.end();
            // Who has the answer already asks no more.
            all_is_sent.send(()).unwrap_or(());
            return Ok(None);
        }
        piece.truncate(read);
        progress.advance(read as u64);
        Ok(Some((Bytes::from(piece), ((file, progress), all_is_sent))))
    })
}

fn cannot_read(file: &Path, error: &io::Error) -> Exit {
    Exit::new(Exit::NO_INPUT, format!("{} cannot be read: {error}", file.display()))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use std::{
        cell::Cell,
        io::Seek,
        net::{TcpListener, TcpStream},
        rc::Rc,
        thread,
    };

    use futures_util::StreamExt;

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

    /// Says when it is let go.
    struct Shown(Rc<Cell<bool>>);

    impl Drop for Shown {
        fn drop(&mut self) {
            self.0.set(false);
        }
    }

    #[test]
    fn the_wait_is_shown_from_when_all_is_sent_until_the_answer_is_there() {
        let is_shown = Rc::new(Cell::new(false));
        let begin = || {
            is_shown.set(true);
            Shown(Rc::clone(&is_shown))
        };
        let mut file = tempfile::tempfile().unwrap();
        file.write_all(b"{}\n").unwrap();
        file.rewind().unwrap();
        let (all_is_sent, is_sent) = oneshot::channel();
        // Somebody holds the body for longer than the answer takes.
        let mut body = Box::pin(pieces((file, Progress::of_bytes("import", 3)), all_is_sent));
        let answer = run_asking(async {
            let answer = async {
                assert_eq!(body.next().await.unwrap().unwrap(), "{}\n");
                for _ in 0..10 {
                    tokio::task::yield_now().await;
                }
                assert!(!is_shown.get(), "more may come");
                assert!(body.next().await.is_none());
                for _ in 0..10 {
                    tokio::task::yield_now().await;
                }
                assert!(is_shown.get(), "all is sent");
                7
            };
            Ok(shown_to_wait(answer, is_sent, begin).await)
        });
        assert_eq!(answer.unwrap_or_default(), 7);
        assert!(!is_shown.get());
        drop(body);
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
