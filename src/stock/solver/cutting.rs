//! One way to cut a board: sections, strips side by side in each, blanks of one
//! kind end to end in a strip.

/// A strip at its place across its section.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::stock) struct PlacedStrip {
    /// Which kind of blank.
    pub blank: usize,
    /// How many of them, end to end.
    pub count: u32,
    /// Its near edge, in nanometres from the marked edge.
    pub near: i64,
}

/// One section.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::stock) struct SectionCut {
    /// Where it begins, in marks from the marked end.
    pub at: i64,
    /// In marks.
    pub length: i64,
    /// Side by side, from the marked edge on.
    pub strips: Vec<PlacedStrip>,
}

/// One way to cut a board.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(in crate::stock) struct Cutting {
    /// From the marked end on.
    pub sections: Vec<SectionCut>,
}

impl Cutting {
    /// How many of each kind of blank it gives.
    pub(crate) fn counts(&self, kinds: usize) -> Vec<u32> {
        let mut counts = vec![0; kinds];
        for strip in self.sections.iter().flat_map(|section| &section.strips) {
            counts[strip.blank] += strip.count;
        }
        counts
    }

    /// Keeps the blanks for which `wanted` says so, asked blank by blank, and
    /// drops sections that are left empty.
    pub(super) fn keep_only(&mut self, mut wanted: impl FnMut(usize) -> bool) {
        for section in &mut self.sections {
            for strip in &mut section.strips {
                strip.count = (0..strip.count).take_while(|_| wanted(strip.blank)).count() as u32;
            }
            section.strips.retain(|strip| strip.count > 0);
        }
        self.sections.retain(|section| !section.strips.is_empty());
    }
}
