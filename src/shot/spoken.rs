//! Figures as a sentence says them: few digits, in the units that the reader asked for.

use super::units::{F, FT, MPH, Unit, YD};

/// A system of units that answers are given in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Units {
    /// Metres, metres a second, degrees Celsius.
    #[default]
    Si,
    /// Yards, feet for heights, miles an hour, degrees Fahrenheit.
    Imperial,
}

impl Units {
    /// A distance along the ground, in metres: `8 m` or `9 yd`.
    #[must_use]
    pub fn distance(self, metres: f64) -> String {
        self.say(metres, YD, "m")
    }

    /// A height, in metres: `29 m` or `95 ft`.
    #[must_use]
    pub fn height(self, metres: f64) -> String {
        self.say(metres, FT, "m")
    }

    /// A speed, in metres a second: `52 m/s` or `116 mph`.
    #[must_use]
    pub fn speed(self, mps: f64) -> String {
        self.say(mps, MPH, "m/s")
    }

    /// A temperature, in degrees Celsius: `5 °C` or `41 °F`.
    #[must_use]
    pub fn temperature(self, celsius: f64) -> String {
        match self {
            Self::Si => format!("{} °C", number(celsius)),
            Self::Imperial => format!("{} °F", number(F.from_si(celsius))),
        }
    }

    fn say(self, si: f64, imperial: Unit, si_name: &str) -> String {
        match self {
            Self::Si => format!("{} {si_name}", number(si)),
            Self::Imperial => {
                format!("{} {}", number(imperial.difference_from_si(si)), imperial.suffix())
            }
        }
    }
}

/// An angle: `3.3°`.
#[must_use]
pub fn angle(degrees: f64) -> String {
    format!("{}°", signed(rounded(degrees, 10.0)))
}

/// A spin rate, to ten revolutions: `950 rpm`.
#[must_use]
pub fn spin(rpm: f64) -> String {
    format!("{} rpm", signed((rpm / 10.0).round() * 10.0 + 0.0))
}

/// A share of one in whole per cent: `12 %`.
#[must_use]
pub fn share(of_one: f64) -> String {
    format!("{} %", signed(rounded(of_one * 100.0, 1.0)))
}

/// A number with as many digits as a sentence bears: a tenth below ten, else whole, with a minus
/// that is as wide as a plus.
#[must_use]
pub fn number(value: f64) -> String {
    let steps = if value.abs() < 10.0 { 10.0 } else { 1.0 };
    signed(rounded(value, steps))
}

fn signed(value: f64) -> String {
    value.to_string().replace('-', "−")
}

/// Rounded to so many steps a unit; never a negative zero.
fn rounded(value: f64, steps: f64) -> f64 {
    (value * steps).round() / steps + 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_figure_has_few_digits_and_its_unit() {
        assert_eq!(Units::Si.distance(8.04), "8 m");
        assert_eq!(Units::Si.distance(-4.46), "−4.5 m");
        assert_eq!(Units::Si.distance(158.31), "158 m");
        assert_eq!(Units::Imperial.distance(9.144), "10 yd");
        assert_eq!(Units::Imperial.height(29.0), "95 ft");
        assert_eq!(Units::Imperial.speed(44.704), "100 mph");
        assert_eq!(Units::Si.speed(52.04), "52 m/s");
        assert_eq!(Units::Si.temperature(-5.0), "−5 °C");
        assert_eq!(Units::Imperial.temperature(5.0), "41 °F");
    }

    #[test]
    fn angles_spins_and_shares_too() {
        assert_eq!(angle(3.26), "3.3°");
        assert_eq!(angle(12.0), "12°");
        assert_eq!(spin(953.0), "950 rpm");
        assert_eq!(share(0.116), "12 %");
    }

    #[test]
    fn nothing_is_minus_nothing() {
        assert_eq!(number(-0.01), "0");
        assert_eq!(number(-9.97), "−10");
        assert_eq!(spin(-3.0), "0 rpm");
    }
}
