//! How two clubs launch and spin, beside what the brief asks.

use actix_web::{HttpRequest, web};

use super::{
    axes::{Plot, Ruler},
    endpoint,
    ink::{Dash, Ink, Pen, Role},
    letters,
    look::Look,
    of_player, picture,
    scale::{apart, padded, reach},
    sheet::{Anchor, Area, Hand, Sheet},
    words,
};
use crate::{
    api::{
        endpoint::{Answer, Endpoint},
        insight::{Asked, Names, asked},
        problem::Problem,
        query::{Stretch, Table},
        service::Service,
        units::Units,
    },
    bag::{Brief, Candidate, Criterion, CriterionState, Figure, Interval, Replacements, Spot},
    live::{Drawn, PlaceWanted, SpotsOfPair},
    shot::spoken,
};

const PARAMETERS: Table = &[
    asked::PLACE,
    asked::BRIEF,
    asked::EVIDENCE,
    asked::AIR_OF_PLACE,
    Stretch::PARAMETERS,
    Units::PARAMETERS,
    Look::PARAMETERS,
];

pub(super) const ENDPOINT: Endpoint = Endpoint {
    path: "/v1/players/{player}/replacements.svg",
    handler: || web::to(draw),
    name: "drawReplacements",
    about: "A verdict as a picture: launch against spin of the incumbent and of the candidate that comes \
            first, with the brief's limits as lines and what lies outside hatched.",
    parameters: PARAMETERS,
    ..endpoint::BASE
};

async fn draw(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let (player, mut query, look) = of_player((&service, &request), PARAMETERS)?;
    let wanted = asked::place(&mut query);
    let asked = Asked::read(query, (&service, &request), player)?;
    let wanted = wanted.ok_or_else(|| Problem::invalid(Vec::new()))?;
    let asked = asked.kept_in(wanted.air.unwrap_or_default());
    let wanted = PlaceWanted { units: look.units, ..wanted };
    picture(asked, service, move |live, player| {
        let names = Names::of(&wanted.brief.filter).clubs("incumbent", [&wanted.incumbent]);
        let names = names.clubs("candidate", &wanted.candidates);
        let drawn = live.replacements_drawn(player, &wanted);
        let drawn = drawn.map_err(|error| names.refuse(&error, live, player))?;
        Ok((drawn.as_of, replacements(look, &drawn)))
    })
    .await
}

fn replacements(look: Look, drawn: &Drawn<(Replacements, SpotsOfPair)>) -> String {
    let (judged, spots) = &drawn.of;
    let incumbent = words::club(&drawn.names, &judged.incumbent);
    let Some(first) = judged.candidates.first() else {
        let question = format!("Which club flies as the place of the {incumbent} asks?");
        let mut sheet = Sheet::new(look, question);
        let finding = format!(
            "No club carries near the {incumbent} from the same surface with the same ball: name one with \
             `candidate`."
        );
        sheet.say(&finding);
        return sheet.finish(&finding);
    };
    let candidate = words::club(&drawn.names, &first.club);
    let question =
        format!("Does the {candidate} launch and spin as the place of the {incumbent} asks?");
    let mut sheet = Sheet::new(look, question);
    let launched = Launched::of(&judged.brief, first, spots);
    if let Some(launched) = &launched {
        launched.draw(&mut sheet, [&incumbent, &candidate]);
    }
    let finding = finding(&judged.brief, first, [&incumbent, &candidate], launched.is_some());
    sheet.say(&finding);
    if launched.is_some() {
        sheet.note(&format!(
            "Lines: how much lower than the {incumbent}, in the mean, the brief asks for. Hatched: outside \
             of it. Ringed: the mean of each; the bars at the {candidate}'s show how far it is known, with \
             95 % confidence."
        ));
    }
    sheet.finish(&finding)
}

/// What is drawn: launch angle, degrees, and spin, rpm.
struct Launched {
    incumbent: Vec<[f64; 2]>,
    candidate: Vec<[f64; 2]>,
    /// The incumbent's mean.
    middle: [f64; 2],
    /// How the candidate differs in launch and spin.
    differs: [Interval; 2],
    /// Between which launches and spins the candidate's mean is wanted.
    wanted: [[f64; 2]; 2],
    /// How the limits are told.
    told: [[String; 2]; 2],
}

