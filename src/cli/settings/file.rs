//! The settings file: TOML, the keys of the table at its head and the limits below `[limits]`.

use std::{
    borrow::Cow,
    ops::Range,
    path::{Path, PathBuf},
};

use toml::{
    Spanned,
    de::{DeTable, DeValue},
};

use super::{
    fault::Fault,
    given::{Given, Place},
    setting::{Form, Setting, TABLE},
};
use crate::{api::Limits, shot::units::nearest};

/// The table of the limits.
const LIMITS: &str = "limits";

/// What a settings file says.
#[derive(Debug, Default)]
pub(super) struct File {
    /// What it gives for settings.
    pub settings: Vec<(&'static Setting, Given)>,
    /// What it gives for limits: key, number, and where.
    pub limits: Vec<(String, u64, Place)>,
    /// What is wrong with it.
    pub faults: Vec<Fault>,
}

/// Reads the text of the file at a path. A text that is no TOML is told all that is wrong with its
/// form and nothing else.
pub(super) fn read(path: &Path, text: &str) -> File {
    let mut reader = Reader { path, text, file: File::default() };
    let (table, broken) = DeTable::parse_recoverable(text);
    if broken.is_empty() {
        reader.head(table.get_ref());
    }
    for fault in broken {
        let detail = format!("no TOML: {}; a text stands in quotes", fault.message());
        reader.fault(fault.span().unwrap_or_default(), detail.replace('\n', ", "));
    }
    reader.file.faults.sort_by_key(|fault| match fault.place {
        Place::Line(_, line) => line,
        _ => 0,
    });
    reader.file
}

type Key<'t> = Spanned<Cow<'t, str>>;
type Value<'t> = Spanned<DeValue<'t>>;

struct Reader<'a> {
    path: &'a Path,
    text: &'a str,
    file: File,
}

impl Reader<'_> {
    fn head(&mut self, table: &DeTable<'_>) {
        for (key, value) in table {
            if key.get_ref() == LIMITS {
                self.limits(value);
            } else if let Some(setting) = TABLE.into_iter().find(|row| row.key == key.get_ref()) {
                self.setting(setting, value);
            } else {
                self.unknown(key);
            }
        }
    }

    fn setting(&mut self, setting: &'static Setting, value: &Value<'_>) {
        let texts = match (setting.form, value.get_ref()) {
            (Form::Text | Form::Path, DeValue::String(text)) => Some(vec![text.as_ref().into()]),
            (Form::Truth, DeValue::Boolean(truth)) => Some(vec![truth.to_string().into()]),
            (Form::Texts, DeValue::Array(items)) => items
                .iter()
                .map(|item| item.get_ref().as_str().map(Into::into))
                .collect::<Option<Vec<_>>>(),
            _ => None,
        };
        let Some(texts) = texts else {
            let wanted = match setting.form {
                Form::Text | Form::Path => "a text in quotes",
                Form::Texts => "a list of texts in quotes, such as [\"…\", \"…\"]",
                Form::Truth => "true or false, without quotes",
            };
            let is = value.get_ref().type_str();
            let detail = format!("`{}` is of type {is}: give {wanted}", setting.key);
            return self.fault(value.span(), detail);
        };
        let folder = self.path.parent().unwrap_or(Path::new(""));
        let given = Given::new(setting, texts, self.place(&value.span()), folder);
        self.file.settings.push((setting, given));
    }

    fn limits(&mut self, value: &Value<'_>) {
        let DeValue::Table(table) = value.get_ref() else {
            return self.fault(value.span(), "`limits` is a table: write `[limits]`");
        };
        for (key, value) in table {
            let number = match value.get_ref() {
                DeValue::Integer(number) => {
                    u64::from_str_radix(number.as_str(), number.radix()).ok()
                }
                _ => None,
            };
            match number {
                _ if !is_limit(key.get_ref()) => self.unknown_limit(key),
                Some(number) => {
                    let place = self.place(&value.span());
                    self.file.limits.push((key.get_ref().to_string(), number, place));
                }
                None => {
                    let detail =
                        format!("`{}`: give a whole number, without quotes or unit", key.get_ref());
                    self.fault(value.span(), detail);
                }
            }
        }
    }

    fn unknown(&mut self, key: &Key<'_>) {
        let name = key.get_ref();
        let known = TABLE.into_iter().map(|setting| setting.key).chain([LIMITS]);
        let detail = match nearest(name, known) {
            _ if is_limit(name) => format!("`{name}` is a limit: put it below `[limits]`"),
            Some(near) => format!("there is no setting `{name}`: did you mean `{near}`?"),
            None => {
                format!("there is no setting `{name}`: `evencarry check` shows which there are")
            }
        };
        self.fault(key.span(), detail);
    }

    fn unknown_limit(&mut self, key: &Key<'_>) {
        let name = key.get_ref();
        let rows = Limits::default().rows();
        let known = rows.iter().filter(|row| row.range.is_some()).map(|row| row.key);
        let detail = match nearest(name, known) {
            _ if rows.iter().any(|row| row.key == name) => {
                format!("the limit `{name}` is fixed: leave it out")
            }
            _ if TABLE.iter().any(|setting| setting.key == name) => {
                format!("`{name}` is no limit: put it above `[limits]`")
            }
            Some(near) => format!("there is no limit `{name}`: did you mean `{near}`?"),
            None => format!("there is no limit `{name}`: `evencarry check` shows which there are"),
        };
        self.fault(key.span(), detail);
    }

    fn fault(&mut self, span: Range<usize>, detail: impl Into<String>) {
        let place = self.place(&span);
        self.file.faults.push(Fault::at(&place, detail));
    }

    fn place(&self, span: &Range<usize>) -> Place {
        let before = self.text.as_bytes().iter().take(span.start);
        let line = 1 + before.filter(|byte| **byte == b'\n').count();
        Place::Line(PathBuf::from(self.path), line)
    }
}

