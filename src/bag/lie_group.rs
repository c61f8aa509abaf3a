//! The lies that a club's jobs are told by.

use serde::Serialize;
use utoipa::ToSchema;

use crate::shot::Lie;

/// Lies that ask the same of a club: finer than a surface, since a club may serve light rough and
/// not heavy rough.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum LieGroup {
    /// From a tee.
    Tee,
    /// From a mat.
    Mat,
    /// Fairway or tight lie, dry.
    Fairway,
    /// Light rough, dry.
    LightRough,
    /// Heavy rough, dry.
    HeavyRough,
    /// Wet fairway, or any lie with a wet ball or face.
    Wet,
    /// Sand.
    Sand,
    /// A lie with a name of its own.
    Other,
    /// Nobody said.
    Unstated,
}

impl LieGroup {
    /// The group of a lie; a wet ball or face makes any of them `Wet`.
    #[must_use]
    pub fn of(lie: Option<Lie>, wet: bool) -> Self {
        match lie {
            _ if wet => Self::Wet,
            Some(Lie::WetFairway) => Self::Wet,
            Some(Lie::Tee) => Self::Tee,
            Some(Lie::Mat) => Self::Mat,
            Some(Lie::Fairway | Lie::Tight) => Self::Fairway,
            Some(Lie::LightRough) => Self::LightRough,
            Some(Lie::HeavyRough) => Self::HeavyRough,
            Some(Lie::Sand) => Self::Sand,
            Some(Lie::Other) => Self::Other,
            None => Self::Unstated,
        }
    }

    /// As a sentence says it: `from heavy rough`.
    #[must_use]
    pub(super) fn from(self) -> &'static str {
        match self {
            Self::Tee => "from the tee",
            Self::Mat => "from the mat",
            Self::Fairway => "from the fairway",
            Self::LightRough => "from light rough",
            Self::HeavyRough => "from heavy rough",
            Self::Wet => "from a wet lie",
            Self::Sand => "from sand",
            Self::Other => "from other lies",
            Self::Unstated => "from lies that nobody stated",
        }
    }
}
