//! What the system says of this process: proc(5). Nothing where there is no such thing.

use std::fs;

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
    let boot_s = number_after(&text("/proc/stat")?, "btime ")?;
    // One of them is the folder that is being read.
    let open_files = fs::read_dir("/proc/self/fd").ok()?.count().saturating_sub(1);
    Some(Process {
        cpu_s: seconds(stat.user_ticks + stat.system_ticks, ticks),
        start_s: seconds(boot_s * ticks + stat.start_ticks, ticks),
        resident_bytes: stat.resident_pages * rustix::param::page_size() as u64,
        open_files: open_files as u64,
        most_open_files: number_after(&text("/proc/self/limits")?, "Max open files")?,
    })
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
}
