//! Settings from flags, the environment and a file, as `check` tells them and `serve` goes by them.

use std::{fs, path::PathBuf, process::Command};

use rustix::process::Signal;

use crate::{Running, code, evencarry};

/// A folder with a settings file in it.
struct Bay {
    folder: tempfile::TempDir,
}

impl Bay {
    fn with(settings: &str) -> Self {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("evencarry.toml"), settings).unwrap();
        Self { folder }
    }

    fn file(&self) -> String {
        self.folder.path().join("evencarry.toml").to_str().unwrap().to_owned()
    }

    fn data(&self) -> PathBuf {
        self.folder.path().join("shots")
    }

    fn check(&self, more: &[&str]) -> Command {
        evencarry(&[&["check", "--config", &self.file()], more].concat())
    }
}

/// The line of a setting that `check` shows.
fn line<'a>(shown: &'a str, key: &str) -> &'a str {
    let begin = format!("{key} = ");
    shown.lines().find(|line| line.starts_with(&begin)).unwrap_or_else(|| panic!("{key}: {shown}"))
}

#[test]
fn flags_go_before_the_environment_and_that_before_the_file() {
    let bay =
        Bay::with("data = \"shots\"\nlisten = \"127.0.0.1:1\"\nlog = \"error\"\nhosts = [\"a\"]\n");
    let (status, shown, told) = code(
        bay.check(&["--listen", "127.0.0.1:3"])
            .env("EVENCARRY_LISTEN", "127.0.0.1:2")
            .env("EVENCARRY_LOG", "warn")
            .env("EVENCARRY_HOSTS", "b.example,c.example"),
    );
    assert_eq!((status, told.as_str()), (Some(0), ""), "{shown}");
    for (key, value, place) in [
        ("listen", "\"127.0.0.1:3\"", String::from("--listen")),
        ("log", "\"warn\"", String::from("EVENCARRY_LOG")),
        ("hosts", "[\"b.example\", \"c.example\"]", String::from("EVENCARRY_HOSTS")),
        ("data", bay.data().to_str().unwrap(), format!("{}:1", bay.file())),
        ("log_format", "\"text\"", String::from("default")),
        ("page_items", "1000", String::from("default")),
    ] {
        let line = line(&shown, key);
        assert!(line.contains(value), "{value} in {line}");
        assert!(line.ends_with(&place), "{place} in {line}");
    }
    assert!(!bay.data().exists(), "nothing was made");
}

#[test]
fn an_empty_variable_is_as_good_as_none() {
    let bay = Bay::with("data = \"shots\"\nlisten = \"127.0.0.1:1\"\n");
    let (status, shown, told) = code(bay.check(&[]).env("EVENCARRY_LISTEN", ""));
    assert_eq!(status, Some(0), "{told}");
    assert!(line(&shown, "listen").contains("127.0.0.1:1"), "{shown}");
}

#[test]
fn a_flag_can_take_back_what_the_file_allows() {
    let bay = Bay::with("data = \"shots\"\nlisten = \"0.0.0.0:1\"\nopen_network = true\n");
    assert_eq!(code(&mut bay.check(&[])).0, Some(0));
    let (status, _, told) = code(&mut bay.check(&["--open-network=false"]));
    assert_eq!(status, Some(78), "{told}");
    assert!(told.contains("evencarry.toml:2") && told.contains("reaches beyond"), "{told}");
}

#[test]
fn what_check_shows_is_a_settings_file_that_says_the_same() {
    let bay = Bay::with(
        "data = \"s h\\\"ots\"\nallow_origins = [\"http://localhost:5173\"]\n[limits]\nrefusals = 7\n",
    );
    let values = |shown: &str| -> toml::Table { shown.parse().unwrap() };
    let (_, shown, _) = code(&mut bay.check(&["--open-network"]));
    let again = Bay::with(&shown);
    let (status, shown_again, told) = code(&mut again.check(&[]));
    assert_eq!(status, Some(0), "{told}");
    assert_eq!(values(&shown), values(&shown_again));
    assert_eq!(values(&shown)["limits"]["refusals"].as_integer(), Some(7));
}

#[test]
fn all_faults_are_told_at_once_each_with_its_place() {
    let bay = Bay::with(
        "lissten = \"127.0.0.1:1\"\nhosts = [\"http://bay.example\", \"ok.example\", \"b/d\"]\n\
         [limits]\nbody_bytes = 1\nconections = 5\n",
    );
    for command in ["check", "serve"] {
        let (status, _, told) = code(
            evencarry(&[
                command,
                "--config",
                &bay.file(),
                "--allow-origin",
                "*",
                "--listen",
                "here",
            ])
            .env("EVENCARRY_LOG_FORMAT", "xml"),
        );
        assert_eq!(status, Some(78), "{told}");
        for words in [
            "evencarry.toml:1: there is no setting `lissten`: did you mean `listen`?",
            "evencarry.toml:2: `http://bay.example`",
            "evencarry.toml:2: `b/d`",
            "evencarry.toml:4: `body_bytes` is 1",
            "evencarry.toml:5: there is no limit `conections`: did you mean `connections`?",
            "--allow-origin: `*`",
            "--listen: `here`",
            "EVENCARRY_LOG_FORMAT: `xml`",
            "--data DIR",
        ] {
            assert!(told.contains(words), "{words}\n{told}");
        }
        assert_eq!(told.lines().count(), 9, "{told}");
    }
}

