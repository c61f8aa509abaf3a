//! Every limit of the service, in one table.

use std::time::Duration;

const KIB: usize = 1024;
const MIB: usize = 1024 * KIB;

/// What the service will take before it says no. The defaults are the contract's.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Limits {
    /// Bytes of a plain (not streamed) body: 16 MiB.
    pub body_bytes: usize,
    /// Times its size that a compressed body may inflate to: 100.
    pub inflate_factor: usize,
    /// Bytes of one line of an NDJSON stream, without its end: 64 KiB.
    pub line_bytes: usize,
    /// Bytes of a request's head, its request line included: 16 KiB.
    pub head_bytes: usize,
    /// Connections held open at one time, over all workers: 4,096.
    pub connections: usize,
    /// Time a client has for a request's head: 30 s.
    pub head_time: Duration,
    /// Longest silence within a body: 60 s.
    pub body_silence: Duration,
    /// Time an idle connection is kept for its next request: 75 s.
    pub idle_time: Duration,
    /// Time in which the rest of a refused body is still read, so that its sender can read the answer:
    /// 5 s.
    pub linger_time: Duration,
    /// Time that requests in flight have to finish at a shutdown: 30 s.
    pub shutdown_time: Duration,
    /// Items of a page when the question names no number: 100.
    pub page_items_usual: usize,
    /// Items of a page at most: 1,000.
    pub page_items: usize,
    /// Refusals listed in one answer; the rest are counted: 1,000.
    pub refusals: usize,
    /// Shots of an all-or-nothing body: 10,000.
    pub atomic_shots: usize,
    /// Shots handed to the store as one group: 1,000, as many as share one sync.
    pub group_shots: usize,
    /// Bytes after which a group is full as well: 1 MiB, so that long lines do not make it larger.
    pub group_bytes: usize,
    /// Groups of one stream on their way to the disk at one time: 4, so that the network, the parser
    /// and the disk overlap while a stream's memory stays bounded.
    pub groups_in_flight: usize,
    /// What `Retry-After` says when writes cannot be made durable: 30 s.
    pub retry_after: Duration,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            body_bytes: 16 * MIB,
            inflate_factor: 100,
            line_bytes: 64 * KIB,
            head_bytes: 16 * KIB,
            connections: 4_096,
            head_time: Duration::from_secs(30),
            body_silence: Duration::from_mins(1),
            idle_time: Duration::from_secs(75),
            linger_time: Duration::from_secs(5),
            shutdown_time: Duration::from_secs(30),
            page_items_usual: 100,
            page_items: 1_000,
            refusals: 1_000,
            atomic_shots: 10_000,
            group_shots: 1_000,
            group_bytes: MIB,
            groups_in_flight: 4,
            retry_after: Duration::from_secs(30),
        }
    }
}
