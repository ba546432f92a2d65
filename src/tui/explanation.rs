//! What every question and every screen means, for whoever asks: in full, in
//! sentences. Help shows them and line by line they are printed, so that both say
//! the same.

use crate::journal::Remark;
use crate::prose::visible;
use crate::route::Role;
use crate::tui::machine_view::{MachineView, in_hand};
use crate::tui::screen::Screen;
use crate::work::{BoardsTask, NextNumber, ReadReason, Remedy, Task, WorkContext};

/// A question at the machine, explained.
pub(super) struct Explanation {
    /// What is asked, and why.
    pub(super) asked: Vec<String>,
    /// What each choice does, one line each.
    pub(super) choices: Vec<String>,
    /// What was written about this operation or the piece in hand, the newest first.
    pub(super) notes: Vec<String>,
    /// What the words on this screen mean.
    pub(super) words: Vec<String>,
    /// Whether faces are spoken of.
    pub(super) has_faces: bool,
}

impl Explanation {
    /// The question that is asked now.
    pub(super) fn of(context: &WorkContext<'_>, task: &Task, view: &MachineView) -> Explanation {
        let choice = |choice: &Remedy| {
            format!("{}: {}. {}", choice.key(), choice.words(), choice.explained())
        };
        let in_hand = in_hand(task);
        let own = |note: &&Remark| {
            let is_on_piece = note.piece.is_some() && note.piece.as_ref() == in_hand;
            (note.op == Some(context.op) || is_on_piece) && !note.is_unasked
        };
        let notes = context.state.remarks.iter().rev().filter(own);
        let has_faces = matches!(
            task,
            Task::Set(_)
                | Task::Feed { .. }
                | Task::Cut { .. }
                | Task::Read { .. }
                | Task::Decide { .. }
        );
        Explanation {
            asked: asked(task).into_iter().map(str::to_owned).collect(),
            choices: view.choices.iter().map(choice).collect(),
            notes: notes.map(|note| visible(&context.state.remark_line(note))).collect(),
            words: words(context, task).map(|(word, is)| format!("{word}: {is}")).collect(),
            has_faces,
        }
    }
}

/// Where the four long faces are, in words; the drawing of them stands beside it.
pub(super) const FACES: &str = "Faces: A is the face side, made flat first and marked f. B is \
the face edge, made square to it and marked v. C is opposite A, D is opposite B. By custom A and B \
are the outside faces: fences and tables are set from them.";

/// The end of a piece with its four faces, the face side up.
pub(super) const END_VIEW: [&str; 3] = ["    A f", "D  [  ]  B v", "    C"];

