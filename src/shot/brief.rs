//! What a club must do that shall take another's place, as somebody states it: in a query, or in the
//! body of a trial. Each figure comes in any unit; what is left out is as usual.

use super::assignment::stretch;
use super::names::BallId;
use super::reading::Reading;
use super::units::{self, Dimension};
use super::words::{Height, Lie, Shape};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};

/// A figure of a brief: its name without a unit, and what may be sent.
#[derive(Debug, Clone, Copy)]
pub struct BriefFigure {
    /// Its name without the unit.
    pub base: &'static str,
    /// Which units there are.
    pub dimension: Dimension,
    /// The greatest that is taken, in the unit kept; the least is 0.
    pub high: f64,
    /// What it asks for.
    pub about: &'static str,
}

/// Greatest carry and other distance that a brief may name, m: beyond any shot's bound.
const FARTHEST_M: f64 = 400.0;
/// Greatest difference in launch or floor that a brief may name, degrees.
const STEEPEST_DEG: f64 = 90.0;
/// Greatest difference in spin that a brief may name, rpm.
const FASTEST_RPM: f64 = 20_000.0;

/// All figures of a brief.
pub const BRIEF_FIGURES: [BriefFigure; 11] = [
    length(
        "carry_margin",
        "How much the carries may differ, either way; 4.572 m (5 yd) unless given.",
    ),
    angle("launch_lower_by", "How much lower the launch must be at least; 1.5 unless given."),
    angle("launch_lower_at_most", "How much lower it may be at most; 5.0 unless given."),
    spin("spin_lower_by", "How much lower the spin must be at least; 500 unless given."),
    spin("spin_lower_at_most", "How much lower it may be at most; 1,800 unless given."),
    length("slot_low", "The wanted carry from here, in place of the incumbent's own."),
    length("slot_high", "The wanted carry up to here."),
    angle("launch_floor", "The launch must be at least this, in place of the largest drop."),
    angle("descent_floor", "The descent must be at least this."),
    length("must_carry", "Say also how many of all strikes carry this far; in no verdict."),
    length(
        "carry_kept_in_wind_by",
        "How much more of its carry it must keep into 20 mph of wind, as two models of flight have it; it \
         rests on them, and only holds back what is proven else.",
    ),
];

/// What asks for a computed floor of the launch, by its name, and what it asks for.
pub const FLOOR_COMPUTED: (&str, &str) = (
    "launch_floor_computed",
    "Whether its typical launch must be at or above the floor that is computed of its own strikes: below it a \
     weak strike on soaked ground falls short of the wanted carry by more than 5 m, as two models of flight have \
     it. It rests on them, and only holds back what is proven else. Not beside a launch floor.",
);

const fn length(base: &'static str, about: &'static str) -> BriefFigure {
    BriefFigure { base, dimension: Dimension::Length, high: FARTHEST_M, about }
}

const fn angle(base: &'static str, about: &'static str) -> BriefFigure {
    BriefFigure { base, dimension: Dimension::Angle, high: STEEPEST_DEG, about }
}

const fn spin(base: &'static str, about: &'static str) -> BriefFigure {
    BriefFigure { base, dimension: Dimension::Spin, high: FASTEST_RPM, about }
}

/// A brief as stated, in the units kept.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct StatedBrief {
    /// The carries may differ by this much either way, metres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub carry_margin_m: Option<f64>,
    /// The launch must be lower by at least this, degrees.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub launch_lower_by_deg: Option<f64>,
    /// And by no more than this, degrees.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub launch_lower_at_most_deg: Option<f64>,
    /// The spin must be lower by at least this, rpm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spin_lower_by_rpm: Option<f64>,
    /// And by no more than this, rpm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spin_lower_at_most_rpm: Option<f64>,
    /// The wanted carry from here, metres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub slot_low_m: Option<f64>,
    /// The wanted carry up to here, metres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub slot_high_m: Option<f64>,
    /// The candidate's own launch must be above this, degrees.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub launch_floor_deg: Option<f64>,
    /// The candidate's typical launch must be at or above the floor that is computed of its strikes.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub launch_floor_computed: bool,
    /// The candidate's own descent must be steeper than this, degrees.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub descent_floor_deg: Option<f64>,
    /// Answer also with the share of all strikes that carry this far, metres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub must_carry_m: Option<f64>,
    /// Into 20 mph it must keep this much more of its carry, metres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub carry_kept_in_wind_by_m: Option<f64>,
    /// Only shots from this lie.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lie: Option<Lie>,
    /// Only shots with this ball.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ball: Option<BallId>,
    /// Shots meant so high.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub height: Option<Height>,
    /// Shots meant to curve so.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shape: Option<Shape>,
    /// Only shots hit at this instant or later.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from: Option<Timestamp>,
    /// Only shots hit before this instant.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub to: Option<Timestamp>,
}

