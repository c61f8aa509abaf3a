//! The HTTP/JSON service.
//!
//! Bytes of requests come in; answers and problems go out. A request passes the `watch` (which counts
//! and logs it), the `gate` (whose name it asks for, whose page sent it), the routes, the `judge` of its endpoint, and reaches a
//! handler, which parses, calls `store` or `live`, and answers. The order of judgement is held by
//! that way alone. Every endpoint is a row beside its handlers; routing and the description of the
//! API are made from the rows. The room knows all rooms below it, and alone turns their errors into
//! problems.

mod answer;
mod assignments;
mod body;
mod catalogue;
mod chosen;
mod coding;
mod conditions;
mod cors;
mod cursor;
mod docs;
mod endpoint;
mod errors;
mod export;
mod field;
mod flights;
#[cfg(any(fuzzing, test))]
pub(crate) mod fuzzing;
mod gate;
mod guards;
mod imperial;
mod import;
mod inflate;
mod insight;
mod intake;
mod items;
mod judge;
mod kept;
mod kind;
mod limits;
mod lines;
mod media;
mod metrics;
mod origins;
mod page;
mod path;
mod pictures;
mod problem;
mod progress;
mod query;
mod reads;
mod retirements;
mod routes;
mod rows;
mod serve;
mod service;
mod shots;
mod spec;
mod status;
mod stop;
mod stream;
mod tag;
mod trials;
mod units;
mod watch;

pub use guards::{Hosts, NoHostName};
pub use limits::{LimitFault, LimitRow, Limits};
pub use origins::{NoOrigin, Origins};
pub use serve::run;
pub use service::{Service, Store, open, open_telling};
pub use spec::openapi_text;
