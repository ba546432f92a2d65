//! The keys, as one table: what is pressed, where, what it does. Help and
//! footers are printed from it.
//!
//! A gauge that types like a keyboard sends figures, signs, `mm`, Enter and
//! Tab. None of those is ever a command here: letters are commands only where
//! no text is being typed, and a reading begins with a figure or a sign.

use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};

use super::screen::Screen;

/// What a key asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Command {
    /// Does what the prompt says.
    Enter,
    /// One screen back.
    Back,
    /// One line up.
    Up,
    /// One line down.
    Down,
    /// One window up.
    PageUp,
    /// One window down.
    PageDown,

    /// To the machine screen.
    Machine,
    /// To all operations.
    Route,
    /// To all pieces.
    Pieces,
    /// To the sizes of the chosen route.
    Sizes,
    /// To whose each article is.
    Makers,
    /// Asks what somebody chooses who joins late.
    Join,
    /// Asks what becomes of the article of somebody who leaves.
    Depart,
    /// To what can start now.
    Ready,
    /// To what there is to do today, over all batches.
    Today,
    /// To which pieces match best.
    Matched,
    /// To what went out of limits.
    LookBack,
    /// To the reading of the piece cut before.
    Before,
    /// To the reading of the piece cut after.
    After,
    /// Asks when and by whom the readings were taken that are typed from paper.
    OnPaper,
    /// Asks when the bell rings.
    Bell,
    /// Explains the keys of the screen.
    Help,
    /// Lists everything that can be done here.
    Menu,
    /// Asks why the chosen piece is set aside.
    Aside,
    /// Asks which part the chosen piece becomes.
    Elsewhere,
    /// Asks why the chosen piece is made again.
    Remake,
    /// Undoes the last answer of this station.
    Undo,
    /// Redoes what was undone just now.
    Redo,
    /// Says who has the keys now.
    Switch,
    /// Asks for a note.
    Note,
    /// Moves the chosen batch into the archive, or out of it.
    Archive,
    /// To the shop that new batches are made in.
    Shop,
    /// Asks the lead who is signed off on this machine.
    SignOff,
    /// Asks why the lead opens a waiting operation.
    OpenGate,
    /// Ends the program.
    Leave,
    /// Turns colour on or off.
    Light,
    /// Writes a page for paper of what is in sight.
    Print,
    /// Draws the screen anew.
    Repaint,
    /// Stops until the shell continues the program.
    Suspend,
}

/// A line of the table.
#[derive(Clone, Copy, Debug)]
pub struct Binding {
    /// The keys, each of which does it.
    pub keys: &'static [KeyCode],
    /// Whether Control is held with it.
    pub control: bool,
    /// As people call it.
    pub name: &'static str,
    /// Where it works; everywhere when empty.
    pub screens: &'static [Screen],
    /// What it asks for.
    pub command: Command,
    /// What it does, in the words of help.
    pub does: &'static str,
    /// The same for a footer; nothing where it isn't worth a place there.
    pub brief: &'static str,
}

impl Binding {
    /// Whether the key works on a screen.
    pub(super) fn works_on(&self, screen: Screen) -> bool {
        self.screens.is_empty() || self.screens.contains(&screen)
    }
}

const fn key(
    keys: &'static [KeyCode],
    name: &'static str,
    screens: &'static [Screen],
    command: Command,
    does: &'static str,
    brief: &'static str,
) -> Binding {
    Binding { keys, control: false, name, screens, command, does, brief }
}

const fn control(
    keys: &'static [KeyCode],
    name: &'static str,
    command: Command,
    does: &'static str,
) -> Binding {
    Binding { keys, control: true, name, screens: &[], command, does, brief: "" }
}

use KeyCode::{Backspace, Char, Down, Enter, Esc, F, Left, PageDown, PageUp, Right, Tab, Up};
use Screen::{
    Attribution, Help, Machine, Makers, Matched, Menu, Opening, Pieces, Ready, Review, Route,
    Series, Shop, Sizes, Today,
};

/// Where there is something to list.
const LISTED: &[Screen] = &[
    Opening,
    Today,
    Shop,
    Machine,
    Route,
    Pieces,
    Makers,
    Ready,
    Matched,
    Review,
    Series,
    Attribution,
];

