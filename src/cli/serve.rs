//! `evencarry serve`

use std::{
    cell::RefCell,
    future::Future,
    io::{self, IsTerminal, Write},
    net::{SocketAddr, TcpListener},
    sync::Arc,
};

use actix_web::rt::System;
use clap::Args;
use jiff::Timestamp;
use tokio::signal::unix::{Signal, SignalKind, signal};

use super::{
    Exit, open_files,
    progress::Progress,
    settings::{Flags, Settings, variables_that_nothing_reads},
};
use crate::{
    api::{self, Service, Store},
    store::{Health, Home, OpenError},
};

/// Frames of a replay that takes longer than a moment.
const WORTH_A_BAR: u64 = 100_000;

/// Keep shots in a folder and answer over HTTP until told to stop (SIGTERM, SIGINT).
///
/// The first line on standard output says where: `listening on http://127.0.0.1:8417`. At the end
/// what was accepted is answered, and the store is closed in order.
#[derive(Debug, Args)]
pub(super) struct Arguments {
    #[command(flatten)]
    flags: Flags,
}

pub(super) fn run(arguments: Arguments) -> Result<(), Exit> {
    let settings = arguments.flags.read().outcome;
    let Settings { data, listen, hosts, origins, logs, limits } =
        settings.map_err(|faults| Exit::of_settings(&faults))?;
    logs.begin()?;
    for note in variables_that_nothing_reads() {
        tracing::warn!("{note}");
    }
    open_files::make_room(limits.connections);
    let home = Home::in_folder(&data, Arc::new(Timestamp::now));
    let store = home.and_then(open).map_err(|error| Exit::of_store(&error))?;
    let served = listen_on(listen).and_then(|listener| {
        let mut service = Service::new(store.clone());
        service.hosts = hosts;
        service.origins = origins;
        service.limits = limits;
        serve(listener, service)
    });
    let health = store.close();
    served?;
    match health {
        Health::Accepting | Health::Full { .. } => Ok(()),
        Health::Refusing { cause, file } => {
            Err(Exit::new(Exit::DISK, format!("stopped after a failure: {cause} ({file})")))
        }
    }
}

/// Opens the store. Somebody who sits before a terminal sees how far a long replay is; a log is told
/// in lines.
fn open(home: Home) -> Result<Store, OpenError> {
    if !io::stderr().is_terminal() {
        return Ok(api::open(home)?.0);
    }
    let bar: RefCell<Option<Progress>> = RefCell::new(None);
    let replayed = |done, of| {
        if of < WORTH_A_BAR {
            return;
        }
        let mut bar = bar.borrow_mut();
        bar.get_or_insert_with(|| Progress::of_frames("folding the journal", of)).reach(done);
    };
    let opened = api::open_telling(home, &replayed);
    if let Some(bar) = &*bar.borrow() {
        bar.end();
    }
    Ok(opened?.0)
}

fn listen_on(address: SocketAddr) -> Result<TcpListener, Exit> {
    TcpListener::bind(address).map_err(|error| Exit::of_address(&address.to_string(), &error))
}

fn serve(listener: TcpListener, service: Service) -> Result<(), Exit> {
    let cannot = |error: io::Error| Exit::new(Exit::UNAVAILABLE, format!("cannot serve: {error}"));
    let address = listener.local_addr().map_err(cannot)?;
    System::new()
        .block_on(async move {
            let stop = stop_signal()?;
            tracing::info!(%address, "listening");
            // Whoever started us may not listen.
            drop(announce(address));
            api::run(listener, service, stop).await
        })
        .map_err(cannot)
}

fn announce(address: SocketAddr) -> io::Result<()> {
    let mut out = io::stdout().lock();
    writeln!(out, "listening on http://{address}")?;
    out.flush()
}

/// Ends with the first SIGTERM or SIGINT. The handlers are in place when this returns.
fn stop_signal() -> io::Result<impl Future<Output = ()> + Send + 'static> {
    let terminate = signal(SignalKind::terminate())?;
    let interrupt = signal(SignalKind::interrupt())?;
    Ok(first_of(terminate, interrupt))
}

async fn first_of(mut terminate: Signal, mut interrupt: Signal) {
    tokio::select! {
        _ = terminate.recv() => tracing::info!("told to stop by SIGTERM"),
        _ = interrupt.recv() => tracing::info!("told to stop by SIGINT"),
    }
}
