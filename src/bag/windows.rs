//! A club season by season: its figures month by month, quarter by quarter or year by year.

use std::collections::BTreeMap;

use jiff::{Span, Timestamp, civil::Date, tz::TimeZone};
use serde::Serialize;
use utoipa::ToSchema;

use super::{
    filter::{Basis, Evidence, Filter, SUMMARY_SHOTS},
    history::{WITH_FLOOR, day_effect},
    marks::{Build, judged_strike},
    metric::{ByMetric, Metric, MetricSummary, by_metric},
    player::Player,
    profile::{distinct, summaries},
    rate::Rate,
    row::Row,
};
use crate::shot::{Bound, Measure};

/// Windows that are shown at most, the newest: five years of months.
const WINDOWS_SHOWN: usize = 60;

/// How long a window is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Period {
    /// From the first of a month.
    Month,
    /// From the first of January, April, July or October.
    Quarter,
    /// From the first of January.
    Year,
}

impl Period {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Month, Self::Quarter, Self::Year];

    /// The spelling.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Month => "month",
            Self::Quarter => "quarter",
            Self::Year => "year",
        }
    }

    /// The period of a spelling.
    #[must_use]
    pub fn parse(spelling: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|period| period.as_str() == spelling)
    }

    /// Months in it.
    const fn months(self) -> i8 {
        match self {
            Self::Month => 1,
            Self::Quarter => 3,
            Self::Year => 12,
        }
    }

    /// The first day of the period that holds a day; `None` beyond what the calendar holds.
    fn first_day(self, day: Date) -> Option<Date> {
        let month = day.month() - (day.month() - 1) % self.months();
        Date::new(day.year(), month, 1).ok()
    }
}

/// How the time of a club's shots is divided.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Calendar {
    /// How long a window is.
    pub by: Period,
    /// Where its days begin.
    pub zone: TimeZone,
}

impl Calendar {
    /// The first day of the window that holds an instant.
    fn window_of(&self, time: Timestamp) -> Option<Date> {
        self.by.first_day(self.zone.to_datetime(time).date())
    }

    /// Where a window that begins with this day begins and ends.
    fn ends(&self, first: Date) -> (Timestamp, Timestamp) {
        let instant = |day: Option<Date>| day.and_then(|day| Bound::Day(day).within(&self.zone));
        let next = first.checked_add(Span::new().months(self.by.months())).ok();
        (instant(Some(first)).unwrap_or(Timestamp::MIN), instant(next).unwrap_or(Timestamp::MAX))
    }
}

/// What a club did in one month, quarter or year.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Window {
    /// Its beginning, or what was asked for where that is later.
    #[schema(value_type = String, format = DateTime)]
    pub from: Timestamp,
    /// Its end, which is not in it, or what was asked for where that is earlier.
    #[schema(value_type = String, format = DateTime)]
    pub to: Timestamp,
    /// Shots that its figures rest on.
    pub counted: usize,
    /// Visits that they are from.
    pub sessions: usize,
    /// The figures.
    #[schema(schema_with = by_metric::<MetricSummary>)]
    pub metrics: ByMetric<MetricSummary>,
    /// The share of strikes that the screen found to be mishits.
    pub mishit_rate: Rate,
}

/// The metrics of a window.
const OF_A_WINDOW: [Metric; 8] = [
    Metric::Measured(Measure::Carry),
    Metric::Measured(Measure::LaunchAngle),
    Metric::Measured(Measure::SpinRate),
    Metric::Measured(Measure::Apex),
    Metric::Measured(Measure::Descent),
    Metric::Measured(Measure::BallSpeed),
    Metric::Measured(Measure::ClubheadSpeed),
    Metric::Measured(Measure::Total),
];

/// The shots of one window.
#[derive(Default)]
struct Shots<'a> {
    /// Those that count, newest first.
    counted: Vec<&'a Row>,
    /// Strikes that the screen judged, and the mishits among them.
    strikes: [usize; 2],
}

