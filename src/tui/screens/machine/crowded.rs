//! The smallest window, where order, number and what is said don't all have room:
//! the order is wrapped and the number stands in words, for what tells what to do
//! or protects is never left out for large digits.

use super::grid::{GridSize, MachineGrid};
use crate::prose::{visible, wrap};
use crate::tui::app::{App, Notice, Session};
use crate::tui::machine_view::MachineView;
use crate::tui::sentence::refusal_words;
use crate::tui::widgets::{whole_or_dots, width};
use crate::work::Task;

/// The most rows an order takes.
const MOST_FOR_AN_ORDER: usize = 3;

/// The order in one text.
pub(super) fn order_line(view: &MachineView) -> String {
    format!("{}  {}", view.order.word, visible(&view.order.rest))
}

/// The rows of the order and of the number in words, where digits are too large for
/// what is to be said; none where everything fits beside them.
pub(super) fn rows(
    app: &App,
    session: &Session,
    view: &MachineView,
    usual: &MachineGrid,
) -> Option<(u16, u16)> {
    if usual.size != GridSize::Small || !gives_way(session.task()) {
        return None;
    }
    let columns = usual.order.width;
    let is_brief = matches!(session.task(), Task::Set(_));
    let order = if is_brief { 1 } else { wrap(&order_line(view), columns).len() };
    let notice = session.notice().map(|notice| match notice {
        Notice::Said(text) | Notice::Wrong(text) => text.clone(),
    });
    let refused = app.refusal().map(refusal_words).filter(|text| width(text) > columns);
    let first = refused.or(notice);
    let said = first.iter().chain(&view.now).map(|text| wrap(&visible(text), columns).len());
    let said: usize = said.sum();
    let has_number = !view.big.is_empty();
    let fits = order <= 1 && said <= usize::from(usual.talk.height);
    let number = u16::from(has_number);
    (!(fits && has_number)).then(|| (order.min(MOST_FOR_AN_ORDER) as u16, number))
}

/// Lists, cautions and choices have grids of their own.
fn gives_way(task: &Task) -> bool {
    !matches!(task, Task::Caution { .. } | Task::Boards(_) | Task::Accept(_) | Task::Decide { .. })
}

/// `table to 1.278, for 1.278 in`, as much of it as fits.
pub(super) fn number_words(view: &MachineView, columns: u16) -> String {
    let short = visible(&format!("{} {}", view.label, view.big));
    let tool = visible(&format!("{short}, {}", view.under));
    let made = view.under.split(", ").next().unwrap_or_default();
    let made = visible(&format!("{short}, {made}"));
    let fits = |text: &String| width(text) <= columns;
    let said = [tool, made].into_iter().find(fits);
    said.unwrap_or_else(|| whole_or_dots(&short, columns))
}
