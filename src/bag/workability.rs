//! How far a club can be flighted down or up, drawn and faded from its stock flight.

use serde::Serialize;
use utoipa::ToSchema;

use super::{
    metric::{ByMetric, Interval, Metric, by_metric},
    rate::Rate,
    row::Row,
    survey::{Group, Job, Survey},
    words::{Said, capital, counted, listed, share, times},
};
use crate::{
    shot::{Hand, Height, Intent, Measure, Shape, Swing, Units},
    stats::{self, Estimate, Insufficient, RunEffect},
};

/// A low flight must stay under this share of the stock flights from the same lie, a high one above
/// all but it (common practice, no source).
const STOCK_SHARE: f64 = 0.25;
/// Stock flights from the same lie with the same ball before one is held against them: as many as
/// the mishit screen waits for.
const STOCK_FROM: usize = stats::MISHIT_MIN_N;
/// A draw or fade must curve at least so far to the side that was meant, metres: about the width of
/// two holes of a cup (common practice, no source).
const CURVE_AT_LEAST_M: f64 = 2.0;
/// The same by the tilt of the spin's axis, where no curve is measured, degrees (common practice, no
/// source).
const TILT_AT_LEAST_DEG: f64 = 2.0;

/// A flight that is not the stock one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Meant {
    /// Kept down.
    Low,
    /// Sent up.
    High,
    /// Curved to the side of the player's stance.
    Draw,
    /// Curved away from it.
    Fade,
}

impl Meant {
    /// All of them, in the order of answers.
    pub const ALL: [Self; 4] = [Self::Low, Self::High, Self::Draw, Self::Fade];

    /// A full swing that is otherwise stock.
    #[must_use]
    pub fn intent(self) -> Intent {
        let (height, shape) = match self {
            Self::Low => (Height::Low, Shape::Straight),
            Self::High => (Height::High, Shape::Straight),
            Self::Draw => (Height::Stock, Shape::Draw),
            Self::Fade => (Height::Stock, Shape::Fade),
        };
        Intent { height, shape, swing: Swing::Full }
    }

    /// As a sentence says it: `flighted down`.
    pub(super) fn done(self) -> &'static str {
        match self {
            Self::Low => "flighted down",
            Self::High => "flighted up",
            Self::Draw => "drawn",
            Self::Fade => "faded",
        }
    }

    /// What shows it: first what decides, then what stands in for it.
    pub(super) fn deciding(self) -> [Measure; 2] {
        match self {
            Self::Low | Self::High => [Measure::Apex, Measure::LaunchAngle],
            Self::Draw | Self::Fade => [Measure::Curve, Measure::SpinAxis],
        }
    }

    fn metrics(self) -> &'static [Metric] {
        const HEIGHT: [Metric; 4] = [
            Metric::Measured(Measure::Carry),
            Metric::Measured(Measure::LaunchAngle),
            Metric::Measured(Measure::SpinRate),
            Metric::Measured(Measure::Apex),
        ];
        const SHAPE: [Metric; 4] = [
            Metric::Measured(Measure::Carry),
            Metric::Measured(Measure::SpinAxis),
            Metric::Measured(Measure::Side),
            Metric::Measured(Measure::Curve),
        ];
        match self {
            Self::Low | Self::High => &HEIGHT,
            Self::Draw | Self::Fade => &SHAPE,
        }
    }

    /// +1 where more of the deciding measure is what was meant, −1 where less is; `None` for a curve
    /// of a player whose hand nobody stated. A right-hander's draw curves left.
    pub(super) fn wanted_sign(self, hand: Option<Hand>) -> Option<f64> {
        let right = match hand {
            Some(Hand::Right) => Some(1.0),
            Some(Hand::Left) => Some(-1.0),
            None => None,
        };
        match self {
            Self::Low => Some(-1.0),
            Self::High => Some(1.0),
            Self::Fade => right,
            Self::Draw => right.map(|right: f64| -right),
        }
    }
}

