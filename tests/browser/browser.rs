//! A browser that looks at the page of one service, as a person with eyes, hands and a keyboard does.

use std::{cell::Cell, fs, path::PathBuf};

use serde_json::{Value, json};

use crate::{
    axe,
    driver::{Session, is_there},
    support::Running,
};

/// Widths at which the page must hold: a small phone and a screen on the wall.
pub(crate) const WIDTHS: [u32; 2] = [360, 1_600];

/// How long anything may take before a test fails: far more than it needs, also where several browsers
/// share a busy machine with a service that is not optimised.
const PATIENCE_MS: u32 = 60_000;

/// Whether every picture is there, drawn for the width of the window or for paper.
const PICTURES_DRAWN: &str = "return [...document.querySelectorAll('figure')].every((figure) => \
    !figure.hidden && figure.ariaBusy !== 'true' && figure.querySelector('img').complete && \
    [innerWidth < 600 ? 'width=400' : 'width=960', 'width=480'].some((width) => \
    figure.querySelector('a').href.includes(width)))";

/// What ends beyond the right edge of the window, and what can be scrolled aside without that being said or without
/// a keyboard reaching it; on a phone every table that can be.
const CUT: &str = "const page = document.documentElement; \
    const aside = (node) => node.scrollWidth > node.clientWidth + 1 && getComputedStyle(node).overflowX !== 'visible'; \
    const all = [...document.body.querySelectorAll('*')].filter((node) => !node.closest('.unseen, .skip, thead')); \
    const held = (node) => { for (let up = node; up; up = up.parentElement) if (up !== node && aside(up)) return true; return false; }; \
    const beyond = all.filter((node) => node.getBoundingClientRect().right > innerWidth + 1 && !held(node)); \
    const mute = all.filter((node) => aside(node) && !node.matches('input, select') && \
        (node.tabIndex < 0 || !node.ariaLabel || (innerWidth < 600 && node.matches('.wide')))); \
    if (page.scrollWidth > innerWidth) beyond.push(page); \
    return [...beyond, ...mute].map((node) => `${node.tagName} ${node.className}: ${node.textContent.slice(0, 60)}`)";

/// The key that a person presses, as `WebDriver` writes it.
pub(crate) const TAB: &str = "\u{e004}";
pub(crate) const ENTER: &str = "\u{e007}";

/// A browser, and the service that it looks at.
pub(crate) struct Browser<'a> {
    session: Session,
    service: &'a Running,
    /// How many requests were seen so far.
    requests: Cell<usize>,
}

impl<'a> Browser<'a> {
    /// Opens a browser; none where there is none on this machine.
    pub(crate) fn open(service: &'a Running) -> Option<Self> {
        is_there().then(|| Self { session: Session::start(), service, requests: Cell::new(0) })
    }

    /// Goes to a place of the page by its address behind `#`, and waits until it has asked.
    pub(crate) fn go(&self, place: &str) {
        let url = format!("http://{}/#{place}", self.service.address);
        self.visit("about:blank");
        self.visit(&url);
        self.until("the page asks", "return document.querySelector('h1') && !document.querySelector('main .quiet:only-child')");
    }

    /// Goes anywhere.
    pub(crate) fn visit(&self, url: &str) {
        self.session.ask("POST", "/url", Some(json!({"url": url})));
    }

    /// Runs a script in the page.
    pub(crate) fn run(&self, script: &str) -> Value {
        self.run_with(script, &json!([]))
    }

    /// The same with arguments.
    pub(crate) fn run_with(&self, script: &str, arguments: &Value) -> Value {
        self.session.ask(
            "POST",
            "/execute/sync",
            Some(json!({"script": script, "args": arguments})),
        )
    }

    /// Runs a script in every page from now on, before its own.
    pub(crate) fn prepare(&self, script: &str) {
        self.session.command("Page.addScriptToEvaluateOnNewDocument", &json!({"source": script}));
    }

