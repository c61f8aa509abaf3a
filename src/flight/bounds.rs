//! What an input may be, and what is said of one that it is not.

use std::fmt;

use thiserror::Error;

/// The range of an input, both ends included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bound {
    /// The input's name, with its unit.
    pub name: &'static str,
    /// The least value.
    pub low: f64,
    /// The greatest value.
    pub high: f64,
}

impl Bound {
    pub(super) const fn new(name: &'static str, low: f64, high: f64) -> Self {
        Self { name, low, high }
    }

    /// The nearest value within the range.
    pub(super) const fn nearest(self, value: f64) -> f64 {
        value.clamp(self.low, self.high)
    }

    /// The fault of a value outside the range; NaN is outside every range.
    pub(super) fn fault(self, value: f64) -> Option<OutOfRange> {
        let within = value >= self.low && value <= self.high;
        (!within).then_some(OutOfRange { bound: self, value })
    }
}

/// An input outside its range.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
#[error("{} is {value}, but must be a number from {} to {}", .bound.name, .bound.low, .bound.high)]
pub struct OutOfRange {
    /// The range that was missed, with the input's name.
    pub bound: Bound,
    /// What was given.
    pub value: f64,
}

/// All inputs of one question that are outside their ranges; at least one.
#[derive(Clone, Debug, PartialEq, Error)]
pub struct Faults(Vec<OutOfRange>);

impl Faults {
    /// Passes where there are none.
    pub(super) fn none_of(found: impl IntoIterator<Item = OutOfRange>) -> Result<(), Self> {
        let faults: Vec<OutOfRange> = found.into_iter().collect();
        if faults.is_empty() { Ok(()) } else { Err(Self(faults)) }
    }

    /// The faults, in the order of the inputs.
    #[must_use]
    pub fn all(&self) -> &[OutOfRange] {
        &self.0
    }
}

impl fmt::Display for Faults {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (at, fault) in self.0.iter().enumerate() {
            let joint = if at == 0 { "" } else { "; " };
            write!(out, "{joint}{fault}")?;
        }
        Ok(())
    }
}
