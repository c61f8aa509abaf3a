//! The built-in page: what a browser shows of the service.
//!
//! HTML, CSS and small ES modules as they are written, built into the program. They use nothing but the
//! public API and ask no other host for anything; sentences and figures come from the answers, never
//! from here. The room knows no other: it only holds the files.
//!
//! `main.js` chooses a place by what stands behind `#` in the address (`route.js`), and the place builds
//! itself of elements (`dom.js`), forms (`form.js`) and parts that follow the answers (`part.js`). What
//! is new is told by streams that all tabs share (`live.js`, `worker.js`, `stream.js`); each part asks anew only
//! for what concerns it (`follower.js`). What no shot changes is remembered, and looked at again by the clock
//! (`memory.js`).

/// What a file is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A style sheet.
    Style,
    /// An ES module.
    Script,
    /// A picture as SVG.
    Picture,
}

/// A file that the page loads.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Asset {
    /// Its name in the page's own folder.
    pub name: &'static str,
    /// What it is.
    pub kind: Kind,
    /// What is in it.
    pub text: &'static str,
}

/// The page itself.
pub const PAGE: &str = include_str!("index.html");

macro_rules! assets {
    ($($kind:ident: $($name:literal)*;)*) => {
        &[$($(Asset { name: $name, kind: Kind::$kind, text: include_str!($name) },)*)*]
    };
}

/// All files that the page loads.
pub const ASSETS: &[Asset] = assets! {
    Style: "style.css" "print.css";
    Picture: "mark.svg";
    Script:
        "api.js" "bag.js" "brief.js" "by-hand.js" "club.js" "columns.js" "dom.js" "figures.js" "follower.js" "form.js"
        "head-to-head.js" "health.js" "keep.js" "live.js" "main.js" "memory.js" "names.js" "part.js" "pictures.js" "players.js"
        "route.js" "sheet.js" "shots.js" "sources.js" "stream.js" "table.js" "trial.js" "trials.js"
        "verdict.js" "worker.js";
};

/// The file of this name.
#[must_use]
pub fn asset(name: &str) -> Option<&'static Asset> {
    ASSETS.iter().find(|asset| asset.name == name)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use std::{collections::BTreeSet, fs};

    use super::*;

    #[test]
    fn every_file_of_the_folder_is_given_and_short() {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/src/page");
        let names = fs::read_dir(folder).unwrap().map(|file| file.unwrap().file_name());
        let names: BTreeSet<String> = names.map(|name| name.into_string().unwrap()).collect();
        let given = ASSETS.iter().map(|asset| asset.name).chain(["index.html", "mod.rs"]);
        assert_eq!(names, given.map(str::to_owned).collect());
        for asset in ASSETS {
            assert!(asset.text.lines().count() < 400, "{} is long", asset.name);
        }
    }

    #[test]
    fn a_module_imports_only_what_is_given() {
        for asset in ASSETS.iter().filter(|asset| asset.kind == Kind::Script) {
            for import in asset.text.split(" from \"").skip(1) {
                let from = import.split('"').next().unwrap();
                let name = from.strip_prefix("./").unwrap_or_default();
                assert!(super::asset(name).is_some(), "{} imports {from}", asset.name);
            }
        }
    }

    #[test]
    fn nothing_that_is_told_becomes_markup_and_no_other_host_is_asked() {
        let never = ["innerHTML", "outerHTML", "insertAdjacentHTML", "document.write", "eval("];
        for asset in ASSETS.iter().filter(|asset| asset.kind == Kind::Script) {
            for word in never.iter().chain(&["https:", "//cdn", "new Function"]) {
                assert!(!asset.text.contains(word), "{} has {word}", asset.name);
            }
        }
        assert!(!PAGE.contains("style=") && !PAGE.contains("onclick"));
    }
}
