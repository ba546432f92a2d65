//! What is said at the machine: where one is, the cautions, what to do, the number,
//! how.

use super::phrase::line;
use super::said::Said;
use crate::tui::app::Session;
use crate::tui::explanation::{Explanation, FACES};
use crate::tui::machine_view::{MachineView, SO_FAR};
use crate::work::{BoardsTask, Remedy, Task, WorkContext, is_finished};

/// What has yet to be said about what is asked.
pub(super) fn fresh(session: &Session, said: &mut Said) -> Vec<String> {
    let (context, task) = (session.context(), session.task());
    let view = MachineView::of(&context, task);
    let mut lines = Vec::new();
    if said.comes_to(context.op) {
        lines.extend(heading(&context, &view));
    }
    let is_new = said.puts(task);
    let is_whole = is_heard_whole(task);
    if !is_whole {
        lines.extend(said.fresh(cautions(&view, task)));
    }
    if is_new && matches!(task, Task::Caution { .. }) {
        // Read by everybody who comes to the machine, whoever heard them before.
        said.forgets(&cautions(&view, task));
    }
    lines.extend(said.fresh(all(&view.beside)));
    if is_new {
        lines.push(order(&view));
        let number: Vec<String> = number(&view).into_iter().collect();
        lines.extend(if is_set(task) { number } else { said.fresh(number) });
    }
    if is_whole && !is_new {
        return lines;
    }
    if is_whole {
        lines.extend(all(&view.now));
        lines.extend(said.fresh(cautions(&view, task)));
        lines.extend(all(&view.details));
        lines.extend(choices(&view));
        return lines;
    }
    if is_new {
        lines.extend(said.passing(all(&view.now)));
    }
    // Each size of a board was read back when it was typed.
    lines.extend(said.fresh(all(&view.places)));
    let details = all(&view.details).into_iter().filter(|text| !text.starts_with(SO_FAR));
    lines.extend(said.fresh(details.collect()));
    lines
}

/// All of it, for whoever asks.
pub(super) fn whole(session: &Session) -> Vec<String> {
    let (context, task) = (session.context(), session.task());
    let view = MachineView::of(&context, task);
    let Explanation { asked, choices, notes, words, has_faces } =
        Explanation::of(&context, task, &view);
    let mut lines = heading(&context, &view);
    lines.push(order(&view));
    lines.extend(all(&asked));
    lines.extend(number(&view));
    for text in [&view.beside, &view.now, &view.places, &view.details, &view.why] {
        lines.extend(all(text));
    }
    // A choice begins with the letter that is typed.
    lines.extend(choices);
    lines.extend(cautions(&view, task));
    lines.extend(notes.iter().map(|note| line(&format!("note: {note}"))));
    lines.extend(all(&words));
    if has_faces {
        lines.push(line(FACES));
    }
    lines
}

/// What an answer to a setting makes known: the number that stands now.
pub(super) fn standing_number(session: &Session) -> Option<String> {
    number(&MachineView::of(&session.context(), session.task()))
}

/// Whether every word of a task is said each time: what is read before a machine,
/// and what somebody decides.
fn is_heard_whole(task: &Task) -> bool {
    matches!(
        task,
        Task::Who
            | Task::Blocked { .. }
            | Task::Caution { .. }
            | Task::Decide { .. }
            | Task::Accept(_)
            | Task::Finished
    )
}

/// Whether the number is what the task is about.
fn is_set(task: &Task) -> bool {
    matches!(task, Task::Set(_) | Task::Boards(BoardsTask::Mark { .. }))
}

fn all(texts: &[String]) -> Vec<String> {
    texts.iter().map(|text| line(text)).collect()
}

fn heading(context: &WorkContext<'_>, view: &MachineView) -> Vec<String> {
    let machine = if view.machine.is_empty() { "by hand" } else { &view.machine };
    let mut lines = vec![line(&format!("{}, {machine}", view.title))];
    let steps = &context.route.steps;
    if let Some(place) = steps.iter().position(|step| step.op == context.op) {
        lines.push(line(&format!("step {} of {}; {}", place + 1, steps.len(), count(view))));
    } else if !view.count.is_empty() {
        lines.push(line(&count(view)));
    }
    lines
}

/// `4 done, 5 to go`.
pub(super) fn count(view: &MachineView) -> String {
    view.count.replace("  ", ", ")
}

fn order(view: &MachineView) -> String {
    line(&format!("{} {}", view.order.word, view.order.rest))
}

/// `Stop to 19.996, for 20 in, crosscut blade.`
fn number(view: &MachineView) -> Option<String> {
    if view.big.is_empty() {
        return None;
    }
    let under = match view.under.as_str() {
        "" => String::new(),
        // What begins with the unit belongs to the number.
        under if matches!(under.split([';', ' ']).next(), Some("in" | "mm")) => {
            format!(" {under}")
        }
        under => format!(", {under}"),
    };
    Some(line(&format!("{} {}{under}", view.label, view.big)))
}

/// Each caution a line; none where nobody works yet.
fn cautions(view: &MachineView, task: &Task) -> Vec<String> {
    match task {
        Task::Who | Task::Blocked { .. } | Task::Finished | Task::Accept(_) => Vec::new(),
        _ => view.cautions.iter().map(|text| line(&format!("Caution: {text}"))).collect(),
    }
}

fn choices(view: &MachineView) -> Vec<String> {
    let said = |choice: &Remedy| format!("{}: {}.", choice.key(), choice.words());
    view.choices.iter().map(said).collect()
}

/// `Left at op 60 crosscut leg, 4 done, 5 to go.`; none where all is finished.
pub(super) fn left_at(context: &WorkContext<'_>) -> Option<String> {
    let open =
        context.route.steps.iter().any(|step| !is_finished(context.route, context.state, step.op));
    let view = MachineView::of(context, &Task::Who);
    (open || context.at_boards())
        .then(|| line(&format!("left at {}, {}", view.title, count(&view))))
}
