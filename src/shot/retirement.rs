//! Retirement: the content of shots goes after its time, and what statistics rest on stays.

use super::assignment::ShotFilter;
use super::fault::Rejection;
use super::reading::document;

/// Which shots are to be retired.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Retirement {
    /// Which shots.
    pub filter: ShotFilter,
    /// Whether only to count them.
    pub dry_run: bool,
}

impl Retirement {
    /// Reads a retirement. Its filter has at least one member.
    pub fn from_json(text: &[u8]) -> Result<Self, Rejection> {
        document(text, "a retirement", |from| {
            from.need("filter");
            let filter = from.object("filter", |filter| Some(ShotFilter::read(filter)));
            let dry_run = from.truth("dry_run").unwrap_or_default();
            Some(Self { filter: filter?, dry_run })
        })
    }
}
