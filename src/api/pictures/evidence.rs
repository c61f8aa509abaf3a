//! How the evidence of a trial grew, shot by shot.

use actix_web::{HttpRequest, web};

use super::{
    axes::{Plot, Ruler},
    endpoint,
    ink::{Dash, Ink, Pen, Role},
    letters,
    look::Look,
    picture,
    scale::apart,
    sheet::{Anchor, Area, Hand, Sheet},
    words,
};
use crate::{
    api::{
        endpoint::{Answer, Endpoint},
        errors,
        insight::Asked,
        query::{Query, Table},
        service::Service,
        trials::named,
        units::Units,
    },
    bag::{Criterion, HistoryCriterion, HistoryStanding, TrialHistory, TrialRecord, VerdictWord},
    live::Drawn,
    shot::spoken,
    stats::ALPHA,
};

const PARAMETERS: Table = &[Units::PARAMETERS, Look::PARAMETERS];

pub(super) const ENDPOINT: Endpoint = Endpoint {
    path: "/v1/players/{player}/trials/{trial}/history.svg",
    handler: || web::to(draw),
    name: "drawTrialHistory",
    about: "A trial's history as a picture: how the evidence of every criterion grew shot by shot, beside \
            the evidence that proves.",
    parameters: PARAMETERS,
    ..endpoint::BASE
};

async fn draw(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let (player, trial) = named(&service, &request)?;
    let mut query = Query::read(request.query_string(), PARAMETERS)?;
    let look = Look::read(&mut query);
    let asked = Asked::read(query, (&service, &request), player)?;
    picture(asked, service, move |live, player| {
        let drawn = live.trial_drawn(player, &trial);
        let drawn = drawn.map_err(|error| errors::of_question(&error))?;
        Ok((drawn.as_of, history(look, &drawn)))
    })
    .await
}

/// Evidence that proves: a criterion that does not hold comes to it in one of twenty trials at most.
const NEEDED: f64 = 1.0 / ALPHA;
/// The least evidence that is told apart: a tenth speaks against.
const LEAST: f64 = -1.0;
/// Powers of ten above which nothing is told apart: what proves is far below.
const MOST: f64 = 9.0;

/// Steps below this, in powers of ten, cannot be seen.
const STEP: f64 = 0.01;

/// Evidence as a power of ten, within what is told apart.
fn power(evidence: f64) -> f64 {
    evidence.max(1e-9).log10().clamp(LEAST, MOST)
}

/// A candidate's evidence, criterion by criterion.
struct Grown<'a> {
    name: String,
    verdict: VerdictWord,
    criteria: &'a [HistoryCriterion],
    /// For each criterion, from which counted shot on its evidence is how great, as a power of ten; less
    /// than can be seen is not told.
    steps: Vec<Vec<[f64; 2]>>,
    /// How great it is now.
    last: Vec<Option<f64>>,
}

impl<'a> Grown<'a> {
    #[allow(clippy::cast_precision_loss)] // a trial takes 5,000 shots
    fn of(name: String, history: &'a TrialHistory, candidate: usize) -> Option<Self> {
        let of = |at: usize| history.items[at].candidates.get(candidate);
        let mut steps = vec![Vec::new(); history.criteria.len()];
        for at in 0..history.items.len() {
            for (steps, evidence) in steps.iter_mut().zip(&of(at)?.evidence) {
                let Some(evidence) = evidence else { continue };
                let power = power(*evidence);
                let known: Option<&[f64; 2]> = steps.last();
                if known.is_none_or(|[_, known]| (known - power).abs() > STEP) {
                    steps.push([(at + 1) as f64, power]);
                }
            }
        }
        let HistoryStanding { verdict, evidence, .. } = of(history.items.len().checked_sub(1)?)?;
        let last = evidence.iter().map(|evidence| evidence.map(power)).collect();
        Some(Self { name, verdict: *verdict, criteria: &history.criteria, steps, last })
    }

    fn last(&self, criterion: usize) -> Option<f64> {
        self.last.get(criterion).copied().flatten()
    }

    /// The criterion that keeps it from being proven: that with the least evidence.
    fn hindmost(&self) -> Option<usize> {
        let proves = |at: &usize| self.criteria[*at].name != Criterion::SpreadHeld;
        let evidence = |at: &usize| self.last(*at).unwrap_or(f64::NEG_INFINITY);
        (0..self.criteria.len()).filter(proves).min_by(|a, b| evidence(a).total_cmp(&evidence(b)))
    }
}

