//! Many launches like the few that were measured.

use crate::flight::Launch;

/// How many launches a sample has at least.
pub const LEAST_FLIGHTS: usize = 1_000;

/// A sample of launches with the spread of those given: each stands in it equally often, moved a
/// little, and all are drawn towards the mean so that the spread stays what it was.
///
/// That is the balanced, smoothed and shrunk bootstrap (Davison, Hinkley and Schechtman 1986; Silverman
/// and Young 1987): quantiles of a few shots jump from one shot to the next, those of the sample do
/// not. A move is the difference of two of the launches, so that what goes together (a high launch with
/// much spin) stays together. The same launches always give the same sample: the draws are the output of
/// a hash. They are the same for every club, so that differences between two carry less chance.
#[must_use]
pub fn sample(launches: &[Launch]) -> Vec<Launch> {
    sample_of(launches, LEAST_FLIGHTS)
}

/// The same of at least so many.
#[must_use]
pub(in crate::bag) fn sample_of(launches: &[Launch], least: usize) -> Vec<Launch> {
    let n = launches.len();
    if n == 0 {
        return Vec::new();
    }
    let numbers: Vec<[f64; 5]> = launches.iter().map(members).collect();
    let middle = mean(&numbers);
    let reach = reach(n);
    let shrink = (1.0 + reach * reach).sqrt().recip();
    let mut draws = Draws::new();
    let size = n * least.div_ceil(n);
    let moved = |at: usize| {
        let [from, to] = [&numbers[draws.below(n)], &numbers[draws.below(n)]];
        let own = &numbers[at % n];
        let of = |i: usize| {
            let step = reach * (to[i] - from[i]) * std::f64::consts::FRAC_1_SQRT_2;
            middle[i] + shrink * (own[i] - middle[i] + step)
        };
        launch(std::array::from_fn(of))
    };
    (0..size).map(moved).collect()
}

/// How far a launch is moved, in standard deviations: the normal rule for one quantity (Silverman 1986),
/// since each outcome is looked at by itself.
#[allow(clippy::cast_precision_loss)] // counts of shots stay far below 2^52
fn reach(n: usize) -> f64 {
    1.06 * (n as f64).powf(-0.2)
}

fn members(launch: &Launch) -> [f64; 5] {
    let Launch { ball_speed_mps, launch_angle_deg, launch_direction_deg, .. } = *launch;
    let Launch { spin_rate_rpm, spin_axis_deg, .. } = *launch;
    [ball_speed_mps, launch_angle_deg, launch_direction_deg, spin_rate_rpm, spin_axis_deg]
}

fn launch([speed, angle, direction, spin, axis]: [f64; 5]) -> Launch {
    let launch = Launch {
        ball_speed_mps: speed,
        launch_angle_deg: angle,
        launch_direction_deg: direction,
        spin_rate_rpm: spin,
        spin_axis_deg: axis,
    };
    launch.within_bounds()
}

#[allow(clippy::cast_precision_loss)] // counts of shots stay far below 2^52
fn mean(numbers: &[[f64; 5]]) -> [f64; 5] {
    std::array::from_fn(|i| numbers.iter().map(|of| of[i]).sum::<f64>() / numbers.len() as f64)
}

/// Even draws without end: the output of a hash of a fixed text.
struct Draws(blake3::OutputReader);

impl Draws {
    fn new() -> Self {
        Self(
            blake3::Hasher::new().update(b"evencarry: launches like those measured").finalize_xof(),
        )
    }

    /// A whole number below `n`.
    fn below(&mut self, n: usize) -> usize {
        let mut bytes = [0; 8];
        self.0.fill(&mut bytes);
        let scaled = u128::from(u64::from_le_bytes(bytes)) * n as u128;
        // Below n, for the factor is below 2^64.
        #[allow(clippy::cast_possible_truncation)]
        let below = (scaled >> 64) as usize;
        below
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::stats::Summary;

    /// Launches in which spin goes with the launch angle.
    fn measured() -> Vec<Launch> {
        let offset = |at: u32| f64::from(at % 12) - 5.5;
        (0..24)
            .map(|at| Launch {
                ball_speed_mps: 52.0 + 0.3 * offset(at * 5),
                launch_angle_deg: 16.0 + 0.4 * offset(at),
                launch_direction_deg: 0.5 * offset(at * 7),
                spin_rate_rpm: 5_000.0 + 120.0 * offset(at),
                spin_axis_deg: offset(at * 7),
            })
            .collect()
    }

    fn summary(launches: &[Launch], member: usize) -> Summary {
        let values: Vec<f64> = launches.iter().map(|launch| members(launch)[member]).collect();
        Summary::of(&values).unwrap()
    }

    #[test]
    fn a_sample_has_the_centre_and_the_spread_of_what_was_measured() {
        let (measured, sample) = (measured(), sample(&measured()));
        assert!(sample.len() >= LEAST_FLIGHTS && sample.len() % measured.len() == 0);
        for member in 0..5 {
            let (was, is) = (summary(&measured, member), summary(&sample, member));
            let (sd_was, sd_is) = (was.sd.unwrap(), is.sd.unwrap());
            assert!((was.mean.unwrap() - is.mean.unwrap()).abs() < 0.06 * sd_was, "{member}");
            assert!((sd_is / sd_was - 1.0).abs() < 0.06, "{member}: {sd_was} became {sd_is}");
        }
    }

    #[test]
    fn what_goes_together_stays_together() {
        let off = |launch: &Launch| {
            (launch.spin_rate_rpm - 5_000.0) / 120.0 - (launch.launch_angle_deg - 16.0) / 0.4
        };
        assert!(sample(&measured()).iter().all(|launch| off(launch).abs() < 1e-9));
    }

    #[test]
    fn one_shot_is_flown_as_it_was_and_none_gives_none() {
        let one = measured()[3];
        assert!(sample(&[one]).iter().all(|launch| *launch == one));
        assert!(sample(&[]).is_empty());
    }
}
