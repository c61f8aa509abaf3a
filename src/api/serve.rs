//! Runs the service on a listener until it is told to stop.

use std::{future::Future, io, net::TcpListener, sync::Arc, thread};

use actix_web::{App, HttpServer, web};

use super::{gate::Gate, routes, service::Service, watch::Watch};

/// Serves until `shutdown` is done, then answers what was accepted and returns; a stream that does not
/// come to its end in time is told how far it came. The store stays open: whoever opened it closes it.
///
/// # Errors
/// A listener that the system will not serve.
pub async fn run<F>(listener: TcpListener, service: Service, shutdown: F) -> io::Result<()>
where
    F: Future<Output = ()> + Send + 'static,
{
    let service = web::Data::new(service);
    let stopping = service.clone();
    let shutdown = async move {
        shutdown.await;
        stopping.stop.begin();
    };
    let limits = service.limits.clone();
    let meters = Arc::clone(&service.meters);
    let workers = thread::available_parallelism().map_or(2, usize::from);
    HttpServer::new(move || {
        App::new()
            .app_data(service.clone())
            .configure(routes::configure)
            .wrap(Gate::new(service.hosts.clone(), service.origins.clone()))
            .wrap(Watch::over(service.clone()))
    })
    .on_connect(move |_, extensions| drop(extensions.insert(meters.connect())))
    // A piece of a streamed answer must not wait for the client to acknowledge the one before.
    .tcp_nodelay(true)
    .workers(workers)
    .max_connections(limits.connections.div_ceil(workers))
    .client_request_timeout(limits.head_time)
    .client_disconnect_timeout(limits.linger_time)
    .keep_alive(limits.idle_time)
    .shutdown_timeout(limits.shutdown_time.as_secs())
    .disable_signals()
    .shutdown_signal(shutdown)
    .listen(listener)?
    .run()
    .await
}
