//! Whether clubs still carry what their slots say, visit by visit.

use actix_web::{HttpRequest, web};
use jiff::civil::Date;

use super::{
    axes::{Plot, Ruler},
    endpoint,
    ink::{Dash, Ink, Pen},
    letters,
    look::Look,
    of_player, picture,
    scale::{padded, reach},
    sheet::{Anchor, Area, Hand, Sheet},
    words,
};
use crate::{
    api::{
        endpoint::{Answer, Endpoint},
        insight::{Asked, Names, asked},
        query::Table,
        service::Service,
        units::Units,
    },
    bag::{Brief, DriftScore, DriftState, Drifts, WatchedClub},
    live::{Drawn, DriftsWanted},
    shot::ClubId,
};

const PARAMETERS: Table = &[asked::CLUB, Units::PARAMETERS, Look::PARAMETERS];

pub(super) const ENDPOINT: Endpoint = Endpoint {
    path: "/v1/players/{player}/drifts.svg",
    handler: || web::to(draw),
    name: "drawDrifts",
    about: "Drifts as a picture: how far every visit's carry lay from the club's slot, of one club or of \
            all that are watched.",
    parameters: PARAMETERS,
    ..endpoint::BASE
};

async fn draw(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let (player, mut query, look) = of_player((&service, &request), PARAMETERS)?;
    let club: Option<ClubId> = query.one("club");
    let asked = Asked::read(query, (&service, &request), player)?;
    let wanted = DriftsWanted { club, units: look.units };
    picture(asked, service, move |live, player| {
        let names = Names::default().clubs("club", &wanted.club);
        let drawn = live.drifts_drawn(player, &wanted);
        let drawn = drawn.map_err(|error| names.refuse(&error, live, player))?;
        Ok((drawn.as_of, drifts(look, &drawn, wanted.club.is_some())))
    })
    .await
}

fn drifts(look: Look, drawn: &Drawn<Drifts>, alone: bool) -> String {
    let watched = &drawn.of.clubs;
    let question = match (alone, watched.first()) {
        (true, Some(club)) => {
            format!("Does the {} still carry what it did?", words::club(&drawn.names, &club.club))
        }
        _ => format!(
            "Which clubs of {} still carry what they did?",
            letters::name(drawn.of.player.as_str())
        ),
    };
    let mut sheet = Sheet::new(look, question);
    let shown: Vec<&WatchedClub> = watched.iter().filter(|club| !club.scores.is_empty()).collect();
    let names: Vec<String> =
        shown.iter().map(|club| words::club(&drawn.names, &club.club)).collect();
    let widest = names.iter().map(|name| Hand::new(Ink::Text, look.size()).width(name));
    let widest = widest.fold(0.0, f64::max);
    let frame = Frame { widest, ..Frame::of(&shown, alone) };
    frame.panels(&mut sheet, (&shown, &names));
    let finding = finding(drawn, alone);
    sheet.say(&finding);
    if !shown.is_empty() {
        sheet.note(&format!(
            "A dot: a visit's carry against the club's slot, less what other clubs did that day; a ring: no \
             other club was hit, so the day itself may be why. Pale: {} to either side. A cross: the visit \
             that raised the question.",
            look.units.distance(margin())
        ));
    }
    sheet.finish(&finding)
}

fn finding(drawn: &Drawn<Drifts>, alone: bool) -> String {
    let clubs = &drawn.of.clubs;
    if alone {
        return words::sentences(&clubs.iter().map(|club| club.words.clone()).collect::<Vec<_>>());
    }
    let those = |state: DriftState| clubs.iter().filter(move |club| club.state == state);
    let name = |club: &WatchedClub| words::club(&drawn.names, &club.club);
    let moved: Vec<String> =
        those(DriftState::MayHaveDrifted).map(|club| club.words.clone()).collect();
    let steady: Vec<String> = those(DriftState::Steady).map(name).collect();
    let learning: Vec<String> = those(DriftState::Learning).map(name).collect();
    let told = |clubs: &[String], what: &str| {
        if clubs.is_empty() { String::new() } else { format!("{what}: {}.", words::listed(clubs)) }
    };
    if clubs.is_empty() {
        return String::from(
            "No club is watched yet: hit one, and its slot is learnt in five visits.",
        );
    }
    words::sentences(&[
        words::sentences(&moved),
        told(&steady, "As before, as far as can be told"),
        told(&learning, "Still to be learnt, in five visits each"),
    ])
}

