//! A verdict on one line, in the words of the service.

use serde_json::Value;

use super::{
    names::Names,
    told::{list, text},
};

/// The line, and what it says for sure: that alone makes it worth saying again, not each figure that a shot
/// moves.
pub(super) fn verdict(judged: &Value, player: &str, names: &Names) -> (String, String) {
    let (verdict, words) = (text(&judged["verdict"]), text(&judged["words"]));
    match verdict {
        // The words say what: that it can take the place, or that it cannot.
        "replaces" | "does_not_replace" => (format!("Proven: {words}"), verdict.to_owned()),
        "insufficient" => {
            let missing = missing(judged, player, names);
            let line = format!("{}{missing}.", words.trim_end_matches('.'));
            (line, missing)
        }
        _ => {
            // Until there are a few shots there is none.
            let outlook = judged["outlook"]["words"].as_str().unwrap_or_default();
            let said =
                if outlook.is_empty() { String::new() } else { format!(" Outlook: {outlook}.") };
            (format!("{words}{said}"), outlook.to_owned())
        }
    }
}

/// What each club lacks most: how many like-for-like shots it has of how many, and of which measure if it
/// has more of another.
fn missing(judged: &Value, player: &str, names: &Names) -> String {
    let mut clubs: Vec<(&str, Vec<&Value>)> = Vec::new();
    for one in list(&judged["missing"]) {
        let club = text(&one["club"]);
        match clubs.iter_mut().find(|(known, _)| *known == club) {
            Some((_, all)) => all.push(one),
            None => clubs.push((club, vec![one])),
        }
    }
    let each = clubs.iter().map(|(club, all)| {
        let lacks = |one: &Value| (one["needed"].as_i64(), one["have"].as_i64().map(|have| -have));
        let most = all.iter().max_by_key(|one| lacks(one)).copied().unwrap_or(&Value::Null);
        let count = format!("{} {} of {}", names.club(player, club), most["have"], most["needed"]);
        let same = all.iter().all(|one| lacks(one) == lacks(most));
        if same && all.len() > 1 { count } else { format!("{count} ({})", measure(most)) }
    });
    let each: Vec<String> = each.collect();
    if each.is_empty() { String::new() } else { format!(": {}", each.join(", ")) }
}

/// A measure without its unit.
fn measure(one: &Value) -> String {
    let metric = text(&one["metric"]);
    metric.rsplit_once('_').map_or(metric, |(name, _)| name).replace('_', " ")
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    fn of(judged: &Value) -> String {
        verdict(judged, "rowan", &Names::default()).0
    }

    #[test]
    fn a_count_is_told_once_for_a_club_and_with_its_measure_where_that_matters() {
        let one = |club: &str, metric: &str, have: u32| json!({"club": club, "metric": metric, "have": have, "needed": 8});
        let judged = |missing: Value| {
            of(
                &json!({"verdict": "insufficient", "words": "Too little was hit.", "missing": missing}),
            )
        };
        let all = ["carry_m", "launch_angle_deg", "spin_rate_rpm"];
        let even = all.map(|metric| one("5h", metric, 3));
        assert_eq!(judged(json!(even)), "Too little was hit: 5h 3 of 8.");
        let spin_lacks = json!([
            one("5h", "carry_m", 7),
            one("5h", "spin_rate_rpm", 2),
            one("4u", "spin_rate_rpm", 0)
        ]);
        assert_eq!(
            judged(spin_lacks),
            "Too little was hit: 5h 2 of 8 (spin rate), 4u 0 of 8 (spin rate)."
        );
        assert_eq!(judged(json!([])), "Too little was hit.");
    }

    #[test]
    fn a_proof_is_a_proof_of_what_its_words_say() {
        let words = "4-utility cannot take the place of 5-hybrid: the carries are not even.";
        let judged = json!({"verdict": "does_not_replace", "words": words});
        assert_eq!(of(&judged), format!("Proven: {words}"));
    }
}
