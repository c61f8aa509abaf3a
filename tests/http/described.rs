//! The description is whole: everything in it has a text, every body and parameter an example that is
//! valid.

use std::collections::BTreeSet;

use serde_json::{Map, Value};

use crate::support::described::{DESCRIPTION, check_body, check_json, resolved};

/// Gathers what is missing, so that all of it is told at once.
#[derive(Default)]
struct Missing(BTreeSet<String>);

impl Missing {
    fn expect(&mut self, holds: bool, what: impl FnOnce() -> String) {
        if !holds {
            self.0.insert(what());
        }
    }

    fn expect_text(&mut self, value: &Value, at: &str) {
        let told = value["description"].as_str().is_some_and(|text| !text.is_empty());
        self.expect(told, || format!("{at} has no description"));
    }
}

fn members(value: &'static Value) -> impl Iterator<Item = (&'static String, &'static Value)> {
    value.as_object().into_iter().flat_map(Map::iter)
}

fn operations() -> impl Iterator<Item = (String, &'static Value)> {
    members(&DESCRIPTION["paths"]).flat_map(|(path, item)| {
        members(item).map(move |(verb, operation)| (format!("{verb} {path}"), operation))
    })
}

#[test]
fn everything_is_described() {
    let mut missing = Missing::default();
    for (name, schema) in members(&DESCRIPTION["components"]["schemas"]) {
        missing.expect_text(schema, name);
        look_at_schema(&mut missing, name, schema);
    }
    for (at, operation) in operations() {
        missing.expect_text(operation, &at);
        missing.expect(operation["tags"][0].is_string(), || format!("{at} has no tag"));
        for parameter in operation["parameters"].as_array().into_iter().flatten() {
            let at = format!("{at}, {}", parameter["name"]);
            missing.expect_text(parameter, &at);
            let example = &parameter["example"];
            missing.expect(!example.is_null(), || format!("{at} has no example"));
            check_json(&at, &parameter["schema"], example);
        }
        if !operation["requestBody"].is_null() {
            look_at_contents(&mut missing, &at, &operation["requestBody"]);
        }
        for (status, response) in members(&operation["responses"]) {
            look_at_response(&mut missing, &format!("{at}, {status}"), resolved(response));
        }
    }
    let tags = DESCRIPTION["tags"].as_array().unwrap();
    for (at, operation) in operations() {
        let tag = &operation["tags"][0];
        missing.expect(tags.iter().any(|known| known["name"] == *tag), || {
            format!("{at}: nothing tells what {tag} is about")
        });
    }
    assert!(missing.0.is_empty(), "{:#?}", missing.0);
}

/// Every member of every object, however deep, has a text; a reference has that of what it leads to.
fn look_at_schema(missing: &mut Missing, at: &str, schema: &'static Value) {
    for (name, member) in members(&schema["properties"]) {
        let at = format!("{at}.{name}");
        if member.is_object() {
            missing.expect_text(
                if member["description"].is_string() { member } else { resolved(member) },
                &at,
            );
            look_at_schema(missing, &at, member);
        }
    }
    for choice in ["allOf", "anyOf", "oneOf"] {
        for part in schema[choice].as_array().into_iter().flatten() {
            let conditions = part.get("type").is_none();
            if !conditions {
                look_at_schema(missing, at, part);
            }
        }
    }
    if schema["items"].is_object() {
        look_at_schema(missing, at, &schema["items"]);
    }
}

fn look_at_response(missing: &mut Missing, at: &str, response: &'static Value) {
    missing.expect_text(response, at);
    for (name, field) in members(&response["headers"]) {
        let at = format!("{at}, {name}");
        missing.expect_text(field, &at);
        check_json(&at, &field["schema"], &field["example"]);
    }
    look_at_contents(missing, at, response);
}

/// Every form of a body has an example, and every example is as its schema says.
fn look_at_contents(missing: &mut Missing, at: &str, body: &'static Value) {
    missing.expect_text(body, at);
    for (media, content) in members(&body["content"]) {
        let at = format!("{at}, {media}");
        let mut examples = members(&content["examples"]).peekable();
        missing.expect(examples.peek().is_some(), || format!("{at} has no example"));
        for (name, example) in examples {
            let at = format!("{at}, {name}");
            missing.expect(example["summary"].is_string(), || format!("{at} has no summary"));
            let value = match &example["value"] {
                Value::String(text) => text.clone(),
                json => json.to_string(),
            };
            check_body(&at, &content["schema"], (media, value.as_bytes()));
        }
    }
}

#[test]
fn names_that_clients_are_generated_from_are_unambiguous() {
    let schemas = &DESCRIPTION["components"]["schemas"];
    let mut lower = BTreeSet::new();
    for (name, schema) in members(schemas) {
        assert!(lower.insert(name.to_lowercase()), "{name} differs from another by case only");
        assert!(schema.get("anyOf").is_none() && schema.get("oneOf").is_none(), "{name}");
    }
    let mut names = BTreeSet::new();
    for (at, operation) in operations() {
        assert!(names.insert(operation["operationId"].as_str().unwrap()), "{at}");
    }
}

#[test]
fn links_lead_to_operations_and_name_their_parameters() {
    let known = |name: &Value| {
        operations()
            .map(|(_, operation)| operation)
            .find(|operation| operation["operationId"] == *name)
    };
    let mut seen = 0;
    for (at, operation) in operations() {
        for (_, response) in members(&operation["responses"]) {
            for (_, link) in members(&resolved(response)["links"]) {
                let target = known(&link["operationId"]).unwrap_or_else(|| panic!("{at}: {link}"));
                for (name, _) in members(&link["parameters"]) {
                    let mut parameters = target["parameters"].as_array().unwrap().iter();
                    assert!(parameters.any(|parameter| parameter["name"] == *name), "{at}: {link}");
                }
                seen += 1;
            }
        }
    }
    assert!(seen > 20, "{seen} links");
}
