//! Every unit a quantity may be sent in: once, as an exact fraction of the unit it is kept in.

use std::cmp::Ordering;

/// A unit: `kept = (sent - offset) * numerator / denominator`.
///
/// Fractions, because every accepted unit is one by definition: bounds convert without rounding.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Unit {
    suffix: &'static str,
    numerator: u32,
    denominator: u32,
    offset: u8,
}

/// A unit without an offset.
const fn unit(suffix: &'static str, numerator: u32, denominator: u32) -> Unit {
    Unit { suffix, numerator, denominator, offset: 0 }
}

/// Metres per second.
pub const MPS: Unit = unit("mps", 1, 1);
/// Miles per hour: 1 mi = 1,609.344 m. Source: NIST SP 811 (2008), appendix B.8.
pub const MPH: Unit = unit("mph", 44_704, 100_000);
/// Kilometres per hour. Source: NIST SP 811 (2008), appendix B.8.
pub const KMH: Unit = unit("kmh", 1_000, 3_600);
/// Knots: 1,852 m per hour. Source: NIST SP 811 (2008), appendix B.8.
pub const KT: Unit = unit("kt", 1_852, 3_600);
/// Metres.
pub const M: Unit = unit("m", 1, 1);
/// International yards, 0.9144 m. Source: NIST SP 811 (2008), appendix B.8.
pub const YD: Unit = unit("yd", 9_144, 10_000);
/// International feet, 0.3048 m. Source: NIST SP 811 (2008), appendix B.8.
pub const FT: Unit = unit("ft", 3_048, 10_000);
/// Millimetres, kept as such: the unit of the clubface.
pub const MM: Unit = unit("mm", 1, 1);
/// Degrees of angle, kept as such.
pub const DEG: Unit = unit("deg", 1, 1);
/// Revolutions per minute, kept as such.
pub const RPM: Unit = unit("rpm", 1, 1);
/// Degrees Celsius, kept as such.
pub const C: Unit = unit("c", 1, 1);
/// Degrees Fahrenheit: C = (F - 32) * 5/9. Source: NIST SP 811 (2008), appendix B.8.
pub const F: Unit = Unit { suffix: "f", numerator: 5, denominator: 9, offset: 32 };
/// Hectopascals, kept as such.
pub const HPA: Unit = unit("hpa", 1, 1);
/// Conventional inches of mercury, 3,386.389 Pa. Source: NIST SP 811 (2008), appendix B.8.
pub const INHG: Unit = unit("inhg", 3_386_389, 100_000);
/// Per cent, kept as such.
pub const PCT: Unit = unit("pct", 1, 1);
/// Seconds.
pub const S: Unit = unit("s", 1, 1);

impl Unit {
    /// The end of a field's name that says this unit, without the underscore.
    #[must_use]
    pub const fn suffix(self) -> &'static str {
        self.suffix
    }

    /// From this unit to the one kept.
    #[must_use]
    pub fn to_si(self, sent: f64) -> f64 {
        (sent - f64::from(self.offset)) * f64::from(self.numerator) / f64::from(self.denominator)
    }

    /// From the unit kept to this one.
    #[must_use]
    pub fn from_si(self, kept: f64) -> f64 {
        kept * f64::from(self.denominator) / f64::from(self.numerator) + f64::from(self.offset)
    }

    /// A difference from the unit kept to this one: scaled, with no offset.
    #[must_use]
    pub fn difference_from_si(self, kept: f64) -> f64 {
        kept * f64::from(self.denominator) / f64::from(self.numerator)
    }

    /// Bounds in this unit, rounded outwards to three decimals, of bounds in the unit kept.
    ///
    /// Exact for bounds of up to three decimals; an infinite bound stays infinite.
    #[must_use]
    pub(crate) fn bounds(self, (low, high): (f64, f64)) -> (f64, f64) {
        let outwards = |bound: f64, way: Ordering| {
            if bound.is_infinite() { bound } else { self.rounded(bound, way) }
        };
        (outwards(low, Ordering::Less), outwards(high, Ordering::Greater))
    }

    /// A bound in this unit, in whole thousandths, rounded down (`Less`) or up.
    #[expect(clippy::cast_possible_truncation, reason = "bounds are below a million")]
    #[expect(clippy::cast_precision_loss, reason = "bounds are below a million")]
    fn rounded(self, kept: f64, way: Ordering) -> f64 {
        let thousandths = (kept * 1_000.0).round() as i64 * i64::from(self.denominator);
        let numerator = i64::from(self.numerator);
        let down = thousandths.div_euclid(numerator);
        let up = i64::from(way.is_gt() && thousandths.rem_euclid(numerator) != 0);
        (down + up + 1_000 * i64::from(self.offset)) as f64 / 1_000.0
    }
}

