//! `from`, `to` and `zone`: a stretch of time.

use jiff::{Timestamp, tz::TimeZone};

use super::{Form, Parameter, Query};
use crate::shot::Bound;

/// A stretch of time: from an instant, and up to but without another.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(in crate::api) struct Stretch {
    /// From here on.
    pub from: Option<Timestamp>,
    /// Before this.
    pub to: Option<Timestamp>,
}

impl Stretch {
    /// The parameters it is read from.
    pub(in crate::api) const PARAMETERS: &'static [Parameter] = &[
        Parameter::new(
            "from",
            Form::Moment,
            "From this instant on, or from the beginning of this day.",
        ),
        Parameter::new(
            "to",
            Form::Moment,
            "Before this instant, or before the beginning of this day.",
        ),
        Parameter::new("zone", Form::Zone, "Where days begin; UTC unless given."),
    ];

    /// Reads it from a query.
    pub(in crate::api) fn read(query: &mut Query<'_>) -> Self {
        let zone = query.one("zone").unwrap_or(TimeZone::UTC);
        let from = moment(query, "from", &zone);
        let to = moment(query, "to", &zone);
        if let (Some(start), Some(end)) = (from, to)
            && start >= end
        {
            query.fault("to", "`to` is not after `from`: give a later one");
        }
        Self { from, to }
    }
}

fn moment(query: &mut Query<'_>, name: &'static str, zone: &TimeZone) -> Option<Timestamp> {
    let bound: Bound = query.one(name)?;
    let instant = bound.within(zone);
    if instant.is_none() {
        query.fault(name, format!("`{name}` is beyond what the calendar holds in that zone"));
    }
    instant
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic)]

    use super::*;

    const TABLE: super::super::Table = &[Stretch::PARAMETERS];

    fn read(raw: &'static str) -> Result<Stretch, usize> {
        let mut query = Query::read(raw, TABLE).unwrap();
        let stretch = Stretch::read(&mut query);
        query.done().map(|()| stretch).map_err(|problem| problem.errors().len())
    }

    #[test]
    fn days_begin_in_the_zone_that_is_given() {
        let stretch = read("from=2026-04-11&to=2026-04-12&zone=Europe/Madrid").unwrap();
        assert_eq!(stretch.from.unwrap().to_string(), "2026-04-10T22:00:00Z");
        assert_eq!(stretch.to.unwrap().to_string(), "2026-04-11T22:00:00Z");
    }

    #[test]
    fn a_stretch_that_ends_before_it_begins_is_refused() {
        assert_eq!(read("from=2026-04-12&to=2026-04-11"), Err(1));
        assert_eq!(read("from=2026-04-12&to=2026-04-12"), Err(1));
    }

    #[test]
    fn every_fault_of_a_stretch_is_told() {
        assert_eq!(read("from=then&to=now&zone=Nowhere"), Err(3));
    }
}
