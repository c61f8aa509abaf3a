//! What is wrong with the settings.

use std::fmt;

use super::given::Place;

/// One fault: where it stands, what is wrong, and the mend.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::cli) struct Fault {
    /// Where it stands.
    pub place: Place,
    /// What is wrong, and the mend.
    pub detail: String,
}

impl Fault {
    /// A fault at a place.
    pub(super) fn at(place: &Place, detail: impl Into<String>) -> Self {
        Self { place: place.clone(), detail: detail.into() }
    }

    /// Whether it stands in a settings file.
    pub(in crate::cli) fn is_in_a_file(&self) -> bool {
        matches!(self.place, Place::Line(..) | Place::File(_))
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.place {
            Place::Usual => f.write_str(&self.detail),
            _ => write!(f, "{}: {}", self.place, self.detail),
        }
    }
}
