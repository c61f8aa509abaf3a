//! What the system says of this process: proc(5). Nothing where there is no such thing.
//!
//! Only what stands under `/proc/self` is read: the rest may be hidden from a service (`ProcSubset=pid`
//! of systemd.exec(5)).

use std::fs;
#[cfg(target_os = "linux")]
use std::sync::OnceLock;

#[cfg(target_os = "linux")]
use rustix::time::{ClockId, Timespec, clock_gettime};

/// The process as the system sees it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Process {
    /// Time on a core, of the program and of the system for it, in seconds.
    pub(super) cpu_s: f64,
    /// When it began, in seconds since 1970.
    pub(super) start_s: f64,
    /// Memory that it has in use, in bytes.
    pub(super) resident_bytes: u64,
    /// Files, sockets and the like that it has open.
    pub(super) open_files: u64,
    /// How many it may have open.
    pub(super) most_open_files: u64,
}

/// What the system says now.
pub(super) fn read() -> Option<Process> {
    let text = |path: &str| fs::read_to_string(path).ok();
    let ticks = rustix::param::clock_ticks_per_second();
    let stat = Stat::parse(&text("/proc/self/stat")?)?;
    // One of them is the folder that is being read.
    let open_files = fs::read_dir("/proc/self/fd").ok()?.count().saturating_sub(1);
    Some(Process {
        cpu_s: seconds(stat.user_ticks + stat.system_ticks, ticks),
        start_s: boot_s() + seconds(stat.start_ticks, ticks),
        resident_bytes: stat.resident_pages * rustix::param::page_size() as u64,
        open_files: open_files as u64,
        most_open_files: number_after(&text("/proc/self/limits")?, "Max open files")?,
    })
}

/// When the machine was started, in seconds since 1970. It is worked out once, so that a clock that is
/// set meanwhile does not look like a restart.
#[cfg(target_os = "linux")]
fn boot_s() -> f64 {
    static BOOT_S: OnceLock<f64> = OnceLock::new();
    *BOOT_S.get_or_init(|| now_s(ClockId::Realtime) - now_s(ClockId::Boottime))
}

/// Not known: elsewhere nothing stands under `/proc/self`, and this is not asked.
#[cfg(not(target_os = "linux"))]
fn boot_s() -> f64 {
    f64::NAN
}

#[cfg(target_os = "linux")]
#[expect(clippy::cast_precision_loss, reason = "a microsecond is exact enough")]
fn now_s(clock: ClockId) -> f64 {
    let Timespec { tv_sec, tv_nsec } = clock_gettime(clock);
    tv_sec as f64 + tv_nsec as f64 / 1e9
}

#[expect(clippy::cast_precision_loss, reason = "hundredths of a second fit a double")]
fn seconds(ticks: u64, per_second: u64) -> f64 {
    ticks as f64 / per_second as f64
}

/// The first number behind `name` in the text.
fn number_after(text: &str, name: &str) -> Option<u64> {
    let (_, rest) = text.split_once(name)?;
    rest.split_whitespace().next()?.parse().ok()
}

/// The fields of proc(5), `/proc/pid/stat`, that are of use.
#[derive(Debug, PartialEq, Eq)]
struct Stat {
    user_ticks: u64,
    system_ticks: u64,
    start_ticks: u64,
    resident_pages: u64,
}

impl Stat {
    fn parse(text: &str) -> Option<Self> {
        // The second field is the program's name in parentheses, and may hold anything.
        let (_, rest) = text.rsplit_once(')')?;
        let fields: Vec<&str> = rest.split_whitespace().collect();
        let field = |number: usize| fields.get(number - 3)?.parse().ok();
        Some(Self {
            user_ticks: field(14)?,
            system_ticks: field(15)?,
            start_ticks: field(22)?,
            resident_pages: field(24)?,
        })
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    #[test]
    fn a_name_with_spaces_and_parentheses_moves_no_field() {
        let text = "7 (a) b (c) S 1 7 7 0 -1 4194560 9 0 0 0 31 12 0 0 20 0 5 0 98765 1000 250 0";
        let stat = Stat::parse(text).unwrap();
        assert_eq!((stat.user_ticks, stat.system_ticks), (31, 12));
        assert_eq!((stat.start_ticks, stat.resident_pages), (98_765, 250));
        assert_eq!(Stat::parse("7 (a"), None);
        assert_eq!(Stat::parse("7 (a) S 1"), None);
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn this_process_is_there() {
        let process = read().unwrap();
        assert!(process.resident_bytes > 1_000_000, "{process:?}");
        assert!(process.open_files >= 3 && process.open_files < process.most_open_files);
        let now = jiff::Timestamp::now().as_second();
        let since = std::time::Duration::from_secs_f64(process.start_s).as_secs();
        assert!(now.abs_diff(since.cast_signed()) < 3_600, "{process:?} at {now}");
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn its_start_agrees_with_the_boot_that_the_system_names() {
        // `btime` of proc(5), `/proc/stat`, in whole seconds.
        let boot = number_after(&fs::read_to_string("/proc/stat").unwrap(), "btime ").unwrap();
        let ticks = rustix::param::clock_ticks_per_second();
        let stat = Stat::parse(&fs::read_to_string("/proc/self/stat").unwrap()).unwrap();
        let start_s = seconds(boot * ticks + stat.start_ticks, ticks);
        let process = read().unwrap();
        assert!((process.start_s - start_s).abs() < 2.0, "{process:?}, not {start_s}");
        assert_eq!(process.start_s.to_bits(), read().unwrap().start_s.to_bits(), "it moves");
    }
}
