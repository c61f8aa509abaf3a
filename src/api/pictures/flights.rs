//! Two clubs' flights from the side, and where they come down.

use actix_web::{HttpRequest, web};

use super::{
    axes::{Plot, Ruler},
    endpoint,
    ink::{Dash, Ink, Pen, Role},
    letters,
    look::Look,
    of_player, picture,
    scale::reach,
    sheet::{Anchor, Area, Hand, Sheet},
    words,
};
use crate::{
    api::{
        endpoint::{Answer, Endpoint},
        insight::{
            Asked, Names, asked,
            weather::{self, WeatherAsked},
        },
        problem::Problem,
        query::{Stretch, Table},
        service::Service,
        units::Units,
    },
    bag::{Airborne, Brief, ClubToSee, FlightsSeen, TypicalFlight},
    flight::{self, CAUTION, Wind},
    shot::spoken,
};

const PARAMETERS: Table = &[
    asked::PAIR,
    asked::SLOT,
    asked::EVIDENCE,
    weather::PARAMETERS,
    Stretch::PARAMETERS,
    Units::PARAMETERS,
    Look::PARAMETERS,
];

pub(super) const ENDPOINT: Endpoint = Endpoint {
    path: "/v1/players/{player}/comparisons/flights.svg",
    handler: || web::to(draw),
    name: "drawFlights",
    about: "A comparison as a picture: the typical flights of both clubs from the side with their spread, \
            flown from their like-for-like launches in given conditions, and the slot on the ground: the \
            incumbent's carry with the margin on both sides, unless another is given. An estimate; not \
            for designing nets, screens, fences or safe distances.",
    parameters: PARAMETERS,
    ..endpoint::BASE
};

async fn draw(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let (player, mut query, look) = of_player((&service, &request), PARAMETERS)?;
    let pair = asked::pair(&mut query);
    let weather = WeatherAsked::read(&mut query);
    let slot = asked::slot(&mut query);
    let filter = asked::filter(&mut query);
    let asked = Asked::read(query, (&service, &request), player)?.kept();
    let Some([incumbent, candidate]) = pair else { return Err(Problem::invalid(Vec::new())) };
    picture(asked, service, move |live, player| {
        let clubs = [&incumbent, &candidate];
        let names = Names::of(&filter).pair(clubs);
        let gathered = live.flights_drawn(player, clubs, &filter);
        let gathered = gathered.map_err(|error| names.refuse(&error, live, player))?;
        let side = Side { look, weather: &weather, slot: &slot };
        let flown = side.flown(&gathered.of).map_err(|faults| weather::lost(&faults))?;
        let clubs = clubs.map(|club| words::club(&gathered.names, club));
        Ok((gathered.as_of, side.picture(&clubs, &flown)))
    })
    .await
}

/// How the flights are asked for.
struct Side<'a> {
    look: Look,
    weather: &'a WeatherAsked,
    slot: &'a Brief,
}

