//! Runs the service on a listener until it is told to stop.

use std::{any::Any, future::Future, io, net::TcpListener, sync::Arc, thread, time::Duration};

use actix_web::{App, HttpServer, rt::net::TcpStream, web};

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
        stopping.feed.close();
    };
    let limits = service.limits.clone();
    let meters = Arc::clone(&service.meters);
    let silence = limits.body_silence;
    let workers = thread::available_parallelism().map_or(2, usize::from);
    let served = service.clone();
    let answered = HttpServer::new(move || {
        App::new()
            .app_data(served.clone())
            .configure(routes::configure)
            .wrap(Gate::new(served.hosts.clone(), served.origins.clone()))
            .wrap(Watch::over(served.clone()))
    })
    .on_connect(move |connection, extensions| {
        bound_waiting(connection, silence);
        extensions.insert(meters.connect());
    })
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
    .await;
    // The store is closed next: nobody may read it any more.
    service.feed.stop();
    answered
}

/// Has the system cut a connection whose client takes nothing of an answer for so long. The server
/// cannot do it: it asks for the next piece only when the one before has gone out.
fn bound_waiting(connection: &dyn Any, silence: Duration) {
    let Some(socket) = connection.downcast_ref::<TcpStream>() else { return };
    // Source: Linux, tcp(7): TCP_USER_TIMEOUT holds for data that is not acknowledged, and for data
    // that the other side leaves no room for.
    #[cfg(target_os = "linux")]
    if let Err(error) = rustix::net::sockopt::set_tcp_user_timeout(
        socket,
        u32::try_from(silence.as_millis()).unwrap_or(u32::MAX),
    ) {
        tracing::debug!(%error, "waiting for a client that does not read is not bounded");
    }
    #[cfg(not(target_os = "linux"))]
    let _ = (socket, silence);
}