fn history(look: Look, drawn: &Drawn<(TrialRecord, TrialHistory)>) -> String {
    let (record, history) = &drawn.of;
    let name = |club| words::club(&drawn.names, club);
    let incumbent = name(&record.trial.incumbent);
    let candidates: Vec<String> = record.trial.candidates.iter().map(name).collect();
    let question = match candidates.as_slice() {
        [only] => format!("How far is it proven that the {only} replaces the {incumbent}?"),
        several => {
            format!(
                "How far is it proven that one replaces the {incumbent}: {}?",
                words::listed(several)
            )
        }
    };
    let mut sheet = Sheet::new(look, question);
    let grown: Vec<Grown<'_>> = candidates
        .into_iter()
        .enumerate()
        .filter_map(|(at, name)| Grown::of(name, history, at))
        .collect();
    let shots = history.items.len();
    for candidate in &grown {
        panel(&mut sheet, candidate, shots);
    }
    let finding = if grown.is_empty() {
        String::from(
            "No shot of this trial counts yet: its evidence is drawn from the first shot on that is hit \
             with one of its clubs while it is open.",
        )
    } else {
        let each = grown.iter().map(|candidate| told(candidate, &incumbent));
        let each = words::sentences(&each.collect::<Vec<_>>());
        format!("{} counted. {each}", words::counted(shots, "shot"))
    };
    sheet.say(&finding);
    if !grown.is_empty() {
        sheet.note(&format!(
            "Evidence of {NEEDED} proves a criterion, whenever one looks. Boldest: what is hindmost. \
             What is \"wider\" speaks against, where it proves that the candidate scatters more."
        ));
    }
    sheet.finish(&finding)
}

fn told(candidate: &Grown<'_>, incumbent: &str) -> String {
    let name = &candidate.name;
    let verdict = words::verdict(candidate.verdict, name, incumbent);
    let of = |at: usize| {
        Some(format!("{} {}", criterion(&candidate.criteria[at]), figure(candidate.last(at)?)))
    };
    let proofs: Vec<String> = (0..candidate.criteria.len())
        .filter(|at| candidate.criteria[*at].name != Criterion::SpreadHeld)
        .filter_map(of)
        .collect();
    let proofs = match proofs.as_slice() {
        [] => String::from("There is no evidence yet: it takes some shots of both in one visit."),
        proofs => format!("Evidence: {}.", words::listed(proofs)),
    };
    let hindmost = candidate.hindmost().filter(|_| candidate.verdict == VerdictWord::Undecided);
    let hindmost = hindmost.map(|at| format!(" Hindmost: {}.", criterion(&candidate.criteria[at])));
    format!("{verdict} {proofs}{}", hindmost.unwrap_or_default())
}

/// Evidence from its power of ten, as a sentence says it.
fn figure(power: f64) -> String {
    match power {
        least if least <= LEAST => String::from("below 0.1"),
        more if more >= 3.0 => String::from("above 1000"),
        _ => spoken::number(10_f64.powf(power)),
    }
}

fn criterion(criterion: &HistoryCriterion) -> &'static str {
    match (criterion.name, criterion.metric) {
        (Criterion::CarryHeld, _) => "carry held",
        (Criterion::LaunchLower, _) => "launch lower",
        (Criterion::SpinLower, _) => "spin lower",
        (Criterion::NotTooLow, "spin_rate_rpm") => "spin not too low",
        (Criterion::NotTooLow, "descent_angle_deg") => "descent steep enough",
        (Criterion::NotTooLow, _) => "launch not too low",
        (Criterion::CarryKeptInWind, _) => "carry kept in wind",
        (Criterion::AboveComputedFloor, _) => "above computed floor",
        (Criterion::SpreadHeld, _) => "wider",
    }
}

/// Lines of the criteria that are not hindmost.
const DASHES: [Dash; 5] = [Dash::Long, Dash::Short, Dash::LongShort, Dash::LongDots, Dash::Solid];