/// Where there is a page for paper.
const PRINTED: &[Screen] =
    &[Opening, Today, Shop, Machine, Route, Pieces, Review, Series, Attribution];

/// Where lines are stepped through.
const SCROLLED: &[Screen] = &[
    Opening,
    Sizes,
    Shop,
    Today,
    Machine,
    Route,
    Pieces,
    Makers,
    Ready,
    Matched,
    Review,
    Series,
    Attribution,
    Help,
    Menu,
];

/// Every key there is, in the order of help.
pub const BINDINGS: &[Binding] = &[
    key(&[Enter, Tab], "Enter", &[], Command::Enter, "does what the prompt says", ""),
    key(&[F(1), Char('?')], "?", &[], Command::Help, "explains the keys of this screen", "keys"),
    key(
        &[Backspace, Char('u')],
        "Backspace",
        &[Machine],
        Command::Undo,
        "undoes the last entry; the record keeps it, voided",
        "undo",
    ),
    key(&[F(11), Char('z')], "z", &[Machine], Command::Redo, "redoes what was undone just now", ""),
    key(&[Char('k')], "k", &[Machine], Command::Switch, "hands the keys to somebody else here", ""),
    key(
        &[F(2), Char('w')],
        "w",
        &[Route, Pieces, Makers, Ready, Review, Series, Attribution],
        Command::Machine,
        "back to the work",
        "work",
    ),
    key(
        &[F(3), Char('r')],
        "r",
        &[Machine, Pieces, Makers, Ready, Review],
        Command::Route,
        "all operations",
        "operations",
    ),
    key(
        &[F(4), Char('p')],
        "p",
        &[Machine, Route, Makers, Ready, Review, Series, Attribution],
        Command::Pieces,
        "all pieces",
        "pieces",
    ),
    key(
        &[F(7), Char('t')],
        "t",
        &[Machine, Route, Pieces],
        Command::Ready,
        "what can start now, in every part",
        "start now",
    ),
    key(
        &[Char('c')],
        "c",
        &[Route, Pieces, Ready],
        Command::Makers,
        "whose each article is, and what its maker chose",
        "makers",
    ),
    key(
        &[Char('j')],
        "j",
        &[Makers],
        Command::Join,
        "one more article, for somebody who joins late",
        "join",
    ),
    key(
        &[Char('d')],
        "d",
        &[Makers],
        Command::Depart,
        "somebody leaves: what was theirs becomes spares or is set aside",
        "leaves",
    ),
    key(
        &[F(7)],
        "F7",
        &[Opening],
        Command::Today,
        "what there is to do today, over all batches",
        "today",
    ),
    key(&[Char('g')], "g", &[Pieces], Command::Matched, "which pieces match best", "matching"),
    key(
        &[Char('h')],
        "h",
        &[Machine],
        Command::OnPaper,
        "types readings that were written on paper: when, and by whom",
        "",
    ),
    key(&[Char('b')], "b", &[Machine], Command::Bell, "sets when the bell rings today", ""),
    key(
        &[Char('s'), Char('a')],
        "s",
        &[Machine, Pieces],
        Command::Aside,
        "sets the piece aside: lead's initials, reason",
        "set aside",
    ),
    key(
        &[Char('e')],
        "e",
        &[Pieces],
        Command::Elsewhere,
        "uses the piece as another part",
        "reuse",
    ),
    key(&[Char('m')], "m", &[Pieces], Command::Remake, "remakes the piece", "remake"),
    key(
        &[F(5), Char('n')],
        "n",
        &[Machine, Pieces],
        Command::Note,
        "writes a note on the piece in hand, or after - on the operation",
        "note",
    ),
    key(
        &[F(6), Char('o')],
        "o",
        &[Machine],
        Command::OpenGate,
        "lets the lead open an operation that waits",
        "",
    ),
    key(
        &[F(6)],
        "F6",
        &[Opening],
        Command::Archive,
        "moves the batch into the archive, or brings it back",
        "archive",
    ),
    key(
        &[F(2)],
        "F2",
        &[Opening],
        Command::Shop,
        "your shop: its machines, and how far off their scales are",
        "your shop",
    ),
    key(
        &[F(4)],
        "F4",
        &[Opening],
        Command::Sizes,
        "the sizes of the route, to adapt them for a batch",
        "sizes",
    ),
    key(
        &[F(2)],
        "F2",
        &[Machine],
        Command::SignOff,
        "signs somebody off on this machine, or names who leads today",
        "",
    ),
    key(
        &[F(12), Char('y')],
        "y",
        &[Opening, Machine, Route, Pieces, Ready, Series, Attribution],
        Command::LookBack,
        "looks back: what went out of limits, and why",
        "look back",
    ),
    key(&[Left], "Left", &[Series], Command::Before, "the piece cut before this one", ""),
    key(&[Right], "Right", &[Series], Command::After, "the piece cut after this one", "next piece"),
    key(&[Up], "Up", SCROLLED, Command::Up, "one line up", ""),
    key(&[Down], "Down", SCROLLED, Command::Down, "one line down", ""),
    key(&[PageUp], "PgUp", SCROLLED, Command::PageUp, "one window up", ""),
    key(&[PageDown], "PgDn", SCROLLED, Command::PageDown, "one window down", ""),
    key(&[F(10)], "F10", LISTED, Command::Menu, "lists all that can be done here", "menu"),
    key(
        &[F(9), Char('q')],
        "q",
        &[],
        Command::Leave,
        "leaves; asks for a note when work is half done",
        "leave",
    ),
    key(&[Esc], "Esc", &[], Command::Back, "clears what is typed, then goes one screen back", ""),
    key(&[F(8), Char('l')], "l", &[], Command::Light, "colour on or off", ""),
    Binding {
        control: true,
        ..key(
            &[Char('p')],
            "Ctrl-P",
            PRINTED,
            Command::Print,
            "prints a page: the card of a batch, route or part, the review, today",
            "",
        )
    },
    control(&[Char('l')], "Ctrl-L", Command::Repaint, "redraws the screen"),
    control(
        &[Char('z')],
        "Ctrl-Z",
        Command::Suspend,
        "suspends the program; fg in the shell resumes it",
    ),
    control(&[Char('c')], "Ctrl-C", Command::Leave, "leaves, even while a text is typed"),
];

