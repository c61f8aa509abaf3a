//! What a swap gives up, against `swap_reference.json` (numpy, scipy, statsmodels).

use std::sync::LazyLock;

use evencarry::stats::{Cell, Share, ellipse, log_variance_ratio, weighted_shares, wilson};
use serde_json::Value;

use crate::case::{list, number, numbers, whole};

static FILE: LazyLock<Value> = LazyLock::new(|| {
    serde_json::from_str(include_str!("../data/swap_reference.json"))
        .expect("the data file is JSON")
});

fn close(actual: f64, expected: f64, tolerance: f64) {
    assert!((actual - expected).abs() <= tolerance, "{actual} is not {expected}");
}

#[test]
fn ratios_of_spreads_with_ends_that_may_be_watched() {
    for case in list(&FILE["spread_ratio"]) {
        let cells = |club: &str| -> Vec<Cell> {
            list(&case[club]).iter().map(|values| Cell::of(&numbers(values)).unwrap()).collect()
        };
        let ratio = log_variance_ratio(&cells("a"), &cells("b")).unwrap().sd_ratio();
        let (low, high) = ratio.ends.unwrap();
        for (actual, name) in [(ratio.estimate, "estimate"), (low, "low"), (high, "high")] {
            let expected = number(&case[name]);
            close(actual, expected, 1e-9 * expected);
        }
    }
}

#[test]
fn shares_and_their_differences() {
    for case in list(&FILE["shares"]) {
        let share = |hits: &str, n: &str| -> Share {
            wilson(whole(&case[hits]) as usize, whole(&case[n]) as usize).unwrap()
        };
        let (own, other) = (share("hits", "n"), share("other_hits", "other_n"));
        let expected = numbers(&case["wilson"]);
        close(own.low, expected[0], 1e-12);
        close(own.high, expected[1], 1e-12);
        let apart = weighted_shares(&[(1.0, own), (-1.0, other)]);
        let expected = numbers(&case["difference"]);
        close(apart.low, expected[0], 1e-12);
        close(apart.high, expected[1], 1e-12);
    }
}

#[test]
fn shots_inside_an_ellipse() {
    for case in list(&FILE["ellipses"]) {
        let (side, carry) = (numbers(&case["side"]), numbers(&case["carry"]));
        for (share, expected) in case["inside"].as_object().unwrap() {
            let found = ellipse(&side, &carry, share.parse().unwrap()).unwrap();
            let inside = side.iter().zip(&carry).filter(|(x, y)| found.holds(**x, **y)).count();
            assert_eq!(inside, whole(expected) as usize, "{share}");
        }
    }
}
