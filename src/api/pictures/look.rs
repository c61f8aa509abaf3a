//! How a picture is asked to look.

use super::ink::Theme;
use crate::api::{
    query::{Form, FromText, Parameter, Query, Words},
    units::Units,
};

/// The narrowest picture whose texts have room, pixels.
const NARROWEST: usize = 320;
/// The widest: more only makes the same larger.
const WIDEST: usize = 2_400;
/// The width unless asked otherwise.
const USUAL: usize = 720;

/// How a picture looks.
#[derive(Debug, Clone, Copy)]
pub(super) struct Look {
    pub(super) theme: Theme,
    /// Pixels.
    pub(super) width: f64,
    /// The units of its texts.
    pub(super) units: Units,
}

impl Look {
    /// The parameters that it is read from, units apart.
    pub(super) const PARAMETERS: &'static [Parameter] = &[
        Parameter::new(
            "theme",
            Form::OneOf(Theme::spellings),
            "The paper: `paper`, light, or `night`, dark; paper unless given.",
        ),
        Parameter::new(
            "width",
            Form::Whole { least: NARROWEST, most: WIDEST },
            "How wide the picture is, in pixels; 720 unless given. Letters are sized for it; the \
             height follows.",
        ),
    ];

    /// Reads it from a query.
    #[allow(clippy::cast_precision_loss)] // at most 2,400
    pub(super) fn read(query: &mut Query<'_>) -> Self {
        Self {
            theme: query.one("theme").unwrap_or_default(),
            width: query.count("width").unwrap_or(USUAL) as f64,
            // What is wrong with it is told where the question reads it.
            units: query
                .text("units")
                .and_then(|text| Units::from_text(text).ok())
                .unwrap_or_default(),
        }
    }

    /// The size of what is read first, pixels: 13 at 400, 17 at 1,200 pixels of width.
    pub(super) fn size(&self) -> f64 {
        (11.0 + self.width / 200.0).clamp(12.0, 22.0)
    }

    /// The size of what stands beside it.
    pub(super) fn small(&self) -> f64 {
        0.88 * self.size()
    }

    /// Paper left free at the sides.
    pub(super) fn margin(&self) -> f64 {
        10.0 + self.width / 80.0
    }
}
