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
    let is_brief =
        matches!(session.task(), Task::Set(_) | Task::Cut { then: None, .. } | Task::Accept(_));
    let brief = format!("{}  {}", view.order.word, visible(&view.order.brief));
    let is_brief = is_brief && wrap(&brief, columns).len() <= 1;
    let order = if is_brief { 1 } else { wrap(&order_line(view), columns).len() };
    let notice = session.notice().map(|notice| match notice {
        Notice::Said(text) | Notice::Wrong(text) => text.clone(),
    });
    let refused = app.refusal().map(refusal_words).filter(|text| width(text) > columns);
    let first = refused.or(notice);
    let now = view.now.iter().filter(|text| !text.starts_with("Enter alone"));
    let said =
        first.iter().chain(&view.beside).chain(now).map(|text| wrap(&visible(text), columns).len());
    let said: usize = said.sum();
    let has_number = !view.big.is_empty();
    let fits = order <= 1 && said <= usize::from(usual.talk.height);
    // What the scale stands at is needed less than how a piece is cut, and a depth
    // that was set for the first side is the same for the second.
    let cuts = match session.task() {
        Task::Cut { .. } => true,
        Task::Read { .. } => !view.places.is_empty(),
        Task::Feed { pass: Some(pass), .. } => *pass > 1 && view.label.ends_with(" to"),
        _ => false,
    };
    let how = view.places.iter().chain(&view.details);
    let how: usize = how.map(|text| wrap(&visible(text), columns).len()).sum();
    let rows = usize::from(usual.cautions.y - usual.order.y);
    let has_options = matches!(session.task(), Task::Accept(_));
    let is_full = has_options || (cuts && order + 1 + said + how > rows);
    let number = u16::from(has_number && !is_full);
    (is_full || !(fits && has_number)).then(|| (order.min(MOST_FOR_AN_ORDER) as u16, number))
}

/// Lists, cautions and choices have grids of their own; options take the rows of the
/// number.
fn gives_way(task: &Task) -> bool {
    match task {
        Task::Accept(proposal) => proposal.keeps.len() > 1,
        _ => !matches!(task, Task::Caution { .. } | Task::Boards(_) | Task::Decide { .. }),
    }
}

/// `table to 1.278, for 1.278 in`, as much of it as fits.
pub(super) fn number_words(view: &MachineView, columns: u16) -> String {
    let short = visible(&format!("{} {}", view.label, view.big));
    if view.under.is_empty() {
        return whole_or_dots(&short, columns);
    }
    let tool = visible(&format!("{short}, {}", view.under));
    let made = view.under.split(", ").next().unwrap_or_default();
    let made = visible(&format!("{short}, {made}"));
    let fits = |text: &String| width(text) <= columns;
    let said = [tool, made].into_iter().find(fits);
    said.unwrap_or_else(|| whole_or_dots(&short, columns))
}