    /// Runs a script that ends by calling `done`.
    pub(crate) fn run_to_end(&self, script: &str) -> Value {
        let script = format!("const done = arguments[arguments.length - 1]; {script}");
        self.session.ask("POST", "/execute/async", Some(json!({"script": script, "args": []})))
    }

    /// Waits in the page until a script gives something; gives that.
    pub(crate) fn until(&self, what: &str, script: &str) -> Value {
        let found = self.run_to_end(&format!(
            "const end = Date.now() + {PATIENCE_MS};
             (function look() {{
               let found;
               try {{ found = (() => {{ {script} }})(); }} catch {{ found = null; }}
               if (found) done(found);
               else if (Date.now() > end) done(null);
               else setTimeout(look, 30);
             }})();",
        ));
        assert!(!found.is_null(), "in vain: {what}; there is: {}", self.text("main"));
        found
    }

    /// Waits until the text of what a selector finds is this.
    pub(crate) fn shows(&self, selector: &str, text: &str) {
        let script = format!(
            "return [...document.querySelectorAll({})].some((node) => node.textContent.trim() === {})",
            json!(selector),
            json!(text)
        );
        self.until(&format!("{selector} says: {text}"), &script);
    }

    /// The text that a selector finds first.
    pub(crate) fn text(&self, selector: &str) -> String {
        let script = "return document.querySelector(arguments[0])?.textContent.trim() ?? ''";
        self.run_with(script, &json!([selector])).as_str().unwrap().to_owned()
    }

    fn element(&self, selector: &str) -> String {
        let wanted = json!({"using": "css selector", "value": selector});
        let found = self.session.ask("POST", "/element", Some(wanted));
        found.as_object().unwrap().values().next().unwrap().as_str().unwrap().to_owned()
    }

    /// Clicks on what a selector finds first.
    pub(crate) fn click(&self, selector: &str) {
        let element = self.element(selector);
        self.session.ask("POST", &format!("/element/{element}/click"), Some(json!({})));
    }

    /// Types into what a selector finds first; into a choice of a file, its path.
    pub(crate) fn type_into(&self, selector: &str, text: &str) {
        let element = self.element(selector);
        self.session.ask("POST", &format!("/element/{element}/value"), Some(json!({"text": text})));
    }

    /// Chooses an option by its value.
    pub(crate) fn choose(&self, selector: &str, value: &str) {
        self.click(&format!("{selector} option[value=\"{value}\"]"));
    }

    /// Presses keys wherever the focus is.
    pub(crate) fn press(&self, keys: &str) {
        let strokes: Vec<Value> = keys
            .chars()
            .flat_map(|key| ["keyDown", "keyUp"].map(|act| json!({"type": act, "value": key})))
            .collect();
        let keyboard = json!({"actions": [{"type": "key", "id": "keyboard", "actions": strokes}]});
        self.session.ask("POST", "/actions", Some(keyboard));
    }

    /// Makes the window so wide.
    pub(crate) fn widen(&self, width: u32) {
        let size = json!({"width": width, "height": 900, "deviceScaleFactor": 1, "mobile": false});
        self.session.command("Emulation.setDeviceMetricsOverride", &size);
    }

    /// Looks closely at what is shown, at every width: a screenshot, nothing wider than the window,
    /// nothing that axe-core finds.
    pub(crate) fn look(&self, name: &str) {
        for width in WIDTHS {
            self.widen(width);
            self.until(&format!("all pictures of {name} are drawn for {width}"), PICTURES_DRAWN);
            self.screenshot(&format!("{name}-{width}"));
            axe::check(self, &format!("{name} at {width}"));
        }
        for width in WIDTHS.into_iter().chain([480, 768, 1_024]) {
            self.widen(width);
            let cut = self.run(CUT);
            assert_eq!(cut, json!([]), "{name} at {width}: this is cut");
        }
    }

