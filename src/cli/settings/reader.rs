//! From what was given to what the service runs with.

use std::{ffi::OsStr, fs, mem, net::SocketAddr, path::PathBuf};

use super::{
    fault::Fault,
    file::{self, File},
    flags::Flags,
    given::{Given, Place},
    setting::{ALLOW_ORIGINS, DATA, HOSTS, LISTEN, LOG, LOG_FORMAT, OPEN_NETWORK, Setting, TABLE},
};
use crate::{
    api::{Hosts, LimitRow, Limits, Origins},
    cli::logs::Logs,
};

/// What the service runs with.
#[derive(Debug)]
pub(in crate::cli) struct Settings {
    /// Folder of the data.
    pub data: PathBuf,
    /// Where it listens; beyond this machine only when that is meant.
    pub listen: SocketAddr,
    /// Names it answers to.
    pub hosts: Hosts,
    /// Origins whose pages may read and write.
    pub origins: Origins,
    /// How it logs.
    pub logs: Logs,
    /// What it takes at most.
    pub limits: Limits,
}

/// A setting as it stands.
#[derive(Debug)]
pub(in crate::cli) struct Shown {
    /// Its key.
    pub key: &'static str,
    /// Its value, as it would stand in a settings file; none if it has none.
    pub value: Option<String>,
    /// Where the value comes from.
    pub place: Place,
}

/// All settings, judged.
#[derive(Debug)]
pub(in crate::cli) struct Reading {
    /// The settings as they stand.
    pub settings: Vec<Shown>,
    /// The limits that can be set, as they stand, and where each comes from.
    pub limits: Vec<(LimitRow, Place)>,
    /// What the service runs with, or all that is wrong.
    pub outcome: Result<Settings, Vec<Fault>>,
}

impl Flags {
    /// Reads the file, if one is named, and judges all settings.
    pub(in crate::cli) fn read(self) -> Reading {
        let mut file = self.config.map_or_else(File::default, |(path, place)| open(path, &place));
        let faults = mem::take(&mut file.faults);
        let mut reader = Reader { given: self.given, file, faults };
        let limits = reader.limits();
        let settings = reader.settings(limits.clone());
        Reading {
            settings: TABLE.into_iter().map(|setting| reader.shown(setting)).collect(),
            limits: reader.shown_limits(&limits),
            outcome: match settings {
                Some(settings) if reader.faults.is_empty() => Ok(settings),
                _ => Err(reader.faults),
            },
        }
    }
}

fn open(path: PathBuf, named: &Place) -> File {
    match fs::read_to_string(&path) {
        Ok(text) => file::read(&path, &text),
        Err(error) => {
            let detail = format!("the settings file cannot be read ({named}): {error}");
            File { faults: vec![Fault::at(&Place::File(path), detail)], ..File::default() }
        }
    }
}

struct Reader {
    given: Vec<(&'static Setting, Given)>,
    file: File,
    faults: Vec<Fault>,
}

impl Reader {
    /// The settings; none if one of them cannot be had. What else is wrong is among the faults.
    fn settings(&mut self, limits: Limits) -> Option<Settings> {
        let data = self.data();
        let listen = self.one(&LISTEN, |text| {
            text.parse::<SocketAddr>().map_err(|_| {
                format!(
                    "`{text}` is no address: give an IP address and a port, such as {}",
                    LISTEN.usual
                )
            })
        });
        let open = self.one(&OPEN_NETWORK, |text| match text {
            "true" => Ok(true),
            "false" => Ok(false),
            _ => Err(format!("`{text}` is neither true nor false")),
        });
        if let (Some(listen), Some(false)) = (listen, open) {
            self.judge_reach(listen);
        }
        let hosts = self.hosts();
        let origins = self.origins();
        let filter = self.one(&LOG, Logs::filter);
        let format = self.one(&LOG_FORMAT, Logs::format);
        let logs = Logs { filter: filter?, format: format? };
        Some(Settings { data: data?, listen: listen?, hosts: hosts?, origins, logs, limits })
    }