/// What a club does when another flight than its stock one is meant: full swings, one thing meant
/// at a time.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Workability {
    /// What was meant.
    pub meant: Meant,
    /// Shots so meant, mishits apart.
    pub shots: usize,
    /// Those within visits, lies and balls that also hold stock flights.
    pub compared: usize,
    /// Visits that hold both.
    pub sessions: usize,
    /// The flight that was meant less the stock flight of the same club, SI, within visits.
    #[schema(schema_with = by_metric::<Interval>)]
    pub differences: ByMetric<Interval>,
    /// What decides whether a shot went as it was meant; null without one that could be judged.
    pub judged_by: Option<&'static str>,
    /// The share of shots, mishits and all, that went as meant: a low one under the stock flights'
    /// lower quarter from the same lie, a high one above their upper quarter, a draw or fade curved
    /// at least 2 m (without a curve, tilted at least 2°) to its side by the player's hand.
    pub success: Rate,
    /// The same in a sentence.
    pub words: String,
}

/// Whose flights they are, and for whom they are told.
#[derive(Debug, Clone, Copy)]
pub(super) struct Worked {
    /// The club.
    pub club: u32,
    /// The side that the player plays from.
    pub hand: Option<Hand>,
    /// The reader's units.
    pub units: Units,
}

/// One entry a flight that can be meant.
pub(super) fn workability(survey: &Survey<'_>, worked: Worked) -> Vec<Workability> {
    Meant::ALL.into_iter().map(|meant| one(survey, worked, meant)).collect()
}

/// What the club does with one of them.
pub(super) fn one(survey: &Survey<'_>, worked: Worked, meant: Meant) -> Workability {
    let job = Job { lie: None, intent: meant.intent() };
    let shots = survey.doing(worked.club, job).map(Group::shots).sum();
    let met = survey.met((worked.club, job), (worked.club, STOCK));
    let interval = |metric: &Metric| {
        // One club against itself: the day's effect on it is on both sides.
        let estimate = met.difference(*metric, RunEffect::None).ok()?;
        let interval = metric.interval(&estimate)?;
        Some((*metric, Interval { inferred: met.is_inferred(*metric), ..interval }))
    };
    let differences = ByMetric(meant.metrics().iter().filter_map(interval).collect());
    let judged = Judged::of(survey, worked, meant);
    let mut told = Workability {
        meant,
        shots,
        compared: met.shots().candidate,
        sessions: met.sessions(),
        differences,
        judged_by: (judged.rate.n > 0).then(|| judged.by.si_name()),
        success: judged.rate,
        words: String::new(),
    };
    told.words = sentence(&told, worked);
    told
}

/// The stock flight.
pub(super) const STOCK: Job = Job {
    lie: None,
    intent: Intent { height: Height::Stock, shape: Shape::Straight, swing: Swing::Full },
};

/// How far the club was moved from its stock flight in one measure.
pub(super) fn moved(
    survey: &Survey<'_>,
    club: u32,
    (meant, measure): (Meant, Measure),
) -> Result<Estimate, Insufficient> {
    let job = Job { lie: None, intent: meant.intent() };
    let met = survey.met((club, job), (club, STOCK));
    met.difference(Metric::Measured(measure), RunEffect::None)
}

/// The shots that could be judged, and those that went as meant.
struct Judged {
    by: Measure,
    rate: Rate,
}

impl Judged {
    fn of(survey: &Survey<'_>, worked: Worked, meant: Meant) -> Self {
        let [first, other] = meant.deciding().map(|by| Self::by(survey, worked, (meant, by)));
        if other.rate.n > first.rate.n { other } else { first }
    }

    fn by(survey: &Survey<'_>, worked: Worked, (meant, by): (Meant, Measure)) -> Self {
        let (mut all, mut hits) = (0, 0);
        for group in survey.doing(worked.club, Job { lie: None, intent: meant.intent() }) {
            let Some(bound) = Bound::of(survey, worked, (meant, by), group) else { continue };
            let shots = survey.counted(group).chain(survey.mishits(group));
            for value in shots.filter_map(|row: &Row| row.measures.get(by)) {
                all += 1;
                hits += usize::from(bound.holds(value));
            }
        }
        Self { by, rate: Rate::of(hits, all) }
    }
}