impl Launched {
    fn of(brief: &Brief, candidate: &Candidate, spots: &SpotsOfPair) -> Option<Self> {
        let point = |spot: &Spot| Some([spot.launch_angle_deg?, spot.spin_rate_rpm?]);
        let points = |spots: &[Spot]| spots.iter().filter_map(point).collect::<Vec<_>>();
        let (incumbent, tried) = (points(&spots.incumbent), points(&spots.candidate));
        let middle = mean(&incumbent)?;
        mean(&tried)?;
        let lower = |by: f64, of: usize| middle[of] - by;
        let angle = |by: f64| spoken::angle(-by);
        let floor = brief.launch_floor_deg;
        let lowest = floor.unwrap_or_else(|| lower(brief.launch_lower_at_most_deg, 0));
        Some(Self {
            wanted: [
                [lowest, lower(brief.launch_lower_by_deg, 0)],
                [lower(brief.spin_lower_at_most_rpm, 1), lower(brief.spin_lower_by_rpm, 1)],
            ],
            told: [
                [
                    floor.map_or_else(
                        || angle(brief.launch_lower_at_most_deg),
                        |floor| format!("floor {}", spoken::angle(floor)),
                    ),
                    angle(brief.launch_lower_by_deg),
                ],
                [brief.spin_lower_at_most_rpm, brief.spin_lower_by_rpm].map(|by| spoken::spin(-by)),
            ],
            differs: [Criterion::LaunchLower, Criterion::SpinLower].map(|name| of(candidate, name)),
            middle,
            incumbent,
            candidate: tried,
        })
    }

    fn draw(&self, sheet: &mut Sheet, names: [&str; 2]) {
        let (size, small) = (sheet.look.size(), sheet.look.small());
        let quiet = Hand::new(Ink::Text, small);
        let told = self.told[1].iter().map(|text| quiet.width(text)).fold(0.0, f64::max);
        let height = 0.62 * sheet.look.width.min(900.0);
        let room = sheet.room(Plot::above(sheet) + 1.4 * small + height + Plot::below(sheet));
        let area = Area {
            left: room.left + 1.15 * Plot::left(sheet),
            top: room.top + Plot::above(sheet) + 1.4 * small,
            right: room.right - told - 0.8 * small,
            bottom: room.bottom - Plot::below(sheet),
        };
        let all = || self.incumbent.iter().chain(&self.candidate);
        let span = |of: usize| {
            let means = [self.middle[of], self.wanted[of][0], self.wanted[of][1]];
            let span = reach(all().map(|point| point[of]).chain(means)).unwrap_or([0.0, 1.0]);
            // Names stand above and below.
            padded(span, if of == 0 { 0.06 } else { 0.12 })
        };
        let plot = Plot { lift: 1.4 * small, ..Plot::new(area, span(0), span(1)) };
        plot.bottom_axis(sheet, (&Ruler::ANGLE, "launch"));
        plot.left_axis(sheet, (&Ruler::SPIN, "spin"));
        self.limits(sheet, &plot);
        let place = |points: &[[f64; 2]]| points.iter().map(|p| plot.at(*p)).collect::<Vec<_>>();
        sheet.dots(&place(&self.incumbent), Ink::Incumbent, 0.16 * size);
        sheet.crosses(&place(&self.candidate), Ink::Candidate, 0.19 * size);
        self.means(sheet, &plot);
        self.names(sheet, &plot, names);
    }

    /// The limits as lines, named at their ends; all outside of them hatched.
    fn limits(&self, sheet: &mut Sheet, plot: &Plot) {
        let small = sheet.look.small();
        let (area, hand) = (plot.area, Hand::new(Ink::Text, small));
        let [launches, spins] = self.wanted;
        let ([left, right], [low, high]) =
            (launches.map(|at| plot.x.within(at)), spins.map(|at| plot.y.within(at)));
        if right > left {
            sheet.hatch(&plot.corners(), &[[left, high], [right, high], [right, low], [left, low]]);
        } else {
            sheet.hatch(&plot.corners(), &[]);
        }
        let pen = Pen::new(Ink::Text, 1.2).dashed(Dash::Short);
        for x in [left, right] {
            sheet.line(&[[x, area.top], [x, area.bottom]], pen);
        }
        for y in [low, high] {
            sheet.line(&[[area.left, y], [area.right, y]], pen);
        }
        let [lower, upper] = &self.told[0];
        let above = area.top - 0.45 * small;
        sheet.write(lower, [left - 0.2 * small, above], hand.at(Anchor::End));
        sheet.write(upper, [right + 0.2 * small, above], hand);
        let mut places = [low, high];
        apart(&mut places, 1.25 * small, [area.top + small, area.bottom]);
        for (text, y) in self.told[1].iter().zip(places) {
            sheet.write(text, [area.right + 0.5 * small, y + 0.35 * small], hand);
        }
    }

    /// Both means; the candidate's with how far it is known.
    fn means(&self, sheet: &mut Sheet, plot: &Plot) {
        let size = sheet.look.size();
        sheet.ringed(plot.at(self.middle), Ink::Incumbent, 0.4 * size);
        let [launch, spin] = self.differs;
        let Some((by, less)) = launch.estimate.zip(spin.estimate) else { return };
        let [x, y] = [self.middle[0] + by, self.middle[1] + less];
        let pen = Pen::new(Ink::Candidate, 0.2 * size);
        if let Some((low, high)) = launch.low.zip(launch.high) {
            let ends =
                [low, high].map(|end| [plot.x.within(self.middle[0] + end), plot.y.within(y)]);
            sheet.line(&ends, pen);
        }
        if let Some((low, high)) = spin.low.zip(spin.high) {
            let ends =
                [low, high].map(|end| [plot.x.within(x), plot.y.within(self.middle[1] + end)]);
            sheet.line(&ends, pen);
        }
        sheet.ringed([plot.x.within(x), plot.y.within(y)], Ink::Candidate, 0.4 * size);
    }

