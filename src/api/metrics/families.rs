//! Every family of figures: its name, what it says, and where it comes from.

use std::{
    fmt,
    sync::atomic::{AtomicU64, Ordering::Relaxed},
};

use actix_web::web;
use prometheus_client::{collector::Collector, encoding::DescriptorEncoder, registry::Unit};

use super::{
    CLASSES, REFUSALS, RouteMeter,
    page::{Family, Page},
    process,
};
use crate::{
    api::{endpoint::Endpoint, problem::Kind, routes, service::Service},
    live::feed::FeedFigures,
    store::{Figures, Health},
};

/// Times are counted in nanoseconds and shown in seconds.
const A_SECOND: f64 = 1e9;
/// What is counted one by one is shown as it is.
const ONE: f64 = 1.0;

const fn family(name: &'static str, help: &'static str) -> Family {
    Family { name, unit: None, help }
}

const fn of_unit(name: &'static str, unit: Unit, help: &'static str) -> Family {
    Family { name, unit: Some(unit), help }
}

/// All figures of a service.
pub(super) struct Families(web::Data<Service>);

impl Families {
    pub(super) fn of(service: web::Data<Service>) -> Self {
        Self(service)
    }
}

impl fmt::Debug for Families {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.meters.fmt(f)
    }
}

impl Collector for Families {
    fn encode(&self, encoder: DescriptorEncoder<'_>) -> fmt::Result {
        let mut page = Page(encoder);
        let figures = self.0.store.figures();
        requests(&mut page, &self.0)?;
        shots(&mut page, &self.0, &figures)?;
        store(&mut page, figures)?;
        fold(&mut page, &self.0)?;
        live(&mut page, self.0.feed.figures())?;
        process(&mut page)
    }
}

fn read(count: &AtomicU64) -> u64 {
    count.load(Relaxed)
}

/// Where a request came to: an endpoint, or none.
struct Place<'a> {
    route: &'static str,
    method: &'static str,
    meter: &'a RouteMeter,
}

fn places(service: &Service) -> Vec<Place<'_>> {
    let meters = &service.meters;
    let of = |(endpoint, meter): (&'static Endpoint, _)| Place {
        route: endpoint.path,
        method: endpoint.verb.name(),
        meter,
    };
    let known = routes::endpoints().zip(&meters.routes).map(of);
    let nowhere = Place { route: "none", method: "any", meter: &meters.nowhere };
    known.chain([nowhere]).collect()
}

fn requests(page: &mut Page<'_>, service: &Service) -> fmt::Result {
    let (meters, places) = (&service.meters, places(service));
    let by_class = places.iter().flat_map(|Place { route, method, meter }| {
        CLASSES.iter().zip(&meter.by_class).map(move |(class, count)| {
            ([("route", *route), ("method", *method), ("status", *class)], read(count))
        })
    });
    page.counters(
        &family(
            "evencarry_http_requests",
            "Requests answered, by pattern of the path, method and class of the status. HEAD counts as GET; route none is what came to no endpoint.",
        ),
        by_class,
    )?;
    let durations = places.iter().map(|Place { route, method, meter }| {
        ([("route", *route), ("method", *method)], meter.duration.read())
    });
    page.histograms(
        (
            &of_unit(
                "evencarry_http_request_duration",
                Unit::Seconds,
                "Time from a request's head to the head of its answer: for a body that is stored, until all of it is on the disk. Routes without a request are left out.",
            ),
            A_SECOND,
        ),
        durations.filter(|(_, distribution)| distribution.count() > 0),
    )?;
    page.gauge(
        &family("evencarry_http_requests_in_flight", "Requests that are being answered."),
        read(&meters.in_flight),
    )?;
    page.gauge(
        &family("evencarry_http_connections", "Connections that are open."),
        read(&meters.connections),
    )?;
    page.counters(
        &family(
            "evencarry_http_problems",
            "Problems that clients were told of, by the last part of their type.",
        ),
        Kind::ALL
            .iter()
            .zip(&meters.problems)
            .map(|(kind, count)| ([("type", kind.slug())], read(count))),
    )
}

fn shots(page: &mut Page<'_>, service: &Service, figures: &Figures) -> fmt::Result {
    page.counter(
        &family("evencarry_shots_stored", "Shots stored, the unassigned included."),
        figures.shots_stored,
    )?;
    page.counter(
        &family(
            "evencarry_shots_duplicate",
            "Shots that were stored already, with the same content.",
        ),
        figures.shots_duplicate,
    )?;
    page.counter(
        &family(
            "evencarry_shots_unassigned",
            "Shots stored without a player or a club: they wait for an assignment.",
        ),
        service.live().folded_unassigned().saturating_sub(service.meters.unassigned_before),
    )?;
    let statuses: Vec<String> = REFUSALS.iter().map(u16::to_string).collect();
    page.counters(
        &family(
            "evencarry_shots_refused",
            "Shots refused, by the status that each had or would have had alone. Sound shots of an all-or-nothing body are not among them.",
        ),
        statuses.iter().zip(&service.meters.refused).map(|(status, count)| {
            ([("status", status.as_str())], read(count))
        }),
    )?;
    page.counters(
        &family("evencarry_acts", "Acts that happened, by kind; a kind appears with its first."),
        figures.acts.iter().map(|(kind, count)| ([("kind", *kind)], *count)),
    )
}

