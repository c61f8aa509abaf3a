//! The settings on the command line and in the environment: an option a row of the table.

use std::{
    ffi::OsString,
    path::{Path, PathBuf},
};

use clap::{
    Arg, ArgAction, ArgMatches, Args, Command, FromArgMatches, builder::OsStringValueParser,
    parser::ValueSource,
};

use super::{
    given::{Given, Place},
    setting::{Form, Setting, TABLE},
};

/// The file is no setting of its own, since it cannot stand in itself.
pub(super) static CONFIG: Setting = Setting {
    key: "config",
    variable: "EVENCARRY_CONFIG",
    flag: "config",
    form: Form::Path,
    value_name: "FILE",
    usual: "",
    about: "Settings file, in TOML: flags go before the environment, and that before the file. It \
            alone holds the limits.",
};

/// What the command line and the environment say.
#[derive(Debug, Clone, Default)]
pub(in crate::cli) struct Flags {
    /// The settings file, and where it was named.
    pub(super) config: Option<(PathBuf, Place)>,
    /// The settings given.
    pub(super) given: Vec<(&'static Setting, Given)>,
}

impl Args for Flags {
    fn augment_args(command: Command) -> Command {
        command.args([&CONFIG].into_iter().chain(TABLE).map(option))
    }

    fn augment_args_for_update(command: Command) -> Command {
        Self::augment_args(command)
    }
}

impl FromArgMatches for Flags {
    fn from_arg_matches(matches: &ArgMatches) -> Result<Self, clap::Error> {
        let given = |setting: &'static Setting| Some((setting, given(matches, setting)?));
        let config = given_texts(matches, &CONFIG)
            .and_then(|(texts, place)| Some((PathBuf::from(texts.into_iter().next()?), place)));
        Ok(Self { config, given: TABLE.into_iter().filter_map(given).collect() })
    }

    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), clap::Error> {
        *self = Self::from_arg_matches(matches)?;
        Ok(())
    }
}

fn option(setting: &'static Setting) -> Arg {
    let option = Arg::new(setting.key)
        .long(setting.flag)
        .env(setting.variable)
        .value_name(setting.value_name)
        .value_parser(OsStringValueParser::new())
        .help(setting.about.trim_end_matches('.'));
    let option = match setting.form {
        Form::Text | Form::Path => option,
        Form::Texts => option.action(ArgAction::Append).value_delimiter(','),
        Form::Truth => option.num_args(0..=1).require_equals(true).default_missing_value("true"),
    };
    if setting.usual.is_empty() { option } else { option.default_value(setting.usual) }
}

fn given(matches: &ArgMatches, setting: &'static Setting) -> Option<Given> {
    let (texts, place) = given_texts(matches, setting)?;
    Some(Given::new(setting, texts, place, Path::new("")))
}

/// What was given for a setting, and where. An empty variable is as good as none.
fn given_texts(matches: &ArgMatches, setting: &'static Setting) -> Option<(Vec<OsString>, Place)> {
    let texts: Vec<OsString> = matches.get_raw(setting.key)?.map(Into::into).collect();
    match matches.value_source(setting.key)? {
        ValueSource::CommandLine => Some((texts, Place::Flag(setting.flag))),
        ValueSource::EnvVariable if texts.iter().all(|text| text.is_empty()) => None,
        ValueSource::EnvVariable => Some((texts, Place::Variable(setting.variable))),
        _ => None,
    }
}
