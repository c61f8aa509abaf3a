//! What weather makes of two clubs, in sentences.

use super::{
    answer::{ClubUnderConditions, ConditionsOfPair, PairInWeather},
    range::{Holding, LosesLess, ModelRange},
    skies::{CROSS_20, HEAD_20, STIFF_WIND_MPS, TAIL_20},
    weak::{WeakOrigin, WeakStrike, WeakStrikes},
};
use crate::{
    bag::{
        CalibrationSource,
        metric::Metric,
        words::{Said, listed},
    },
    flight::{Model, Weather},
    shot::{Measure, Units, spoken},
    stats::MIN_SHOTS,
};

/// Where nothing could be flown.
pub(super) fn nothing() -> String {
    "Nothing could be flown: it takes like-for-like shots of both clubs whose ball speed, launch angle and \
     spin are known."
        .into()
}

/// All of it, a line each: winds, the cold, descents, weak strikes, and what it rests on.
pub(super) fn all(told: &ConditionsOfPair, (names, units): ([&str; 2], Units)) -> String {
    let tale = Tale { names, said: Said { metric: Metric::Measured(Measure::Carry), units } };
    // Winds stand behind still air.
    let wind = |place: usize| told.winds.get(place - 1);
    let sentences = [
        wind(HEAD_20).and_then(|there| tale.head(there)),
        wind(TAIL_20).and_then(|there| tale.tail(there)),
        wind(CROSS_20).and_then(|there| tale.cross(there)),
        told.cold_and_wet.as_ref().and_then(|there| tale.cold(there)),
        told.still.as_ref().and_then(|there| tale.descent(there)),
        told.weak_strikes.as_ref().and_then(|weak| tale.weak(weak)),
        few(told),
        inferred(told, names),
        Some(rests_on(told)),
    ];
    sentences.into_iter().flatten().collect::<Vec<String>>().join("\n")
}

/// That a club's flights rest on few strikes, where they do.
fn few(told: &ConditionsOfPair) -> Option<String> {
    let fewest = told.candidate.launches.min(told.incumbent.launches);
    let strikes =
        if fewest == 1 { "a single strike".to_owned() } else { format!("{fewest} strikes") };
    (fewest < MIN_SHOTS as usize).then(|| {
        format!(
            "This rests on {strikes} of a club only: it takes {MIN_SHOTS} to know how it flies."
        )
    })
}

/// Of which club how many spins were not measured, where any were not.
fn inferred(told: &ConditionsOfPair, [candidate, incumbent]: [&str; 2]) -> Option<String> {
    let of = |name: &str, club: &ClubUnderConditions| {
        let ClubUnderConditions { spin_inferred, strikes, .. } = *club;
        (spin_inferred > 0).then(|| format!("{spin_inferred} of {strikes} strikes of {name}"))
    };
    let of_clubs = [of(candidate, &told.candidate), of(incumbent, &told.incumbent)];
    let of_clubs: Vec<String> = of_clubs.into_iter().flatten().collect();
    (!of_clubs.is_empty()).then(|| {
        format!(
            "The spin of {} was not measured, so what is flown rests on inferred data.",
            listed(&of_clubs)
        )
    })
}

/// Which model is the main one and which makes the range.
fn rests_on(told: &ConditionsOfPair) -> String {
    let fitted = [&told.candidate, &told.incumbent].map(|club| club.calibration.source);
    format!(
        "Computed for 20 °C at sea level, not measured: {}. Estimates, not for safe distances.",
        models([told.aerodynamics, told.range_of], fitted),
    )
}

/// `by the model of a modern ball, fitted to each club's own shots; the range is to what that of a ball of
/// the 1990s makes of it`: the main model and the other one, and what the main one rests on.
pub(in crate::bag) fn models([main, other]: [&str; 2], fitted: [CalibrationSource; 2]) -> String {
    let called = |word: &str| match Model::ALL.into_iter().find(|model| model.word() == word) {
        Some(Model::Ball1990s) => "a ball of the 1990s",
        _ => "a modern ball",
    };
    let fitted = match fitted.map(|source| source == CalibrationSource::Own) {
        [true, true] => ", fitted to each club's own shots",
        [false, false] => "",
        _ => ", fitted to the own shots of one of the clubs",
    };
    format!(
        "by the model of {}{fitted}; the range is to what that of {} makes of it",
        called(main),
        called(other),
    )
}

/// Who is spoken of, and how carries are said.
struct Tale<'a> {
    /// Candidate, incumbent.
    names: [&'a str; 2],
    said: Said,
}

