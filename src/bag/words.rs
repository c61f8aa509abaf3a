//! How the bag's sentences say figures.

use super::metric::{Interval, Metric};
use crate::shot::{Measure, Units, spoken};

pub(super) use spoken::share;

/// A metric in the units that a reader asked for.
#[derive(Debug, Clone, Copy)]
pub(super) struct Said {
    /// What is said.
    pub metric: Metric,
    /// How.
    pub units: Units,
}

impl Said {
    /// A figure without its sign: `12 m`, `3.3°`, `950 rpm`.
    pub(super) fn size(self, figure: f64) -> String {
        let figure = figure.abs();
        match self.metric {
            Metric::SmashFactor => spoken::number(figure),
            Metric::Measured(measure) => match measure {
                Measure::Apex => self.units.height(figure),
                Measure::Carry | Measure::Total | Measure::Side | Measure::Curve => {
                    self.units.distance(figure)
                }
                Measure::BallSpeed | Measure::ClubheadSpeed | Measure::LandingSpeed => {
                    self.units.speed(figure)
                }
                Measure::SpinRate => spoken::spin(figure),
                Measure::StrikeToe | Measure::StrikeHigh => {
                    format!("{} mm", spoken::number(figure))
                }
                Measure::HangTime => format!("{} s", spoken::number(figure)),
                _ => spoken::angle(figure),
            },
        }
    }

    /// A figure's size and what bounds the figure: `12 m (−18 to −6)`. Without ends, the size alone.
    pub(super) fn bounded(self, interval: &Interval) -> String {
        self.size(interval.estimate.unwrap_or_default()) + &self.ends(interval)
    }

    /// The same of more or less than something, the ends that way round too: `12 m less (6 to 18)`.
    pub(super) fn compared(self, interval: &Interval, how: &str) -> String {
        let estimate = interval.estimate.unwrap_or_default();
        let [low, high] = if estimate < 0.0 {
            [interval.high, interval.low].map(|end| end.map(|end| -end))
        } else {
            [interval.low, interval.high]
        };
        let ends = self.ends(&Interval { low, high, ..*interval });
        format!("{} {how}{ends}", self.size(estimate))
    }

    fn ends(self, interval: &Interval) -> String {
        let ends = interval.low.zip(interval.high);
        ends.map_or_else(String::new, |(low, high)| {
            format!(" ({} to {})", self.number(low), self.number(high))
        })
    }

    /// A figure without its unit.
    pub(super) fn number(self, figure: f64) -> String {
        match self.metric {
            Metric::Measured(Measure::SpinRate) => spoken::number((figure / 10.0).round() * 10.0),
            Metric::Measured(measure) if self.units == Units::Imperial => {
                spoken::number(measure.to_imperial(figure))
            }
            _ => spoken::number(figure),
        }
    }
}

/// `a`, `a and b`, `a, b and c`.
pub(super) fn listed(parts: &[String]) -> String {
    match parts {
        [] => String::new(),
        [only] => only.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// The same text with a capital first letter.
pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// `1 shot`, `7 shots`.
pub(super) fn counted(count: usize, one: &str) -> String {
    format!("{count} {one}{}", if count == 1 { "" } else { "s" })
}

/// `once`, `7 times`.
pub(super) fn times(count: usize) -> String {
    if count == 1 { "once".into() } else { format!("{count} times") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_figure_is_said_with_what_bounds_it_in_the_readers_units() {
        let interval =
            Interval { estimate: Some(-12.1), low: Some(-18.3), high: Some(-6.0), inferred: false };
        let said = |units| Said { metric: Metric::Measured(Measure::Carry), units };
        assert_eq!(said(Units::Si).compared(&interval, "less"), "12 m less (6 to 18)");
        assert_eq!(said(Units::Imperial).bounded(&interval), "13 yd (−20 to −6.6)");
        let open = Interval { low: None, high: None, ..interval };
        assert_eq!(said(Units::Si).bounded(&open), "12 m");
        let spin = Said { metric: Metric::Measured(Measure::SpinRate), units: Units::Si };
        assert_eq!(spin.size(-948.0), "950 rpm");
    }

    #[test]
    fn lists_read_like_sentences() {
        let parts = ["a", "b", "c"].map(str::to_owned);
        assert_eq!(listed(&parts), "a, b and c");
        assert_eq!(listed(&parts[..1]), "a");
        assert_eq!(capital("from sand"), "From sand");
        assert_eq!((counted(1, "shot"), counted(2, "shot")), ("1 shot".into(), "2 shots".into()));
    }
}
