//! The bag as a ladder of carries.

use actix_web::{HttpRequest, web};

use super::{
    axes::{Plot, Ruler},
    endpoint,
    ink::{Dash, Ink, Pen, Role},
    letters,
    look::Look,
    of_player, picture,
    scale::{Scale, padded, reach},
    sheet::{Anchor, Area, Hand, Sheet},
    words,
};
use crate::{
    api::{
        endpoint::{Answer, Endpoint},
        insight::{Asked, Names, asked},
        query::{Stretch, Table},
        service::Service,
        units::Units,
    },
    bag::{Brief, CLUBS_ALLOWED, Ladder, Metric, MetricSummary, Rung},
    live::{Drawn, LadderWanted},
    shot::{ClubId, Measure},
};

const PARAMETERS: Table = &[
    asked::BAG,
    asked::EVIDENCE,
    asked::AIR,
    Stretch::PARAMETERS,
    Units::PARAMETERS,
    Look::PARAMETERS,
];

pub(super) const ENDPOINT: Endpoint = Endpoint {
    path: "/v1/players/{player}/ladder.svg",
    handler: || web::to(draw),
    name: "drawLadder",
    about: "The ladder as a picture: what each club carries, the gaps between, and clubs for the same \
            carry.",
    parameters: PARAMETERS,
    ..endpoint::BASE
};

async fn draw(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let (player, mut query, look) = of_player((&service, &request), PARAMETERS)?;
    let (bag, air) = (query.one("bag"), asked::air(&mut query));
    let wanted = LadderWanted { bag, filter: asked::filter(&mut query), air, units: look.units };
    let asked = Asked::read(query, (&service, &request), player)?.kept_in(air);
    picture(asked, service, move |live, player| {
        let names = Names::of(&wanted.filter).bag(wanted.bag.as_ref());
        let drawn = live.ladder_drawn(player, &wanted);
        let drawn = drawn.map_err(|error| names.refuse(&error, live, player))?;
        Ok((drawn.as_of, ladder(look, &drawn)))
    })
    .await
}

/// A club with its carry.
struct Step<'a> {
    rung: &'a Rung,
    name: String,
    carry: &'a MetricSummary,
    centre: f64,
}

fn steps(drawn: &Drawn<Ladder>) -> Vec<Step<'_>> {
    let step = |rung| {
        let carry = carry(rung)?;
        let centre = carry.centre.or(carry.mean)?;
        Some(Step { rung, name: words::club(&drawn.names, &rung.club), carry, centre })
    };
    // Longest on top, as one stands on a ladder.
    drawn.of.rungs.iter().rev().filter_map(step).collect()
}

fn carry(rung: &Rung) -> Option<&MetricSummary> {
    rung.metrics.get(Metric::Measured(Measure::Carry))
}

fn ladder(look: Look, drawn: &Drawn<Ladder>) -> String {
    let owner = letters::name(drawn.of.player.as_str());
    let question =
        format!("Where does the bag of {owner} have gaps, and where two clubs for one carry?");
    let mut sheet = Sheet::new(look, question);
    let steps = steps(drawn);
    let finding = finding(look.units, drawn, &steps);
    if !steps.is_empty() {
        rungs(&mut sheet, drawn, &steps);
    }
    sheet.say(&finding);
    if !steps.is_empty() {
        let slot = look.units.distance(margin());
        sheet.note(&format!(
            "Upright: the middle of a club's carries. Thick: where its mean lies, with 95 % confidence. Thin: \
             eight in ten shots. Pale: its slot, {slot} to either side. Hatched: a wide gap, above {}. \
             Joined: the same carry.",
            look.units.distance(drawn.of.wide_above_m)
        ));
    }
    sheet.finish(&finding)
}

/// How far a slot reaches to either side of a carry: within it two clubs carry the same.
fn margin() -> f64 {
    Brief::default().carry_margin_m
}

