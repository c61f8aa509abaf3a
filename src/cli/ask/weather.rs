//! Two clubs in weather, as `evencarry compare --weather` tells it.

use serde_json::Value;

use super::{
    figure::{bounds, figure, measured, said},
    line, list, or_dash,
    table::Table,
};

/// The sentences, then both clubs in each kind of weather; what has to stand beside computed flights last.
pub(super) fn in_weather(conditions: &Value) -> String {
    let mut told = String::new();
    line(&mut told, or_dash(&conditions["words"]));
    if conditions["reason"].is_null() {
        let weathers = [&conditions["still"]].into_iter();
        let weathers =
            weathers.chain(list(&conditions["winds"])).chain([&conditions["cold_and_wet"]]);
        let clubs = ["incumbent", "candidate"].map(|club| or_dash(&conditions[club]["club"]));
        told.push('\n');
        told.push_str(&table(clubs, weathers.filter(|weather| weather.is_object())).text());
        told.push('\n');
    }
    line(&mut told, or_dash(&conditions["caution"]));
    told
}

fn table<'a>(
    [incumbent, candidate]: [&str; 2],
    weathers: impl Iterator<Item = &'a Value>,
) -> Table {
    let weathers: Vec<&Value> = weathers.collect();
    let unit = weathers.iter().find_map(|weather| measured(&weather["incumbent"], "carry"));
    let unit = unit.map_or("", |(member, _)| said(member).1);
    let carries = |club: &str| format!("{club} carries {unit}");
    let mut table = Table::of(&[
        "computed",
        &carries(incumbent),
        "change",
        "aside",
        &carries(candidate),
        "change",
        "aside",
        &format!("{candidate} keeps more"),
        "by both models",
    ]);
    for weather in weathers {
        let mut row = vec![name(weather)];
        for club in ["incumbent", "candidate"] {
            let of = |name: &str| measured(&weather[club], name);
            row.push(
                of("carry")
                    .map_or_else(String::new, |(member, carry)| figure(member, &carry["median"])),
            );
            let others = ["carry_change", "drift"].map(|name| {
                of(name).map_or_else(String::new, |(member, value)| figure(member, value))
            });
            row.extend(others);
        }
        let kept = measured(weather, "candidate_keeps");
        row.extend(kept.map_or_else(Default::default, |(member, kept)| {
            [figure(member, &kept["estimate"]), bounds(member, kept)]
        }));
        table.row(row);
    }
    table
}

/// What a kind of weather is called.
fn name(weather: &Value) -> String {
    let of = |member: Option<(&str, &Value)>| {
        member.map_or_else(String::new, |(member, value)| {
            format!("{} {}", figure(member, value), said(member).1)
        })
    };
    let wind = of(measured(&weather["wind"], "speed"));
    match weather["wind_side"].as_str() {
        Some("head") => format!("{wind} ahead"),
        Some("tail") => format!("{wind} behind"),
        Some("cross") => format!("{wind} from the right"),
        _ => format!("still, {}", of(measured(&weather["air"], "temperature"))),
    }
}
