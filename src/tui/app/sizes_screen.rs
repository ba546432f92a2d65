//! The lines of a route whose sizes are looked at before its batch begins.

use crate::work::AdaptedRoute;

/// A route whose sizes are looked at.
#[derive(Debug)]
pub struct SizesScreen {
    /// Which of the routes that were listed.
    pub(super) route: usize,
    /// The route with what was changed.
    pub adapted: AdaptedRoute,
    /// The chosen line: the first begins the batch, each other one is a size.
    pub selected: usize,
}

impl SizesScreen {
    /// Chooses a line.
    pub(super) fn select(&mut self, line: usize) {
        self.selected = line.min(self.adapted.sizes().len());
    }

    /// Every line: how the batch begins, then each size.
    pub fn lines(&self) -> Vec<String> {
        let article = &self.adapted.route().article.many;
        let begin = match self.adapted.changes().len() {
            0 => format!("begin {article} as the route says"),
            _ => format!("begin {article} with these sizes"),
        };
        let sizes = self.adapted.sizes().into_iter().map(|size| {
            let mark = if size.is_changed { ", changed" } else { "" };
            let about = size.about.map_or_else(String::new, |about| format!(": {about}"));
            format!("{} {}{mark}{about}", size.dim.replace('_', " "), size.value)
        });
        std::iter::once(begin).chain(sizes).collect()
    }
}
