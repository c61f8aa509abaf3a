//! The table of settings: flags, variables, keys of the file and what `check` shows are made from its
//! rows, so that all speak of a thing by the same name.

/// A row: something that can be set.
#[derive(Debug)]
pub(super) struct Setting {
    /// Its key in the file.
    pub key: &'static str,
    /// Its variable in the environment: [`PREFIX`] and the key in capitals.
    pub variable: &'static str,
    /// Its flag: the key, in the singular where it may be given repeatedly.
    pub flag: &'static str,
    /// What its value is.
    pub form: Form,
    /// How help calls its value.
    pub value_name: &'static str,
    /// Its value unless it is set; none if empty.
    pub usual: &'static str,
    /// What it is for.
    pub about: &'static str,
}

/// What the value of a setting is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Form {
    /// A text.
    Text,
    /// A path; a relative one starts where it was written: in the folder of the file, or in the folder
    /// that the program was started in.
    Path,
    /// Any number of texts.
    Texts,
    /// `true` or `false`.
    Truth,
}

pub(super) static DATA: Setting = Setting {
    key: "data",
    variable: "EVENCARRY_DATA",
    flag: "data",
    form: Form::Path,
    value_name: "DIR",
    usual: "",
    about: "Folder of the data; made when it is missing. There is no default.",
};

pub(super) static LISTEN: Setting = Setting {
    key: "listen",
    variable: "EVENCARRY_LISTEN",
    flag: "listen",
    form: Form::Text,
    value_name: "ADDR",
    usual: "127.0.0.1:8417",
    about: "Address and port to listen on; port 0 takes a free one.",
};

pub(super) static HOSTS: Setting = Setting {
    key: "hosts",
    variable: "EVENCARRY_HOSTS",
    flag: "host",
    form: Form::Texts,
    value_name: "NAME",
    usual: "",
    about: "A host name to answer to, besides IP addresses and localhost; may be given repeatedly.",
};

pub(super) static ALLOW_ORIGINS: Setting = Setting {
    key: "allow_origins",
    variable: "EVENCARRY_ALLOW_ORIGINS",
    flag: "allow-origin",
    form: Form::Texts,
    value_name: "ORIGIN",
    usual: "",
    about: "An origin whose web pages may read and write here, such as http://localhost:5173; may be \
            given repeatedly.",
};

pub(super) static OPEN_NETWORK: Setting = Setting {
    key: "open_network",
    variable: "EVENCARRY_OPEN_NETWORK",
    flag: "open-network",
    form: Form::Truth,
    value_name: "true|false",
    usual: "false",
    about: "Listen beyond this machine although anyone there may then read and write everything.",
};

pub(super) static LOG: Setting = Setting {
    key: "log",
    variable: "EVENCARRY_LOG",
    flag: "log",
    form: Form::Text,
    value_name: "FILTER",
    usual: "info,actix_server=warn",
    about: "How much is logged: off, error, warn, info, debug or trace, also by room \
            (info,evencarry::api=debug).",
};

pub(super) static LOG_FORMAT: Setting = Setting {
    key: "log_format",
    variable: "EVENCARRY_LOG_FORMAT",
    flag: "log-format",
    form: Form::Text,
    value_name: "FORMAT",
    usual: "text",
    about: "How log lines look: text, for people, or json, one object a line.",
};

/// All settings that are no limits, in the order in which they are shown.
pub(super) static TABLE: [&Setting; 7] =
    [&DATA, &LISTEN, &HOSTS, &ALLOW_ORIGINS, &OPEN_NETWORK, &LOG, &LOG_FORMAT];

/// What the name of every variable begins with.
pub(super) const PREFIX: &str = "EVENCARRY_";

impl Setting {
    /// Whether it may have any number of values, also none.
    pub(super) fn is_list(&self) -> bool {
        self.form == Form::Texts
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn flag_variable_and_key_are_one_name() {
        for Setting { key, variable, flag, form, .. } in TABLE {
            assert_eq!(*variable, format!("{PREFIX}{}", key.to_ascii_uppercase()));
            let plural = if *form == Form::Texts { "s" } else { "" };
            assert_eq!(*key, format!("{}{plural}", flag.replace('-', "_")));
        }
    }
}