    /// The name of the club that spins more above its shots, the other's below.
    fn names(&self, sheet: &mut Sheet, plot: &Plot, [incumbent, candidate]: [&str; 2]) {
        let size = sheet.look.size();
        let clubs = [
            (incumbent, Role::Incumbent, &self.incumbent),
            (candidate, Role::Candidate, &self.candidate),
        ];
        let spins = clubs.map(|(_, _, points)| mean(points).map_or(0.0, |[_, spin]| spin));
        for (at, (name, role, points)) in clubs.into_iter().enumerate() {
            let above = if at == 0 { spins[0] >= spins[1] } else { spins[1] > spins[0] };
            let Some([launch, _]) = mean(points) else { continue };
            let Some([least, most]) = reach(points.iter().map(|[_, spin]| *spin)) else { continue };
            let hand = Hand::new(role.ink(), size).bold().at(Anchor::Middle);
            let text = letters::fitted(name, 0.8 * plot.area.width() / (letters::BOLD * size));
            let half = 0.5 * hand.width(&text);
            let x = plot.x.at(launch).clamp(plot.area.left + half, plot.area.right - half);
            let y = if above {
                (plot.y.at(most) - 0.6 * size).max(plot.area.top + size)
            } else {
                (plot.y.at(least) + 1.2 * size).min(plot.area.bottom - 0.4 * size)
            };
            sheet.write_over(&text, [x, y], hand);
        }
    }
}

#[allow(clippy::cast_precision_loss)] // counts of shots stay far below 2^52
fn mean(points: &[[f64; 2]]) -> Option<[f64; 2]> {
    let count = points.len() as f64;
    let sum = |of: usize| points.iter().map(|point| point[of]).sum::<f64>();
    (!points.is_empty()).then(|| [sum(0) / count, sum(1) / count])
}

/// The difference that a criterion speaks of.
fn of(candidate: &Candidate, name: Criterion) -> Interval {
    let found = candidate.criteria.iter().find(|criterion| criterion.name == name);
    found.map_or(Interval::UNKNOWN, |criterion| criterion.interval)
}

fn finding(
    brief: &Brief,
    candidate: &Candidate,
    [incumbent, tried]: [&str; 2],
    is_drawn: bool,
) -> String {
    let at_most = |floor: Option<f64>, most: String| {
        floor.map_or_else(
            || format!("and at most {most}"),
            |floor| format!("and not below {}", spoken::angle(floor)),
        )
    };
    let launch = words::difference(
        &of(candidate, Criterion::LaunchLower),
        ["higher", "lower"],
        spoken::angle,
    );
    let launch = launch.map(|told| {
        format!(
            "The {tried} launches {told}. The brief asks for at least {} lower {}: {}.",
            spoken::angle(brief.launch_lower_by_deg),
            at_most(brief.launch_floor_deg, spoken::angle(brief.launch_lower_at_most_deg)),
            state(candidate, (Criterion::LaunchLower, "launch_angle_deg"))
        )
    });
    let spin =
        words::difference(&of(candidate, Criterion::SpinLower), ["more", "less"], spoken::spin);
    let spin = spin.map(|told| {
        format!(
            "It spins {told}. The brief asks for at least {} less {}: {}.",
            spoken::spin(brief.spin_lower_by_rpm),
            at_most(None, spoken::spin(brief.spin_lower_at_most_rpm)),
            state(candidate, (Criterion::SpinLower, "spin_rate_rpm"))
        )
    });
    let missing = match (&launch, &spin, is_drawn) {
        (Some(_), Some(_), true) => String::new(),
        _ => candidate.next.as_ref().map_or_else(
            || {
                format!(
                    "Like-for-like shots of the {incumbent} and the {tried} with launch angle and spin are \
                     missing."
                )
            },
            |next| next.words.clone(),
        ),
    };
    let mut of_shots =
        candidate.criteria.iter().filter(|criterion| criterion.of != Figure::Computed);
    let hindered = of_shots.find_map(|criterion| criterion.hindered_by);
    words::sentences(&[
        launch.unwrap_or_default(),
        spin.unwrap_or_default(),
        missing,
        hindered.map(|why| format!("Not to be proven: {why}.")).unwrap_or_default(),
        words::verdict(candidate.verdict, tried, incumbent),
    ])
}

/// How both ends of what is asked of a measure stand together.
fn state(candidate: &Candidate, (lower, metric): (Criterion, &str)) -> &'static str {
    let of_both = candidate.criteria.iter().filter(|criterion| {
        criterion.name == lower
            || (criterion.name == Criterion::NotTooLow && criterion.metric == metric)
    });
    let states: Vec<CriterionState> = of_both.map(|criterion| criterion.state).collect();
    if states.contains(&CriterionState::Broken) {
        "proven to miss that"
    } else if states.iter().all(|state| *state == CriterionState::Met) {
        "proven"
    } else {
        "not proven yet"
    }
}
