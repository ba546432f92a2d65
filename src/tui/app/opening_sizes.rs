//! The sizes of a route before its batch begins: each can be adapted for the whole
//! batch, and what follows is seen at once.

use super::opening::{OpeningLine, OpeningScreen, StartQuestion};
use super::sizes_screen::SizesScreen;
use crate::tui::message::Effect;
use crate::work::AdaptedRoute;

impl OpeningScreen {
    /// Looks at the sizes of the chosen route.
    pub(super) fn look_at_sizes(&mut self, chosen: Option<OpeningLine>) -> Vec<Effect> {
        match chosen {
            Some(OpeningLine::Route(route)) => vec![Effect::ReadSizes { route }],
            _ => {
                self.refuse("Only a route has sizes to adapt.", "choose one with Up and Down");
                Vec::new()
            }
        }
    }

    /// The chosen line of the list in sight.
    pub(super) fn chosen_line(&self) -> usize {
        self.sizes.as_ref().map_or(self.selected, |sizes| sizes.selected)
    }

    /// The sizes of a route were read.
    pub(super) fn sizes_read(&mut self, route: usize, adapted: AdaptedRoute) {
        self.refusal = None;
        self.sizes = Some(Box::new(SizesScreen { route, adapted, selected: 0 }));
    }

    /// Enter on a line of the sizes: begins, or asks for another size.
    pub(super) fn size_chosen(&mut self) -> Vec<Effect> {
        let Some(sizes) = &self.sizes else { return Vec::new() };
        match sizes.selected.checked_sub(1) {
            None => {
                let unit = sizes.adapted.route().unit;
                let changes = sizes.adapted.changes().iter();
                let changes = changes.map(|(dim, size)| (dim.clone(), size.written(unit)));
                let (route, changes) = (sizes.route, changes.collect());
                self.sizes = None;
                self.adapted = Some((route, changes));
                self.begin(route);
            }
            Some(place) => {
                if let Some(size) = sizes.adapted.sizes().into_iter().nth(place) {
                    self.ask(StartQuestion::Size { dim: size.dim }, &size.value);
                }
            }
        }
        Vec::new()
    }

    /// Takes another size for a dimension; what can't be made is refused.
    pub(super) fn take_size(&mut self, dim: &str, text: &str) {
        let Some(sizes) = &mut self.sizes else { return };
        match sizes.adapted.change(dim, text) {
            Ok(()) => self.prompt = None,
            Err(why) => self.refusal = Some(why),
        }
    }
}