/// How far from a club's slot a carry may be and still count as the same.
fn margin() -> f64 {
    Brief::default().carry_margin_m
}

/// From how many pixels on clubs stand in two columns, and from how many clubs.
const TWO_COLUMNS: (f64, usize) = (900.0, 4);

/// What all panels have in common.
struct Frame {
    /// The first and the last day.
    days: [Date; 2],
    /// How far down and up a panel reaches, metres.
    reach: [f64; 2],
    /// How wide the widest name is, pixels.
    widest: f64,
    alone: bool,
}

impl Frame {
    fn of(shown: &[&WatchedClub], alone: bool) -> Self {
        let scores = || shown.iter().flat_map(|club| &club.scores);
        let dates = || scores().map(|score| score.visit.date);
        let day = |date: Option<Date>| date.unwrap_or_default();
        let changes = scores().map(|score| score.carry_change_m);
        let least = [-1.3, 1.3].map(|times| times * margin());
        Self {
            days: [day(dates().min()), day(dates().max())],
            reach: padded(reach(changes.chain(least)).unwrap_or(least), 0.06),
            widest: 0.0,
            alone,
        }
    }

    /// Days since the first.
    fn day(&self, score: &DriftScore) -> f64 {
        days_between(self.days[0], score.visit.date)
    }

    fn area(&self, sheet: &Sheet, room: Area) -> Area {
        let (size, small) = (sheet.look.size(), sheet.look.small());
        if self.alone {
            let left = room.left + Plot::left(sheet);
            return Area { left, right: room.right - 0.8 * size, ..room };
        }
        let told = Hand::new(Ink::Quiet, small).width("as before");
        let left = (self.widest + size).min(0.29 * room.width());
        let right = (told + size).min(0.24 * room.width());
        Area { left: room.left + left, right: room.right - right, ..room }
    }

    /// All clubs, down one column after the other, with the days below each.
    fn panels(&self, sheet: &mut Sheet, (clubs, names): (&[&WatchedClub], &[String])) {
        let (size, small) = (sheet.look.size(), sheet.look.small());
        let (wide, many) = TWO_COLUMNS;
        let columns = if sheet.look.width >= wide && clubs.len() >= many { 2 } else { 1 };
        let rows = clubs.len().div_ceil(columns);
        let named: Vec<(&WatchedClub, &String)> = clubs.iter().copied().zip(names).collect();
        for row in 0..rows {
            let height = if self.alone {
                Plot::above(sheet) + (0.4 * sheet.look.width).clamp(10.0 * size, 26.0 * size)
            } else {
                3.0 * size
            };
            let room = sheet.room(height);
            let there =
                named.chunks(rows).enumerate().filter_map(|(at, of)| Some((at, of.get(row)?)));
            for (at, (club, name)) in there {
                self.panel(sheet, column(room, (at, columns)), (club, name));
            }
        }
        if clubs.is_empty() {
            return;
        }
        let room = sheet.room(1.2 * small);
        for at in 0..columns {
            self.dates(sheet, column(room, (at, columns)));
        }
    }

    fn panel(&self, sheet: &mut Sheet, room: Area, (club, name): (&WatchedClub, &str)) {
        let (size, units) = (sheet.look.size(), sheet.look.units);
        let top = room.top + if self.alone { Plot::above(sheet) } else { 0.0 };
        let area = self.area(sheet, Area { top, ..room });
        let inset = Area { left: area.left + 0.6 * size, right: area.right - 0.6 * size, ..area };
        let days = [0.0, days_between(self.days[0], self.days[1])];
        let plot = Plot { area, ..Plot::new(inset, days, self.reach) };
        let [above, below] = [margin(), -margin()].map(|at| plot.y.at(at));
        let slot =
            [[area.left, above], [area.right, above], [area.right, below], [area.left, below]];
        if self.alone {
            plot.left_axis(sheet, (&Ruler::distance(units), "carry against the slot"));
        }
        sheet.fill(&slot, Ink::Faint, 0.6);
        let middle = plot.y.at(0.0);
        sheet.line(&[[area.left, middle], [area.right, middle]], Pen::new(Ink::Quiet, 1.0));
        self.visits(sheet, &plot, club);
        if !self.alone {
            beside(sheet, (room, middle), (club, name));
        }
    }

