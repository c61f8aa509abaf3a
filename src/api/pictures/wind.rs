//! What head and tail wind do to two clubs.

use actix_web::{HttpRequest, web};

use super::{
    axes::{Plot, Ruler},
    endpoint,
    ink::{Ink, Pen, Role},
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
        insight::{Asked, Names, asked, weather},
        problem::Problem,
        query::{Stretch, Table},
        service::Service,
        units::Units,
    },
    bag::{
        ClubInWeather, ComparisonQuestion, ConditionsOfPair, LosesLess, ModelRange, PairInWeather,
        WindSide,
    },
    flight::CAUTION,
};

const PARAMETERS: Table = &[
    asked::PAIR,
    asked::EVIDENCE,
    weather::MODELS_OF_PAIR,
    Stretch::PARAMETERS,
    Units::PARAMETERS,
    Look::PARAMETERS,
];

pub(super) const ENDPOINT: Endpoint = Endpoint {
    path: "/v1/players/{player}/comparisons/wind.svg",
    handler: || web::to(draw),
    name: "drawWind",
    about: "A comparison as a picture: what both clubs carry from a tail wind of 30 mph to a head wind of 30 \
            mph, flown from their like-for-like launches. An estimate; not for designing nets, screens, \
            fences or safe distances.",
    parameters: PARAMETERS,
    ..endpoint::BASE
};

/// The wind of which the words tell, m/s: 20 mph.
const TOLD_MPS: f64 = 8.940_8;

async fn draw(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let (player, mut query, look) = of_player((&service, &request), PARAMETERS)?;
    let pair = asked::pair(&mut query);
    let question = ComparisonQuestion::from(&asked::filter(&mut query));
    let flown_by = weather::conditions(&mut query).unwrap_or_default();
    let asked = Asked::read(query, (&service, &request), player)?.kept();
    let Some([incumbent, candidate]) = pair else { return Err(Problem::invalid(Vec::new())) };
    picture(asked, service, move |live, player| {
        let clubs = [&incumbent, &candidate];
        let names = Names::of(&question.filter).pair(clubs);
        let gathered = live.weather_drawn(player, clubs, &question);
        let gathered = gathered.map_err(|error| names.refuse(&error, live, player))?;
        let clubs = clubs.map(|club| words::club(&gathered.names, club));
        let flown = gathered.of.fly(&flown_by);
        let flown = flown.map_err(|faults| weather::lost(&faults))?;
        Ok((gathered.as_of, wind(look, &clubs, &flown)))
    })
    .await
}

fn wind(look: Look, names: &[String; 2], flown: &ConditionsOfPair) -> String {
    let [incumbent, candidate] = names;
    let question = format!("In which wind does the {candidate} do better than the {incumbent}?");
    let mut sheet = Sheet::new(look, question);
    let blown = Blown::of(flown);
    if let Some(blown) = &blown {
        blown.draw(&mut sheet, names);
    }
    let finding = match &blown {
        Some(blown) => words::sentences(&[blown.finding(look, names), inferred(flown, names)]),
        None => format!(
            "The {incumbent} and the {candidate} cannot be flown: it takes like-for-like shots of both \
             with ball speed, launch angle and spin."
        ),
    };
    sheet.say(&finding);
    if blown.is_some() {
        sheet.note(&format!("Bands hold eight in ten of the flights. {CAUTION}"));
    }
    sheet.finish(&finding)
}

/// Of which clubs not every spin was measured.
fn inferred(flown: &ConditionsOfPair, names: &[String; 2]) -> String {
    let clubs = names.iter().zip([&flown.incumbent, &flown.candidate]);
    let unmeasured = clubs.filter(|(_, club)| club.spin_inferred > 0).map(|(name, _)| name.clone());
    words::inferred(&unmeasured.collect::<Vec<String>>())
}

/// Both clubs in every wind along the target line, from the strongest tail wind on.
struct Blown<'a> {
    /// The wind into the face, m/s, negative from behind, and both clubs in it.
    winds: Vec<(f64, &'a PairInWeather)>,
}

