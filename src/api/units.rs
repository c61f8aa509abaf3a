//! `units`: the system of units that an answer is asked in.

use serde::Serialize;

pub(super) use crate::shot::Units;

use super::{
    imperial,
    query::{Form, FromText, Parameter, Query, Words},
};

impl Units {
    /// The parameter it is read from.
    pub(super) const PARAMETERS: &'static [Parameter] = &[Parameter::new(
        "units",
        Form::OneOf(Self::spellings),
        "The units of the answer: `si`, or `imperial` for yards, feet for heights, and miles an \
         hour; si unless given. Every member's name says its unit.",
    )];

    /// Reads it from a query.
    pub(super) fn read(query: &mut Query<'_>) -> Self {
        query.one("units").unwrap_or_default()
    }

    /// As it is spelled.
    pub(super) const fn as_str(self) -> &'static str {
        match self {
            Self::Si => "si",
            Self::Imperial => "imperial",
        }
    }

    /// Writes an answer, which says its units in its last member.
    pub(super) fn write<T: Serialize>(self, answer: &T) -> serde_json::Result<Vec<u8>> {
        let text = serde_json::to_vec(&Told { answer, units: self.as_str() })?;
        match self {
            Self::Si => Ok(text),
            Self::Imperial => imperial::rewrite(&text),
        }
    }
}

/// An answer with its units.
#[derive(Serialize)]
struct Told<'a, T> {
    #[serde(flatten)]
    answer: &'a T,
    units: &'static str,
}

impl Words for Units {
    fn spellings() -> Vec<&'static str> {
        vec![Self::Si.as_str(), Self::Imperial.as_str()]
    }
}

impl FromText for Units {
    fn from_text(text: &str) -> Result<Self, String> {
        [Self::Si, Self::Imperial]
            .into_iter()
            .find(|units| units.as_str() == text)
            .ok_or_else(|| format!("is `{text}`: give one of {}", Self::spellings().join(", ")))
    }
}
