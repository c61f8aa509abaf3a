//! What pictures are drawn with: two papers, an ink, and a colour and a line for each of two clubs.
//!
//! The two colours lie on the yellow and blue sides, which the common kinds of colour blindness keep
//! apart; a club differs also by its line and its mark, so that a copy in grey can still be read. Every
//! ink has a contrast of at least 4.5 to its paper (WCAG 2.2, 1.4.3), which a test reckons.

use crate::api::query::{FromText, Words};

/// A paper with its inks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum Theme {
    /// Warm light paper.
    #[default]
    Paper,
    /// Dark paper for a dim room.
    Night,
}

impl Theme {
    const ALL: [Self; 2] = [Self::Paper, Self::Night];

    const fn as_str(self) -> &'static str {
        match self {
            Self::Paper => "paper",
            Self::Night => "night",
        }
    }

    /// The colour of an ink, as CSS writes it.
    pub(super) const fn colour(self, ink: Ink) -> &'static str {
        let [paper, night] = match ink {
            Ink::Ground => ["#fbf6ea", "#1f1c18"],
            Ink::Text => ["#2b2620", "#efe6d6"],
            Ink::Quiet => ["#665c50", "#b8ac96"],
            Ink::Faint => ["#ddd2bd", "#47403a"],
            Ink::Incumbent => ["#8a560f", "#e3ab4e"],
            Ink::Candidate => ["#1d4a88", "#93bbf0"],
        };
        match self {
            Self::Paper => paper,
            Self::Night => night,
        }
    }
}

impl Words for Theme {
    fn spellings() -> Vec<&'static str> {
        Self::ALL.map(Self::as_str).to_vec()
    }
}

impl FromText for Theme {
    fn from_text(text: &str) -> Result<Self, String> {
        Self::ALL
            .into_iter()
            .find(|theme| theme.as_str() == text)
            .ok_or_else(|| format!("is `{text}`: give one of {}", Self::spellings().join(", ")))
    }
}

/// What something is drawn in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Ink {
    /// The paper itself.
    Ground,
    /// What is to be read first.
    Text,
    /// What stands beside it.
    Quiet,
    /// Lines that guide the eye; never a text.
    Faint,
    /// The club whose place is wanted, or the only one.
    Incumbent,
    /// The club that is tried.
    Candidate,
}

/// How a line is broken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Dash {
    Solid,
    Long,
    Short,
    Dots,
    LongShort,
    LongDots,
}

impl Dash {
    /// As `stroke-dasharray` has it; lengths are in widths of the line.
    pub(super) fn lengths(self, width: f64) -> Option<String> {
        let parts: &[f64] = match self {
            Self::Solid => return None,
            Self::Long => &[4.0, 2.2],
            Self::Short => &[1.8, 1.8],
            Self::Dots => &[0.1, 2.2],
            Self::LongShort => &[5.0, 2.0, 1.6, 2.0],
            Self::LongDots => &[5.0, 2.2, 0.1, 2.2],
        };
        let scaled: Vec<String> =
            parts.iter().map(|part| super::sheet::short(part * width)).collect();
        Some(scaled.join(" "))
    }
}

/// A line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pen {
    pub(super) ink: Ink,
    /// Pixels.
    pub(super) width: f64,
    pub(super) dash: Dash,
}

impl Pen {
    pub(super) const fn new(ink: Ink, width: f64) -> Self {
        Self { ink, width, dash: Dash::Solid }
    }

    pub(super) const fn dashed(self, dash: Dash) -> Self {
        Self { dash, ..self }
    }
}

/// Which of two clubs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    /// Whose place is wanted, or the only one: a solid line and dots.
    Incumbent,
    /// That is tried: a broken line and crosses.
    Candidate,
}

impl Role {
    /// Both, as pictures have them.
    pub(super) const BOTH: [Self; 2] = [Self::Incumbent, Self::Candidate];

    pub(super) const fn ink(self) -> Ink {
        match self {
            Self::Incumbent => Ink::Incumbent,
            Self::Candidate => Ink::Candidate,
        }
    }

    pub(super) const fn pen(self, width: f64) -> Pen {
        match self {
            Self::Incumbent => Pen::new(Ink::Incumbent, width),
            Self::Candidate => Pen::new(Ink::Candidate, width).dashed(Dash::Long),
        }
    }
}