fn rungs(sheet: &mut Sheet, drawn: &Drawn<Ladder>, steps: &[Step<'_>]) {
    let (size, small, units) = (sheet.look.size(), sheet.look.small(), sheet.look.units);
    let pitch = 2.7 * size;
    let height = pitch * rows(steps.len()) + Plot::below(sheet);
    let room = sheet.room(height);
    let hand = Hand::new(Ink::Text, size);
    let gap_hand = Hand::new(Ink::Quiet, small).at(Anchor::End);
    let widest = steps.iter().map(|step| hand.width(&step.name)).fold(0.0, f64::max);
    let left = room.left + widest.min(0.28 * room.width()) + 0.8 * size;
    let right = room.right - gap_hand.width("+88 yd wide");
    let area = Area { left, right, bottom: room.bottom - Plot::below(sheet), ..room };
    let ends = |step: &Step<'_>| {
        let (low, high) =
            (step.carry.p10.unwrap_or(step.centre), step.carry.p90.unwrap_or(step.centre));
        [low.min(step.centre - margin()), high.max(step.centre + margin())]
    };
    let reach = reach(steps.iter().flat_map(ends)).unwrap_or([0.0, 1.0]);
    let plot = Plot::new(area, padded(reach, 0.02), [0.0, 1.0]);
    plot.bottom_axis(sheet, (&Ruler::distance(units), "carry"));
    let y = |at: usize| area.top + pitch * (rows(at) + 0.5);
    between(sheet, (drawn, steps), (&plot.x, &y));
    for (at, step) in steps.iter().enumerate() {
        let name = letters::fitted(&step.name, (left - room.left - 0.5 * size) / size);
        sheet.write(&name, [room.left, y(at) + 0.35 * size], hand);
        bar(sheet, step, (&plot.x, y(at)));
        let carry = units.distance(step.centre);
        sheet.write(&carry, [room.right, y(at) + 0.35 * size], hand.at(Anchor::End));
    }
    for (at, pair) in steps.windows(2).enumerate() {
        let (longer, shorter) = (&pair[0], &pair[1]);
        let told = gap(units, drawn, [longer, shorter]);
        let ink = if told.1 { Ink::Text } else { Ink::Quiet };
        let base = f64::midpoint(y(at), y(at + 1)) + 0.35 * small;
        sheet.write(&told.0, [room.right, base], Hand { ink, ..gap_hand });
    }
}

#[allow(clippy::cast_precision_loss)] // a bag's clubs
fn rows(count: usize) -> f64 {
    count as f64
}