    fn screenshot(&self, name: &str) {
        let size = &self.session.command("Page.getLayoutMetrics", &json!({}))["cssContentSize"];
        let clip =
            json!({"x": 0, "y": 0, "width": size["width"], "height": size["height"], "scale": 1});
        let wanted = json!({"captureBeyondViewport": true, "clip": clip});
        let shot = self.session.command("Page.captureScreenshot", &wanted);
        let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("target/browser");
        fs::create_dir_all(&folder).unwrap();
        fs::write(folder.join(format!("{name}.png")), base64(shot["data"].as_str().unwrap()))
            .unwrap();
    }

    /// The page as a printer gets it: a PDF.
    pub(crate) fn print(&self) -> Vec<u8> {
        let paper = json!({"preferCSSPageSize": true, "paperWidth": 8.27, "paperHeight": 11.69});
        base64(self.session.command("Page.printToPDF", &paper)["data"].as_str().unwrap())
    }

    /// What has gone to the console as an error since the last time.
    pub(crate) fn errors(&self) -> Vec<String> {
        let lines = self.session.ask("POST", "/se/log", Some(json!({"type": "browser"})));
        let severe = lines.as_array().unwrap().iter().filter(|line| line["level"] == "SEVERE");
        severe.map(|line| line["message"].as_str().unwrap().to_owned()).collect()
    }

    /// Ends a look: no error in the console, and no request to another host.
    pub(crate) fn close(self) {
        let errors = self.errors();
        assert!(errors.is_empty(), "the console says: {errors:#?}");
        self.asked();
        assert!(self.requests.get() > 0, "the log of requests is empty");
    }

    /// What was asked of the service since the last time, as path and query; nobody else was asked.
    pub(crate) fn asked(&self) -> Vec<String> {
        let ours = format!("http://{}", self.service.address);
        let lines = self.session.ask("POST", "/se/log", Some(json!({"type": "performance"})));
        let mut asked = Vec::new();
        for line in lines.as_array().unwrap() {
            let told: Value = serde_json::from_str(line["message"].as_str().unwrap()).unwrap();
            if told["message"]["method"] == "Network.requestWillBeSent" {
                let url = told["message"]["params"]["request"]["url"].as_str().unwrap();
                // What the browser asks itself for goes nowhere.
                if ["http", "ws"].iter().any(|scheme| url.starts_with(scheme)) {
                    let path = url.strip_prefix(&ours);
                    asked.push(path.unwrap_or_else(|| panic!("{url} was asked")).to_owned());
                }
            }
        }
        self.requests.set(self.requests.get() + asked.len());
        asked
    }

    /// Frames an address in the page that is shown; where the frame then is.
    pub(crate) fn framed(&self, url: &str) -> String {
        self.run_to_end(&format!(
            "const frame = document.createElement('iframe'); frame.onload = () => done(true); frame.src = {}; \
             document.body.replaceChildren(frame);",
            json!(url)
        ));
        let frame = self.session.ask(
            "POST",
            "/element",
            Some(json!({"using": "css selector", "value": "iframe"})),
        );
        self.session.ask("POST", "/frame", Some(json!({ "id": frame })));
        let there = self.run("return location.href");
        self.session.ask("POST", "/frame", Some(json!({"id": null})));
        there.as_str().unwrap().to_owned()
    }
}

/// Bytes from base64 (RFC 4648).
fn base64(text: &str) -> Vec<u8> {
    const LETTERS: &[u8] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let digits: Vec<u32> = text
        .bytes()
        .filter_map(|letter| LETTERS.iter().position(|known| *known == letter))
        .map(|digit| u32::try_from(digit).unwrap())
        .collect();
    let mut bytes = Vec::new();
    for group in digits.chunks(4) {
        let bits = group.iter().fold(0, |bits, digit| bits << 6 | digit) << (6 * (4 - group.len()));
        bytes.extend_from_slice(&bits.to_be_bytes()[1..group.len()]);
    }
    bytes
}