/// What is asked, and why it is.
fn asked(task: &Task) -> Vec<&'static str> {
    match task {
        Task::Who => vec![
            "Type your initials, then Enter. Every entry says who made it.",
            "Two people at one machine type both: MB RK.",
        ],
        Task::Blocked { openable: true, .. } => vec![
            "This operation needs something that isn't there yet; the lines below say what.",
            "The lead can open it all the same: o and Enter, then initials and a reason. The record keeps both.",
        ],
        Task::Blocked { openable: false, .. } => vec![
            "A limit of the machine, or a danger, stands against it. Nobody can open it.",
            "See the lead: the route changes, or another machine does the work.",
        ],
        Task::Caution { .. } => vec![
            "These are the dangers of this machine with this tool.",
            "You read them once a day, before your first cut. They replace no training.",
        ],
        Task::Zero { .. } => vec![
            "Wipe the gauge and set it to zero. Dust between its jaws makes every reading wrong.",
            "A check block has a known size. If the gauge reads another size on it, don't use it.",
        ],
        Task::Tool(_) => vec![
            "Fit this tool while the power is off and locked.",
            "After that no scale is right: you set each one, and you prove it on a first piece.",
        ],
        Task::Set(_) => vec![
            "Set the scale to the big number. Look at the scale again, and type what it shows.",
            "What you type is compared with the number, so that a slip is seen before wood is cut.",
        ],
        Task::Feed { alone: true, .. } => vec![
            "One piece goes first, alone. If the setting is wrong, one piece is lost and not all.",
            "Press Enter when it is through.",
        ],
        Task::Feed { .. } => vec![
            "Every piece goes through as the order says, before anything is moved.",
            "Press Enter when all are through, or type how many are.",
        ],
        Task::Cut { then, .. } => after_cutting(then.as_ref()),
        Task::Read { why, .. } => vec![
            reason(*why),
            "Type what the gauge shows. A bare number is in the unit at the end of the line.",
        ],
        Task::Decide { .. } => vec![
            "The reading is outside the limits, or so near to one that the gauge can't tell.",
            "Type one letter, then Enter. Enter alone takes the first choice.",
        ],
        Task::Close { .. } => vec![
            "Count the pieces. If the stack agrees with the screen, press Enter.",
            "If it doesn't, find out why first: Backspace takes back the last entry.",
        ],
        Task::Accept(_) => vec![
            "The readings have become a size that later settings follow. The list says which change.",
            "The lead types initials to accept them. No piece that is already cut is touched.",
        ],
        Task::Boards(task) => boards(task),
        Task::Finished => vec!["This operation is done. Enter goes to the next one."],
    }
}

fn after_cutting(then: Option<&NextNumber>) -> Vec<&'static str> {
    let mut said = vec![
        "Nothing is measured on these pieces. Cut them one after another, and move no setting.",
        "Press Enter when all are cut, or type how many are.",
    ];
    if matches!(then, Some(NextNumber::Read { .. })) {
        said.push("You may also type the reading of the piece after them: it says they are cut.");
    }
    said
}

/// Why a piece is measured.
fn reason(why: ReadReason) -> &'static str {
    match why {
        ReadReason::First => {
            "The first piece proves the setting. Cut no more until it is within limits."
        }
        ReadReason::Check => {
            "The route asks for this piece to be measured: a change is found while it can be mended."
        }
        ReadReason::Between => {
            "The first piece and the last differ. A piece between them shows where the change began."
        }
        ReadReason::Bridge => {
            "This piece was measured before the break. If it reads the same now, nothing has moved."
        }
        ReadReason::Third { .. } => {
            "Two readings of this piece differ by more than the gauge can err. A third one decides."
        }
    }
}

fn boards(task: &BoardsTask) -> Vec<&'static str> {
    match task {
        BoardsTask::Tell { .. } => vec![
            "Each board is measured once. The layout then knows which pieces it can give.",
            "All positions are counted from the marked end.",
        ],
        BoardsTask::More => {
            vec!["Type the name of another board, or press Enter to lay out the boards there are."]
        }
        BoardsTask::Accept => vec![
            "The layout says which piece comes from which place on a board.",
            "The lead types initials to accept it, or first says what may be done with a knot.",
        ],
        BoardsTask::Mark { .. } => vec![
            "Draw a line across the board where the number says, counted from the marked end.",
            "Press Enter when it is drawn.",
        ],
    }
}

/// The words on the screen that a beginner may not know.
fn words(
    context: &WorkContext<'_>,
    task: &Task,
) -> impl Iterator<Item = (&'static str, &'static str)> {
    // Before anybody works nothing of this is on the screen.
    let is_early = matches!(
        task,
        Task::Who
            | Task::Boards(_)
            | Task::Blocked { .. }
            | Task::Caution { .. }
            | Task::Tool(_)
            | Task::Finished
    );
    let has = |role: Role| context.pieces().iter().any(|piece| piece.label.role == role);
    let measures = context.planned().is_some_and(|planned| !planned.checks.is_empty());
    let mut words: Vec<(&str, &str)> = Vec::new();
    if is_early {
        return words.into_iter();
    }
    if matches!(task, Task::Set(_)) {
        words.push(("Setting", "what a scale of the machine must show."));
    }
    if has(Role::Setup) {
        words.push(("Setup piece", "a cheap piece that proves a setting before good wood is cut."));
    }
    if has(Role::Spare) {
        let is = "a good piece made with the others. It stands in for one that is set aside.";
        words.push(("Spare", is));
    }
    if measures {
        words.extend([
            ("Limits", "the smallest and the largest size that will do."),
            (
                "Uncertainty, ±",
                "a reading is no further than this from the true size, 19 times in 20 (k = 2).",
            ),
            (
                "Too close to call",
                "a limit is nearer to the reading than the uncertainty. Measure again with care.",
            ),
            ("Set aside", "the piece goes no further. It stays in the record."),
        ]);
    }
    words.into_iter()
}

