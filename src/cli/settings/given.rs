//! What was given for a setting, and where.

use std::{
    ffi::OsString,
    fmt,
    path::{self, Path, PathBuf},
};

use super::setting::{Form, Setting};

/// Where a value comes from, the strongest first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::cli) enum Place {
    /// The command line.
    Flag(&'static str),
    /// The environment.
    Variable(&'static str),
    /// A line of the settings file.
    Line(PathBuf, usize),
    /// The settings file as a whole.
    File(PathBuf),
    /// Nowhere: it is the usual value.
    Usual,
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Flag(flag) => write!(f, "--{flag}"),
            Self::Variable(name) => f.write_str(name),
            Self::Line(path, line) => write!(f, "{}:{line}", path.display()),
            Self::File(path) => write!(f, "{}", path.display()),
            Self::Usual => f.write_str("default"),
        }
    }
}

/// A value as it was given, not yet judged: one text, or many for a list.
#[derive(Debug, Clone)]
pub(super) struct Given {
    /// The texts.
    pub texts: Vec<OsString>,
    /// Where they stand.
    pub place: Place,
}

impl Given {
    /// What was given at a place; a relative path starts at `folder`.
    pub(super) fn new(
        setting: &Setting,
        texts: Vec<OsString>,
        place: Place,
        folder: &Path,
    ) -> Self {
        let texts = match setting.form {
            Form::Path => texts.into_iter().map(|text| absolute(text, folder)).collect(),
            _ => texts,
        };
        Self { texts, place }
    }

    /// The usual value of a setting.
    pub(super) fn usual(setting: &Setting) -> Self {
        let texts = (!setting.usual.is_empty()).then(|| setting.usual.into());
        Self { texts: texts.into_iter().collect(), place: Place::Usual }
    }

    /// As it would stand in a settings file.
    pub(super) fn as_toml(&self, setting: &Setting) -> String {
        let mut texts = self.texts.iter().map(|text| text.to_string_lossy());
        match setting.form {
            Form::Texts => quoted_list(texts.map(|text| text.trim().to_owned())),
            Form::Truth => texts.next().unwrap_or_default().into_owned(),
            Form::Text | Form::Path => quoted(&texts.next().unwrap_or_default()),
        }
    }
}

/// An empty path stays empty, to be refused.
fn absolute(text: OsString, folder: &Path) -> OsString {
    if text.is_empty() {
        return text;
    }
    let joined = folder.join(&text);
    path::absolute(&joined).unwrap_or(joined).into_os_string()
}

fn quoted(text: &str) -> String {
    toml::Value::from(text).to_string()
}

fn quoted_list(texts: impl Iterator<Item = String>) -> String {
    let texts: Vec<String> = texts.map(|text| quoted(&text)).collect();
    format!("[{}]", texts.join(", "))
}
