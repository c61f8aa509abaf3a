//! A sheet of paper: what is drawn goes on it from top to bottom, and leaves as SVG 1.1.
//!
//! Nothing on it asks for anything: no script, no style sheet, no font of its own, no other file. Names
//! stand in texts alone, never in attributes, and the builder escapes them.

use svg::{
    Document, Node,
    node::element::{self, Element, Group},
};

use super::{
    ink::{Ink, Pen},
    letters,
    look::Look,
};

/// A rectangle of the sheet, pixels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Area {
    pub(super) left: f64,
    pub(super) top: f64,
    pub(super) right: f64,
    pub(super) bottom: f64,
}

impl Area {
    pub(super) fn width(&self) -> f64 {
        self.right - self.left
    }
}

/// Which part of a text stands at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

/// How a text is written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Hand {
    pub(super) ink: Ink,
    pub(super) size: f64,
    pub(super) anchor: Anchor,
    pub(super) bold: bool,
}

impl Hand {
    pub(super) const fn new(ink: Ink, size: f64) -> Self {
        Self { ink, size, anchor: Anchor::Start, bold: false }
    }

    pub(super) const fn at(self, anchor: Anchor) -> Self {
        Self { anchor, ..self }
    }

    pub(super) const fn bold(self) -> Self {
        Self { bold: true, ..self }
    }

    /// The width of a text, pixels.
    pub(super) fn width(&self, text: &str) -> f64 {
        self.size * if self.bold { letters::bold_ems(text) } else { letters::ems(text) }
    }
}

/// A picture on its way.
pub(super) struct Sheet {
    pub(super) look: Look,
    body: Group,
    /// How far it is filled.
    filled: f64,
    question: String,
}

impl Sheet {
    /// A sheet with the question that it answers.
    pub(super) fn new(look: Look, question: String) -> Self {
        let filled = look.margin() * 0.6;
        let mut sheet = Self { look, body: Group::new(), filled, question };
        let hand = Hand::new(Ink::Text, 1.08 * look.size()).bold();
        let question = sheet.question.clone();
        sheet.paragraph(&question, hand);
        sheet.skip(0.5);
        sheet
    }

    /// Takes the next rows of the sheet, so high, over its whole width between the margins.
    pub(super) fn room(&mut self, height: f64) -> Area {
        let top = self.filled;
        self.filled += height + 0.4 * self.look.size();
        let margin = self.look.margin();
        Area { left: margin, top, right: self.look.width - margin, bottom: top + height }
    }

    /// Leaves some lines free.
    pub(super) fn skip(&mut self, lines: f64) {
        self.filled += lines * self.look.size();
    }

    /// Says something in as many lines as it takes.
    pub(super) fn say(&mut self, text: &str) {
        self.paragraph(text, Hand::new(Ink::Text, self.look.size()));
    }

    /// Says what stands beside it.
    pub(super) fn note(&mut self, text: &str) {
        self.paragraph(text, Hand::new(Ink::Quiet, self.look.small()));
    }

    fn paragraph(&mut self, text: &str, hand: Hand) {
        let text = &letters::clean(text);
        let margin = self.look.margin();
        let width = if hand.bold { hand.size * letters::BOLD } else { hand.size };
        for line in letters::lines(text, (self.look.width - 2.0 * margin) / width) {
            self.filled += 1.32 * hand.size;
            self.write(&line, [margin, self.filled - 0.3 * hand.size], hand);
        }
        self.filled += 0.35 * hand.size;
    }

    /// Writes a text at a place of its baseline.
    pub(super) fn write(&mut self, text: &str, at: [f64; 2], hand: Hand) {
        let text = self.letters(text, at, hand);
        self.body.append(text);
    }

    /// The same with some paper around the letters, so that lines behind do not touch them.
    pub(super) fn write_over(&mut self, text: &str, at: [f64; 2], hand: Hand) {
        let halo = self.look.theme.colour(Ink::Ground);
        let mut text = self.letters(text, at, hand);
        text.assign("stroke", halo);
        text.assign("stroke-width", short(0.24 * hand.size));
        text.assign("stroke-linejoin", "round");
        text.assign("paint-order", "stroke");
        self.body.append(text);
    }

    fn letters(&self, text: &str, [x, y]: [f64; 2], hand: Hand) -> Element {
        // The builder's own element for texts breaks the line before and after them.
        let mut letters = Element::new("text");
        letters.assign("x", short(x));
        letters.assign("y", short(y));
        letters.assign("fill", self.look.theme.colour(hand.ink));
        letters.assign("font-size", short(hand.size));
        match hand.anchor {
            Anchor::Start => {}
            Anchor::Middle => letters.assign("text-anchor", "middle"),
            Anchor::End => letters.assign("text-anchor", "end"),
        }
        if hand.bold {
            letters.assign("font-weight", "bold");
        }
        letters.append(svg::node::Text::new(text));
        letters
    }

    /// A line through points.
    pub(super) fn line(&mut self, points: &[[f64; 2]], pen: Pen) {
        self.stroke(&way(points), pen);
    }

    /// A closed line through points.
    pub(super) fn outline(&mut self, points: &[[f64; 2]], pen: Pen) {
        self.stroke(&(way(points) + "Z"), pen);
    }

