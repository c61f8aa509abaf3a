//! The pages that the types of problems lead to.

use super::html::{block, code, escaped, heading, link, page, paragraph, prose, table, told};
use crate::api::{problem::Kind, spec};

/// One page a kind, by the last part of its address.
pub(super) fn pages() -> Vec<(&'static str, String)> {
    Kind::ALL.into_iter().map(|kind| (kind.slug(), page_of(kind))).collect()
}

fn page_of(kind: Kind) -> String {
    let facts = kind.facts();
    let status = facts.status;
    let reason = status.canonical_reason().unwrap_or_default();
    let mut body = format!(
        "<p>{} {} · <code>{}</code></p>\n<h2 id=\"meaning\">What it means</h2>\n<p>{}</p>\n<h2 id=\"mend\">What to do</h2>\n<p>{}</p>\n",
        status.as_u16(),
        escaped(reason),
        escaped(&kind.page()),
        prose(facts.meaning),
        prose(facts.mend),
    );
    for field in kind.fields() {
        body += &told(&code(field.name), &prose(field.about));
    }
    if let Some(example) = spec::example_of(kind) {
        let summary = example["summary"].as_str().unwrap_or_default();
        body += &heading(2, "example", "An example");
        body += &paragraph(&prose(summary));
        body += &block(&format!("{:#}", example["value"]));
    }
    body += "<p><a href=\"/docs#errors\">All errors</a></p>\n";
    page(facts.title, &body)
}

/// All kinds in a table.
pub(super) fn list() -> String {
    let rows: Vec<Vec<String>> = Kind::ALL
        .into_iter()
        .map(|kind| {
            let page = kind.page();
            vec![
                link(&page, &escaped(&page)),
                kind.status().as_u16().to_string(),
                escaped(kind.facts().title),
            ]
        })
        .collect();
    table("Types of problems", &["Type", "Status", "What it is"], &rows)
}
