//! What a parameter of a query is.

use crate::shot::units::{self, Dimension};

/// A row of an endpoint's table of parameters.
#[derive(Debug, Clone, Copy)]
pub(in crate::api) struct Parameter {
    /// Its name; for a quantity without the unit.
    pub name: &'static str,
    /// What its value is.
    pub form: Form,
    /// What it is for.
    pub about: &'static str,
    /// Whether the question makes no sense without it.
    pub needed: bool,
}

/// What a parameter's value is.
#[derive(Debug, Clone, Copy)]
pub(in crate::api) enum Form {
    /// The name of a player, club, ball, source, shot or session.
    Name,
    /// A name that may come repeatedly.
    Names,
    /// One of these words, repeatedly.
    SomeOf(fn() -> Vec<&'static str>),
    /// One of these words.
    OneOf(fn() -> Vec<&'static str>),
    /// `true` or `false`.
    Truth,
    /// A whole number from 1.
    Count {
        /// The greatest that is taken.
        most: usize,
    },
    /// A place in the one order: a whole number from 0.
    Sequence,
    /// How many seconds an answer may wait: from 1 to what the limits allow.
    Wait,
    /// A whole number between two, both of them included.
    Whole {
        /// The least that is taken.
        least: usize,
        /// The greatest.
        most: usize,
    },
    /// How many items a page should hold: from 1 to what the limits allow.
    PageItems,
    /// An RFC 3339 instant, or a date, which begins where `zone` says.
    Moment,
    /// A name of the IANA time zone database.
    Zone,
    /// A text of our own making, given back as it was.
    Opaque,
    /// A flag of stored shots.
    Flag,
    /// A share: between 0 and 1, neither of them.
    Share,
    /// Lies with their shares in per cent, as `tee:60,tight:40`.
    Mix,
    /// A number whose parameter's name ends in its unit.
    Quantity {
        /// Which units there are.
        dimension: Dimension,
        /// The least, in the unit kept.
        low: f64,
        /// The greatest, in the unit kept.
        high: f64,
    },
}

impl Parameter {
    /// A parameter that may be left out.
    #[must_use]
    pub(in crate::api) const fn new(name: &'static str, form: Form, about: &'static str) -> Self {
        Self { name, form, about, needed: false }
    }

    /// The same, that may not be left out.
    #[must_use]
    pub(in crate::api) const fn needed(self) -> Self {
        Self { needed: true, ..self }
    }

    /// Whether it may come repeatedly.
    #[must_use]
    pub(in crate::api) const fn repeats(&self) -> bool {
        matches!(self.form, Form::Names | Form::SomeOf(_))
    }

    /// The names it goes by: for a quantity one a unit.
    #[must_use]
    pub(in crate::api) fn spellings(&self) -> Vec<String> {
        match self.form {
            Form::Quantity { dimension, .. } => units::spellings(self.name, dimension).collect(),
            _ => vec![self.name.to_owned()],
        }
    }

    /// Whether `text` is one of its names.
    #[must_use]
    pub(in crate::api) fn spelt(&self, text: &str) -> bool {
        match self.form {
            Form::Quantity { dimension, .. } => {
                units::resolve(self.name, dimension, text).is_some()
            }
            _ => self.name == text,
        }
    }
}
