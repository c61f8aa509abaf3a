//! A door before a service that can be shut: so the service is away, and comes back elsewhere, while a
//! script knows one address.

use std::{
    io,
    net::{Shutdown, SocketAddr, TcpListener, TcpStream},
    sync::{
        Arc, Mutex,
        atomic::{AtomicUsize, Ordering},
    },
    thread,
};

use crate::support::wait_until;

pub(crate) struct Front {
    address: SocketAddr,
    behind: Arc<Mutex<Option<SocketAddr>>>,
    turned_away: Arc<AtomicUsize>,
}

impl Front {
    /// A door that is shut.
    pub(crate) fn new() -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let address = listener.local_addr().unwrap();
        let (behind, turned_away) = (Arc::new(Mutex::new(None)), Arc::new(AtomicUsize::new(0)));
        let (target, count) = (Arc::clone(&behind), Arc::clone(&turned_away));
        thread::spawn(move || {
            for client in listener.incoming() {
                let service: Option<SocketAddr> = *target.lock().unwrap();
                match service.map(TcpStream::connect) {
                    Some(Ok(service)) => join(client.unwrap(), service),
                    _ => {
                        count.fetch_add(1, Ordering::SeqCst);
                    }
                }
            }
        });
        Self { address, behind, turned_away }
    }

    pub(crate) fn url(&self) -> String {
        format!("http://{}", self.address)
    }

    /// Lets everybody through to a service.
    pub(crate) fn open(&self, service: SocketAddr) {
        *self.behind.lock().unwrap() = Some(service);
    }

    /// Lets nobody in who is not in already.
    pub(crate) fn shut(&self) {
        *self.behind.lock().unwrap() = None;
    }

    /// Waits until so many more have found it shut.
    pub(crate) fn wait_for_turned_away(&self, many: usize) {
        let before = self.turned_away.load(Ordering::SeqCst);
        wait_until("somebody is turned away", || {
            self.turned_away.load(Ordering::SeqCst) >= before + many
        });
    }
}

/// Carries bytes both ways until one side ends.
fn join(client: TcpStream, service: TcpStream) {
    for (mut from, mut to) in
        [(client.try_clone().unwrap(), service.try_clone().unwrap()), (service, client)]
    {
        thread::spawn(move || {
            drop(io::copy(&mut from, &mut to));
            drop(to.shutdown(Shutdown::Both));
            drop(from.shutdown(Shutdown::Both));
        });
    }
}