/// How far a shot must go the way that was meant.
struct Bound {
    sign: f64,
    at: f64,
}

impl Bound {
    /// For the shots of one group; `None` where nothing tells.
    fn of(
        survey: &Survey<'_>,
        worked: Worked,
        (meant, by): (Meant, Measure),
        group: &Group,
    ) -> Option<Self> {
        let sign = meant.wanted_sign(worked.hand)?;
        let at = match meant {
            Meant::Draw | Meant::Fade if by == Measure::Curve => sign * CURVE_AT_LEAST_M,
            Meant::Draw | Meant::Fade => sign * TILT_AT_LEAST_DEG,
            Meant::Low => quantile_of_stock(survey, worked.club, (group, by), STOCK_SHARE)?,
            Meant::High => quantile_of_stock(survey, worked.club, (group, by), 1.0 - STOCK_SHARE)?,
        };
        Some(Self { sign, at })
    }

    fn holds(&self, value: f64) -> bool {
        (value - self.at) * self.sign >= 0.0
    }
}

/// A quantile of the club's stock flights from the lie and with the ball of a group, of all visits.
fn quantile_of_stock(
    survey: &Survey<'_>,
    club: u32,
    (group, by): (&Group, Measure),
    share_below: f64,
) -> Option<f64> {
    let alike =
        |stock: &&Group| (stock.lie(), stock.stratum.ball) == (group.lie(), group.stratum.ball);
    let stock = survey.doing(club, STOCK).filter(alike);
    let values: Vec<f64> = stock
        .flat_map(|group| survey.counted(group))
        .filter_map(|row| row.measures.get(by))
        .collect();
    let enough = values.len() >= STOCK_FROM;
    stats::percentile(&values, share_below).ok().flatten().filter(|_| enough)
}

fn sentence(told: &Workability, worked: Worked) -> String {
    let done = told.meant.done();
    if told.shots == 0 {
        return format!("It was never {done}.");
    }
    let by = told.meant.deciding().into_iter().chain([Measure::Carry]).map(Metric::Measured);
    let mut moved: Vec<String> = by
        .filter_map(|metric| {
            let interval = told.differences.get(metric)?;
            let said = Said { metric, units: worked.units };
            Some(said.compared(interval, way(metric, interval.estimate?)?))
        })
        .collect();
    if moved.len() > 2 {
        // The launch or the tilt only stands in where nothing better is known.
        moved.remove(1);
    }
    let moved = if !moved.is_empty() {
        format!("{}, it flies {} than its stock flight", capital(done), listed(&moved))
    } else if told.compared == 0 {
        format!("It was {done} {}, in no visit beside its stock flight", times(told.shots))
    } else {
        format!("It was {done} {}, too few to say how far that moves it", times(told.shots))
    };
    match (told.success.share, told.meant.wanted_sign(worked.hand)) {
        (Some(success), _) => {
            let shots = counted(told.success.n, "shot");
            format!("{moved}; {} of {shots} went as meant.", share(success))
        }
        (None, None) => {
            format!("{moved}; to say what went as meant, state which hand the player plays with.")
        }
        (None, Some(_)) => format!("{moved}."),
    }
}

/// Which way a figure is, before `than its stock flight`.
fn way(metric: Metric, figure: f64) -> Option<&'static str> {
    let Metric::Measured(measure) = metric else { return None };
    let up = figure >= 0.0;
    Some(match measure {
        Measure::Apex | Measure::LaunchAngle if up => "higher",
        Measure::Apex | Measure::LaunchAngle => "lower",
        Measure::Carry if up => "longer",
        Measure::Carry => "shorter",
        Measure::Curve | Measure::SpinAxis if up => "further right",
        Measure::Curve | Measure::SpinAxis => "further left",
        _ => return None,
    })
}