/// What a screen shows, and what can be done there.
pub(super) fn of_screen(screen: Screen) -> &'static [&'static str] {
    match screen {
        Screen::Opening => &[
            "Batches under way come first. Open one, and it goes on where it was left.",
            "A route says how something is made. Open one to begin a new batch.",
            "Invented batches are there to practise on. Archived ones are out of the way, and can \
             be brought back.",
        ],
        Screen::Shop => &[
            "Your own machines, and how far off each scale is with each tool. New batches keep a \
             copy of this as it is when they begin.",
            "Choose a line and press Enter: it is asked about, and the answer leads on to the \
             next. Three cuts find an offset. A lead's initials stand under every change.",
        ],
        Screen::Today => &[
            "What can be done today in all batches under way, by machine. START: it can begin \
             now. waits: it can't, and why. Times for setting a machine are extra.",
            "One setting: these operations need the machine set alike, so that one fence serves \
             them all, whatever their batch.",
            "Below, or beside it, stand what is waited for, and the operation that each article's \
             pieces have come to. It is read again as soon as anybody enters \
             something, and where nobody scrolls a long page turns by itself.",
        ],
        Screen::Route => &[
            "Every operation of the route, in order, with the machine, the setting, and how many \
             pieces are through.",
            "Choose one and press Enter to go there.",
        ],
        Screen::Pieces => &[
            "Every piece of the batch, in the order they are cut. A piece has one sign for each \
             operation of its part, and its last reading.",
            "Below stands the history of the piece in hand: where it came from, its readings, what \
             was decided, and notes about it.",
        ],
        Screen::Sizes => &[
            "The sizes that the route is given. Choose one and press Enter to adapt it for the whole \
             batch; what follows stands below. A size that these machines can't make is refused.",
            "The first line begins the batch.",
        ],
        Screen::Makers => &[
            "Whose each article is, and what its maker chose. Below stands what follows from it, \
             and until which cut it can change.",
            "Choose one and press Enter to change it: Enter alone keeps what is offered.",
        ],
        Screen::Ready => &[
            "What can be done next, in every part. START: it can begin now. WAITS: the lines \
             below it say for what.",
            "Choose one and press Enter to go there.",
        ],
        Screen::Matched => {
            &["Which pieces are nearest to one another in size. Put them together: opposite legs, \
             or rails of one frame, then differ least."]
        }
        Screen::Review => &[
            "What went out of limits, and the likeliest cause. Checks worth a look come before \
             those with nothing to report.",
            "Choose one and press Enter: a piece shows what each operation added to it, a check \
             shows its readings.",
        ],
        Screen::Series => &[
            "The readings of one check, in the order the pieces were cut. ? between two rows of \
             limits: the gauge can't tell there.",
            "Moved: from one piece on, all are off by as much. Crept: each is off by more than \
             the one before. One piece: the others are right.",
        ],
        Screen::Attribution => &[
            "What each operation added to the piece: how much longer or thicker it became than \
             planned, and by how much that may be wrong (plus or minus).",
            "A share smaller than its own uncertainty may be nothing at all.",
        ],
        Screen::Machine | Screen::Help | Screen::Menu => &[],
    }
}
