//! Reads figures by the rules of the Prometheus text format 0.0.4
//! (<https://prometheus.io/docs/instrumenting/exposition_formats/#text-based-format>), and refuses what breaks one.

use std::collections::{BTreeMap, BTreeSet};

/// Labels of a sample, by name.
pub(crate) type Labels = BTreeMap<String, String>;

/// A family: what it is, and its samples.
#[derive(Debug, Default)]
pub(crate) struct Family {
    /// What `HELP` says.
    pub(crate) help: String,
    /// What `TYPE` says.
    pub(crate) kind: String,
    /// Names, labels and values in their order.
    pub(crate) samples: Vec<(String, Labels, f64)>,
}

/// Everything on a page, by family.
#[derive(Debug)]
pub(crate) struct Exposition(pub(crate) BTreeMap<String, Family>);

impl Exposition {
    /// Reads a page.
    pub(crate) fn parse(text: &str) -> Self {
        assert!(text.ends_with('\n'), "the last line must end");
        let mut families: BTreeMap<String, Family> = BTreeMap::new();
        let mut current = String::new();
        for line in text.lines().filter(|line| !line.is_empty()) {
            if let Some(said) = line.strip_prefix("# HELP ") {
                let (name, help) = said.split_once(' ').expect("a help has a text");
                assert!(!families.contains_key(name), "a second group of {name}");
                check_name(name).clone_into(&mut current);
                help.clone_into(&mut families.entry(current.clone()).or_default().help);
            } else if let Some(said) = line.strip_prefix("# TYPE ") {
                let (name, kind) = said.split_once(' ').expect("a type has a kind");
                assert_eq!(name, current, "a type beside its help");
                let family = families.get_mut(name).unwrap();
                assert!(family.kind.is_empty() && family.samples.is_empty(), "a late type: {name}");
                assert!(
                    ["counter", "gauge", "histogram", "summary", "untyped"].contains(&kind),
                    "{line}"
                );
                kind.clone_into(&mut family.kind);
            } else {
                assert!(!line.starts_with('#'), "a comment that says nothing: {line}");
                let sample = sample(line);
                let family = families.get_mut(&current).expect("a sample has a family");
                let suffixes: &[&str] = match family.kind.as_str() {
                    "histogram" => &["_bucket", "_sum", "_count"],
                    _ => &[""],
                };
                let named = suffixes.iter().any(|suffix| sample.0 == format!("{current}{suffix}"));
                assert!(named, "{line} in the group of {current}");
                family.samples.push(sample);
            }
        }
        for (name, family) in &families {
            check_family(name, family);
        }
        Self(families)
    }

    /// The sum of the samples with this name whose labels are, among others, these; 0 without any.
    pub(crate) fn sum(&self, name: &str, labels: &[(&str, &str)]) -> f64 {
        let all = self.0.values().flat_map(|family| &family.samples);
        let fits = |known: &Labels| {
            labels
                .iter()
                .all(|(label, value)| known.get(*label).is_some_and(|known| known == value))
        };
        all.filter(|(known, of, _)| known == name && fits(of)).map(|(.., value)| value).sum()
    }

    /// The same where there must be a sample.
    pub(crate) fn value(&self, name: &str, labels: &[(&str, &str)]) -> f64 {
        let mut names = self.0.values().flat_map(|family| &family.samples).map(|(name, ..)| name);
        assert!(names.any(|known| known == name), "no sample of {name}");
        self.sum(name, labels)
    }
}

fn check_name(name: &str) -> &str {
    let starts = |byte: u8| byte.is_ascii_alphabetic() || byte == b'_' || byte == b':';
    let goes_on = |byte: u8| starts(byte) || byte.is_ascii_digit();
    assert!(name.bytes().next().is_some_and(starts) && name.bytes().all(goes_on), "{name:?}");
    name
}

/// `name{label="value",…} value`
fn sample(line: &str) -> (String, Labels, f64) {
    let name_ends = line.find(['{', ' ']).expect("a sample has a value");
    let (name, mut rest) = line.split_at(name_ends);
    let mut labels = Labels::new();
    if let Some(within) = rest.strip_prefix('{') {
        rest = within;
        while !rest.starts_with('}') {
            let (label, value, after) = label(rest);
            assert!(!label.contains(':'), "{label} in {line}");
            assert!(labels.insert(label, value).is_none(), "a label twice: {line}");
            rest = after.strip_prefix(',').unwrap_or(after);
            assert!(rest.len() < after.len() || rest.starts_with('}'), "{line}");
        }
        rest = &rest[1..];
    }
    let value = rest.strip_prefix(' ').expect("a space before the value");
    let value = match value {
        "+Inf" => f64::INFINITY,
        "-Inf" => f64::NEG_INFINITY,
        "NaN" => f64::NAN,
        number => number.parse().unwrap_or_else(|_| panic!("no number: {line}")),
    };
    (check_name(name).to_owned(), labels, value)
}

/// The first label of a list, and what follows it.
fn label(text: &str) -> (String, String, &str) {
    let (name, quoted) = text.split_once("=\"").expect("a label has a value in quotes");
    let mut value = String::new();
    let mut letters = quoted.char_indices();
    loop {
        let (at, letter) = letters.next().expect("the quotes end");
        match letter {
            '"' => return (check_name(name).to_owned(), value, &quoted[at + 1..]),
            '\\' => value.push(match letters.next().expect("something is escaped").1 {
                'n' => '\n',
                escaped @ ('\\' | '"') => escaped,
                other => panic!("\\{other} is no escape"),
            }),
            other => value.push(other),
        }
    }
}

fn check_family(name: &str, family: &Family) {
    assert!(!family.help.is_empty() && !family.kind.is_empty(), "{name} is not explained");
    let mut seen = BTreeSet::new();
    for (sample, labels, value) in &family.samples {
        assert!(seen.insert((sample, labels)), "{sample} {labels:?} twice");
        assert!(family.kind == "gauge" || *value >= 0.0, "{sample} {labels:?} {value}");
    }
    if family.kind == "histogram" {
        check_histogram(name, family);
    }
}

/// Buckets rise in bound and count; the last is `+Inf` and holds as many as `_count` says.
fn check_histogram(name: &str, family: &Family) {
    let mut rows: BTreeMap<Labels, Vec<(f64, f64)>> = BTreeMap::new();
    let mut counts: BTreeMap<&Labels, f64> = BTreeMap::new();
    let mut sums = BTreeSet::new();
    for (sample, labels, value) in &family.samples {
        if sample.ends_with("_bucket") {
            let mut labels = labels.clone();
            let bound = labels.remove("le").expect("a bucket has its bound");
            let bound = if bound == "+Inf" { f64::INFINITY } else { bound.parse().unwrap() };
            rows.entry(labels).or_default().push((bound, *value));
        } else if sample.ends_with("_count") {
            counts.insert(labels, *value);
        } else {
            sums.insert(labels);
        }
    }
    assert_eq!((rows.len(), sums.len()), (counts.len(), counts.len()), "{name}");
    for (labels, buckets) in &rows {
        assert!(buckets.is_sorted(), "{name} {labels:?} {buckets:?}");
        assert!(buckets.iter().map(|(_, count)| count).is_sorted(), "{name} {buckets:?}");
        assert_eq!(buckets.last(), Some(&(f64::INFINITY, counts[labels])), "{name} {labels:?}");
    }
}
