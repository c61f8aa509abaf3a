//! Variables that look like ours.

use std::env;

use super::{
    flags::CONFIG,
    setting::{PREFIX, TABLE},
};
use crate::{api::Limits, shot::units::nearest};

/// Settings of the commands that ask a running service, which are none of `serve`.
const OF_ASKING: [&str; 2] = ["url", "units"];

/// Tells of each variable that looks like one of ours and that nothing reads. That is no fault:
/// whoever runs containers may set such variables for purposes of their own.
pub(in crate::cli) fn variables_that_nothing_reads() -> Vec<String> {
    let names = env::vars_os().filter_map(|(name, _)| name.into_string().ok());
    names.filter_map(|name| misspelt(&name)).collect()
}

fn misspelt(name: &str) -> Option<String> {
    let rest = name.strip_prefix(PREFIX)?;
    let keys = || TABLE.into_iter().chain([&CONFIG]).map(|setting| setting.key).chain(OF_ASKING);
    if keys().any(|key| key.to_ascii_uppercase() == rest) {
        return None;
    }
    let limits: Vec<&str> = Limits::default().rows().iter().map(|row| row.key).collect();
    let near = nearest(rest, keys().chain(limits.iter().copied()))?;
    Some(if limits.contains(&near) {
        format!(
            "nothing reads {name}: limits stand in the settings file only (`{near}`, under `[limits]`)"
        )
    } else {
        format!("nothing reads {name}: did you mean {PREFIX}{}?", near.to_ascii_uppercase())
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_variable_that_nothing_reads_is_told_when_it_looks_like_ours() {
        for (name, near) in [
            ("EVENCARRY_LISTN", Some("EVENCARRY_LISTEN")),
            ("EVENCARRY_HOST", Some("EVENCARRY_HOSTS")),
            ("EVENCARRY_ALLOW_ORIGIN", Some("EVENCARRY_ALLOW_ORIGINS")),
            ("EVENCARRY_BODY_BYTES", Some("settings file only (`body_bytes`, under `[limits]`)")),
            ("EVENCARRY_CONECTIONS", Some("`connections`")),
            ("EVENCARRY_LISTEN", None),
            ("EVENCARRY_CONFIG", None),
            ("EVENCARRY_URL", None),
            ("EVENCARRY_UNITS", None),
            ("EVENCARRY_SERVICE_PORT_HTTP", None),
            ("LISTN", None),
        ] {
            let told = misspelt(name);
            assert_eq!(told.is_some(), near.is_some(), "{name}: {told:?}");
            assert!(told.unwrap_or_default().contains(near.unwrap_or_default()), "{name}");
        }
    }
}