    fn visits(&self, sheet: &mut Sheet, plot: &Plot, club: &WatchedClub) {
        let size = sheet.look.size();
        let radius = if self.alone { 0.34 * size } else { 0.22 * size };
        let at = |score: &DriftScore| plot.at([self.day(score), score.carry_change_m]);
        let way: Vec<[f64; 2]> = club.scores.iter().map(at).collect();
        sheet.line(&way, Pen::new(Ink::Incumbent, 0.07 * size).dashed(Dash::Solid));
        for score in &club.scores {
            if score.others == 0 {
                sheet.ring(at(score), Ink::Incumbent, radius);
            } else {
                sheet.disc(at(score), Ink::Incumbent, radius);
            }
            if score.alarm {
                let [x, y] = at(score);
                let arm = 1.7 * radius;
                let pen = Pen::new(Ink::Text, 0.14 * size);
                sheet.line(&[[x - arm, y - arm], [x + arm, y + arm]], pen);
                sheet.line(&[[x - arm, y + arm], [x + arm, y - arm]], pen);
            }
        }
    }

    /// The first and the last day.
    fn dates(&self, sheet: &mut Sheet, room: Area) {
        let small = sheet.look.small();
        let area = self.area(sheet, room);
        let hand = Hand::new(Ink::Quiet, small);
        let told = self.days.map(|day| day.strftime("%-d %b %Y").to_string());
        let base = room.bottom - 0.3 * small;
        if self.days[0] == self.days[1] {
            let middle = f64::midpoint(area.left, area.right);
            sheet.write(&told[0], [middle, base], hand.at(Anchor::Middle));
            return;
        }
        sheet.write(&told[0], [area.left, base], hand);
        sheet.write(&told[1], [area.right, base], hand.at(Anchor::End));
    }
}

/// One of some columns of the sheet.
#[allow(clippy::cast_precision_loss)] // a few columns
fn column(room: Area, (at, of): (usize, usize)) -> Area {
    let between = 0.04 * room.width();
    let width = (room.width() - between * (of - 1) as f64) / of as f64;
    let left = room.left + at as f64 * (width + between);
    Area { left, right: left + width, ..room }
}

/// The club to the left of its panel; to the right how far it is from its slot, and what that comes to.
fn beside(sheet: &mut Sheet, (room, middle): (Area, f64), (club, name): (&WatchedClub, &str)) {
    let (size, small, units) = (sheet.look.size(), sheet.look.small(), sheet.look.units);
    let hand = Hand::new(Ink::Text, size);
    let fits = letters::fitted(name, (0.27 * room.width()) / size);
    sheet.write(&fits, [room.left, middle + 0.35 * size], hand);
    let (told, ink) = match club.state {
        DriftState::MayHaveDrifted => ("moved?", Ink::Text),
        DriftState::Steady => ("as before", Ink::Quiet),
        DriftState::Learning => ("learning", Ink::Quiet),
    };
    let hand = Hand::new(ink, small).at(Anchor::End);
    let moved = club.drift.as_ref().map(|drift| drift.carry_change_m);
    let by = moved.or(club.from_slot_m).map(|change| {
        let (told, none) = (units.distance(change.estimate), units.distance(0.0));
        if change.estimate > 0.0 && told != none { format!("+{told}") } else { told }
    });
    let lines = [by.unwrap_or_default(), told.to_owned()];
    for (at, line) in lines.iter().enumerate().filter(|(_, line)| !line.is_empty()) {
        let base = middle + small * if at == 0 { -0.2 } else { 0.95 };
        sheet.write(line, [room.right, base], hand);
    }
}

fn days_between(first: Date, last: Date) -> f64 {
    first.until(last).map_or(0.0, |span| f64::from(span.get_days()))
}
