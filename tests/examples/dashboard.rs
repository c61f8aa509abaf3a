//! `api-spec/examples/dashboard.json`: every panel asks for what there is, and finds it.

use std::collections::{BTreeSet, HashMap};

use serde_json::Value;

use crate::support::{Answer, Running, season::visits, shot};

const DASHBOARD: &str = include_str!("../../api-spec/examples/dashboard.json");

fn dashboard() -> Value {
    serde_json::from_str(DASHBOARD).unwrap()
}

/// What the panels ask, with the panel's title: of the service itself, or of who keeps its metrics.
fn targets(of: &str) -> Vec<(String, Value)> {
    let dashboard = dashboard();
    let panels = dashboard["panels"].as_array().unwrap().iter();
    let all = panels.flat_map(|panel| {
        let title = panel["title"].as_str().unwrap().to_owned();
        panel["targets"]
            .as_array()
            .unwrap()
            .iter()
            .map(move |target| (title.clone(), target.clone()))
    });
    let wanted: Vec<_> =
        all.filter(|(_, target)| target["datasource"]["uid"] == format!("${{{of}}}")).collect();
    assert!(!wanted.is_empty(), "{of}");
    wanted
}

/// A service with all that the panels show.
fn service() -> Running {
    let service = Running::start();
    // A third club with too little, and a shot that is nobody's.
    let third: Vec<String> = visits(0..1)
        .lines()
        .filter(|line| line.contains("4u"))
        .map(|line| line.replace("4u", "3u"))
        .collect();
    let nobodys = shot("nobodys").replace(r#""player":"rowan","club":"5h","#, "");
    let sent = service.stream(&format!("{}\n{}\n{nobodys}\n", visits(0..4), third.join("\n")));
    assert_eq!(sent.json()["accepted"], 73, "{}", sent.text());
    service
}

/// A text with the variables' first values in their places.
fn filled(text: &str) -> String {
    let dashboard = dashboard();
    let variables = dashboard["templating"]["list"].as_array().unwrap();
    let filled = variables.iter().fold(text.to_owned(), |text, variable| {
        let name = format!("${{{}}}", variable["name"].as_str().unwrap());
        text.replace(&name, variable["query"].as_str().unwrap())
    });
    assert!(!filled.contains('$'), "{text} has a variable that there is not");
    filled
}

/// What a path of members leads to, through lists too.
fn found<'a>(value: &'a Value, path: &str) -> Vec<&'a Value> {
    let mut values = vec![value];
    for member in path.split('.') {
        let through = values.into_iter().flat_map(|value| match value {
            Value::Array(items) => items.iter().collect(),
            other => vec![other],
        });
        values = through.filter_map(|value| value.get(member)).collect();
    }
    values
        .into_iter()
        .flat_map(|value| value.as_array().map_or(vec![value], |items| items.iter().collect()))
        .collect()
}

/// By column, the values that are there: of a table of CSV, or of the rows behind the root.
fn columns(target: &Value, answer: &Answer) -> HashMap<String, usize> {
    let selectors = target["columns"].as_array().unwrap().iter();
    let selectors = selectors.map(|column| column["selector"].as_str().unwrap());
    if target["type"] == "csv" {
        let mut table = csv::Reader::from_reader(&answer.body[..]);
        let rows: Vec<HashMap<String, String>> = table.deserialize().map(Result::unwrap).collect();
        let told = |name: &str| {
            rows.iter().filter(|row| row.get(name).is_some_and(|cell| !cell.is_empty())).count()
        };
        return selectors.map(|name| (name.to_owned(), told(name))).collect();
    }
    let body = answer.json();
    let rows = found(&body, target["root_selector"].as_str().unwrap());
    let told = |name: &str| {
        rows.iter().flat_map(|row| found(row, name)).filter(|value| !value.is_null()).count()
    };
    selectors.map(|name| (name.to_owned(), told(name))).collect()
}

#[test]
fn the_panels_that_ask_the_service_find_every_member() {
    let service = service();
    for (title, target) in targets("service") {
        let path = filled(target["url"].as_str().unwrap());
        let media = if target["type"] == "csv" { "text/csv" } else { "application/json" };
        let answer = service.get_with(&path, &format!("Accept: {media}\r\n"));
        assert_eq!(answer.status, 200, "{title}: {}", answer.text());
        let columns = columns(&target, &answer);
        assert!(columns.len() > 2, "{title}");
        for (column, values) in columns {
            assert!(values > 0, "{title}: no row has {column}: {}", answer.text());
        }
    }
}

/// The words of an expression that may be names.
fn words(expression: &str) -> impl Iterator<Item = &str> {
    expression.split(|letter: char| !letter.is_ascii_alphanumeric() && letter != '_')
}

/// By name of a figure, the names of its labels.
fn figures(page: &str) -> HashMap<&str, BTreeSet<&str>> {
    let mut figures: HashMap<&str, BTreeSet<&str>> = HashMap::new();
    for line in page.lines().filter(|line| !line.starts_with('#')) {
        let (figure, _) = line.rsplit_once(' ').unwrap();
        let (name, labels) = figure.split_once('{').unwrap_or((figure, ""));
        let labels = labels.split("=\"").map(|text| text.rsplit([',', '{']).next().unwrap());
        figures.entry(name).or_default().extend(labels);
    }
    figures
}

#[test]
fn the_panels_of_metrics_name_figures_and_labels_that_there_are() {
    let service = service();
    let page = service.get("/metrics");
    let figures = figures(page.text());
    for (title, target) in targets("prometheus") {
        let expression = target["expr"].as_str().unwrap();
        let named: Vec<&str> =
            words(expression).filter(|word| word.starts_with("evencarry_")).collect();
        assert_eq!(named.len(), 1, "{title}: {expression}");
        let labels = figures.get(named[0]).unwrap_or_else(|| panic!("{title}: no {}", named[0]));
        let by =
            expression.split_once("by (").map_or("", |(_, rest)| rest.split(')').next().unwrap());
        let legend = target["legendFormat"].as_str().unwrap().split("{{").skip(1);
        let legend = legend.map(|rest| rest.split("}}").next().unwrap());
        for label in by.split(", ").filter(|label| !label.is_empty()).chain(legend) {
            assert!(labels.contains(label), "{title}: {} has no label {label}", named[0]);
        }
    }
}

#[test]
fn where_the_data_come_from_is_chosen_by_who_imports_it() {
    let dashboard = dashboard();
    let sources: Vec<&str> = dashboard["templating"]["list"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|variable| variable["type"] == "datasource")
        .map(|variable| variable["name"].as_str().unwrap())
        .collect();
    assert_eq!(sources, ["service", "prometheus"]);
    let all = targets("service").len() + targets("prometheus").len();
    let panels = dashboard["panels"].as_array().unwrap().iter();
    assert_eq!(panels.map(|panel| panel["targets"].as_array().unwrap().len()).sum::<usize>(), all);
    assert!(!DASHBOARD.contains("://"), "no address is written down");
}
