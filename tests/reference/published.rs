//! Published examples, each with its source.

use evencarry::stats::{Cusum, Sample, Summary, Variance, t_interval, two_sample};
use serde_json::Value;

use crate::case::{file, list, number, numbers, whole};

fn within(what: &str, actual: f64, expected: f64, absolute: f64) {
    assert!((actual - expected).abs() <= absolute, "{what} is {actual:e}, expected {expected:e}");
}

/// Student, The probable error of a mean, Biometrika 6 (1908): hours of sleep gained by ten patients with two
/// drugs. The figures as a statistics program prints them for these data.
#[test]
fn student_1908_sleep() {
    let sleep = &file()["published"]["student_sleep"];
    let [first, second] = [&sleep["drug_1"], &sleep["drug_2"]].map(numbers);
    let published = |name: &str| number(&sleep["published"][name]);

    let gains: Vec<f64> = first.iter().zip(&second).map(|(first, second)| first - second).collect();
    let paired = t_interval(&gains, 0.95).unwrap();
    within("paired t", paired.mean / paired.se, published("paired_t"), 5e-5);
    within("df", paired.df, published("df"), 0.0);
    within("mean", paired.mean, published("mean"), 1e-12);
    within("low", paired.low, published("low"), 5e-8);
    within("high", paired.high, published("high"), 5e-8);
    let computed = |name: &str| number(&sleep["computed"][name]);
    within("sd", paired.sd, computed("sd"), 1e-10);
    within("se", paired.se, computed("se"), 1e-10);

    let samples = [&first, &second].map(|values| {
        let summary = Summary::of(values).unwrap();
        Sample { mean: summary.mean.unwrap(), sd: summary.sd.unwrap(), n: 10 }
    });
    let welch = two_sample(samples, Variance::Welch, 0.95).unwrap();
    within("Welch t", welch.t, published("welch_t"), 5e-5);
    within("Welch df", welch.df, published("welch_df"), 5e-4);
    within("Welch p", welch.p_two_sided, published("welch_p"), 5e-6);
    within("Welch low", welch.low, published("welch_low"), 5e-8);
    within("Welch high", welch.high, published("welch_high"), 5e-8);

    // The paired test as a two-sample one against a constant: Welch's df is then the first sample's own.
    let paired_sample = Sample { mean: paired.mean, sd: paired.sd, n: 10 };
    let nothing = Sample { mean: 0.0, sd: 0.0, n: 10 };
    let p = two_sample([paired_sample, nothing], Variance::Welch, 0.95).unwrap().p_two_sided;
    within("paired p", p, published("p"), 5e-7);
}

/// NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.3, two-sample t-test on `AUTO83B.DAT`.
#[test]
fn nist_handbook_auto83b() {
    let cars = &file()["published"]["nist_auto83b"];
    let sample = |place: usize| Sample {
        mean: number(&cars["mean"][place]),
        sd: number(&cars["sd"][place]),
        n: whole(&cars["n"][place]),
    };
    let published = |name: &str| number(&cars["published"][name]);
    let samples = [sample(0), sample(1)];
    let test = two_sample(samples, Variance::Pooled, 0.95).unwrap();
    // The printed t comes from the data, ours from summaries printed to five digits.
    within("t", test.t, published("t"), 1e-4);
    within("df", test.df, published("df"), 0.0);
    let [n1, n2] = samples.map(|sample| f64::from(sample.n));
    within("pooled sd", test.se / (1.0 / n1 + 1.0 / n2).sqrt(), published("pooled_sd"), 5e-6);
    within(
        "critical value at 0.975",
        (test.high - test.difference) / test.se,
        published("critical_975"),
        5e-5,
    );
    let ninety = two_sample(samples, Variance::Pooled, 0.9).unwrap();
    within(
        "critical value at 0.95",
        (ninety.high - ninety.difference) / ninety.se,
        published("critical_95"),
        5e-5,
    );
    for (place, sample) in samples.into_iter().enumerate() {
        let se = sample.sd / f64::from(sample.n).sqrt();
        within("se of a mean", se, number(&cars["published"]["se_of_means"][place]), 5e-6);
    }
    within(
        "p",
        test.p_two_sided / number(&cars["computed_from_printed_summaries"]["p_two_sided"]),
        1.0,
        1e-10,
    );
}

/// NIST Statistical Reference Datasets, univariate summary statistics: certified means and standard deviations.
#[test]
fn nist_strd_univariate() {
    let sets = list(&file()["published"]["nist_strd_univariate"]);
    assert_eq!(sets.len(), 6);
    for set in sets {
        let name = set["name"].as_str().unwrap();
        let values = values(set);
        assert_eq!(values.len(), whole(&set["n"]) as usize);
        let summary = Summary::of(&values).unwrap();
        let [mean, sd] = ["certified_mean", "certified_sd"].map(|name| number(&set[name]));
        within(name, summary.mean.unwrap() / mean, 1.0, 1e-14);
        within(name, summary.sd.unwrap() / sd, 1.0, number(&file()["tolerance"]["nist_sd"][name]));
    }
}

fn values(set: &Value) -> Vec<f64> {
    let Some(generator) = set.get("generator") else { return numbers(&set["data"]) };
    let pair = numbers(&generator["then_alternate_500_times"]);
    std::iter::once(number(&generator["first"]))
        .chain(pair.into_iter().cycle().take(1000))
        .collect()
}

/// Normal scores from a fixed seed: a 64-bit xorshift (Marsaglia 2003) through Box and Muller's (1958) transform.
struct Normals(u64);

impl Normals {
    fn uniform(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        f64::from(u32::try_from(self.0 >> 32).unwrap()) / f64::from(u32::MAX)
    }

    fn next(&mut self) -> f64 {
        let radius = (-2.0 * self.uniform().max(1e-12).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.uniform()).cos()
    }
}

fn mean_run_length(k: f64, h: f64) -> f64 {
    let (mut scores, mut chart, mut alarms) =
        (Normals(0x9E37_79B9_7F4A_7C15), Cusum::with_limits(k, h), 0.0);
    let quiet_scores = 3_000_000_u32;
    for _ in 0..quiet_scores {
        if chart.push(scores.next()).unwrap().alarm {
            alarms += 1.0;
        }
    }
    f64::from(quiet_scores) / alarms
}

/// Textbook tables of run lengths of two-sided charts on independent normal scores (from memory).
#[test]
fn textbook_run_lengths_of_control_charts() {
    let tables = &file()["published"]["cusum_run_lengths"];
    let lengths = &tables["two_sided_zero_state_k_0.5"];
    let limits = &tables["two_sided_h_for_370"];
    for (k, h, length) in [
        (0.5, 4.0, number(&lengths["h_4"])),
        (0.5, 5.0, number(&lengths["h_5"])),
        (0.5, number(&limits["k_0.5"]), 370.0),
        (1.0, number(&limits["k_1.0"]), 370.0),
    ] {
        // Some 8,000 alarms or more: one standard error is 1.1 %.
        within(&format!("length at k {k}, h {h}"), mean_run_length(k, h) / length, 1.0, 0.04);
    }
}