#[test]
fn the_code_tells_a_faulty_file_from_wrong_usage() {
    let good = Bay::with("data = \"shots\"\n");
    assert_eq!(code(&mut good.check(&["--listen", "here"])).0, Some(64));
    assert_eq!(code(good.check(&[]).env("EVENCARRY_OPEN_NETWORK", "perhaps")).0, Some(64));
    assert_eq!(code(&mut Bay::with("data = shots\n").check(&[])).0, Some(78));
    assert_eq!(code(&mut evencarry(&["check", "--config", "/nowhere/at.all"])).0, Some(78));
}

#[test]
fn what_cannot_be_the_data_folder_is_told_before_a_restart() {
    let bay = Bay::with("");
    let below_a_file = format!("{}/shots", bay.file());
    let (status, _, told) = code(&mut bay.check(&["--data", &below_a_file]));
    assert_eq!(status, Some(73), "{told}");
    assert!(told.contains("evencarry.toml: this is not a folder"), "{told}");
    // An address for documentation (RFC 5737), which no machine has.
    let data = bay.data();
    let abroad = ["--data", data.to_str().unwrap(), "--open-network", "--listen", "192.0.2.7:8417"];
    let (status, _, told) = code(&mut bay.check(&abroad));
    assert_eq!(status, Some(69), "{told}");
    assert!(told.contains("192.0.2.7:8417") && told.contains("of this machine"), "{told}");
}

#[test]
fn a_service_that_runs_does_not_disturb_a_check_nor_the_check_the_service() {
    let bay = Bay::with("");
    let service = Running::start(&bay.data(), &[]);
    let address = service.url.strip_prefix("http://").unwrap().to_owned();
    let data = bay.data();
    let (status, _, told) =
        code(&mut bay.check(&["--data", data.to_str().unwrap(), "--listen", &address]));
    assert_eq!(status, Some(0), "{told}");
    assert_eq!(service.ask(b"GET /readyz HTTP/1.1\r\nHost: localhost\r\n\r\n").status, 200);
}

#[test]
fn a_misspelt_variable_is_told_but_no_fault() {
    let bay = Bay::with("data = \"shots\"\n");
    let (status, _, told) = code(bay.check(&[]).env("EVENCARRY_LISTN", "127.0.0.1:1"));
    assert_eq!(status, Some(0), "{told}");
    assert!(told.contains("did you mean EVENCARRY_LISTEN?"), "{told}");
    let mut command = evencarry(&[]);
    command.env("EVENCARRY_LISTN", "127.0.0.1:1");
    let service = Running::spawn(command, &bay.data(), &[]);
    service.signal(Signal::TERM);
    let (_, log) = service.end();
    assert!(log.contains("did you mean EVENCARRY_LISTEN?"), "{log}");
}

#[test]
fn a_service_goes_by_its_file() {
    let bay = Bay::with(
        "allow_origins = [\"http://localhost:5173\"]\nhosts = [\"bay.example\"]\n\
         [limits]\npage_items = 7\npage_items_usual = 3\n",
    );
    let service = Running::start(&bay.data(), &["--config", &bay.file()]);
    let get = |path: &str, fields: &str| {
        service.ask(format!("GET {path} HTTP/1.1\r\nHost: bay.example\r\n{fields}\r\n").as_bytes())
    };
    let page = get("/v1/shots?limit=7", "Origin: http://localhost:5173\r\n");
    assert_eq!(page.status, 200, "{}", page.text());
    assert_eq!(page.header("access-control-allow-origin"), Some("http://localhost:5173"));
    let over = get("/v1/shots?limit=8", "");
    assert_eq!(over.status, 422);
    assert!(over.text().contains("from 1 to 7"), "{}", over.text());
    let described = get("/openapi.json", "").json();
    let items = &described["components"]["schemas"]["PageItems"];
    assert_eq!((&items["maximum"], &items["default"]), (&7.into(), &3.into()));
}

#[test]
fn a_word_that_is_no_level_does_not_silence_the_log() {
    let bay = Bay::with("data = \"shots\"\n");
    for command in ["check", "serve"] {
        let (status, _, told) =
            code(&mut evencarry(&[command, "--config", &bay.file(), "--log", "warning"]));
        assert_eq!(status, Some(64), "{command}: {told}");
        assert!(told.contains("--log: `warning` is no level"), "{command}: {told}");
        assert!(told.contains("off, error, warn, info, debug, trace"), "{command}: {told}");
    }
}
