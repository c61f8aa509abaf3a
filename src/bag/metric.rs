//! What a club does, measure by measure: summaries under the quantity's name with its unit.

use serde::{Serialize, Serializer, ser::SerializeMap};
use utoipa::{
    ToSchema,
    openapi::{
        Ref, RefOr, Schema,
        schema::{ObjectBuilder, Type},
    },
};

use super::{
    history::WITH_FLOOR,
    measure::{statistics_measure, unit},
    row::Row,
};
use crate::{
    shot::{FlightOrigin, Measure, SpeedOrigin, SpinOrigin},
    stats::{
        self, AnytimeInterval, Cell, Of, PlayerSd, Quantity, RunEffect, Share, Summary,
        VarianceRatio,
    },
};

/// A measured quantity, or one that two of them make.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Metric {
    /// As measured.
    Measured(Measure),
    /// Ball speed over clubhead speed, both measured.
    SmashFactor,
}

impl Metric {
    /// All metrics in the order of answers: what decides first.
    pub fn all() -> impl Iterator<Item = Self> {
        const FIRST: [Measure; 6] = [
            Measure::Carry,
            Measure::LaunchAngle,
            Measure::SpinRate,
            Measure::Apex,
            Measure::Descent,
            Measure::BallSpeed,
        ];
        let rest = Measure::ALL.iter().copied().filter(|measure| !FIRST.contains(measure));
        FIRST.into_iter().chain(rest).map(Self::Measured).chain([Self::SmashFactor])
    }

    /// Its name in answers, with the SI unit.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Measured(measure) => measure.si_name(),
            Self::SmashFactor => "smash_factor",
        }
    }

    /// What it is.
    #[must_use]
    pub fn about(self) -> &'static str {
        match self {
            Self::Measured(measure) => measure.about(),
            Self::SmashFactor => "Ball speed over clubhead speed, both measured.",
        }
    }

    /// A row's value, SI.
    #[must_use]
    pub fn value(self, row: &Row) -> Option<f64> {
        match self {
            Self::Measured(measure) => row.measures.get(measure),
            Self::SmashFactor => match super::marks::strike(row)? {
                (stats::Series::SmashFactor, value) => Some(value),
                (stats::Series::BallSpeed, _) => None,
            },
        }
    }

    /// Whether a row's value was worked out by a device rather than measured.
    #[must_use]
    pub fn is_inferred(self, row: &Row) -> bool {
        let Self::Measured(measure) = self else { return false };
        match measure {
            Measure::SpinRate | Measure::SpinAxis => {
                row.spin_origin.is_some_and(|origin| origin != SpinOrigin::Measured)
            }
            Measure::ClubheadSpeed => row.speed_origin == Some(SpeedOrigin::FromBall),
            Measure::Carry
            | Measure::Total
            | Measure::Side
            | Measure::Curve
            | Measure::Apex
            | Measure::Descent
            | Measure::HangTime
            | Measure::LandingSpeed => row.flight_origin != Some(FlightOrigin::Tracked),
            _ => false,
        }
    }

    /// The statistics' name, and how much SI makes one of their unit.
    fn in_statistics(self) -> (stats::Measure, f64) {
        match self {
            Self::Measured(measure) => (statistics_measure(measure), unit(measure)),
            Self::SmashFactor => (stats::Measure::Other(u16::MAX), 1.0),
        }
    }

    /// An estimate's interval in SI.
    #[must_use]
    pub fn interval(self, estimate: &stats::Estimate) -> Option<Interval> {
        let interval = stats::anytime_interval(estimate).ok()?;
        Some(Interval::of(interval, self.in_statistics().1))
    }

    /// A figure of the statistics in SI.
    #[must_use]
    pub(super) fn in_si(self, figure: f64) -> f64 {
        figure * self.in_statistics().1
    }

    /// The quantity that the statistics know it by.
    #[must_use]
    pub fn quantity(self, of: Of) -> Quantity {
        Quantity { measure: self.in_statistics().0, of }
    }

    /// A row's value as evidence, in the statistics' unit: spin that was looked up from a club
    /// setting is none.
    #[must_use]
    pub fn evidence(self, row: &Row) -> Option<f64> {
        let looked_up = self == Self::Measured(Measure::SpinRate)
            && row.spin_origin == Some(SpinOrigin::FromClubSetting);
        self.value(row).filter(|_| !looked_up).map(|value| value / self.in_statistics().1)
    }
}

/// An estimate with what bounds it, at any moment of looking, with 95 % confidence.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct Interval {
    /// The estimate; null where there is none yet.
    pub estimate: Option<f64>,
    /// Lower end; null until there is one.
    pub low: Option<f64>,
    /// Upper end; null until there is one.
    pub high: Option<f64>,
    /// Whether some of the values were worked out by a device rather than measured.
    pub inferred: bool,
}

impl Interval {
    /// Nothing is known yet.
    pub const UNKNOWN: Self = Self { estimate: None, low: None, high: None, inferred: false };

    /// A share with its ends.
    #[must_use]
    pub(super) fn of_share(found: Share) -> Self {
        let Share { share, low, high } = found;
        Self { estimate: Some(share), low: Some(low), high: Some(high), inferred: false }
    }

    /// One sd over another.
    #[must_use]
    pub(super) fn of_ratio(ratio: &VarianceRatio) -> Self {
        Self::of(ratio.sd_ratio(), 1.0)
    }

    /// Whether all of it lies below zero.
    #[must_use]
    pub(super) fn proves_less(&self) -> bool {
        self.high.is_some_and(|high| high < 0.0)
    }