fn panel(sheet: &mut Sheet, candidate: &Grown<'_>, shots: usize) {
    let (size, small) = (sheet.look.size(), sheet.look.small());
    let hand = Hand::new(Ink::Text, small);
    let labels = candidate.criteria.iter().map(criterion);
    let widest = labels.map(|label| hand.bold().width(label)).fold(0.0, f64::max);
    let height = (0.42 * sheet.look.width).clamp(14.0 * small, 26.0 * size);
    let room = sheet.room(1.6 * size + Plot::above(sheet) + height + Plot::below(sheet));
    let area = Area {
        left: room.left + Plot::left(sheet),
        top: room.top + 1.6 * size + Plot::above(sheet),
        right: room.right - widest - 1.6 * small,
        bottom: room.bottom - Plot::below(sheet),
    };
    let heading = Hand::new(Ink::Candidate, size).bold();
    let name = letters::fitted(&candidate.name, room.width() / (letters::BOLD * size));
    sheet.write(&name, [room.left, room.top + size], heading);
    let proof = NEEDED.log10();
    let steps = candidate.steps.iter().flatten();
    let highest = steps.map(|[_, power]| *power).fold(proof + 0.7, f64::max);
    #[allow(clippy::cast_precision_loss)] // a trial takes 5,000 shots
    let end = shots.max(10) as f64;
    let plot = Plot::new(area, [0.0, end], [LEAST, highest + 0.2]);
    plot.bottom_axis(sheet, (&Ruler::COUNT, "counted shots of the trial"));
    powers(sheet, &plot);
    let line = [area.left, area.right].map(|x| [x, plot.y.at(proof)]);
    sheet.line(&line, Pen::new(Ink::Text, 1.6));
    lines(sheet, &plot, candidate);
}

/// Powers of ten up the left side.
fn powers(sheet: &mut Sheet, plot: &Plot) {
    let small = sheet.look.small();
    let hand = Hand::new(Ink::Quiet, small).at(Anchor::End);
    let apart = if plot.y.to > 5.0 { 2 } else { 1 };
    for (at, text) in
        (-1_i8..).zip(["0.1", "1", "10", "100", "1000", "10⁴", "10⁵", "10⁶", "10⁷", "10⁸", "10⁹"])
    {
        let (power, shown) = (f64::from(at), at % apart == 0);
        if power > plot.y.to || !shown {
            continue;
        }
        let y = plot.y.at(power);
        sheet.line(&[[plot.area.left, y], [plot.area.right, y]], Pen::new(Ink::Faint, 0.8));
        sheet.write(text, [plot.area.left - 0.5 * small, y + 0.35 * small], hand);
    }
    let above = plot.area.top - 0.8 * small;
    sheet.write("evidence", [sheet.look.margin(), above], hand.at(Anchor::Start));
}

/// Every criterion's evidence in steps. Each is named where it ends, and the line of proof as well.
fn lines(sheet: &mut Sheet, plot: &Plot, candidate: &Grown<'_>) {
    let (size, small) = (sheet.look.size(), sheet.look.small());
    let proof = Named {
        text: format!("proof: {NEEDED}"),
        end: plot.y.at(NEEDED.log10()),
        hand: Hand::new(Ink::Text, small).bold(),
    };
    let mut named = vec![proof];
    for (at, of) in candidate.criteria.iter().enumerate() {
        let Some(last) = candidate.last(at) else { continue };
        let is_hindmost = candidate.hindmost() == Some(at);
        let pen = match of.name {
            _ if is_hindmost => Role::Candidate.pen(0.24 * size).dashed(Dash::Solid),
            Criterion::SpreadHeld => Pen::new(Ink::Quiet, 0.12 * size).dashed(Dash::Dots),
            _ => Pen::new(Ink::Text, 0.1 * size).dashed(DASHES[at % DASHES.len()]),
        };
        sheet.line(&stairs(plot, &candidate.steps[at]), pen);
        let hand = Hand { bold: is_hindmost, ..Hand::new(pen.ink, small) };
        named.push(Named { text: criterion(of).to_owned(), end: plot.y.at(last), hand });
    }
    let mut places: Vec<f64> = named.iter().map(|one| one.end).collect();
    apart(&mut places, 1.3 * small, [plot.area.top + 0.4 * small, plot.area.bottom]);
    let right = plot.area.right;
    for (Named { text, end, hand }, place) in named.iter().zip(places) {
        let thread = [[right, *end], [right + 0.9 * small, place]];
        sheet.line(&thread, Pen::new(hand.ink, 0.8));
        sheet.write(text, [right + 1.2 * small, place + 0.35 * small], *hand);
    }
}

/// A line with its name.
struct Named {
    text: String,
    /// Where it ends.
    end: f64,
    hand: Hand,
}

/// From step to step, and on to the last shot.
fn stairs(plot: &Plot, steps: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let mut stairs = Vec::with_capacity(2 * steps.len() + 1);
    let mut height = None;
    for [shot, power] in steps {
        let x = plot.x.at(*shot);
        stairs.extend(height.map(|y| [x, y]));
        let y = plot.y.at(*power);
        stairs.push([x, y]);
        height = Some(y);
    }
    stairs.extend(height.map(|y| [plot.area.right, y]));
    stairs
}
