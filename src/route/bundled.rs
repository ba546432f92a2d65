//! The routes that come with the program, to try and to copy.

use crate::document::Document;

/// A route's text and the name of its file without the ending.
#[derive(Clone, Copy, Debug)]
pub struct Bundled {
    /// The name of its file without the ending.
    pub stem: &'static str,
    /// Its text.
    pub text: &'static str,
}

/// The routes that come with the program, the one to try first leading.
pub const BUNDLED: &[Bundled] = &[
    Bundled { stem: "reading-stool", text: include_str!("../../routes/reading-stool.json") },
    Bundled { stem: "boot-bench", text: include_str!("../../routes/boot-bench.json") },
    Bundled { stem: "garden-bench", text: include_str!("../../routes/garden-bench.json") },
    Bundled { stem: "till-chest", text: include_str!("../../routes/till-chest.json") },
    Bundled { stem: "hall-bench", text: include_str!("../../routes/hall-bench.json") },
    Bundled { stem: "wall-cupboard", text: include_str!("../../routes/wall-cupboard.json") },
];

/// The bundled route of that stem, or of that name.
pub fn bundled(name: &str) -> Option<&'static Bundled> {
    let named = |bundled: &&Bundled| {
        Document::read(bundled.stem, bundled.text).is_ok_and(|document| {
            document.root().child("route").and_then(|n| n.as_str()) == Some(name)
        })
    };
    BUNDLED.iter().find(|bundled| bundled.stem == name).or_else(|| BUNDLED.iter().find(named))
}