impl StatedBrief {
    /// One of the figures that `figure` gives by their names without units.
    #[must_use]
    pub fn of_figures(mut figure: impl FnMut(&'static str) -> Option<f64>) -> Self {
        Self {
            carry_margin_m: figure("carry_margin"),
            launch_lower_by_deg: figure("launch_lower_by"),
            launch_lower_at_most_deg: figure("launch_lower_at_most"),
            spin_lower_by_rpm: figure("spin_lower_by"),
            spin_lower_at_most_rpm: figure("spin_lower_at_most"),
            slot_low_m: figure("slot_low"),
            slot_high_m: figure("slot_high"),
            launch_floor_deg: figure("launch_floor"),
            descent_floor_deg: figure("descent_floor"),
            must_carry_m: figure("must_carry"),
            carry_kept_in_wind_by_m: figure("carry_kept_in_wind_by"),
            ..Self::default()
        }
    }

    /// The same with the usual figures where it states none.
    #[must_use]
    pub fn or(self, usual: &Self) -> Self {
        Self {
            carry_margin_m: self.carry_margin_m.or(usual.carry_margin_m),
            launch_lower_by_deg: self.launch_lower_by_deg.or(usual.launch_lower_by_deg),
            launch_lower_at_most_deg: self
                .launch_lower_at_most_deg
                .or(usual.launch_lower_at_most_deg),
            spin_lower_by_rpm: self.spin_lower_by_rpm.or(usual.spin_lower_by_rpm),
            spin_lower_at_most_rpm: self.spin_lower_at_most_rpm.or(usual.spin_lower_at_most_rpm),
            ..self
        }
    }

    /// What no club can meet, each with the member to blame and the mend. `sent` tells how a figure
    /// was spelled, if it was sent at all.
    pub fn contradictions(
        &self,
        sent: impl Fn(&'static str) -> Option<String>,
    ) -> Vec<(String, String)> {
        let mut found = Vec::new();
        found.extend(self.slot_contradiction(&sent));
        if let Some(given) = sent("launch_floor").filter(|_| self.launch_floor_computed) {
            let (computed, _) = FLOOR_COMPUTED;
            let detail =
                format!("a floor is computed or given: leave out `{computed}` or `{given}`");
            found.push((computed.to_owned(), detail));
        }
        if self.launch_floor_deg.is_none() {
            let names = ["launch_lower_by", "launch_lower_at_most"];
            let window = (self.launch_lower_by_deg, self.launch_lower_at_most_deg);
            found.extend(window_contradiction(("launch", "deg"), names, window, &sent));
        }
        let names = ["spin_lower_by", "spin_lower_at_most"];
        let window = (self.spin_lower_by_rpm, self.spin_lower_at_most_rpm);
        found.extend(window_contradiction(("spin", "rpm"), names, window, &sent));
        found
    }

    /// A slot has two ends, the low one first. What is missing is blamed in the unit of what was sent.
    fn slot_contradiction(
        &self,
        sent: impl Fn(&'static str) -> Option<String>,
    ) -> Option<(String, String)> {
        let missing = |other: &str, base: &str, its: &str| {
            let unit = other.strip_prefix(its).unwrap_or_default();
            let missing = format!("{base}{unit}");
            let detail = format!("a slot needs both ends: give `{missing}` too");
            Some((missing, detail))
        };
        match (sent("slot_low"), sent("slot_high")) {
            (Some(_), Some(high)) => {
                let (from, to) = self.slot_low_m.zip(self.slot_high_m)?;
                let detail = "the slot ends where it begins or before: give a higher end";
                (from >= to).then(|| (high, detail.to_owned()))
            }
            (Some(low), None) => missing(&low, "slot_high", "slot_low"),
            (None, Some(high)) => missing(&high, "slot_low", "slot_high"),
            (None, None) => None,
        }
    }
}

/// No club can be lower by at least one figure and by at most a smaller one. Where only one of them
/// was sent, it is the one to blame.
fn window_contradiction(
    (what, unit): (&str, &str),
    [by, at_most]: [&'static str; 2],
    window: (Option<f64>, Option<f64>),
    sent: impl Fn(&'static str) -> Option<String>,
) -> Option<(String, String)> {
    let (least, most) = window.0.zip(window.1)?;
    let blamed = if sent(at_most).is_some() { at_most } else { by };
    (least >= most).then(|| {
        let detail =
            format!("the {what} cannot be lower by {least} and by no more than {most}: widen one");
        (format!("{blamed}_{unit}"), detail)
    })
}

impl StatedBrief {
    /// Reads a brief, with the usual figures where it states none.
    pub(super) fn read(from: &mut Reading<'_, '_>, usual: &Self) -> Self {
        let spelt: Vec<(&str, String)> = BRIEF_FIGURES
            .iter()
            .filter_map(|row| {
                let mut names = units::spellings(row.base, row.dimension);
                Some((row.base, names.find(|name| from.peek(name).is_some())?))
            })
            .collect();
        let figures = Self::of_figures(|base| {
            let row = BRIEF_FIGURES.iter().find(|row| row.base == base)?;
            from.quantity(base, row.dimension, (0.0, row.high))
        });
        let (first, end) = stretch(from);
        let brief = Self {
            launch_floor_computed: from.truth(FLOOR_COMPUTED.0).unwrap_or(false),
            lie: from.word("lie"),
            ball: from.name("ball"),
            height: from.word("height"),
            shape: from.word("shape"),
            from: first,
            to: end,
            ..figures.or(usual)
        };
        let sent =
            |base| spelt.iter().find(|(known, _)| *known == base).map(|(_, name)| name.clone());
        for (member, detail) in brief.contradictions(sent) {
            from.fault_at(&member, &detail);
        }
        if let (Some(first), Some(end)) = (first, end)
            && first >= end
        {
            from.fault_at("to", "is not after from: send a later one");
        }
        brief
    }
}
