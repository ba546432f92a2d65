//! What the machine screen says, as words, for every task there is.
//!
//! It is apart from the screen so that tests and walks read words, not cells.

mod bell;
mod boards;
mod check_readings;
mod layout;
mod marks;
mod named;
mod order;
mod piece_row;
mod pieces;
mod place;
mod proposal;
mod setting;
mod shown;
mod so_far;
mod tasks;
mod tool_offset;
mod view;

pub(super) use self::boards::SO_FAR;
pub(super) use self::check_readings::{
    CheckReadings, CutPlace, LimitLine, LimitLines, MarkKind, ReadingMark, kind_of,
};
pub(super) use self::marks::board_drawing;
use self::named::Feed;
pub(super) use self::piece_row::standing;
pub use self::piece_row::{PieceMark, PieceRow, Standing};
pub(super) use self::place::place_on_board;
pub(super) use self::shown::Shown;
pub(super) use self::so_far::SoFar;
pub use self::view::{Lit, MachineView, Order};
use crate::journal::{PieceId, ReadingRecord, Remark};
use crate::measure::spoken;
use crate::shop::ROUGH_STOCK;
use crate::work::{Advice, BoardsTask, Task, WorkContext, advice, others_before};

impl MachineView {
    /// What the machine screen says while a task is asked.
    pub fn of(context: &WorkContext<'_>, task: &Task) -> MachineView {
        if context.at_boards() { at_boards(context, task) } else { at_operation(context, task) }
    }
}

fn at_operation(context: &WorkContext<'_>, task: &Task) -> MachineView {
    let mut view = MachineView::default();
    let Some(planned) = context.planned() else {
        view.order = Order::short("DONE", "no operation is left.");
        return view;
    };
    view.heading(context, planned, task);
    view.in_force(context, planned);
    view.cautions.clone_from(&planned.cautions);
    view.pieces = PieceRow::of(context, planned, task);
    view.shows_last = matches!(
        task,
        Task::Feed { .. } | Task::Read { .. } | Task::Cut { .. } | Task::Zero { .. }
    );
    match task {
        Task::Who => view.who(context),
        Task::Blocked { reasons, openable } => view.blocked(reasons, *openable),
        Task::Caution { machine, tool } => {
            view.read_caution(context, planned, machine, tool.as_deref());
        }
        Task::Zero { gauge, block } => view.zero(context, gauge, *block),
        Task::Tool(change) => view.tool(context, change),
        Task::Set(set) => view.set(context, set),
        Task::Feed { pass, faces, feeds, kiss, alone, pieces, then } => {
            let (pass, feeds, kiss, alone) = (*pass, *feeds, *kiss, *alone);
            let then = then.as_ref();
            let feed = Feed { pass, faces, feeds, kiss, alone, pieces, then };
            view.feed(context, planned, &feed);
        }
        Task::Read { piece, check, why } => view.read(context, planned, piece, *check, *why),
        Task::Cut { pieces, then } => view.cut(context, planned, pieces, then.as_ref()),
        Task::Decide { piece, check, .. } => {
            let of = &planned.checks[*check].of;
            let reading = context.state.reading_in_force(context.op, piece, of);
            view.decide(context, task, reading);
        }
        Task::Close { done, aside } => view.close(context, *done, *aside),
        Task::Accept(proposal) => view.accept(context, proposal),
        // Only before the first operation, where the view is another.
        Task::Boards(_) => {}
        Task::Finished => view.finished(context),
    }
    // What was written last about this operation, where people work.
    if !matches!(task, Task::Who | Task::Caution { .. }) {
        let own = |note: &&Remark| note.op == Some(context.op) && !note.is_unasked;
        let last = context.state.remarks.iter().rev().find(own);
        // What was written about the piece in hand comes with it, and first.
        let on_piece = in_hand(task).and_then(|piece| context.state.remarks_on(piece).next_back());
        let said = |note: &Remark| format!("Note: {}", context.state.remark_line(note));
        let is_said = |last: &Remark| on_piece.is_some_and(|note| std::ptr::eq(note, last));
        view.details.extend(last.filter(|last| !is_said(last)).map(said));
        if let Some(note) = on_piece {
            view.details.insert(0, said(note));
        }
    }
    let disturbed = context.disturbs();
    if !disturbed.is_empty() && !matches!(task, Task::Who | Task::Caution { .. }) {
        let stale: Vec<String> =
            disturbed.iter().map(|(what, op)| format!("{what} (op {op})")).collect();
        view.details.insert(0, format!("This changes earlier work: {}.", stale.join(", ")));
    }
    if let Some(paper) = context.on_paper {
        let when = paper.at.format("%m-%d %H:%M");
        let said = format!("From paper, taken {when} by {}; h and Enter ends it.", paper.by);
        view.details.insert(0, said);
    }
    bell::put_first(context, task, &mut view);
    if is_at_the_machine(task) {
        let others = others_before(context);
        view.beside = others.iter().map(|others| others.sentence(context.now)).collect();
    }
    view
}

/// Whether something is done at the machine, or is about to be.
fn is_at_the_machine(task: &Task) -> bool {
    matches!(
        task,
        Task::Zero { .. }
            | Task::Tool(_)
            | Task::Set(_)
            | Task::Feed { .. }
            | Task::Read { .. }
            | Task::Cut { .. }
    )
}

/// The piece that is measured or decided about.
pub(super) fn in_hand(task: &Task) -> Option<&PieceId> {
    match task {
        Task::Read { piece, .. } | Task::Decide { piece, .. } => Some(piece),
        _ => None,
    }
}

/// What it says before the first operation, where boards are chosen and marked.
fn at_boards(context: &WorkContext<'_>, task: &Task) -> MachineView {
    let mut view = MachineView {
        title: "op 0 boards".to_owned(),
        machine: "from the rack".to_owned(),
        count: context.state.boards.progress(),
        cautions: vec![ROUGH_STOCK.to_owned()],
        ..MachineView::default()
    };
    match task {
        Task::Who => {
            view.who(context);
            view.order = Order::short("WHO", "is at the rack?");
        }
        Task::Finished => {
            view.finished(context);
            view.details.push(
                "Found a flaw later? Type it: flaw A knot 31 to 33. Bad board? Type: aside A MB why."
                    .to_owned(),
            );
        }
        Task::Boards(BoardsTask::Tell { board, asks }) => view.ask_board(context, board, *asks),
        Task::Boards(BoardsTask::More) => view.more_boards(context),
        Task::Boards(BoardsTask::Accept) => view.accept_layout(context),
        Task::Boards(BoardsTask::Mark { board, mark }) => view.draw_mark(context, board, *mark),
        _ => {}
    }
    view
}

/// A reading echoed: the number in words, and the verdict.
pub(super) fn echo(context: &WorkContext<'_>, reading: &ReadingRecord) -> (String, Option<Advice>) {
    let gauge = context.shop.gauges.get(&reading.taken.gauge).and_then(|gauge| gauge.entry());
    let said = gauge.and_then(|entry| spoken(&reading.taken.typed, &entry)).unwrap_or_default();
    (said, advice(context, reading))
}