    fn stroke(&mut self, way: &str, pen: Pen) {
        let path = element::Path::new()
            .set("d", way)
            .set("fill", "none")
            .set("stroke", self.look.theme.colour(pen.ink))
            .set("stroke-width", short(pen.width))
            .set("stroke-linejoin", "round");
        let path = match pen.dash.lengths(pen.width) {
            Some(lengths) => path.set("stroke-dasharray", lengths).set("stroke-linecap", "round"),
            None => path,
        };
        self.body.append(path);
    }

    /// Fills what lies within points.
    pub(super) fn fill(&mut self, points: &[[f64; 2]], ink: Ink, opacity: f64) {
        let path = element::Path::new()
            .set("d", way(points) + "Z")
            .set("fill", self.look.theme.colour(ink))
            .set("fill-opacity", opacity);
        self.body.append(path);
    }

    /// Hatches what lies within the first points and not within the others.
    pub(super) fn hatch(&mut self, outside: &[[f64; 2]], inside: &[[f64; 2]]) {
        let hole = if inside.is_empty() { String::new() } else { way(inside) + "Z" };
        let path = element::Path::new()
            .set("d", way(outside) + "Z" + &hole)
            .set("fill", "url(#hatch)")
            .set("fill-rule", "evenodd");
        self.body.append(path);
    }

    /// Dots.
    pub(super) fn dots(&mut self, points: &[[f64; 2]], ink: Ink, radius: f64) {
        let dot = |[x, y]: &[f64; 2]| ["M", &short(*x), ",", &short(*y), "h.01"].concat();
        let way: Vec<String> = points.iter().map(dot).collect();
        self.marks(&way.concat(), (ink, 2.0 * radius));
    }

    /// A dot with a ring of paper and one of ink around it, which stands out among others.
    pub(super) fn ringed(&mut self, at: [f64; 2], ink: Ink, radius: f64) {
        for (ink, radius) in [(ink, radius), (Ink::Ground, 0.75 * radius), (ink, 0.5 * radius)] {
            self.disc(at, ink, radius);
        }
    }

    /// A ring.
    pub(super) fn ring(&mut self, at: [f64; 2], ink: Ink, radius: f64) {
        self.disc(at, ink, radius);
        self.disc(at, Ink::Ground, 0.6 * radius);
    }

    /// A dot by itself.
    pub(super) fn disc(&mut self, [x, y]: [f64; 2], ink: Ink, radius: f64) {
        let disc = element::Circle::new()
            .set("cx", short(x))
            .set("cy", short(y))
            .set("r", short(radius))
            .set("fill", self.look.theme.colour(ink));
        self.body.append(disc);
    }

    /// Crosses.
    pub(super) fn crosses(&mut self, points: &[[f64; 2]], ink: Ink, radius: f64) {
        let (whole, back) = (short(2.0 * radius), short(-2.0 * radius));
        let cross = |[x, y]: &[f64; 2]| {
            let (x, y) = (short(x - radius), short(y - radius));
            format!("M{x},{y}l{whole},{whole}m{back},0l{whole},{back}")
        };
        let way: Vec<String> = points.iter().map(cross).collect();
        self.marks(&way.concat(), (ink, 0.6 * radius));
    }

    fn marks(&mut self, way: &str, (ink, width): (Ink, f64)) {
        if way.is_empty() {
            return;
        }
        let path = element::Path::new()
            .set("d", way)
            .set("fill", "none")
            .set("stroke", self.look.theme.colour(ink))
            .set("stroke-width", short(width))
            .set("stroke-linecap", "round")
            .set("stroke-opacity", 0.6);
        self.body.append(path);
    }

    /// The picture, with what it shows in a sentence or two for who does not see it.
    pub(super) fn finish(mut self, finding: &str) -> String {
        self.skip(0.4);
        let (width, height) = (short(self.look.width), short(self.filled.ceil()));
        let theme = self.look.theme;
        let paper = element::Rectangle::new()
            .set("width", width.clone())
            .set("height", height.clone())
            .set("fill", theme.colour(Ink::Ground));
        // Lines of a hatch are as wide apart in every size of picture.
        let stripe = element::Path::new()
            .set("d", "M-1,1l2,-2M0,7l7,-7M6,8l2,-2")
            .set("stroke", theme.colour(Ink::Quiet))
            .set("stroke-opacity", 0.38)
            .set("stroke-width", 0.7);
        let hatch = element::Pattern::new()
            .set("id", "hatch")
            .set("width", 7)
            .set("height", 7)
            .set("patternUnits", "userSpaceOnUse")
            .add(stripe);
        let picture = Document::new()
            .set("viewBox", format!("0 0 {width} {height}"))
            .set("width", width)
            .set("height", height)
            .set("role", "img")
            .set("xml:lang", "en")
            .set("font-family", "sans-serif")
            .add(element::Title::new(letters::clean(&self.question)))
            .add(element::Description::new().add(svg::node::Text::new(letters::clean(finding))))
            .add(element::Definitions::new().add(hatch))
            .add(paper)
            .add(self.body);
        picture.to_string()
    }
}

/// Points as the `d` of a path.
fn way(points: &[[f64; 2]]) -> String {
    let mut way = String::new();
    for (at, [x, y]) in points.iter().enumerate() {
        way.push(if at == 0 { 'M' } else { 'L' });
        way.push_str(&short(*x));
        way.push(',');
        way.push_str(&short(*y));
    }
    way
}

/// Pixels to a tenth.
pub(super) fn short(pixels: f64) -> String {
    let tenths = (pixels * 10.0).round() / 10.0 + 0.0;
    if tenths.is_finite() { tenths.to_string() } else { String::from("0") }
}