    /// Whether all of it lies above zero.
    #[must_use]
    pub(super) fn proves_more(&self) -> bool {
        self.low.is_some_and(|low| low > 0.0)
    }

    fn of(interval: AnytimeInterval, unit: f64) -> Self {
        Self {
            estimate: Some(interval.estimate * unit),
            low: interval.ends.map(|(low, _)| low * unit),
            high: interval.ends.map(|(_, high)| high * unit),
            inferred: false,
        }
    }
}

/// A quantity over the counted shots of a club, all SI.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct MetricSummary {
    /// Shots that have the quantity.
    pub n: usize,
    /// Their plain mean.
    pub mean: Option<f64>,
    /// Huber's centre, which a stray shot hardly moves.
    pub centre: Option<f64>,
    /// Median.
    pub median: Option<f64>,
    /// Standard deviation, with n − 1.
    pub sd: Option<f64>,
    /// Tenth percentile.
    pub p10: Option<f64>,
    /// Ninetieth percentile.
    pub p90: Option<f64>,
    /// Mean weighted by sessions, with the whole day's effect in its interval.
    #[serde(flatten)]
    pub interval: Interval,
}

impl MetricSummary {
    /// Summarises one metric of some rows.
    ///
    /// `day` is the whole day's effect by [`WITH_FLOOR`]; other metrics take a share of their own
    /// spread.
    #[must_use]
    pub fn of(metric: Metric, rows: &[&Row], day: &[PlayerSd; 3]) -> Self {
        let values: Vec<f64> = rows.iter().filter_map(|row| metric.value(row)).collect();
        let summary = Summary::of(&values).ok();
        let take = |pick: fn(&Summary) -> Option<f64>| summary.as_ref().and_then(pick);
        Self {
            n: values.len(),
            mean: take(|s| s.mean),
            centre: take(|s| s.huber),
            median: take(|s| s.median),
            sd: take(|s| s.sd),
            p10: take(|s| s.p10),
            p90: take(|s| s.p90),
            interval: Interval {
                inferred: rows
                    .iter()
                    .any(|row| metric.value(row).is_some() && metric.is_inferred(row)),
                ..own_mean(metric, rows, day)
            },
        }
    }
}

/// The session-weighted mean of some rows.
fn own_mean(metric: Metric, rows: &[&Row], day: &[PlayerSd; 3]) -> Interval {
    let mut sessions: Vec<(u32, Cell)> = Vec::new();
    for row in rows {
        let Some(value) = metric.evidence(row) else { continue };
        let known = sessions.iter().rposition(|(session, _)| *session == row.session);
        let at = known.unwrap_or_else(|| {
            sessions.push((row.session, Cell::default()));
            sessions.len() - 1
        });
        // A stored value is finite by the schema's bounds.
        let _ = sessions[at].1.push(value);
    }
    let quantity = metric.quantity(Of::OwnMean);
    let with_floor = WITH_FLOOR.iter().position(|t| t.in_statistics() == quantity.measure);
    let run = with_floor
        .map_or_else(|| quantity.run_effect_floor(), |index| RunEffect::Sd(day[index].sd));
    stats::blocked_mean(sessions.iter().map(|(_, cell)| cell), run)
        .ok()
        .and_then(|estimate| metric.interval(&estimate))
        .unwrap_or(Interval::UNKNOWN)
}

/// Answers by metric, in the order of [`Metric::all`]; a JSON object.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ByMetric<T>(pub Vec<(Metric, T)>);

impl<T> ByMetric<T> {
    /// The answer for one metric.
    #[must_use]
    pub fn get(&self, metric: Metric) -> Option<&T> {
        self.0.iter().find(|(known, _)| *known == metric).map(|(_, answer)| answer)
    }
}

impl<T: Serialize> Serialize for ByMetric<T> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let mut map = to.serialize_map(Some(self.0.len()))?;
        for (metric, answer) in &self.0 {
            map.serialize_entry(metric.name(), answer)?;
        }
        map.end()
    }
}

/// How answers by metric look in a description of an API: a reference to one of [`schemas`].
#[must_use]
pub(super) fn by_metric<T: ToSchema>() -> RefOr<Schema> {
    Ref::from_schema_name(format!("{}ByMetric", T::name())).into()
}

/// The same for plain numbers.
#[must_use]
pub(super) fn number_by_metric() -> RefOr<Schema> {
    Ref::from_schema_name("NumberByMetric").into()
}

/// The named schemas of answers by metric: one member a metric, none required.
#[must_use]
pub fn schemas_by_metric() -> [(&'static str, RefOr<Schema>); 3] {
    let referred = |name: &str, about: &str| {
        Ref::builder().ref_location_from_schema_name(name).description(Some(about)).into()
    };
    let number = |about: &str| {
        ObjectBuilder::new().schema_type(Type::Number).description(Some(about)).into()
    };
    [
        (
            "MetricSummaryByMetric",
            members("Summaries by measure, SI.", |about| referred("MetricSummary", about)),
        ),
        (
            "IntervalByMetric",
            members("Estimates by measure, SI.", |about| referred("Interval", about)),
        ),
        ("NumberByMetric", members("Figures by measure, SI.", number)),
    ]
}

fn members(about: &str, answer: impl Fn(&str) -> RefOr<Schema>) -> RefOr<Schema> {
    let object = Metric::all().fold(ObjectBuilder::new(), |object, metric| {
        object.property(metric.name(), answer(metric.about()))
    });
    RefOr::T(Schema::Object(object.description(Some(about)).build()))
}
