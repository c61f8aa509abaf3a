//! `evencarry serve`

use std::{
    future::Future,
    io::{self, Write},
    net::{SocketAddr, TcpListener},
    sync::Arc,
};

use actix_web::rt::System;
use clap::Args;
use jiff::Timestamp;
use tokio::signal::unix::{Signal, SignalKind, signal};

use super::{
    Exit, open_files,
    settings::{Flags, Settings, variables_that_nothing_reads},
};
use crate::{
    api::{self, Service},
    store::{Health, Home},
};

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
    let (store, _) = home.and_then(api::open).map_err(|error| Exit::of_store(&error))?;
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
