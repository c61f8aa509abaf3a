//! Robust summaries, the mishit screen, Student and Welch.

use evencarry::stats::{
    Sample, Screen, Series, Summary, Variance, huber, mad_scale, median, t_interval, two_sample,
};

use crate::case::{cases, list, number, numbers, whole};

#[test]
fn medians_and_their_scales() {
    for case in cases("median") {
        let values = numbers(&case.input["values"]);
        let Some(answer) = case.succeeds(median(&values)) else { continue };
        let Some(median) = case.exists(answer) else { continue };
        case.close("median", median, case.output, case.tolerance("default_relative"));
        assert_eq!(Summary::of(&values).unwrap().median, Some(median));
    }
    for case in cases("mad_scale") {
        let values = numbers(&case.input["values"]);
        let Some(answer) = case.succeeds(mad_scale(&values)) else { continue };
        let Some(scale) = case.exists(answer) else { continue };
        case.close("scale", scale, case.output, case.tolerance("default_relative"));
        assert_eq!(Summary::of(&values).unwrap().mad, Some(scale));
    }
}

#[test]
fn huber_locations() {
    for case in cases("huber") {
        let values = numbers(&case.input["values"]);
        let Some(huber) = case.succeeds(huber(&values)) else { continue };
        let n = f64::from(u32::try_from(huber.n).unwrap());
        case.fields(
            case.tolerance("huber"),
            &[
                ("location", huber.location),
                ("scale", huber.scale),
                ("n", n),
                ("se", huber.se.unwrap()),
            ],
        );
        assert_eq!(Summary::of(&values).unwrap().huber, Some(huber.location));
    }
}

#[test]
fn mishit_flags() {
    for case in cases("mishit_screen") {
        let series = match case.input["kind"].as_str() {
            Some("smash") => Series::SmashFactor,
            _ => Series::BallSpeed,
        };
        let flags = Screen::flags_of(series, &numbers(&case.input["values"]));
        let Some(flags) = case.succeeds(flags) else { continue };
        let expected: Vec<bool> =
            list(case.output).iter().map(|flag| flag.as_bool().unwrap()).collect();
        assert_eq!(flags, expected, "{}", case.name);
    }
}

#[test]
fn student_intervals_of_a_mean() {
    for case in cases("t_interval") {
        let interval = t_interval(&numbers(&case.input["x"]), number(&case.input["confidence"]));
        let Some(i) = case.succeeds(interval) else { continue };
        case.fields(
            case.tolerance("default_relative"),
            &[
                ("mean", i.mean),
                ("sd", i.sd),
                ("se", i.se),
                ("df", i.df),
                ("low", i.low),
                ("high", i.high),
            ],
        );
    }
}

#[test]
fn two_sample_tests() {
    for case in cases("two_sample") {
        let input = |name: &str| number(&case.input[name]);
        let samples = [
            Sample { mean: input("m1"), sd: input("s1"), n: whole(&case.input["n1"]) },
            Sample { mean: input("m2"), sd: input("s2"), n: whole(&case.input["n2"]) },
        ];
        let pooled = case.input["equal_var"].as_bool().unwrap();
        let variance = if pooled { Variance::Pooled } else { Variance::Welch };
        let Some(t) = case.succeeds(two_sample(samples, variance, 0.95)) else { continue };
        case.fields(
            case.tolerance("default_relative"),
            &[
                ("difference", t.difference),
                ("se", t.se),
                ("df", t.df),
                ("t", t.t),
                ("p_two_sided", t.p_two_sided),
                ("low", t.low),
                ("high", t.high),
            ],
        );
    }
}