/// Whether a limit that can be set has this key.
fn is_limit(key: &str) -> bool {
    Limits::default().rows().iter().any(|row| row.key == key && row.range.is_some())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic)]

    use super::*;

    fn faults(text: &str) -> Vec<String> {
        let file = read(Path::new("bay/evencarry.toml"), text);
        file.faults.iter().map(ToString::to_string).collect()
    }

    #[test]
    fn what_a_file_says_is_read_with_its_lines() {
        let file = read(
            Path::new("/etc/bay/evencarry.toml"),
            "listen = \"127.0.0.1:1\"\nhosts = [\"a\", \"b\"]\nopen_network = true\ndata = \"shots\"\n\
             [limits]\nbody_bytes = 0x10_0000\n",
        );
        assert_eq!(file.faults, []);
        let given: Vec<(&str, String, usize)> = file
            .settings
            .iter()
            .map(|(setting, given)| {
                let Place::Line(_, line) = given.place else { panic!("{given:?}") };
                (setting.key, given.as_toml(setting), line)
            })
            .collect();
        for expected in [
            ("listen", "\"127.0.0.1:1\"", 1),
            ("hosts", "[\"a\", \"b\"]", 2),
            ("open_network", "true", 3),
            ("data", "\"/etc/bay/shots\"", 4),
        ] {
            let (key, value, line) = expected;
            assert!(given.contains(&(key, value.to_owned(), line)), "{expected:?} in {given:?}");
        }
        let (key, number, place) = &file.limits[0];
        assert_eq!(
            (key.as_str(), *number, place.to_string()),
            ("body_bytes", 1_048_576, String::from("/etc/bay/evencarry.toml:6"))
        );
    }

    #[test]
    fn every_fault_is_told_with_its_line_and_the_mend() {
        let told = faults(
            "lissten = \"127.0.0.1:1\"\nhosts = \"bay.example\"\nopen_network = \"yes\"\n\
             body_bytes = 1\nzzzzzzzz = 1\n[limits]\nbody_byte = 1\nconnections = \"many\"\n\
             idle_seconds = -1\njson_depth = 64\nlisten = \"x\"\n",
        );
        for (line, words) in [
            (1, "did you mean `listen`?"),
            (2, "a list of texts"),
            (3, "true or false"),
            (4, "below `[limits]`"),
            (5, "`evencarry check`"),
            (7, "did you mean `body_bytes`?"),
            (8, "whole number"),
            (9, "whole number"),
            (10, "fixed"),
            (11, "above `[limits]`"),
        ] {
            let place = format!("bay/evencarry.toml:{line}: ");
            let found = told.iter().any(|told| told.starts_with(&place) && told.contains(words));
            assert!(found, "{place}{words} in {told:#?}");
        }
        assert_eq!(told.len(), 10, "{told:#?}");
    }

    #[test]
    fn a_text_that_is_no_toml_is_told_where() {
        let told = faults("listen = 127.0.0.1:1\n\n[limits\n");
        assert!(told[0].starts_with("bay/evencarry.toml:1: "), "{told:?}");
        assert!(told.iter().any(|told| told.starts_with("bay/evencarry.toml:3: ")), "{told:?}");
        let twice = faults("listen = \"a\"\nlisten = \"b\"\n");
        assert!(twice[0].starts_with("bay/evencarry.toml:2: "), "{twice:?}");
        assert!(faults("limits = 3")[0].contains("[limits]"));
    }
}