/// What stands between two neighbours, and whether it matters.
fn gap(units: Units, drawn: &Drawn<Ladder>, [longer, shorter]: [&Step<'_>; 2]) -> (String, bool) {
    let width = units.distance(longer.centre - shorter.centre);
    let clubs = [&shorter.rung.club, &longer.rung.club];
    let wide = drawn.of.gaps.iter().any(|gap| [&gap.from, &gap.to] == clubs && gap.wide);
    if wide {
        (format!("+{width} wide"), true)
    } else if overlaps(drawn, clubs) {
        (format!("+{width} same"), true)
    } else {
        (format!("+{width}"), false)
    }
}

fn overlaps(drawn: &Drawn<Ladder>, [shorter, longer]: [&ClubId; 2]) -> bool {
    drawn.of.overlaps.iter().any(|pair| pair.clubs.iter().eq([shorter, longer]))
}

/// Wide gaps hatched, clubs for one carry joined.
fn between(
    sheet: &mut Sheet,
    (drawn, steps): (&Drawn<Ladder>, &[Step<'_>]),
    (x, y): (&Scale, &dyn Fn(usize) -> f64),
) {
    let size = sheet.look.size();
    let place = |club: &ClubId| steps.iter().position(|step| step.rung.club == *club);
    for gap in drawn.of.gaps.iter().filter(|gap| gap.wide) {
        let (Some(shorter), Some(longer)) = (place(&gap.from), place(&gap.to)) else { continue };
        let middle = f64::midpoint(y(shorter), y(longer));
        let [left, right] =
            [x.at(steps[shorter].centre + margin()), x.at(steps[longer].centre - margin())];
        let [top, bottom] = [middle - 0.4 * size, middle + 0.4 * size];
        let hole = [[left, top], [right, top], [right, bottom], [left, bottom]];
        sheet.hatch(&hole, &[]);
        sheet.outline(&hole, Pen::new(Ink::Faint, 0.8));
    }
    for pair in &drawn.of.overlaps {
        let [shorter, longer] = &pair.clubs;
        let (Some(shorter), Some(longer)) = (place(shorter), place(longer)) else { continue };
        let ends = [shorter, longer].map(|at| [x.at(steps[at].centre), y(at)]);
        sheet.line(&ends, Pen::new(Ink::Candidate, 0.16 * size).dashed(Dash::Short));
    }
}

/// A club's slot, its middle, where its mean lies, and its shots.
fn bar(sheet: &mut Sheet, step: &Step<'_>, (x, y): (&Scale, f64)) {
    let size = sheet.look.size();
    let [left, right] = [step.centre - margin(), step.centre + margin()].map(|at| x.at(at));
    let [top, bottom] = [y - 0.5 * size, y + 0.5 * size];
    let slot = [[left, top], [right, top], [right, bottom], [left, bottom]];
    sheet.fill(&slot, Ink::Faint, 1.0);
    let mut across = |ends: Option<(f64, f64)>, (y, pen)| {
        if let Some((low, high)) = ends {
            sheet.line(&[[x.within(low), y], [x.within(high), y]], pen);
        }
    };
    let mean = step.carry.interval.low.zip(step.carry.interval.high);
    across(mean, (y - 0.12 * size, Pen::new(Role::Incumbent.ink(), 0.34 * size)));
    let most = step.carry.p10.zip(step.carry.p90);
    across(most, (y + 0.3 * size, Pen::new(Ink::Text, 0.11 * size)));
    let middle = x.at(step.centre);
    sheet.line(&[[middle, top], [middle, bottom]], Pen::new(Ink::Text, 0.17 * size));
}

fn finding(units: Units, drawn: &Drawn<Ladder>, steps: &[Step<'_>]) -> String {
    let ladder = &drawn.of;
    let name = |club: &ClubId| words::club(&drawn.names, club);
    let (Some(longest), Some(shortest)) = (steps.first(), steps.last()) else {
        return String::from(
            "No shot of a club of this bag counts yet: hit some with two clubs or more, and the ladder \
             is drawn.",
        );
    };
    let reach = if steps.len() == 1 {
        format!("The {} carries {}.", longest.name, units.distance(longest.centre))
    } else {
        format!(
            "{} clubs carry from {} ({}) to {} ({}).",
            steps.len(),
            units.distance(shortest.centre),
            shortest.name,
            units.distance(longest.centre),
            longest.name
        )
    };
    let wide = ladder.gaps.iter().filter(|gap| gap.wide).map(|gap| {
        format!(
            "{} from the {} to the {}",
            units.distance(gap.width_m),
            name(&gap.from),
            name(&gap.to)
        )
    });
    let wide: Vec<String> = wide.collect();
    let same = ladder.overlaps.iter();
    let same = same.map(|pair| pair.clubs.each_ref().map(&name).join(" with "));
    let same: Vec<String> = same.collect();
    let inverted = ladder.inversions.iter().filter(|inversion| inversion.proven).map(|inversion| {
        let [stronger, weaker] = inversion.clubs.each_ref().map(&name);
        format!(
            "The {stronger} has less loft than the {weaker} and is proven to carry no more than {} further.",
            units.distance(margin())
        )
    });
    let none =
        ladder.rungs.iter().filter(|rung| steps.iter().all(|step| step.rung.club != rung.club));
    let none: Vec<String> = none.map(|rung| name(&rung.club)).collect();
    words::sentences(&[
        reach,
        match wide.as_slice() {
            [] => String::from("No gap is wide."),
            gaps => format!("Wide gaps: {}.", words::listed(gaps)),
        },
        match same.as_slice() {
            [] => String::from("No two carry the same."),
            pairs => format!("The same carry: {}.", words::listed(pairs)),
        },
        words::sentences(&inverted.collect::<Vec<_>>()),
        if ladder.limit.clubs > CLUBS_ALLOWED {
            format!("{} clubs are more than the {CLUBS_ALLOWED} allowed.", ladder.limit.clubs)
        } else {
            String::new()
        },
        words::basis(ladder.surface, ladder.ball.as_ref()),
        match none.as_slice() {
            [] => String::new(),
            clubs => format!("No shot from there counts of {}.", words::listed(clubs)),
        },
    ])
}