impl<'a> Blown<'a> {
    fn of(flown: &'a ConditionsOfPair) -> Option<Self> {
        let along = |weather: &'a PairInWeather| {
            let speed = weather.wind.speed_mps;
            let against = match weather.wind_side {
                WindSide::Still => 0.0,
                WindSide::Head => speed,
                WindSide::Tail => -speed,
                WindSide::Cross => return None,
            };
            weather.incumbent.carry_m.median?;
            weather.candidate.carry_m.median?;
            Some((against, weather))
        };
        let mut winds: Vec<_> = flown.still.iter().chain(&flown.winds).filter_map(along).collect();
        winds.sort_by(|(a, _), (b, _)| a.total_cmp(b));
        (winds.len() > 1).then_some(Self { winds })
    }

    fn club(&self, role: Role) -> impl Iterator<Item = (f64, &'a ClubInWeather)> {
        self.winds.iter().map(move |(wind, weather)| match role {
            Role::Incumbent => (*wind, &weather.incumbent),
            Role::Candidate => (*wind, &weather.candidate),
        })
    }

    /// Both clubs in the wind that is told, into the face or from behind.
    fn told(&self, against: f64) -> Option<(f64, &'a PairInWeather)> {
        let found = self.winds.iter().find(|(wind, _)| (wind - against).abs() < 0.01);
        found.map(|(wind, weather)| (*wind, *weather))
    }

    fn draw(&self, sheet: &mut Sheet, names: &[String; 2]) {
        let (size, small, units) = (sheet.look.size(), sheet.look.small(), sheet.look.units);
        let hand = Hand::new(Ink::Text, size).bold();
        let widest = names.iter().map(|name| hand.width(name)).fold(0.0, f64::max);
        let height = (0.6 * sheet.look.width).clamp(20.0 * size, 34.0 * size);
        let room = sheet.room(Plot::above(sheet) + height + Plot::below(sheet) + 1.3 * small);
        let named = widest.min(0.3 * room.width());
        let area = Area {
            left: room.left + Plot::left(sheet),
            top: room.top + Plot::above(sheet),
            right: room.right - named - 0.9 * size,
            bottom: room.bottom - Plot::below(sheet) - 1.3 * small,
        };
        let inset = Area { left: area.left + size, right: area.right - 0.4 * size, ..area };
        let carries = Role::BOTH.into_iter().flat_map(|role| self.club(role));
        let carries = carries.flat_map(|(_, club)| {
            let carry = club.carry_m;
            [carry.p10, carry.median, carry.p90].into_iter().flatten()
        });
        let up = padded(reach(carries).unwrap_or([0.0, 1.0]), 0.05);
        let ends = reach(self.winds.iter().map(|(wind, _)| *wind)).unwrap_or([-1.0, 1.0]);
        let plot = Plot { area, ..Plot::new(inset, ends, up) };
        plot.left_axis(sheet, (&Ruler::distance(units), "carry"));
        self.bottom(sheet, &plot);
        for role in Role::BOTH {
            self.line(sheet, &plot, role);
        }
        for against in [-TOLD_MPS, TOLD_MPS] {
            self.carries(sheet, &plot, against);
        }
        self.names(sheet, &plot, (names, named));
    }

    /// The winds below the plot, and which way they blow.
    fn bottom(&self, sheet: &mut Sheet, plot: &Plot) {
        let (small, units) = (sheet.look.small(), sheet.look.units);
        let hand = Hand::new(Ink::Quiet, small).at(Anchor::Middle);
        let (area, base) = (plot.area, plot.area.bottom + 1.25 * small);
        let still = plot.x.at(0.0);
        sheet.line(&[[still, area.bottom], [still, area.top]], Pen::new(Ink::Quiet, 1.0));
        for (wind, _) in &self.winds {
            let x = plot.x.at(*wind);
            sheet.line(&[[x, area.bottom], [x, area.top]], Pen::new(Ink::Faint, 0.8));
            let speed = units.speed(wind.abs());
            sheet.write(speed.split(' ').next().unwrap_or_default(), [x, base], hand);
        }
        let unit = units.speed(0.0);
        let unit = unit.split(' ').nth(1).unwrap_or_default();
        let ends =
            [(area.left, "from behind", Anchor::Start), (area.right, "into the face", Anchor::End)];
        for (x, text, anchor) in ends {
            sheet.write(text, [x, base + 1.25 * small], hand.at(anchor));
        }
        sheet.write(&format!("wind, {unit}"), [still, base + 2.5 * small], hand);
    }

    fn line(&self, sheet: &mut Sheet, plot: &Plot, role: Role) {
        let point = |(wind, carry): (f64, Option<f64>)| Some(plot.at([wind, carry?]));
        let low = self.club(role).map(|(wind, club)| (wind, club.carry_m.p10));
        let high = self.club(role).map(|(wind, club)| (wind, club.carry_m.p90));
        let low: Vec<[f64; 2]> = low.filter_map(point).collect();
        let band: Vec<[f64; 2]> = high.filter_map(point).chain(low.into_iter().rev()).collect();
        sheet.fill(&band, role.ink(), 0.13);
        let middle = self.club(role).map(|(wind, club)| (wind, club.carry_m.median));
        let middle: Vec<[f64; 2]> = middle.filter_map(point).collect();
        sheet.line(&middle, role.pen(0.17 * sheet.look.size()));
    }

    /// Both carries in one wind: the greater above its line, the other below.
    fn carries(&self, sheet: &mut Sheet, plot: &Plot, against: f64) {
        let Some((wind, [candidate, incumbent])) = self.told(against).and_then(carried) else {
            return;
        };
        let size = sheet.look.size();
        let [above, below] = if candidate > incumbent {
            [(Role::Candidate, candidate), (Role::Incumbent, incumbent)]
        } else {
            [(Role::Incumbent, incumbent), (Role::Candidate, candidate)]
        };
        // Where lines fall to the right there is room below them on the left.
        let under =
            if against < 0.0 { (Anchor::Start, 0.2, 1.4) } else { (Anchor::End, -0.2, 1.4) };
        let over = (Anchor::Start, 0.2, -0.7);
        for ((role, carry), (anchor, across, down)) in [(above, over), (below, under)] {
            let [x, y] = plot.at([wind, carry]);
            sheet.disc([x, y], role.ink(), 0.3 * size);
            let told = sheet.look.units.distance(carry);
            let hand = Hand::new(role.ink(), size).bold().at(anchor);
            sheet.write_over(&told, [x + across * size, y + down * size], hand);
        }
    }

    /// Each name where its line ends.
    fn names(&self, sheet: &mut Sheet, plot: &Plot, (names, room): (&[String; 2], f64)) {
        let size = sheet.look.size();
        let end = |role| self.club(role).last().and_then(|(_, club)| club.carry_m.median);
        let ends =
            Role::BOTH.map(|role| end(role).map_or(plot.area.bottom, |carry| plot.y.at(carry)));
        let mut places = ends;
        apart(&mut places, 1.3 * size, [plot.area.top + size, plot.area.bottom]);
        for ((role, name), (end, place)) in
            Role::BOTH.into_iter().zip(names).zip(ends.into_iter().zip(places))
        {
            let right = plot.area.right;
            let thread = [[plot.x.end, end], [right + 0.6 * size, place]];
            sheet.line(&thread, Pen::new(role.ink(), 0.8));
            let hand = Hand::new(role.ink(), size).bold();
            // Cut only where there is no room: letters are up to so much wider in bold.
            let text = if hand.width(name) <= room {
                name.clone()
            } else {
                letters::fitted(name, room / (letters::BOLD * size))
            };
            sheet.write(&text, [right + 0.8 * size, place + 0.35 * size], hand);
        }
    }

    fn finding(&self, look: Look, [incumbent, candidate]: &[String; 2]) -> String {
        let say = |metres: f64| look.units.distance(metres);
        let still = self.told(0.0).and_then(carried).map(|(_, [one, other])| {
            let [one, other] = [one, other].map(say);
            format!("In still air the {candidate} carries {one} and the {incumbent} {other}.")
        });
        let tell = |against: f64, way: [&str; 2], kept: &dyn Fn(LosesLess, &str) -> String| {
            let there = self.told(against)?;
            let (_, [one, other]) = carried(there)?;
            let (loses_less, by) = (there.1.loses_less?, there.1.candidate_keeps_m?);
            let kept = kept(loses_less, &say(by.estimate.abs()));
            let models = match loses_less {
                LosesLess::Candidate | LosesLess::Incumbent => models(by, say),
                LosesLess::Even | LosesLess::Unclear => String::new(),
            };
            let ([from, to], speed) = (way, look.units.speed(against.abs()));
            let [one, other] = [one, other].map(say);
            Some(format!(
                "{from} {speed} of wind{to} they carry {one} and {other}: {kept}{models}."
            ))
        };
        let head = tell(TOLD_MPS, ["Into", ""], &|loses_less, more| match loses_less {
            LosesLess::Candidate => format!("the {candidate} keeps {more} more of its carry"),
            LosesLess::Incumbent => format!("the {incumbent} keeps {more} more of its carry"),
            LosesLess::Even => String::from("both lose alike"),
            LosesLess::Unclear => String::from("the models do not agree on which loses less"),
        });
        let tail = tell(-TOLD_MPS, ["With", " behind"], &|loses_less, more| match loses_less {
            LosesLess::Candidate => format!("it does {more} more for the {candidate}"),
            LosesLess::Incumbent => format!("it does {more} more for the {incumbent}"),
            LosesLess::Even => String::from("it does as much for both"),
            LosesLess::Unclear => String::from("the models do not agree on which it does more for"),
        });
        words::sentences(&[still, head, tail].map(Option::unwrap_or_default))
    }
}

/// The wind, and what candidate and incumbent carry in it.
fn carried((wind, there): (f64, &PairInWeather)) -> Option<(f64, [f64; 2])> {
    Some((wind, [there.candidate.carry_m.median?, there.incumbent.carry_m.median?]))
}

/// Between what the two models put what one club keeps more than the other.
fn models(kept: ModelRange, say: impl Fn(f64) -> String) -> String {
    let ends = [kept.low.abs(), kept.high.abs()];
    let (low, high) = (say(ends[0].min(ends[1])), say(ends[0].max(ends[1])));
    if low == high {
        String::from(" (by both models)")
    } else {
        format!(" ({low} to {high} by the two models)")
    }
}
