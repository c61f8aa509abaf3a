//! Landings from above, and the ellipse that should hold a share of them.

use super::{
    axes::{Plot, Ruler},
    ink::{Dash, Ink, Pen, Role},
    letters,
    scale::{padded, reach},
    sheet::{Anchor, Area, Hand, Sheet},
    words,
};
use crate::{
    bag::{Dispersion, Spot},
    shot::{Units, spoken},
};

/// Corners that an ellipse is drawn with.
const CORNERS: u32 = 72;

/// One club's landings.
pub(super) struct Landings<'a> {
    pub(super) role: Role,
    pub(super) name: &'a str,
    pub(super) spots: Vec<[f64; 2]>,
    pub(super) ellipse: Option<&'a Dispersion>,
}

impl<'a> Landings<'a> {
    pub(super) fn of(
        role: Role,
        name: &'a str,
        spots: &[Spot],
        ellipse: Option<&'a Dispersion>,
    ) -> Self {
        let spots = spots.iter().filter_map(|spot| Some([spot.side_m?, spot.carry_m?])).collect();
        Self { role, name, spots, ellipse }
    }

    fn outline(&self) -> Vec<[f64; 2]> {
        let Some(ellipse) = self.ellipse else { return Vec::new() };
        let (sin, cos) = ellipse.angle_deg.to_radians().sin_cos();
        let corner = |at: u32| {
            let (across, along) =
                (f64::from(at) * std::f64::consts::TAU / f64::from(CORNERS)).sin_cos();
            let (long, short) = (along * ellipse.semi_major_m, across * ellipse.semi_minor_m);
            [ellipse.side_m + long * cos - short * sin, ellipse.carry_m + long * sin + short * cos]
        };
        (0..CORNERS).map(corner).collect()
    }

    /// All that has to be seen of it.
    fn extent(&self) -> impl Iterator<Item = [f64; 2]> {
        self.spots.iter().copied().chain(self.outline())
    }
}

/// Draws the landings of some clubs over each other, in true proportions.
pub(super) fn landings(sheet: &mut Sheet, clubs: &[Landings<'_>]) {
    let sides =
        reach(clubs.iter().flat_map(Landings::extent).map(|[side, _]| side).chain([-5.0, 5.0]));
    let carries = reach(clubs.iter().flat_map(Landings::extent).map(|[_, carry]| carry));
    let (Some(sides), Some(carries)) = (sides, carries) else { return };
    let (sides, carries) = (padded(sides, 0.04), padded(carries, 0.04));
    let (size, small) = (sheet.look.size(), sheet.look.small());
    let margins = Plot::left(sheet) + 0.5 * small;
    let width = sheet.look.width - 2.0 * sheet.look.margin() - margins;
    // One metre is as long either way, and names stand above and below.
    let names = 1.8 * size;
    let highest = 0.85 * sheet.look.width - 2.0 * names;
    let per_metre =
        (width / (sides[1] - sides[0])).min(highest / (carries[1] - carries[0]).max(8.0));
    let height = (carries[1] - carries[0]).max(8.0) * per_metre + 2.0 * names;
    let room = sheet.room(Plot::above(sheet) + height + Plot::below(sheet));
    let area = Area {
        left: room.left + Plot::left(sheet),
        top: room.top + Plot::above(sheet),
        right: room.right - 0.5 * small,
        bottom: room.bottom - Plot::below(sheet),
    };
    let (across, up) = (0.5 * area.width() / per_metre, 0.5 * height / per_metre);
    let middle = [f64::midpoint(sides[0], sides[1]), f64::midpoint(carries[0], carries[1])];
    let x = [middle[0] - across, middle[0] + across];
    let plot = Plot::new(area, x, [middle[1] - up, middle[1] + up]);
    let ruler = Ruler::distance(sheet.look.units);
    plot.left_axis(sheet, (&ruler, "carry"));
    plot.bottom_axis(sheet, (&ruler, "right of the target line (−: left)"));
    let line = [[plot.x.at(0.0), area.bottom], [plot.x.at(0.0), area.top]];
    sheet.line(&line, Pen::new(Ink::Quiet, 1.0).dashed(Dash::LongShort));
    for club in clubs {
        draw(sheet, &plot, club);
    }
    name(sheet, &plot, clubs);
}

fn draw(sheet: &mut Sheet, plot: &Plot, club: &Landings<'_>) {
    let size = sheet.look.size();
    let spots: Vec<[f64; 2]> = club.spots.iter().map(|spot| plot.at(*spot)).collect();
    match club.role {
        Role::Incumbent => sheet.dots(&spots, club.role.ink(), 0.17 * size),
        Role::Candidate => sheet.crosses(&spots, club.role.ink(), 0.2 * size),
    }
    let outline: Vec<[f64; 2]> = club.outline().into_iter().map(|corner| plot.at(corner)).collect();
    if !outline.is_empty() {
        sheet.fill(&outline, club.role.ink(), 0.1);
        sheet.outline(&outline, club.role.pen(0.16 * size));
    }
}

/// The name of the club that reaches further above all of it, the other's below.
fn name(sheet: &mut Sheet, plot: &Plot, clubs: &[Landings<'_>]) {
    let size = sheet.look.size();
    let seen = |club: &Landings<'_>| {
        let shown: Vec<[f64; 2]> =
            if club.ellipse.is_some() { club.outline() } else { club.spots.clone() };
        let end = |a: &[f64; 2], b: &[f64; 2]| a[1].total_cmp(&b[1]);
        Some([shown.iter().copied().min_by(end)?, shown.iter().copied().max_by(end)?])
    };
    let mut named: Vec<(&Landings<'_>, [[f64; 2]; 2])> =
        clubs.iter().filter_map(|club| Some((club, seen(club)?))).collect();
    named.sort_by(|(_, a), (_, b)| b[1][1].total_cmp(&a[1][1]));
    let all = reach(clubs.iter().flat_map(Landings::extent).map(|[_, carry]| carry));
    let Some([nearest, farthest]) = all else { return };
    for (at, (club, [low, high])) in named.iter().enumerate() {
        let hand = Hand::new(club.role.ink(), size).bold().at(Anchor::Middle);
        let text = letters::fitted(club.name, 0.9 * plot.area.width() / (letters::BOLD * size));
        let half = 0.5 * hand.width(&text);
        let (tip, base) = if at == 0 {
            (high, plot.y.at(farthest) - 0.7 * size)
        } else {
            (low, plot.y.at(nearest) + 1.3 * size)
        };
        let x = plot.x.at(tip[0]).clamp(plot.area.left + half, plot.area.right - half);
        sheet.write_over(&text, [x, base], hand);
        // Where shots lie between the ellipse and its name, a thread leads there.
        let from = plot.at(*tip);
        let to = [
            from[0].clamp(x - half, x + half),
            if at == 0 { base + 0.3 * size } else { base - 0.9 * size },
        ];
        if (from[1] - to[1]).abs() > size {
            sheet.line(&[from, to], Pen::new(club.role.ink(), 0.8));
        }
    }
}

/// Where a club lands and how wide, as a sentence.
pub(super) fn told(units: Units, name: &str, ellipse: &Dispersion) -> String {
    let distance = |metres: f64| units.distance(metres);
    format!(
        "The {name} lands {} out, {}: an ellipse of {} by {} should hold {} of its shots, and holds {} of \
         {}.",
        distance(ellipse.carry_m),
        words::aside(ellipse.side_m, distance),
        distance(2.0 * ellipse.semi_major_m),
        distance(2.0 * ellipse.semi_minor_m),
        spoken::share(ellipse.share),
        ellipse.inside,
        ellipse.n
    )
}
