//! The unit for systemd: its form is that of systemd.syntax(7), its words those of systemd.exec(5) and
//! systemd.service(5).

use std::{collections::BTreeSet, time::Duration};

use evencarry::api::Limits;

use crate::{check, deployed, root};

/// The values of a key of `[Service]`, in order.
fn values(key: &str) -> Vec<String> {
    let unit = deployed("evencarry.service");
    let (_, service) = unit.split_once("[Service]").unwrap();
    let (service, _) = service.split_once("[Install]").unwrap();
    let pairs = service.lines().filter_map(|line| line.split_once('='));
    pairs.filter(|(known, _)| *known == key).map(|(_, value)| value.to_owned()).collect()
}

fn value(key: &str) -> String {
    let mut values = values(key);
    assert_eq!(values.len(), 1, "{key}");
    values.remove(0)
}

#[test]
fn the_command_line_of_the_unit_is_one_that_serve_goes_by() {
    let command = value("ExecStart");
    let mut words = command.split(' ').map(String::from);
    assert!(words.next().unwrap().ends_with("/evencarry"));
    let (status, shown, told) = check(&words.collect::<Vec<_>>());
    assert_eq!(status, Some(0), "{told}");
    assert!(shown.contains("listen = \"127.0.0.1:8417\""), "{shown}");
}

#[test]
fn the_only_folder_that_it_may_write_is_that_of_the_data() {
    assert_eq!(value("ProtectSystem"), "strict");
    assert!(value("ExecStart").ends_with(&format!("--data /var/lib/{}", value("StateDirectory"))));
    assert!(values("ReadWritePaths").is_empty());
    assert_eq!(value("DynamicUser"), "yes");
}

#[test]
fn it_may_do_nothing_that_the_service_does_not_need() {
    for key in [
        "NoNewPrivileges",
        "MemoryDenyWriteExecute",
        "ProtectHome",
        "ProtectKernelTunables",
        "PrivateDevices",
        "PrivateTmp",
        "RestrictNamespaces",
        "LockPersonality",
    ] {
        assert_eq!(value(key), "yes", "{key}");
    }
    assert_eq!(value("CapabilityBoundingSet"), "");
    assert_eq!(value("RestrictAddressFamilies"), "AF_INET AF_INET6");
    assert_eq!(values("SystemCallFilter"), ["@system-service", "~@privileged @resources"]);
}

/// `ProcSubset=pid` hides all of `/proc` but the processes (systemd.exec(5)).
#[test]
fn nothing_that_the_metrics_read_of_the_system_is_hidden() {
    let source = root().join("src/api/metrics/process.rs");
    let source = std::fs::read_to_string(source).unwrap();
    let (program, _) = source.split_once("#[cfg(test)]").unwrap();
    let read: Vec<&str> = program.split('"').filter(|text| text.starts_with("/proc/")).collect();
    assert!(read.contains(&"/proc/self/stat"), "{read:?}");
    assert_eq!(value("ProcSubset"), "pid");
    for path in read {
        assert!(path.starts_with("/proc/self/"), "{path} is hidden from the service");
    }
}

#[test]
fn it_is_not_started_again_where_a_restart_mends_nothing() {
    assert_eq!(value("Restart"), "on-failure");
    let codes = value("RestartPreventExitStatus");
    let codes: BTreeSet<u8> = codes.split(' ').map(|code| code.parse().unwrap()).collect();
    // Numbers of sysexits(3), as `evencarry --help` explains them.
    assert_eq!(codes, BTreeSet::from([64, 65, 73, 76, 77, 78]));
}

#[test]
fn it_leaves_room_for_the_limits() {
    let limits = Limits::default();
    let files: usize = value("LimitNOFILE").parse().unwrap();
    assert!(files >= 2 * limits.connections, "{files}");
    let patience = Duration::from_secs(value("TimeoutStopSec").parse().unwrap());
    assert!(patience >= limits.shutdown_time + Duration::from_secs(20), "{patience:?}");
}