/// Divides what a profile rests on into windows, oldest first. A window in which the club was not hit
/// is left out; of more than sixty the newest are told.
#[must_use]
pub(super) fn windows(
    player: Player<'_>,
    build: Build,
    (filter, basis): (&Filter, Option<Basis>),
    calendar: &Calendar,
) -> Vec<Window> {
    let evidence = player.evidence(filter);
    let mut found = gather(player, build, (&evidence, basis), calendar);
    while found.len() > WINDOWS_SHOWN {
        found.pop_first();
    }
    let day = WITH_FLOOR.map(|tested| day_effect(player.rows, player.marks, tested));
    let last = filter.last.unwrap_or(SUMMARY_SHOTS);
    found
        .into_iter()
        .map(|(first, shots)| {
            let (from, to) = calendar.ends(first);
            let counted = &shots.counted[..shots.counted.len().min(last)];
            Window {
                from: filter.from.map_or(from, |asked| asked.max(from)),
                to: filter.to.map_or(to, |asked| asked.min(to)),
                counted: counted.len(),
                sessions: distinct(counted.iter().map(|row| row.session)),
                metrics: summaries(OF_A_WINDOW, counted, &day),
                mishit_rate: Rate::of(shots.strikes[1], shots.strikes[0]),
            }
        })
        .collect()
}

/// The shots of a club's build by the first days of their windows.
fn gather<'a>(
    player: Player<'a>,
    build: Build,
    (evidence, basis): (&Evidence, Option<Basis>),
    calendar: &Calendar,
) -> BTreeMap<Date, Shots<'a>> {
    let arrived = player.marks.places().len();
    let mut found: BTreeMap<Date, Shots<'a>> = BTreeMap::new();
    for place in player.marks.places().iter().rev().filter(|place| place.build == build) {
        let row = &player.rows[place.row as usize];
        if !evidence.admits(row) || basis != Some(Basis::of(row)) {
            continue;
        }
        let Some(first) = calendar.window_of(row.time) else { continue };
        let shots = found.entry(first).or_default();
        let is_mishit = place.is_mishit(arrived);
        if judged_strike(row).is_some() {
            shots.strikes[0] += 1;
            shots.strikes[1] += usize::from(is_mishit);
        }
        if !is_mishit {
            shots.counted.push(row);
        }
    }
    found
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;
    use crate::shot::zone_of_name;

    fn calendar(by: Period, zone: &str) -> Calendar {
        Calendar { by, zone: zone_of_name(zone).unwrap() }
    }

    fn window(calendar: &Calendar, time: &str) -> (String, String) {
        let first = calendar.window_of(time.parse().unwrap()).unwrap();
        let (from, to) = calendar.ends(first);
        (from.to_string(), to.to_string())
    }

    #[test]
    fn a_window_begins_and_ends_where_its_zone_says() {
        let month = calendar(Period::Month, "Europe/Madrid");
        // Summer time there: two hours ahead of UTC on both sides.
        let april = ("2026-03-31T22:00:00Z".to_owned(), "2026-04-30T22:00:00Z".to_owned());
        assert_eq!(window(&month, "2026-03-31T22:00:00Z"), april);
        assert_eq!(window(&month, "2026-04-30T21:59:59Z"), april);
        assert_ne!(window(&month, "2026-03-31T21:59:59Z"), april);
        // Winter time begins within it.
        let october = ("2026-09-30T22:00:00Z".to_owned(), "2026-10-31T23:00:00Z".to_owned());
        assert_eq!(window(&month, "2026-10-31T22:30:00Z"), october);
    }

    #[test]
    fn quarters_and_years_begin_with_january() {
        let quarter = calendar(Period::Quarter, "UTC");
        let first = |time: &str| window(&quarter, time).0;
        assert_eq!(first("2026-03-31T23:59:59Z"), "2026-01-01T00:00:00Z");
        assert_eq!(first("2026-04-01T00:00:00Z"), "2026-04-01T00:00:00Z");
        assert_eq!(first("2026-12-31T12:00:00Z"), "2026-10-01T00:00:00Z");
        let year = calendar(Period::Year, "UTC");
        let of_2026 = ("2026-01-01T00:00:00Z".to_owned(), "2027-01-01T00:00:00Z".to_owned());
        assert_eq!(window(&year, "2026-12-31T23:59:59Z"), of_2026);
    }

    #[test]
    fn the_last_window_of_the_calendar_has_an_end() {
        let year = calendar(Period::Year, "UTC");
        let (from, to) = window(&year, "9999-12-30T00:00:00Z");
        assert_eq!(from, "9999-01-01T00:00:00Z");
        assert_eq!(to, Timestamp::MAX.to_string());
    }
}