/// A kind of quantity, which says in what units it may be sent and answered.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Dimension {
    /// Speeds of ball and clubhead, m/s.
    Speed,
    /// Wind speeds, m/s; also in knots.
    WindSpeed,
    /// Distances over ground and lengths, m.
    Length,
    /// Heights of places, m; in feet, not in yards.
    Height,
    /// Heights of flights, m; in feet or in yards.
    Apex,
    /// Distances on the clubface, mm.
    FaceLength,
    /// Angles, degrees.
    Angle,
    /// Spin, revolutions per minute.
    Spin,
    /// Temperatures, °C.
    Temperature,
    /// Pressures, hPa.
    Pressure,
    /// Relative humidity and shares, per cent.
    Percent,
    /// Durations, s.
    Time,
}

impl Dimension {
    /// The units it may be sent in; the first is the one kept.
    #[must_use]
    pub const fn units(self) -> &'static [Unit] {
        match self {
            Self::Speed => &[MPS, MPH, KMH],
            Self::WindSpeed => &[MPS, MPH, KMH, KT],
            Self::Length => &[M, YD],
            Self::Height => &[M, FT],
            Self::Apex => &[M, YD, FT],
            Self::FaceLength => &[MM],
            Self::Angle => &[DEG],
            Self::Spin => &[RPM],
            Self::Temperature => &[C, F],
            Self::Pressure => &[HPA, INHG],
            Self::Percent => &[PCT],
            Self::Time => &[S],
        }
    }

    /// The unit of answers in SI, which is the unit kept.
    #[must_use]
    pub const fn si(self) -> Unit {
        self.units()[0]
    }

    /// The unit of answers to `units=imperial`; that of SI where there is no other.
    #[must_use]
    pub const fn imperial(self) -> Unit {
        match self {
            Self::Speed | Self::WindSpeed => MPH,
            Self::Length => YD,
            Self::Height | Self::Apex => FT,
            Self::Temperature => F,
            Self::Pressure => INHG,
            other => other.si(),
        }
    }
}

/// The unit in which `text` spells the quantity `base`: `resolve("carry_margin", Length,
/// "carry_margin_yd")` is yards. None when it is not that quantity in one of its units.
#[must_use]
pub fn resolve(base: &str, dimension: Dimension, text: &str) -> Option<Unit> {
    let suffix = text.strip_prefix(base)?.strip_prefix('_')?;
    dimension.units().iter().copied().find(|unit| unit.suffix == suffix)
}

/// The spellings of the quantity `base`, the one kept first.
pub fn spellings(base: &str, dimension: Dimension) -> impl Iterator<Item = String> {
    dimension.units().iter().map(move |unit| format!("{base}_{}", unit.suffix))
}

/// How the names of heights end, which are answered in feet and not in yards.
const HEIGHTS: [&str; 4] = ["apex", "altitude", "elevation", "height"];

/// What a field of answers in SI is called in answers to `units=imperial`, and its unit there; none
/// where it stays as it is. `carry_m` becomes `carry_yd`, `apex_m` becomes `apex_ft`.
#[must_use]
pub fn imperial(name: &str) -> Option<(String, Unit)> {
    let (base, suffix) = name.rsplit_once('_')?;
    let is_height = base.rsplit('_').next().is_some_and(|last| HEIGHTS.contains(&last));
    let unit = match suffix {
        "mps" => MPH,
        "m" if is_height => FT,
        "m" => YD,
        "c" => F,
        "hpa" => INHG,
        _ => return None,
    };
    Some((format!("{base}_{}", unit.suffix), unit))
}

/// The longest name worth comparing: no known one is half as long.
const NEAREST_MAX: usize = 64;

