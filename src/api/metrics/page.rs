//! Figures as text, in either exposition format.

use std::fmt;

use prometheus_client::{
    collector::Collector,
    encoding::{DescriptorEncoder, NoLabelSet, prometheus_text, text},
    metrics::MetricType,
    registry::{Registry, Unit},
};

use crate::{api::media::Media, store::Distribution};

/// The exposition formats.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Form {
    /// The Prometheus text format, version 0.0.4.
    Prometheus,
    /// OpenMetrics 1.0.0.
    OpenMetrics,
}

impl Form {
    /// The form that a media type stands for.
    pub(super) fn of(media: Media) -> Self {
        if media == Media::OpenMetrics { Self::OpenMetrics } else { Self::Prometheus }
    }

    /// What the answer says it is.
    pub(super) const fn content_type(self) -> &'static str {
        match self {
            Self::Prometheus => prometheus_text::CONTENT_TYPE,
            Self::OpenMetrics => "application/openmetrics-text; version=1.0.0; charset=utf-8",
        }
    }
}

/// Writes all that a collector gives.
pub(super) fn write(form: Form, collector: impl Collector) -> Result<String, fmt::Error> {
    let mut registry = Registry::default();
    registry.register_collector(Box::new(collector));
    let mut out = String::new();
    match form {
        Form::Prometheus => prometheus_text::encode(&mut out, &registry)?,
        Form::OpenMetrics => text::encode(&mut out, &registry)?,
    }
    Ok(out)
}

/// What a family of figures is. Its name is without the unit and without `_total`, which the formats add.
pub(super) struct Family {
    pub(super) name: &'static str,
    pub(super) unit: Option<Unit>,
    pub(super) help: &'static str,
}

/// Labels of a row: names and values.
pub(super) type Labels<'a, const N: usize> = [(&'static str, &'a str); N];

/// The page that is written.
pub(super) struct Page<'a>(pub(super) DescriptorEncoder<'a>);

impl Page<'_> {
    /// What only rises.
    pub(super) fn counters<'v, const N: usize>(
        &mut self,
        family: &Family,
        rows: impl IntoIterator<Item = (Labels<'v, N>, u64)>,
    ) -> fmt::Result {
        let Family { name, unit, help } = family;
        let counter = MetricType::Counter;
        let mut family = self.0.encode_descriptor(name, help, unit.as_ref(), counter)?;
        for (labels, value) in rows {
            family.encode_family(&labels)?.encode_counter::<NoLabelSet, _, f64>(&value, None)?;
        }
        Ok(())
    }

    /// The same with one row without labels.
    pub(super) fn counter(&mut self, family: &Family, value: u64) -> fmt::Result {
        self.counters(family, [([], value)])
    }

    /// A time that only rises, in seconds.
    pub(super) fn seconds(&mut self, family: &Family, value: f64) -> fmt::Result {
        let Family { name, unit, help } = family;
        let counter = MetricType::Counter;
        let mut family = self.0.encode_descriptor(name, help, unit.as_ref(), counter)?;
        family.encode_counter::<NoLabelSet, _, f64>(&value, None)
    }

    /// What rises and falls.
    pub(super) fn gauges<'v, const N: usize>(
        &mut self,
        family: &Family,
        rows: impl IntoIterator<Item = (Labels<'v, N>, f64)>,
    ) -> fmt::Result {
        let Family { name, unit, help } = family;
        let gauge = MetricType::Gauge;
        let mut family = self.0.encode_descriptor(name, help, unit.as_ref(), gauge)?;
        for (labels, value) in rows {
            family.encode_family(&labels)?.encode_gauge(&value)?;
        }
        Ok(())
    }

    /// The same with one row without labels.
    pub(super) fn gauge(&mut self, family: &Family, value: u64) -> fmt::Result {
        let Family { name, unit, help } = family;
        let gauge = MetricType::Gauge;
        let mut family = self.0.encode_descriptor(name, help, unit.as_ref(), gauge)?;
        family.encode_gauge(&value)
    }

    /// How values are distributed; they were counted in a unit of which `per_unit` make the family's.
    pub(super) fn histograms<'v, const N: usize>(
        &mut self,
        (family, per_unit): (&Family, f64),
        rows: impl IntoIterator<Item = (Labels<'v, N>, Distribution)>,
    ) -> fmt::Result {
        let Family { name, unit, help } = family;
        let histogram = MetricType::Histogram;
        let mut family = self.0.encode_descriptor(name, help, unit.as_ref(), histogram)?;
        for (labels, distribution) in rows {
            let bounds = distribution.bounds.iter().map(|bound| double(*bound) / per_unit);
            let buckets: Vec<(f64, u64)> =
                bounds.chain([f64::INFINITY]).zip(distribution.counts.iter().copied()).collect();
            let (sum, count) = (double(distribution.sum) / per_unit, distribution.count());
            let mut row = family.encode_family(&labels)?;
            row.encode_histogram::<NoLabelSet>(sum, count, &buckets, None)?;
        }
        Ok(())
    }

    /// What never changes while the process runs.
    pub(super) fn info<const N: usize>(
        &mut self,
        family: &Family,
        labels: Labels<'_, N>,
    ) -> fmt::Result {
        let Family { name, unit, help } = family;
        let info = MetricType::Info;
        let mut family = self.0.encode_descriptor(name, help, unit.as_ref(), info)?;
        family.encode_info(&labels)
    }
}

#[expect(clippy::cast_precision_loss, reason = "nobody reads more than 15 digits of a figure")]
const fn double(value: u64) -> f64 {
    value as f64
}
