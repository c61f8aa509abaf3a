//! The standard atmosphere below 11 km: what pressure an altitude has.

/// Pressure at sea level, hPa. ICAO Standard Atmosphere (Doc 7488) and US Standard Atmosphere 1976.
const SEA_LEVEL_HPA: f64 = 1_013.25;
/// Temperature at sea level, K. Same source.
const SEA_LEVEL_K: f64 = 288.15;
/// Fall of temperature with height, K/m. Same source.
const LAPSE_K_PER_M: f64 = 0.006_5;
/// g M / (R L) with g 9.80665 m/s², M 0.0289644 kg/mol, R 8.31432 J/(mol K). Same source.
const EXPONENT: f64 = 9.806_65 * 0.028_964_4 / (8.314_32 * LAPSE_K_PER_M);

/// Temperature of the standard atmosphere at an altitude in metres, °C.
///
/// The altitude is taken as geopotential; at 2,000 m that differs from the geometric one by 0.6 m.
#[must_use]
pub fn standard_temperature_c(altitude_m: f64) -> f64 {
    SEA_LEVEL_K - LAPSE_K_PER_M * altitude_m - 273.15
}

/// Pressure of the standard atmosphere at an altitude in metres (geopotential), hPa.
#[must_use]
pub fn standard_pressure_hpa(altitude_m: f64) -> f64 {
    SEA_LEVEL_HPA * (1.0 - LAPSE_K_PER_M * altitude_m / SEA_LEVEL_K).powf(EXPONENT)
}

/// Pressure at a station from one reduced to sea level (hPa) and the station's altitude in metres.
///
/// The reduction of altimeter settings (ICAO Doc 7488, WMO-No. 8): the station lies its altitude
/// above the height at which the standard atmosphere has the sea-level pressure.
#[must_use]
pub fn station_pressure_hpa(sea_level_pressure_hpa: f64, altitude_m: f64) -> f64 {
    let at_sea_level = (sea_level_pressure_hpa / SEA_LEVEL_HPA).powf(EXPONENT.recip());
    let at_station = at_sea_level - LAPSE_K_PER_M * altitude_m / SEA_LEVEL_K;
    SEA_LEVEL_HPA * at_station.powf(EXPONENT)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(ours: f64, theirs: f64, tolerance: f64) {
        assert!((ours - theirs).abs() <= tolerance, "{ours} is not {theirs}");
    }

    /// US Standard Atmosphere 1976, table I: geometric altitudes, so converted to geopotential.
    #[test]
    fn pressures_are_those_of_the_published_table() {
        for (geometric, hpa) in [(0.0, 1_013.25), (1_000.0, 898.76), (2_000.0, 795.01)] {
            let geopotential = 6_356_766.0 * geometric / (6_356_766.0 + geometric);
            near(standard_pressure_hpa(geopotential), hpa, 0.006);
        }
        near(standard_temperature_c(2_000.0), 2.0, 1e-9);
    }

    #[test]
    fn a_standard_sea_level_pressure_gives_the_standard_one_at_any_altitude() {
        for altitude in [-500.0, 0.0, 1_600.0, 6_000.0] {
            let station = station_pressure_hpa(SEA_LEVEL_HPA, altitude);
            near(station, standard_pressure_hpa(altitude), 1e-9);
        }
        near(station_pressure_hpa(1_030.0, 0.0), 1_030.0, 1e-9);
    }

    /// Hydrostatics with a mean temperature, 8.3145 J/(mol K) and 0.028964 kg/mol: at 500 m the
    /// two reductions differ by less than 0.1 %.
    #[test]
    fn a_station_pressure_agrees_with_the_hypsometric_equation() {
        let mean_k = 288.15 - 0.006_5 * 250.0;
        let fall: f64 = 9.806_65 * 0.028_964 * 500.0 / (8.314_5 * mean_k);
        let hypsometric = 1_020.0 * (-fall).exp();
        near(station_pressure_hpa(1_020.0, 500.0), hypsometric, 1.0);
    }
}