/// The candidate nearest to a misspelt name, upper and lower case alike; none when even that one
/// would need more than half of its letters changed.
///
/// Distance: Damerau-Levenshtein (Damerau, Communications of the ACM 7 (1964) 171). The cut-off is
/// ours.
#[must_use]
pub fn nearest<'a>(name: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    if name.len() > NEAREST_MAX {
        return None;
    }
    let name = name.to_lowercase();
    let (distance, best) = candidates
        .into_iter()
        .map(|candidate| (strsim::damerau_levenshtein(&name, candidate), candidate))
        .min_by_key(|(distance, _)| *distance)?;
    (2 * distance <= name.chars().count().max(best.chars().count())).then_some(best)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use proptest::prelude::*;

    /// The published factor of a unit, as a double, and the tolerance of its last digit.
    fn is(unit: Unit, sent: f64, kept: f64) {
        let got = unit.to_si(sent);
        assert!((got - kept).abs() <= kept.abs() * 1e-15, "{}: {got} is not {kept}", unit.suffix);
    }

    #[test]
    fn units_agree_with_nist_sp_811() {
        // NIST Special Publication 811 (2008), appendix B.8: exact factors, in bold there.
        is(YD, 1.0, 0.9144);
        is(FT, 1.0, 0.3048);
        is(MPH, 1.0, 0.44704);
        is(KMH, 3.6, 1.0);
        is(KT, 3_600.0, 1_852.0);
        is(F, 212.0, 100.0);
        is(F, 32.0, 0.0);
        is(F, -40.0, -40.0);
        // The same appendix: inch of mercury, conventional, 3.386 389 E+03 Pa.
        is(INHG, 1.0, 33.863_89);
    }

    #[test]
    fn bounds_are_rounded_outwards_to_three_decimals() {
        // 1 / 0.44704 = 2.23693..., 110 / 0.44704 = 246.06299...
        assert_eq!(MPH.bounds((1.0, 110.0)), (2.236, 246.063));
        // 0.5 / 0.3048 = 1.64041..., 100 / 0.3048 = 328.08398...
        assert_eq!(FT.bounds((0.5, 100.0)), (1.64, 328.084));
        assert_eq!(YD.bounds((-200.0, 200.0)), (-218.723, 218.723));
        // Exact values are not moved by noise of doubles.
        assert_eq!(KMH.bounds((1.0, 110.0)), (3.6, 396.0));
        assert_eq!(F.bounds((-40.0, 60.0)), (-40.0, 140.0));
        assert_eq!(M.bounds((0.5, f64::INFINITY)), (0.5, f64::INFINITY));
    }

    #[test]
    fn a_quantity_is_found_in_each_of_its_spellings_only() {
        assert_eq!(resolve("carry_margin", Dimension::Length, "carry_margin_yd"), Some(YD));
        assert_eq!(resolve("launch_floor", Dimension::Angle, "launch_floor_deg"), Some(DEG));
        assert_eq!(resolve("carry_margin", Dimension::Length, "carry_margin"), None);
        assert_eq!(resolve("carry_margin", Dimension::Length, "carry_margin_ft"), None);
        assert_eq!(resolve("carry", Dimension::Length, "carry_margin_yd"), None);
    }

    #[test]
    fn every_quantity_of_the_table_has_the_imperial_name_that_its_kind_asks_for() {
        for quantity in crate::shot::quantity::Quantity::all() {
            let row = quantity.row();
            let (si, imperial_unit) = (row.dimension.si(), row.dimension.imperial());
            let expected = (si != imperial_unit)
                .then(|| (format!("{}_{}", row.base, imperial_unit.suffix), imperial_unit));
            assert_eq!(imperial(&format!("{}_{}", row.base, si.suffix)), expected, "{}", row.base);
        }
    }

    #[test]
    fn what_has_no_unit_or_one_that_is_used_everywhere_keeps_its_name() {
        for name in ["n", "wide", "loft_deg", "spin_rate_rpm", "hang_time_s", "strike_toe_mm", "m"]
        {
            assert_eq!(imperial(name), None, "{name}");
        }
        assert_eq!(imperial("wide_above_m"), Some(("wide_above_yd".to_owned(), YD)));
        assert_eq!(imperial("wind_height_m"), Some(("wind_height_ft".to_owned(), FT)));
    }

    #[test]
    fn a_difference_of_temperatures_has_no_offset() {
        assert!((F.difference_from_si(10.0) - 18.0).abs() < 1e-12);
        assert!((F.from_si(10.0) - 50.0).abs() < 1e-12);
    }

    #[test]
    fn the_nearest_name_is_found_through_typing_errors() {
        let known = ["carry_m", "carry_yd", "total_m", "spin_rate_rpm"];
        assert_eq!(nearest("cary_m", known), Some("carry_m"));
        assert_eq!(nearest("carry_dy", known), Some("carry_yd"));
        assert_eq!(nearest("spinRateRpm", known), Some("spin_rate_rpm"));
        assert_eq!(nearest("spin_rpm", known), Some("spin_rate_rpm"));
        assert_eq!(nearest("zzzzzzzz", known), None);
    }

    proptest! {
        #[test]
        fn a_value_returns_from_any_unit(kept in -1e6..1e6_f64, index in 0_usize..7) {
            let unit = [MPH, KMH, KT, YD, FT, F, INHG][index];
            prop_assert!((unit.to_si(unit.from_si(kept)) - kept).abs() <= 1e-9);
        }

        #[test]
        fn bounds_hold_what_they_bound_and_no_more_than_a_thousandth(kept in -500_i32..6_000) {
            for unit in [MPH, KMH, KT, YD, FT, F, INHG] {
                let exact = unit.from_si(f64::from(kept));
                let (low, high) = unit.bounds((f64::from(kept), f64::from(kept)));
                prop_assert!(low <= exact + 1e-9 && exact - 1e-9 <= high);
                prop_assert!(high - low < 0.001_001);
            }
        }
    }
}
