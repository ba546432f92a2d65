//! What a terminal sends by halves, late or not at all makes nobody deaf.
#![cfg(unix)]

use crate::terminal::Terminal;
use crate::traveler::{BENCHWAY, Hand, USUAL, empty_home, to_size, walk};
use benchway::work::Task;

/// Alt-[ sends `ESC [`, which begins every arrow and function key. Figures and
/// Enter after it were swallowed for good, and Ctrl-C with them.
#[test]
fn half_a_key_swallows_no_reading() {
    let home = empty_home();
    let mut hand = Hand::at_a_stool(&home, &[]);
    hand.walk_to(|_, task| matches!(task, Task::Set(_)));
    for half in ["\x1b[", "\x1bO", "\x1b]"] {
        let before = hand.terminal.drawn().drawings();
        hand.terminal.send(half);
        // Once nothing more comes it is a key with Alt, which does nothing.
        hand.terminal.wait("a drawing", |drawn| drawn.drawings() > before);
    }
    hand.terminal.resize(100, 30);
    // Recorded just as typed.
    hand.step(&to_size);
    hand.walk_to(|_, task| matches!(task, Task::Read { .. }));
    hand.step(&to_size);
}

/// A paste that never ends is over when nothing more comes.
#[test]
fn half_a_paste_is_what_came_of_it() {
    let home = empty_home();
    let mut hand = Hand::at_a_stool(&home, &[]);
    hand.walk_to(|_, task| matches!(task, Task::Set(_)));
    hand.terminal.send("\x1b[200~7777");
    hand.terminal.wait_for("7777");
    // Control-U empties the line.
    hand.terminal.send("\x15");
    hand.terminal.wait_until_gone("7777");
    hand.step(&to_size);
}

#[test]
fn nothing_half_sent_keeps_control_c_from_leaving() {
    for half in ["\x1b[", "\x1b[1;5", "\x1b[200~40.1", "\x1b]11;rgb:"] {
        let home = empty_home();
        let mut terminal = walk(home.path(), &["reading-stool", "--sets", "1"], USUAL);
        terminal.wait_for("is at the machine?");
        terminal.send(&format!("{half}\x03"));
        assert_eq!(terminal.ended().exit_code(), 0, "{half:?}");
        terminal.is_put_back();
    }
}

/// The question that xterm answers with the colour it draws on.
const QUESTION: &[u8] = b"\x1b]11;?\x1b\\";

const WHITE: &str = "\x1b]11;rgb:ffff/ffff/ffff\x1b\\";

fn is_asked(terminal: &Terminal) -> bool {
    terminal.drawn().raw.windows(QUESTION.len()).any(|window| window == QUESTION)
}

/// Answered at once or only when the first screen is long drawn: the colours are
/// those of a light ground, and nothing of the answer is typed.
#[test]
fn the_ground_is_asked_and_its_answer_never_typed() {
    for is_late in [false, true] {
        let home = empty_home();
        let all_colours = [("COLORTERM", "truecolor")];
        let arguments = ["walk", "reading-stool", "--sets", "1"];
        let mut terminal = Terminal::start(BENCHWAY, &arguments, home.path(), &all_colours, USUAL);
        terminal.wait("the question", |drawn| {
            drawn.raw.windows(QUESTION.len()).any(|window| window == QUESTION)
        });
        if is_late {
            terminal.wait_for("is at the machine?");
        }
        terminal.send(&format!("a{WHITE}b"));
        terminal.wait_for("> ab ");
        terminal.send("\r");
        terminal.wait_for("before you use the chop saw");
        // The mark of a caution is #8E1F00 on a light ground.
        terminal.wait("its colour", |drawn| {
            let sought = b"142;31;0";
            drawn.raw.windows(sought.len()).any(|window| window == sought)
        });
        assert!(!terminal.text().contains("rgb"), "{}", terminal.text());
        terminal.send("\x03");
        assert_eq!(terminal.ended().exit_code(), 0);
    }
}

/// A plain terminal might print the question; where the answer changes no colour,
/// or the ground is given, nobody asks.
#[test]
fn the_ground_is_asked_only_where_it_matters() {
    let all_colours = ("COLORTERM", "truecolor");
    for (surroundings, more) in [
        (&[all_colours, ("TERM", "dumb")][..], &[][..]),
        (&[], &[]),
        (&[all_colours], &["--ground", "dark"]),
    ] {
        let home = empty_home();
        let arguments = [&["walk", "reading-stool", "--sets", "1"], more].concat();
        let mut terminal = Terminal::start(BENCHWAY, &arguments, home.path(), surroundings, USUAL);
        terminal.wait_for("is at the machine?");
        assert!(!is_asked(&terminal), "{surroundings:?} {more:?}");
        terminal.send("\x03");
        assert_eq!(terminal.ended().exit_code(), 0);
    }
}