impl Side<'_> {
    fn flown(&self, clubs: &[ClubToSee; 2]) -> Result<[Option<FlightsSeen>; 2], flight::Faults> {
        let WeatherAsked { conditions, calibrated, .. } = self.weather;
        let seen = |club| {
            let airborne = Airborne::of(club, conditions, *calibrated);
            airborne.map(|club| club.seen(conditions)).transpose()
        };
        let [incumbent, candidate] = clubs;
        Ok([seen(incumbent)?, seen(candidate)?])
    }

    fn picture(&self, names: &[String; 2], flown: &[Option<FlightsSeen>; 2]) -> String {
        let [incumbent, candidate] = names;
        let question = format!("How does the {candidate} fly to where the {incumbent} lands?");
        let mut sheet = Sheet::new(self.look, question);
        let clubs: Vec<InAir<'_>> = Role::BOTH
            .into_iter()
            .zip(names)
            .zip(flown)
            .filter_map(|((role, name), seen)| InAir::of(role, name, seen.as_ref()?))
            .collect();
        let slot = self.slot(&clubs);
        if let Some(slot) = slot {
            self.draw(&mut sheet, &clubs, slot);
        }
        let finding = self.finding(names, &clubs, slot);
        sheet.say(&finding);
        if !clubs.is_empty() {
            sheet.note(CAUTION);
        }
        sheet.finish(&finding)
    }

    /// The wanted carry: what was asked for, else the incumbent's with the margin on both sides.
    fn slot(&self, clubs: &[InAir<'_>]) -> Option<[f64; 2]> {
        let margin = self.slot.carry_margin_m;
        let own = || {
            let carry = clubs.iter().find(|club| club.role == Role::Incumbent)?.typical.carry_m;
            Some([carry - margin, carry + margin])
        };
        let asked = self.slot.slot_low_m.zip(self.slot.slot_high_m);
        let asked = asked.map(|(low, high)| [low, high]).filter(|_| !clubs.is_empty());
        asked.or_else(own)
    }

    fn finding(&self, names: &[String; 2], clubs: &[InAir<'_>], slot: Option<[f64; 2]>) -> String {
        let units = self.look.units;
        let each = names.iter().map(|name| {
            let Some(InAir { typical, carries, .. }) = clubs.iter().find(|club| club.name == name) else {
                return format!(
                    "The {name} cannot be flown: it takes like-for-like shots with ball speed, launch \
                     angle and spin."
                );
            };
            let spread = carries.map(|[low, high]| {
                format!("; eight in ten carry {} to {}", units.distance(low), units.distance(high))
            });
            format!(
                "The {name} carries {}, {} high, and comes down at {}{}.",
                units.distance(typical.carry_m),
                units.height(typical.apex_m),
                spoken::angle(typical.descent_angle_deg),
                spread.unwrap_or_default()
            )
        });
        let each = words::sentences(&each.collect::<Vec<_>>());
        let slot = slot.map(|[low, high]| {
            format!("The slot is {} to {}.", units.distance(low), units.distance(high))
        });
        let unmeasured = clubs.iter().filter(|club| club.seen.inferred);
        let unmeasured: Vec<String> = unmeasured.map(|club| club.name.clone()).collect();
        let inferred = words::inferred(&unmeasured);
        words::sentences(&[each, slot.unwrap_or_default(), self.conditions(), inferred])
    }

    fn conditions(&self) -> String {
        let conditions = &self.weather.conditions;
        let Wind { speed_mps, from_deg, .. } = conditions.wind;
        let air = if conditions.weather == flight::Weather::REFERENCE {
            "air of 20 °C at sea level"
        } else {
            "the air asked for"
        };
        if speed_mps > 0.0 {
            let speed = self.look.units.speed(speed_mps);
            format!("Flown in {air}, in a wind of {speed} from {}.", spoken::angle(from_deg))
        } else {
            format!("Flown in still {}.", air.trim_start_matches("the "))
        }
    }

    fn draw(&self, sheet: &mut Sheet, clubs: &[InAir<'_>], slot: [f64; 2]) {
        let (size, small) = (sheet.look.size(), sheet.look.small());
        let ends = clubs.iter().flat_map(|club| club.carries.unwrap_or([club.typical.carry_m; 2]));
        let farthest = reach(ends.chain(slot)).map_or(1.0, |[_, high]| high);
        let heights = clubs.iter().flat_map(|club| club.seen.band.iter().map(|[_, _, high]| *high));
        let highest = reach(heights.chain([1.0])).map_or(1.0, |[_, high]| high);
        let across = sheet.look.width - 2.0 * sheet.look.margin() - Plot::left(sheet) - small;
        let per_metre = across / (1.03 * farthest);
        let times = (0.4 * across / (highest * per_metre)).floor().clamp(1.0, 4.0);
        let height = highest * per_metre * times + 1.9 * size;
        let rows = 1.7 * size * (rows(clubs.len()) + 1.0);
        let room = sheet.room(Plot::above(sheet) + height + rows + Plot::below(sheet));
        let top = room.top + Plot::above(sheet);
        let (left, right) = (room.left + Plot::left(sheet), room.right - small);
        let air = Area { left, top, right, bottom: top + height };
        let all = Area { bottom: air.bottom + rows, ..air };
        let x = [0.0, 1.03 * farthest];
        let up = height / (per_metre * times);
        let (plot, whole) = (Plot::new(air, x, [0.0, up]), Plot::new(all, x, [0.0, 1.0]));
        let units = self.look.units;
        whole.bottom_axis(sheet, (&Ruler::distance(units), "carry"));
        let taller = if times > 1.0 {
            format!("height, drawn {times} times as tall")
        } else {
            String::from("height")
        };
        plot.left_axis(sheet, (&Ruler::height(units), &taller));
        let [low, high] = slot.map(|at| plot.x.at(at));
        let column = [[low, air.top], [high, air.top], [high, all.bottom], [low, all.bottom]];
        sheet.fill(&column, Ink::Faint, 0.55);
        for club in clubs {
            club.draw(sheet, &plot);
        }
        sheet.line(&[[air.left, air.bottom], [air.right, air.bottom]], Pen::new(Ink::Text, 1.2));
        name(sheet, &plot, clubs);
        let row = |at: usize| air.bottom + 1.7 * size * (self::rows(at) + 0.6);
        let told = slot.map(|at| units.distance(at)).join(" to ");
        let bar = Bar { ends: slot, middle: None, pen: Pen::new(Ink::Text, 0.4 * size) };
        bar.draw(sheet, (&plot, row(0)), &format!("slot {told}"));
        for (at, club) in clubs.iter().enumerate() {
            let carry = club.typical.carry_m;
            let ends = club.carries.unwrap_or([carry; 2]);
            let bar = Bar { ends, middle: Some(carry), pen: club.role.pen(0.24 * size) };
            let told = format!("{} {}", club.name, units.distance(carry));
            bar.draw(sheet, (&plot, row(at + 1)), &told);
        }
    }
}

#[allow(clippy::cast_precision_loss)] // a few rows
fn rows(count: usize) -> f64 {
    count as f64
}

/// A club's flights with its name.
struct InAir<'a> {
    role: Role,
    name: &'a String,
    seen: &'a FlightsSeen,
    typical: TypicalFlight,
    /// Carries that a tenth of the flights are below and above.
    carries: Option<[f64; 2]>,
}

impl<'a> InAir<'a> {
    fn of(role: Role, name: &'a String, seen: &'a FlightsSeen) -> Option<Self> {
        let carries = seen.flown.spread.carry_m;
        let carries = carries.p10.zip(carries.p90).map(|(low, high)| [low, high]);
        Some(Self { role, name, seen, typical: seen.flown.typical?, carries })
    }

    fn draw(&self, sheet: &mut Sheet, plot: &Plot) {
        let high = self.seen.band.iter().map(|[far, _, high]| plot.at([*far, *high]));
        let low = self.seen.band.iter().rev().map(|[far, low, _]| plot.at([*far, *low]));
        let band: Vec<[f64; 2]> = high.chain(low).collect();
        sheet.fill(&band, self.role.ink(), 0.16);
        let path: Vec<[f64; 2]> = self.seen.path.iter().map(|point| plot.at(*point)).collect();
        sheet.line(&path, self.role.pen(0.17 * sheet.look.size()));
    }

    /// The top of its typical flight.
    fn apex(&self) -> [f64; 2] {
        let path = self.seen.path.iter().copied();
        path.max_by(|a, b| a[1].total_cmp(&b[1])).unwrap_or_default()
    }

    /// The lower edge of its band at a distance.
    fn floor(&self, far: f64) -> Option<f64> {
        self.seen.band.iter().find(|[at, ..]| *at >= far).map(|[_, low, _]| *low)
    }
}

/// The name of the higher flight above it, that of the lower one under it.
fn name(sheet: &mut Sheet, plot: &Plot, clubs: &[InAir<'_>]) {
    let size = sheet.look.size();
    let mut by_height: Vec<&InAir<'_>> = clubs.iter().collect();
    by_height.sort_by(|a, b| b.typical.apex_m.total_cmp(&a.typical.apex_m));
    for (at, club) in by_height.into_iter().enumerate() {
        let hand = Hand::new(club.role.ink(), size).bold().at(Anchor::Middle);
        let text = letters::fitted(club.name, 0.9 * plot.area.width() / (letters::BOLD * size));
        let half = 0.5 * hand.width(&text);
        let [x, y] = plot.at(club.apex());
        let tops = clubs.iter().flat_map(|club| club.seen.band.iter().map(|[_, _, high]| *high));
        let top = reach(tops).map_or(y, |[_, high]| plot.y.at(high));
        let under = club.floor(club.apex()[0]).map_or(y, |low| plot.y.at(low));
        let base = if at == 0 {
            top - 0.6 * size
        } else {
            (under + 1.2 * size).min(plot.area.bottom - 0.5 * size)
        };
        let x = x.clamp(plot.area.left + half, plot.area.right - half);
        sheet.write_over(&text, [x, base], hand);
    }
}

/// A stretch of the ground, told to its left.
struct Bar {
    ends: [f64; 2],
    middle: Option<f64>,
    pen: Pen,
}

impl Bar {
    fn draw(&self, sheet: &mut Sheet, (plot, y): (&Plot, f64), told: &str) {
        let size = sheet.look.size();
        let [low, high] = self.ends.map(|end| plot.x.at(end));
        sheet.line(&[[low, y], [high, y]], self.pen);
        if let Some(x) = self.middle.map(|middle| plot.x.at(middle)) {
            sheet.line(
                &[[x, y - 0.5 * size], [x, y + 0.5 * size]],
                Pen { dash: Dash::Solid, ..self.pen },
            );
        }
        let hand = Hand::new(self.pen.ink, size).at(Anchor::End);
        let room = (low - plot.area.left - 0.6 * size) / size;
        sheet.write_over(&letters::fitted(told, room), [low - 0.6 * size, y + 0.35 * size], hand);
    }
}