impl Tale<'_> {
    fn head(&self, there: &PairInWeather) -> Option<String> {
        let [candidate, incumbent] = self.names;
        let (kept, wind) = (there.candidate_keeps_m?, self.speed(there));
        Some(match there.loses_less? {
            LosesLess::Even => {
                format!("Into {wind} of wind {candidate} and {incumbent} lose alike.")
            }
            LosesLess::Unclear => {
                format!("Into {wind} of wind the models do not agree on which loses less.")
            }
            _ => {
                let (keeps, kept) = more_or_less(kept, ["keeps", "loses"]);
                format!(
                    "Into {wind} of wind {candidate} {keeps} {} more of its carry than {incumbent}{}.",
                    self.said.size(kept.estimate),
                    self.ranged(kept),
                )
            }
        })
    }

    fn tail(&self, there: &PairInWeather) -> Option<String> {
        let [candidate, incumbent] = self.names;
        let (kept, wind) = (there.candidate_keeps_m?, self.speed(there));
        let what = match there.loses_less? {
            LosesLess::Even => "the wind does as much to both".to_owned(),
            LosesLess::Unclear => "the models do not agree on which gains more".to_owned(),
            _ => {
                let (gains, gained) = more_or_less(kept, [true, false]);
                let (size, ranged) = (self.said.size(gained.estimate), self.ranged(gained));
                if gains {
                    format!(
                        "the wind does {size} more for {candidate} than for {incumbent}{ranged}"
                    )
                } else {
                    format!("{candidate} gives up {size} of carry to {incumbent}{ranged}")
                }
            }
        };
        Some(format!("With {wind} from behind, {what}."))
    }

    fn cross(&self, there: &PairInWeather) -> Option<String> {
        let [candidate, incumbent] =
            [there.candidate, there.incumbent].map(|club| club.drift_m.map(f64::abs));
        let distance = |metres: f64| self.said.units.distance(metres);
        Some(format!(
            "With {} from the side {} is blown {} off its line, {} {}.",
            self.speed(there),
            self.names[0],
            distance(candidate?),
            self.names[1],
            distance(incumbent?),
        ))
    }

    fn cold(&self, there: &PairInWeather) -> Option<String> {
        let [candidate, incumbent] = self.names;
        let [own, other] = [there.candidate, there.incumbent].map(|club| club.carry_change_m);
        let changes = |metres: f64| {
            let how = if metres < 0.0 { "less" } else { "more" };
            format!("{} {how}", self.said.size(metres))
        };
        Some(format!(
            "At {} {candidate} carries {} than at {}, {incumbent} {}.",
            self.said.units.temperature(there.air.temperature_c),
            changes(own?),
            self.said.units.temperature(Weather::REFERENCE.temperature_c),
            changes(other?),
        ))
    }

    fn descent(&self, still: &PairInWeather) -> Option<String> {
        let [candidate, incumbent] = self.names;
        let angle = |degrees: Option<f64>| degrees.map(spoken::angle);
        let held = |soft: Holding, firm: Holding| match (soft, firm) {
            (_, Holding::Holds) => "which by common practice any green holds",
            (_, Holding::MayHold) => {
                "which by common practice a soft green holds and a firm one may"
            }
            (Holding::Holds, _) => {
                "which by common practice a soft green holds and a firm one does not"
            }
            (Holding::MayHold, _) => {
                "which by common practice a soft green may hold and a firm one does not"
            }
            (Holding::RunsOn, _) => "which by common practice hardly a green holds",
        };
        Some(format!(
            "In still air {candidate} comes down at {}, {}; {incumbent} at {}, {}.",
            angle(still.candidate.descent_angle_deg)?,
            held(still.candidate.soft_green?, still.candidate.firm_green?),
            angle(still.incumbent.descent_angle_deg)?,
            held(still.incumbent.soft_green?, still.incumbent.firm_green?),
        ))
    }

    /// What a weak strike costs each of them, and where it ends.
    fn weak(&self, weak: &WeakStrikes) -> Option<String> {
        let [candidate, incumbent] = self.names;
        let distance = |metres: f64| self.said.units.distance(metres);
        let short = |strike: &WeakStrike| {
            let loses = strike.still.loses_m?;
            let way = if loses < 0.0 { "beyond" } else { "short of" };
            let assumed = if strike.origin == WeakOrigin::Assumed { " (assumed)" } else { "" };
            Some(format!("{} {way} its typical one{assumed}", self.said.size(loses)))
        };
        let costs = weak.costs_more_still_m.map(|costs| {
            let (how, costs) = more_or_less(costs, ["more", "less"]);
            let (size, ranged) = (self.said.size(costs.estimate), self.ranged(costs));
            format!(": it costs {candidate} {size} {how} carry{ranged}")
        });
        Some(format!(
            "In still air a weak strike of {candidate} ends {}, one of {incumbent} {}{}. On soaked ground, where hardly a \
             ball rolls, that leaves {} and {}; into {} of wind {} and {}.",
            short(&weak.candidate)?,
            short(&weak.incumbent)?,
            costs?,
            distance(weak.candidate.still.carry_m?),
            distance(weak.incumbent.still.carry_m?),
            self.said.units.speed(STIFF_WIND_MPS),
            distance(weak.candidate.into_wind.carry_m?),
            distance(weak.incumbent.into_wind.carry_m?),
        ))
    }

    fn speed(&self, there: &PairInWeather) -> String {
        self.said.units.speed(there.wind.speed_mps)
    }

    /// ` (11 to 14 m by the two models)`: the range behind a figure.
    fn ranged(&self, range: ModelRange) -> String {
        let low = self.said.number(range.low);
        if low == self.said.number(range.high) {
            return " (by both models)".to_owned();
        }
        // The figures have a sign where the models do not agree on one.
        let high = match range.high {
            high if high < 0.0 => format!("−{}", self.said.size(high)),
            high => self.said.size(high),
        };
        format!(" ({low} to {high} by the two models)")
    }
}

/// What stands for a figure that is positive or for one that is negative, and the figure as that takes it.
fn more_or_less<T>(range: ModelRange, [more, less]: [T; 2]) -> (T, ModelRange) {
    if range.estimate < 0.0 {
        let ModelRange { estimate, low, high } = range;
        (less, ModelRange { estimate: -estimate, low: -high, high: -low })
    } else {
        (more, range)
    }
}