fn store(page: &mut Page<'_>, figures: Figures) -> fmt::Result {
    page.histograms(
        (
            &family(
                "evencarry_commit_frames",
                "Frames that were made durable by one write and one sync.",
            ),
            ONE,
        ),
        [([], figures.group_frames)],
    )?;
    page.histograms(
        (
            &of_unit(
                "evencarry_commit_duration",
                Unit::Seconds,
                "What the write and the sync of a group took.",
            ),
            A_SECOND,
        ),
        [([], figures.commit_ns)],
    )?;
    page.gauge(
        &of_unit(
            "evencarry_queue",
            Unit::Bytes,
            "What waits for the writer, or is being written by it; senders wait for room above 32 MiB.",
        ),
        figures.queue_bytes,
    )?;
    page.gauge(
        &family("evencarry_last_sequence", "The last frame that is durable and folded."),
        figures.last.get(),
    )?;
    page.gauge(
        &family(
            "evencarry_table_lag_frames",
            "Durable frames that the table behind the journal lacks: up to 2,000 at rest, and the writer waits at 8,000.",
        ),
        figures.unapplied_frames,
    )?;
    page.histograms(
        (
            &of_unit(
                "evencarry_table_step_duration",
                Unit::Seconds,
                "What a step took that brings the table after the journal.",
            ),
            A_SECOND,
        ),
        [([], figures.step_ns)],
    )?;
    page.counter(
        &family(
            "evencarry_table_rebuilds",
            "Times that the table was made anew from the journal: 1 after a start that had to.",
        ),
        figures.rebuilds,
    )?;
    let state = match figures.health {
        Health::Accepting => "accepting",
        Health::Full { .. } => "full",
        Health::Refusing { .. } => "refusing",
    };
    page.gauges(
        &family(
            "evencarry_store_state",
            "Whether writes are taken: 1 at the state that holds. Full tries again with every write; refusing lasts until a restart.",
        ),
        ["accepting", "full", "refusing"]
            .map(|name| ([("state", name)], if name == state { 1.0 } else { 0.0 })),
    )
}

fn fold(page: &mut Page<'_>, service: &Service) -> fmt::Result {
    page.gauge(
        &family("evencarry_rows_in_memory", "Shots in memory, of players and sources in use."),
        service.live().rows_in_memory() as u64,
    )?;
    page.gauge(
        &family("evencarry_owners_in_memory", "Players and sources whose shots are in memory."),
        service.live().owners_in_memory() as u64,
    )
}

fn live(page: &mut Page<'_>, figures: FeedFigures) -> fmt::Result {
    page.gauge(
        &family(
            "evencarry_live_readers",
            "Readers of the live stream, and lists that wait for shots.",
        ),
        figures.readers as u64,
    )?;
    page.counter(
        &family("evencarry_live_events", "Events that readers were given, each as often as given."),
        figures.sent,
    )?;
    page.counter(
        &family("evencarry_live_readers_cut", "Readers that were cut since they were too slow."),
        figures.cut,
    )?;
    page.counter(
        &family(
            "evencarry_live_failures",
            "Times that telling of events, or working out an answer that is watched, failed.",
        ),
        figures.failures,
    )
}

fn process(page: &mut Page<'_>) -> fmt::Result {
    page.info(
        &family("evencarry_build", "The release that runs."),
        [("version", env!("CARGO_PKG_VERSION"))],
    )?;
    // The names that every client library of Prometheus gives to these.
    let Some(process) = process::read() else { return Ok(()) };
    page.seconds(
        &of_unit("process_cpu", Unit::Seconds, "Time on a core, the system's for it included."),
        process.cpu_s,
    )?;
    page.gauges(
        &of_unit("process_start_time", Unit::Seconds, "When the process began, since 1970."),
        [([], process.start_s)],
    )?;
    page.gauge(
        &of_unit("process_resident_memory", Unit::Bytes, "Memory in use."),
        process.resident_bytes,
    )?;
    page.gauge(
        &family("process_open_fds", "Files and sockets that are open."),
        process.open_files,
    )?;
    page.gauge(
        &family("process_max_fds", "Files and sockets that may be open at one time."),
        process.most_open_files,
    )
}
