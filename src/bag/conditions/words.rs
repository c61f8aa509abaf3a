//! What weather makes of two clubs, in sentences.

use super::{
    answer::{ConditionsOfPair, PairInWeather},
    range::{Holding, LosesLess, ModelRange},
    skies::{CROSS_20, HEAD_20, STIFF_WIND_MPS, TAIL_20},
    weak::{WeakOrigin, WeakStrike, WeakStrikes},
};
use crate::{
    bag::{CalibrationSource, metric::Metric, words::Said},
    flight::Model,
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

/// Which model is the main one and which makes the range.
fn rests_on(told: &ConditionsOfPair) -> String {
    let called = |word: &str| match Model::ALL.into_iter().find(|model| model.word() == word) {
        Some(Model::Ball1990s) => "a ball of the 1990s",
        _ => "a modern ball",
    };
    let fitted = [&told.candidate, &told.incumbent]
        .map(|club| club.calibration.source == CalibrationSource::Own);
    let fitted = match fitted {
        [true, true] => ", fitted to each club's own shots",
        [false, false] => "",
        _ => ", fitted to the own shots of one of the clubs",
    };
    format!(
        "Computed for 20 °C at sea level, not measured: by the model of {}{fitted}; the range is to what that of {} makes of it. \
         Estimates, not for safe distances.",
        called(told.aerodynamics),
        called(told.range_of),
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
                format!("Into {wind} of wind {candidate} {}.", self.keeps(kept, ["keeps", "loses"]))
            }
        })
    }

    fn tail(&self, there: &PairInWeather) -> Option<String> {
        let [candidate, incumbent] = self.names;
        let (kept, wind) = (there.candidate_keeps_m?, self.speed(there));
        let what = match there.loses_less? {
            LosesLess::Even => "the wind does as much to both".to_owned(),
            LosesLess::Unclear => "the models do not agree on which gains more".to_owned(),
            _ if kept.estimate < 0.0 => {
                let more = format!(" more for {incumbent}");
                format!("the wind does {}", self.ranged(negated(kept), &more))
            }
            _ => {
                let more = format!(" more for {candidate}");
                format!("the wind does {}", self.ranged(kept, &more))
            }
        };
        Some(format!("With {wind} behind, {what}."))
    }

    fn cross(&self, there: &PairInWeather) -> Option<String> {
        let [candidate, incumbent] =
            [there.candidate, there.incumbent].map(|club| club.drift_m.map(f64::abs));
        let distance = |metres: f64| self.said.units.distance(metres);
        Some(format!(
            "Across {} of wind {} drifts {}, {} {}.",
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
            "At {} {candidate} carries {} than in reference air, {incumbent} {}.",
            self.said.units.temperature(there.air.temperature_c),
            changes(own?),
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

    fn weak(&self, weak: &WeakStrikes) -> Option<String> {
        let [candidate, incumbent] = self.names;
        let distance = |metres: f64| self.said.units.distance(metres);
        let strike = |strike: &WeakStrike| {
            let (carry, loses) = (strike.still.carry_m?, strike.still.loses_m?);
            let way = if loses < 0.0 { "beyond" } else { "short of" };
            let assumed = if strike.origin == WeakOrigin::Assumed { ", assumed" } else { "" };
            let typical = self.said.size(loses);
            Some(format!("{} ({typical} {way} its typical one{assumed})", distance(carry)))
        };
        Some(format!(
            "On soaked ground in still air a weak strike of {candidate} carries {}, one of {incumbent} {}; \
             into {} {} and {}.",
            strike(&weak.candidate)?,
            strike(&weak.incumbent)?,
            self.said.units.speed(STIFF_WIND_MPS),
            distance(weak.candidate.into_wind.carry_m?),
            distance(weak.incumbent.into_wind.carry_m?),
        ))
    }

    fn speed(&self, there: &PairInWeather) -> String {
        self.said.units.speed(there.wind.speed_mps)
    }

    /// `keeps 13 m more of its carry (11 to 14 by the two models)`, or the other word of what it does not keep.
    fn keeps(&self, kept: ModelRange, [keeps, loses]: [&str; 2]) -> String {
        if kept.estimate < 0.0 {
            format!("{loses} {}", self.ranged(negated(kept), " more of its carry"))
        } else {
            format!("{keeps} {}", self.ranged(kept, " more of its carry"))
        }
    }

    fn ranged(&self, range: ModelRange, how: &str) -> String {
        let [low, high] = [range.low, range.high].map(|end| self.said.number(end));
        let models = if low == high {
            "by both models".to_owned()
        } else {
            format!("{low} to {high} by the two models")
        };
        format!("{}{how} ({models})", self.said.size(range.estimate))
    }
}

fn negated(range: ModelRange) -> ModelRange {
    ModelRange { estimate: -range.estimate, low: -range.high, high: -range.low }
}