    /// Needed, and in any bytes that the system takes for a path.
    fn data(&mut self) -> Option<PathBuf> {
        let Given { texts, place } = self.of(&DATA);
        match texts.into_iter().next() {
            Some(folder) if !folder.is_empty() => Some(folder.into()),
            Some(_) => {
                self.faults.push(Fault::at(&place, "`data` is empty: name a folder"));
                None
            }
            None => {
                let detail = "where the data is kept is not set: give --data DIR, EVENCARRY_DATA, or \
                              `data` in a settings file";
                self.faults.push(Fault::at(&place, detail));
                None
            }
        }
    }

    fn judge_reach(&mut self, listen: SocketAddr) {
        if listen.ip().is_loopback() {
            return;
        }
        let place = self.of(&LISTEN).place;
        let detail = format!(
            "{listen} reaches beyond this machine, where anyone could read and write everything: \
             listen on 127.0.0.1, or say --open-network (`open_network = true`) if that is meant"
        );
        self.faults.push(Fault::at(&place, detail));
    }

    fn hosts(&mut self) -> Option<Hosts> {
        let names = self.many(&HOSTS);
        for name in &names {
            if let Err(fault) = Hosts::declared([name.clone()]) {
                self.fault(&HOSTS, fault.to_string());
            }
        }
        Hosts::declared(names).ok()
    }

    fn origins(&mut self) -> Origins {
        let mut origins = Origins::default();
        for origin in self.many(&ALLOW_ORIGINS) {
            if let Err(fault) = origins.list(&origin) {
                self.fault(&ALLOW_ORIGINS, fault.to_string());
            }
        }
        origins
    }

    /// The limits; what cannot be set so is among the faults and stays as usual.
    fn limits(&mut self) -> Limits {
        let mut limits = Limits::default();
        let faults = &mut self.faults;
        self.file.limits.retain(|(key, number, place)| {
            let set = limits.set(key, *number);
            set.map_err(|fault| faults.push(Fault::at(place, fault.to_string()))).is_ok()
        });
        if let (Err(fault), Some((.., place))) = (limits.agree(), self.file.limits.last()) {
            self.faults.push(Fault::at(place, fault.to_string()));
        }
        limits
    }

    /// The value of a setting that has one text.
    fn one<T>(
        &mut self,
        setting: &'static Setting,
        read: impl FnOnce(&str) -> Result<T, String>,
    ) -> Option<T> {
        let given = self.of(setting);
        let text = given.texts.first().map_or(OsStr::new(""), |text| text);
        let text = text.to_str().ok_or_else(|| String::from("the value is not UTF-8"));
        text.and_then(read).map_err(|detail| self.fault(setting, detail)).ok()
    }

    /// The texts of a setting that is a list.
    fn many(&mut self, setting: &'static Setting) -> Vec<String> {
        let texts = self.of(setting).texts;
        texts.iter().map(|text| text.to_string_lossy().trim().to_owned()).collect()
    }

    fn fault(&mut self, setting: &'static Setting, detail: String) {
        let place = self.of(setting).place;
        self.faults.push(Fault::at(&place, detail));
    }

    /// What holds for a setting: flags and variables, else the file, else what is usual.
    fn of(&self, setting: &'static Setting) -> Given {
        let all = self.given.iter().chain(&self.file.settings);
        let mut of_it = all.filter(|(known, _)| known.key == setting.key).map(|(_, given)| given);
        of_it.next().cloned().unwrap_or_else(|| Given::usual(setting))
    }

    fn shown(&self, setting: &'static Setting) -> Shown {
        let given = self.of(setting);
        let has_value = !given.texts.is_empty() || setting.is_list();
        let value = has_value.then(|| given.as_toml(setting));
        Shown { key: setting.key, value, place: given.place }
    }

    fn shown_limits(&self, limits: &Limits) -> Vec<(LimitRow, Place)> {
        let settable = limits.rows().into_iter().filter(|row| row.range.is_some());
        let place = |key: &str| {
            let mut given = self.file.limits.iter().filter(|(known, ..)| known == key);
            given.next().map_or(Place::Usual, |(.., place)| place.clone())
        };
        settable.map(|row| (place(row.key), row)).map(|(place, row)| (row, place)).collect()
    }
}