/// The command of a key on a screen. Letters and Backspace are none while
/// `typing`, for then they belong to the text.
pub(super) fn command(screen: Screen, pressed: &KeyEvent, typing: bool) -> Option<Command> {
    let control = pressed.modifiers.contains(KeyModifiers::CONTROL);
    if pressed.modifiers.contains(KeyModifiers::ALT) {
        return None;
    }
    let code = match pressed.code {
        Char(letter) => Char(letter.to_ascii_lowercase()),
        other => other,
    };
    let binding = BINDINGS.iter().find(|binding| {
        binding.control == control && binding.keys.contains(&code) && binding.works_on(screen)
    })?;
    let text = !control && matches!(code, Char(_) | Backspace);
    (!(typing && text)).then_some(binding.command)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Always: No key means two things on one screen.
    #[test]
    fn no_key_means_two_things_on_one_screen() {
        for screen in SCROLLED.iter().copied() {
            let mut seen = Vec::new();
            for binding in BINDINGS {
                if binding.works_on(screen) {
                    for code in binding.keys {
                        assert!(!seen.contains(&(code, binding.control)), "{code:?} on {screen:?}");
                        seen.push((code, binding.control));
                    }
                }
            }
        }
    }

    /// Always: Nothing that a gauge sends is a command.
    ///
    /// What gauges with a keyboard plug send: figures, signs, units, Enter, Tab.
    #[test]
    fn nothing_a_gauge_sends_is_a_command() {
        for sent in "0123456789.,+-/ '\"".chars() {
            let pressed = KeyEvent::new(Char(sent), KeyModifiers::NONE);
            assert_eq!(command(Machine, &pressed, false), None, "{sent:?}");
        }
        for sent in "mmin".chars() {
            let pressed = KeyEvent::new(Char(sent), KeyModifiers::NONE);
            assert_eq!(command(Machine, &pressed, true), None, "{sent:?} after figures");
        }
    }
}
