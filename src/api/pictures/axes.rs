//! Axes: round figures in the reader's units along the edges of a plot.

use super::{
    ink::{Ink, Pen},
    letters,
    scale::{Scale, round_figures},
    sheet::{Anchor, Area, Hand, Sheet},
};
use crate::shot::{
    Units, spoken,
    units::{FT, YD},
};

/// How a quantity is counted along an axis.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ruler {
    /// Steps that one SI unit makes.
    per_si: f64,
    /// What stands behind a figure.
    unit: &'static str,
}

impl Ruler {
    pub(super) const ANGLE: Self = Self { per_si: 1.0, unit: "degrees" };
    pub(super) const SPIN: Self = Self { per_si: 1.0, unit: "rpm" };
    /// What is counted has no unit.
    pub(super) const COUNT: Self = Self { per_si: 1.0, unit: "" };

    /// Distances along the ground.
    pub(super) fn distance(units: Units) -> Self {
        match units {
            Units::Si => Self { per_si: 1.0, unit: "m" },
            Units::Imperial => Self { per_si: YD.difference_from_si(1.0), unit: "yd" },
        }
    }

    /// Heights.
    pub(super) fn height(units: Units) -> Self {
        match units {
            Units::Si => Self { per_si: 1.0, unit: "m" },
            Units::Imperial => Self { per_si: FT.difference_from_si(1.0), unit: "ft" },
        }
    }

    /// What an axis is about, with its unit.
    pub(super) fn title(&self, about: &str) -> String {
        if self.unit.is_empty() { about.to_owned() } else { format!("{about}, {}", self.unit) }
    }

    /// Round figures between two, so many at most: SI, and as they are written.
    pub(super) fn figures(&self, [low, high]: [f64; 2], at_most: f64) -> Vec<(f64, String)> {
        let figures = round_figures([low * self.per_si, high * self.per_si], at_most);
        figures.into_iter().map(|figure| (figure / self.per_si, spoken::number(figure))).collect()
    }
}

/// A plot: an area with a scale across and one upwards.
#[derive(Debug, Clone, Copy)]
pub(super) struct Plot {
    pub(super) area: Area,
    pub(super) x: Scale,
    pub(super) y: Scale,
    /// By how much what stands above the plot is lifted, to let a line in between.
    pub(super) lift: f64,
}

impl Plot {
    /// A plot of these stretches of figures, the greater ones to the right and above.
    pub(super) fn new(area: Area, x: [f64; 2], y: [f64; 2]) -> Self {
        Self {
            area,
            x: Scale::new(x, [area.left, area.right]),
            y: Scale::new(y, [area.bottom, area.top]),
            lift: 0.0,
        }
    }

    /// Where a point lies.
    pub(super) fn at(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        [self.x.at(x), self.y.at(y)]
    }

    /// Its corners.
    pub(super) fn corners(&self) -> [[f64; 2]; 4] {
        let Area { left, top, right, bottom } = self.area;
        [[left, top], [right, top], [right, bottom], [left, bottom]]
    }

    /// Room that figures to the left of a plot take.
    pub(super) fn left(sheet: &Sheet) -> f64 {
        3.5 * sheet.look.small()
    }

    /// Room that figures below a plot and what they are about take.
    pub(super) fn below(sheet: &Sheet) -> f64 {
        2.7 * sheet.look.small()
    }

    /// Room that a line above a plot takes.
    pub(super) fn above(sheet: &Sheet) -> f64 {
        1.5 * sheet.look.small()
    }

    /// Figures along the bottom, with what they are about.
    pub(super) fn bottom_axis(&self, sheet: &mut Sheet, (ruler, about): (&Ruler, &str)) {
        let small = sheet.look.small();
        let hand = Hand::new(Ink::Quiet, small).at(Anchor::Middle);
        let at_most = (self.area.width() / (4.5 * small)).clamp(2.0, 10.0);
        let base = self.area.bottom + 1.25 * small;
        for (figure, text) in ruler.figures([self.x.from, self.x.to], at_most) {
            let x = self.x.at(figure);
            guide(sheet, [[x, self.area.bottom], [x, self.area.top]]);
            sheet.write(&text, [x, base], hand);
        }
        let title = letters::fitted(&ruler.title(about), self.area.width() / small);
        sheet.write(&title, [self.area.right, base + 1.2 * small], hand.at(Anchor::End));
    }

    /// Figures up the left side, with what they are about above them.
    pub(super) fn left_axis(&self, sheet: &mut Sheet, (ruler, about): (&Ruler, &str)) {
        let small = sheet.look.small();
        let hand = Hand::new(Ink::Quiet, small).at(Anchor::End);
        let height = self.area.bottom - self.area.top;
        let at_most = (height / (2.2 * small)).clamp(2.0, 8.0);
        for (figure, text) in ruler.figures([self.y.from, self.y.to], at_most) {
            let y = self.y.at(figure);
            guide(sheet, [[self.area.left, y], [self.area.right, y]]);
            sheet.write(&text, [self.area.left - 0.5 * small, y + 0.35 * small], hand);
        }
        let margin = sheet.look.margin();
        let title = letters::fitted(&ruler.title(about), (self.area.right - margin) / small);
        let above = self.area.top - self.lift - 0.8 * small;
        sheet.write(&title, [margin, above], hand.at(Anchor::Start));
    }
}

fn guide(sheet: &mut Sheet, ends: [[f64; 2]; 2]) {
    sheet.line(&ends, Pen::new(Ink::Faint, 0.8));
}
