//! A picture as others see it: read by an independent XML parser (roxmltree), drawn by an independent
//! renderer (resvg), its texts measured in a font of this machine if there is one.

use std::sync::{Arc, LazyLock};

use resvg::{
    tiny_skia::{Pixmap, Transform},
    usvg::{self, fontdb},
};
use roxmltree::{Document, Node};

use crate::support::Running;

/// The fonts of this machine.
static FONTS: LazyLock<Arc<fontdb::Database>> = LazyLock::new(|| {
    let mut fonts = fontdb::Database::new();
    fonts.load_system_fonts();
    let family = |face: &fontdb::FaceInfo| face.families.first().map(|(name, _)| name.clone());
    let known: Vec<String> = fonts.faces().filter_map(family).collect();
    // The widest of the usual ones, if it is there.
    let widest = known.iter().find(|name| *name == "DejaVu Sans").or(known.first());
    if let Some(name) = widest.cloned() {
        fonts.set_sans_serif_family(name);
    }
    Arc::new(fonts)
});

/// A picture that was asked for.
pub(crate) struct Picture {
    pub(crate) text: String,
    pub(crate) title: String,
    pub(crate) finding: String,
    pub(crate) size: [f64; 2],
    /// The colour of what it is drawn on.
    pub(crate) paper: String,
    pub(crate) letters: Vec<Letters>,
}

/// A text in it.
#[derive(Debug, Clone)]
pub(crate) struct Letters {
    pub(crate) text: String,
    pub(crate) fill: String,
    pub(crate) size: f64,
    /// Left, top, right, bottom.
    pub(crate) around: [f64; 4],
}

impl Picture {
    /// Asks for a picture, which must be one.
    pub(crate) fn of(service: &Running, path: &str) -> Self {
        let answer = service.get(path);
        assert_eq!(answer.status, 200, "{path}: {}", answer.text());
        assert_eq!(answer.header("content-type"), Some("image/svg+xml"), "{path}");
        Self::read(answer.text())
    }

    fn read(text: &str) -> Self {
        let document = Document::parse(text).unwrap_or_else(|fault| panic!("{fault}: {text}"));
        let root = document.root_element();
        assert_eq!(root.tag_name().namespace(), Some("http://www.w3.org/2000/svg"));
        assert_eq!(root.attribute("role"), Some("img"));
        let child =
            |name: &str| root.children().find(|node| node.tag_name().name() == name).unwrap();
        let named = |name: &str| child(name).text().unwrap_or_default().trim().to_owned();
        let number = |name: &str| root.attribute(name).unwrap().parse().unwrap();
        Self {
            title: named("title"),
            finding: named("desc"),
            size: [number("width"), number("height")],
            paper: child("rect").attribute("fill").unwrap().to_owned(),
            letters: root
                .descendants()
                .filter(|node| node.tag_name().name() == "text")
                .map(|node| Letters::of(&node))
                .collect(),
            text: text.to_owned(),
        }
    }

    /// As an independent renderer draws it.
    pub(crate) fn drawn(&self) -> Pixmap {
        let tree = self.tree();
        let size = tree.size().to_int_size();
        let mut pixels = Pixmap::new(size.width(), size.height()).unwrap();
        resvg::render(&tree, Transform::default(), &mut pixels.as_mut());
        pixels
    }

    fn tree(&self) -> usvg::Tree {
        let options = usvg::Options { fontdb: FONTS.clone(), ..usvg::Options::default() };
        usvg::Tree::from_str(&self.text, &options).unwrap()
    }

    /// Leaves the drawing where somebody can look at it; it must show something.
    pub(crate) fn keep(&self, name: &str) {
        let drawn = self.drawn();
        let paper = drawn.pixels()[0];
        let inked = drawn.pixels().iter().filter(|pixel| **pixel != paper).count();
        assert!(inked > drawn.pixels().len() / 100, "{name} is blank");
        let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("pictures");
        std::fs::create_dir_all(&folder).unwrap();
        drawn.save_png(folder.join(format!("{name}.png"))).unwrap();
    }

    /// Where the texts are, measured in a font of this machine; as estimated where there is none.
    pub(crate) fn measured(&self) -> Vec<Letters> {
        fn gather(group: &usvg::Group, boxes: &mut Vec<[f64; 4]>) {
            for node in group.children() {
                match node {
                    usvg::Node::Group(group) => gather(group, boxes),
                    usvg::Node::Text(text) => {
                        let found = text.abs_bounding_box();
                        let [left, top, right, bottom] =
                            [found.left(), found.top(), found.right(), found.bottom()];
                        boxes.push([left, top, right, bottom].map(f64::from));
                    }
                    _ => {}
                }
            }
        }
        let mut boxes = Vec::new();
        gather(self.tree().root(), &mut boxes);
        let mut letters = self.letters.clone();
        if boxes.len() == letters.len() {
            for (one, around) in letters.iter_mut().zip(boxes) {
                one.around = around;
            }
        }
        letters
    }
}

impl Letters {
    /// A little more than half of the size a letter, as sans-serif fonts have in the mean.
    fn of(node: &Node<'_, '_>) -> Self {
        let number = |name: &str| -> f64 { node.attribute(name).unwrap().parse().unwrap() };
        let text: String = node.text().unwrap_or_default().trim().to_owned();
        let (x, y, size) = (number("x"), number("y"), number("font-size"));
        let letter = if node.attribute("font-weight").is_some() { 0.62 } else { 0.56 };
        let width = letter * size * text.chars().count() as f64;
        let left = match node.attribute("text-anchor") {
            None => x,
            Some("middle") => x - width / 2.0,
            Some("end") => x - width,
            other => panic!("{other:?}"),
        };
        Self {
            text,
            fill: node.attribute("fill").unwrap().to_owned(),
            size,
            around: [left, y - 0.76 * size, left + width, y + 0.2 * size],
        }
    }

    /// Whether two texts lie over each other by more than a hair.
    pub(crate) fn covers(&self, other: &Self) -> bool {
        let ([left, top, right, bottom], [l, t, r, b]) = (self.around, other.around);
        left.max(l) + 0.5 < right.min(r) && top.max(t) + 0.5 < bottom.min(b)
    }
}
